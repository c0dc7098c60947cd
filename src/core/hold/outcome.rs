//! What the hold computation returns.

use crate::stance::Load;
use crate::units::Point;

/// A contact through which a force acts on the rider. Figures are of both sides together where there are two.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// `ball`, `heel`, `toe_stop`, `hoop`, `grip`, `seat`.
    pub name: &'static str,
    /// Where, mm (left side where there are two).
    pub point: Point,
    /// Direction in which it can push on the rider; for the grip, which holds both ways, straight up.
    pub normal: Point,
    /// Friction coefficient; 0 where it is a frictionless stop or a hand that grips.
    pub friction: f64,
    /// Least normal force, N.
    pub low: f64,
    /// Greatest normal force, N.
    pub high: f64,
    /// Whether its limits are assumed rather than published.
    pub assumed: bool,
}

/// A joint moment with its limits, both sides together, N·m.
#[derive(Clone, Debug, PartialEq)]
pub struct JointMoment {
    /// `ankle`, `knee`, `hip`, `lower_trunk`, `shoulder`, `shoulder_horizontal`, `elbow`.
    pub name: &'static str,
    /// The moment that the muscles make, positive in flexion (ankle: dorsiflexion).
    pub value: f64,
    /// Least: minus the extension strength.
    pub low: f64,
    /// Greatest: the flexion strength.
    pub high: f64,
}

/// A held load with its witness.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// How far along the direction, g.
    pub g: f64,
    /// What gives first, in words: "elbow extension", "grip", "toe stop (assumed limit)".
    pub gives_first: String,
    /// Whether that limit is an assumed one.
    pub assumed: bool,
    /// Contact forces on the rider that hold it, both sides summed, N; the grip's y is that of the left hand.
    pub forces: Vec<(&'static str, Point)>,
    /// Joint moments under them.
    pub moments: Vec<JointMoment>,
}

/// Why even the start of a load cannot be held.
#[derive(Clone, Debug, PartialEq)]
pub struct NotHeld {
    /// In words.
    pub because: String,
}

/// The hold under one named load.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadHold {
    /// Which.
    pub load: Load,
    /// How much, or why not.
    pub hold: Result<Held, NotHeld>,
}

/// A vertex of the hold envelope and the edge that starts there, counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Specific force along x, g.
    pub f_x: f64,
    /// Specific force along z, g.
    pub f_z: f64,
    /// What gives first along the edge from this vertex to the next.
    pub gives_first: String,
}

/// Moment about the post axis that both hands can resist, N·m, by steering angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteeringHold {
    /// Bars straight.
    pub straight: f64,
    /// At lock to the left; `None` where a hand cannot stay on its grip.
    pub left_lock: Option<f64>,
    /// At lock to the right.
    pub right_lock: Option<f64>,
}

/// Effort of one joint at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Joint.
    pub name: &'static str,
    /// Moment over limit, 0 to 1.
    pub fraction: f64,
}

/// Least-effort sharing of the weight at rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// Force of one hand on its grip, N.
    pub hand: f64,
    /// Share of the weight that the seat carries (0 standing).
    pub seat_share: f64,
    /// Effort by joint.
    pub efforts: Vec<Effort>,
    /// Contact forces, both sides summed, N.
    pub forces: Vec<(&'static str, Point)>,
}

/// How far the hips can sink with the grips held.
#[derive(Clone, Debug, PartialEq)]
pub struct Travel {
    /// Sink of the hips, mm.
    pub leg_travel: f64,
    /// Drop height that the legs take up on it, mm.
    pub drop: f64,
    /// What stops it, in words.
    pub stops_at: String,
}

/// Everything about one posture's hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// Contacts considered.
    pub contacts: Vec<Contact>,
    /// Named loads.
    pub loads: Vec<LoadHold>,
    /// Envelope in the (f_x, f_z) plane; empty where nothing can be held.
    pub envelope: Vec<Edge>,
    /// Steering hold.
    pub steering: SteeringHold,
    /// Working load at rest; `None` where rest cannot be held.
    pub working: Option<Working>,
    /// Leg travel; `None` seated.
    pub travel: Option<Travel>,
}
