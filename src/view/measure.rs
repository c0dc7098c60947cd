//! Distances that stand on the drawing and in its text equivalent, taken once for both.

use crate::fit::Distances;
use crate::sled::Cockpit;
use crate::stance::Pose;

/// Distances of a set-up and a pose in the side view, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Stirrup bolt to grip centre, straight.
    pub straight: f64,
    /// The same, fore-aft only; positive when the grip is ahead.
    pub forward: f64,
    /// Height of the grip centre over the board's top face at the foremost stirrup position.
    pub grip_height: f64,
    /// Centre of mass behind the ball of the foot; negative ahead of it.
    pub mass_behind_ball: f64,
    /// Number of the stirrup position, counted from the front, from 1.
    pub position: usize,
}

impl Measures {
    /// Takes the distances.
    pub fn new(cockpit: &Cockpit, pose: &Pose) -> Self {
        let tape = Distances::of_grip(cockpit);
        let bolt = cockpit.settings.stirrup;
        let near = super::machine::nearest(&cockpit.sled.stirrup.positions, bolt);
        Self {
            straight: tape.stirrup_to_grip,
            forward: tape.stirrup_to_grip_forward,
            grip_height: tape.grip_height,
            mass_behind_ball: pose.points.ball.x - pose.com.x,
            position: near.map_or(1, |i| i + 1),
        }
    }
}
