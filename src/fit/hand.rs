//! The gloved hand on a grip, in the plane square to the grip.
//!
//! The hand's own frame: origin at the grip's centre, x along the hand line (wrist to index knuckle), y towards the
//! palm's side. The grip lies in the palm, so the hand line runs past it at half the knuckle's thickness plus glove plus
//! the grip's radius; the wrist lies behind the grip's centre by a fixed share of hand length. The index finger leaves the knuckle with
//! flexion m of its first joint and p of its second; the middle of its middle phalanx (the middle pad) rests on the
//! blade's far face. Two angles and one distance leave one freedom: the pair that strains the finger least is taken.
//!
//! The finger lever turns about the grip together with the hand, so where the blade stands below the hand line depends
//! on hand, grip and lever reach alone, and wrist extension is
//!
//! `extension = (forearm's downward angle) − (lever roll) + (blade below hand line)`.
//!
//! The forearm is the line from elbow to grip centre, as in the linkage. The real wrist lies off that line: at 0, 15 and
//! 30° of true extension the formula reads about 6, 3 and 0° too much for an average hand.
//! Figures: [`FIGURES`]. Angles in rad, lengths in mm; impossible input (not finite, negative) counts as 0.

use crate::rider::Hand;
use crate::units::{Angle, Point};

/// A figure with its source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// What it is, with its unit.
    pub says: &'static str,
    /// Value.
    pub value: f64,
    /// Source.
    pub source: &'static str,
}

macro_rules! figures {
    ($($name:ident = $value:expr, $says:expr, $source:expr;)*) => {
        $(pub(super) const $name: f64 = $value;)*
        /// Every figure of the hand, the finger and the thumb, with its source.
        pub const FIGURES: &[Figure] = &[$(Figure { says: $says, value: $value, source: $source }),*];
    };
}

const BUCHHOLZ: &str = "Buchholz et al. 1992, Ergonomics, read at second hand";
const ANSUR: &str = "computed from ANSUR II (2012)";
const KEIR: &str = "Keir, Bach, Rempel 1998: MCP 45° lowers carpal tunnel pressure against straight fingers; band is our choice";
const BARAKAT: &str = "Barakat, Field, Taylor 2013, thumb range of motion, n = 100";
const SANCHO: &str = "hand model after Sancho-Bru et al. 2003, read at second hand, times breadth (0.445 of length, computed from ANSUR II)";
const CHOICE: &str = "our choice";
const PRACTICE: &str = "common practice, no source";

figures! {
    WRIST_BEHIND = 0.32, "wrist to grip centre along the hand line, of hand length", ANSUR;
    KNUCKLE_AHEAD = 0.447, "wrist to index knuckle along the hand line, of hand length", BUCHHOLZ;
    KNUCKLE_HALF = 0.061, "knuckle's joint centre to the palm's skin, of hand length", SANCHO;
    PROXIMAL = 0.265, "index proximal phalanx, of hand length", "Buchholz et al. 1992 with An et al. 1979, read at second hand";
    MIDDLE = 0.143, "index middle phalanx, of hand length", BUCHHOLZ;
    FINGER_THICK = 0.088, "index thickness at the middle phalanx, of hand length", SANCHO;
    MCP_REST = 45.0, "resting flexion of the finger's first joint, degrees", KEIR;
    MCP_BAND = 15.0, "comfortable to either side of the first joint's rest, degrees", KEIR;
    PIP_REST = 45.0, "resting flexion of the finger's second joint, degrees", CHOICE;
    PIP_BAND = 20.0, "comfortable to either side of the second joint's rest, degrees", CHOICE;
    BLADE_DEPTH = 10.0, "depth of a lever blade, mm", PRACTICE;
    THUMB_METACARPAL = 0.251, "thumb metacarpal, of hand length", BUCHHOLZ;
    THUMB_PROXIMAL = 0.196, "thumb proximal phalanx, of hand length", BUCHHOLZ;
    THUMB_DISTAL = 0.158, "thumb distal phalanx, of hand length", BUCHHOLZ;
    THUMB_THICK = 0.094, "thumb thickness at its end, of hand length", SANCHO;
    THUMB_BASE_AHEAD = 0.073, "wrist to thumb base along the hand line, of hand length", BUCHHOLZ;
    THUMB_BASE_INWARD = 0.087, "thumb base inward of the hand's middle, of hand length", SANCHO;
    THUMB_BASE_PALMAR = 0.08, "thumb base on the palm's side of the hand line, of hand length", CHOICE;
    THUMB_MCP_LOW = 10.0, "least comfortable flexion of the thumb's middle joint, degrees", PRACTICE;
    THUMB_MCP_HIGH = 35.0, "greatest comfortable flexion of the thumb's middle joint, degrees", PRACTICE;
    THUMB_IP_LOW = 10.0, "least comfortable flexion of the thumb's end joint, degrees", PRACTICE;
    THUMB_IP_HIGH = 45.0, "greatest comfortable flexion of the thumb's end joint, degrees", PRACTICE;
    THUMB_MCP_MAX = 60.0, "greatest flexion of the thumb's middle joint, degrees", BARAKAT;
    THUMB_IP_MAX = 88.0, "greatest flexion of the thumb's end joint, degrees", BARAKAT;
    THUMB_SPREAD_LOW = 20.0, "least comfortable spread of the thumb from the hand line, degrees", PRACTICE;
    THUMB_SPREAD_HIGH = 45.0, "greatest comfortable spread of the thumb from the hand line, degrees", PRACTICE;
    THUMB_SPREAD_MAX = 62.0, "greatest spread of the thumb from the index metacarpal, degrees", BARAKAT;
    INDEX_SPLAY = 8.5, "index metacarpal off the hand line towards the thumb, degrees", BUCHHOLZ;
    OBLIQUE_GRIP = 10.0, "hand line off square to the grip, its front towards the thumb, degrees", "from memory";
}

/// No hand, grip or reach is longer, mm; keeps absurd input from overflowing.
const LONGEST: f64 = 1e4;

/// A length that can be computed with: not finite or negative counts as 0.
pub(super) fn length(mm: f64) -> f64 {
    if mm.is_finite() {
        mm.clamp(0.0, LONGEST)
    } else {
        0.0
    }
}

/// A place along an axis that can be computed with, either way from its zero: not finite counts as 0.
pub(super) fn place(mm: f64) -> f64 {
    finite(mm).clamp(-LONGEST, LONGEST)
}

/// A number that can be printed: not finite counts as 0.
pub(super) fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}

/// An angle brought to −180° to 180°; not finite counts as 0.
pub(super) fn wrapped(angle: Angle) -> Angle {
    let turn = 2.0 * core::f64::consts::PI;
    let rad = finite(angle.rad());
    Angle::from_rad(finite(libm::remainder(rad, turn)))
}

/// The plane square to a grip: horizontal forward and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GripPlane {
    /// Horizontal, forward.
    pub forward: Point,
    /// Square to it, down.
    pub down: Point,
}

impl GripPlane {
    /// Square to a grip's axis. An axis without a direction or straight up counts as straight across the sled.
    pub fn new(axis: Point) -> Self {
        let across = libm::hypot(axis.x, axis.y);
        let length = libm::hypot(across, axis.z);
        if !length.is_finite() || across <= 1e-9 * length || length <= 0.0 {
            return Self {
                forward: Point::x(),
                down: -Point::z(),
            };
        }
        let side = if axis.y < 0.0 { -1.0 } else { 1.0 };
        let a = axis / length * side;
        let forward = Point::new(a.y, -a.x, 0.0) / libm::hypot(a.x, a.y);
        Self {
            forward,
            down: a.cross(&forward),
        }
    }

    /// Downward angle of a direction seen along the grip, −180° to 180°; 0 where it has none.
    pub fn downward(&self, direction: Point) -> Angle {
        let d = direction.map(finite);
        wrapped(Angle::from_rad(libm::atan2(
            d.dot(&self.down),
            d.dot(&self.forward),
        )))
    }
}

/// Wrist extension of a forearm with a hand whose line points `hand_line` downward, −180° to 180°.
pub fn wrist_extension(hand_line: Angle, elbow: Point, grip: Point, grip_axis: Point) -> Angle {
    let forearm = GripPlane::new(grip_axis).downward(grip - elbow);
    wrapped(forearm - hand_line)
}

/// Wrist extension with a finger resting on a lever of this roll and lever reach (mm). `grip_diameter` in mm.
///
/// For many elbows at one lever reach, take [`HandOnGrip::rest_on_blade`] once and [`wrist_extension`] for each.
pub fn wrist_extension_at(
    roll: Angle,
    lever_reach: f64,
    hand: &Hand,
    grip_diameter: f64,
    elbow: Point,
    grip: Point,
    grip_axis: Point,
) -> Angle {
    let rest = HandOnGrip::new(hand, grip_diameter).rest_on_blade(lever_reach);
    wrist_extension(rest.hand_line(roll), elbow, grip, grip_axis)
}

/// A gloved hand closed on a grip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandOnGrip {
    /// Hand length.
    pub(super) hand: f64,
    /// Radius of the grip.
    pub(super) grip_radius: f64,
    /// Thickness of one glove layer.
    pub(super) glove: f64,
}

/// How the index finger rests on a blade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FingerRest {
    /// How far the blade stands below the hand line, as an angle about the grip.
    pub blade_below_hand: Angle,
    /// Flexion of the first joint.
    pub mcp: Angle,
    /// Flexion of the second joint.
    pub pip: Angle,
    /// What is missing between the middle pad and the blade, mm; 0 where it rests on it.
    pub missing: f64,
    /// Squared discomfort: 1 at the edge of the comfortable band of one joint.
    pub strain: f64,
}

impl FingerRest {
    /// Downward angle of the hand line with the lever at this roll.
    pub fn hand_line(&self, roll: Angle) -> Angle {
        roll - self.blade_below_hand
    }
}

impl HandOnGrip {
    /// A hand on a grip of this diameter, mm.
    pub fn new(hand: &Hand, grip_diameter: f64) -> Self {
        Self {
            hand: length(hand.length),
            grip_radius: length(grip_diameter) / 2.0,
            glove: length(hand.palm_thickness),
        }
    }

    /// How far the hand line runs from the grip's centre, mm.
    pub fn line_over_grip(&self) -> f64 {
        self.grip_radius + self.glove + KNUCKLE_HALF * self.hand
    }

    /// Distance of a face from the grip's centre that stands off its surface by `reach`, mm.
    pub fn grip_out(&self, reach: f64) -> f64 {
        self.grip_radius + length(reach)
    }

    /// Index knuckle in the hand's frame, mm.
    pub fn knuckle(&self) -> (f64, f64) {
        (
            (KNUCKLE_AHEAD - WRIST_BEHIND) * self.hand,
            -self.line_over_grip(),
        )
    }

    /// Thickness of a gloved finger, skin and both glove layers, mm.
    pub fn gloved_finger(&self) -> f64 {
        FINGER_THICK * self.hand + 2.0 * self.glove
    }

    /// Finger's bone line to the face that the pad rests on, mm.
    fn pad(&self) -> f64 {
        FINGER_THICK * self.hand / 2.0 + self.glove
    }

    /// Second joint of the index finger in the hand's frame, mm.
    pub fn second_joint(&self, mcp: Angle) -> (f64, f64) {
        let (x, y) = self.knuckle();
        let bone = PROXIMAL * self.hand;
        (x + bone * mcp.cos(), y + bone * mcp.sin())
    }

    /// Lever reach at which the finger lies on the blade with both joints at rest, mm.
    pub fn relaxed_reach(&self) -> f64 {
        self.reach_with(MCP_REST, PIP_REST)
    }

    /// Lever reach at which the finger lies on the blade with both joints at the straight end of comfort, mm.
    pub fn comfortable_reach(&self) -> f64 {
        self.reach_with(MCP_REST - MCP_BAND, PIP_REST - PIP_BAND)
    }

    fn reach_with(&self, mcp_deg: f64, pip_deg: f64) -> f64 {
        let middle = self.middle(Angle::from_deg(mcp_deg), Angle::from_deg(pip_deg));
        (libm::hypot(middle.0, middle.1) - self.blade_line(0.0)).max(0.0)
    }

    /// Grip's centre to the bone line of a finger on a blade at this reach.
    fn blade_line(&self, lever_reach: f64) -> f64 {
        self.grip_out(lever_reach) + BLADE_DEPTH + self.pad()
    }

    /// Middle of the middle phalanx in the hand's frame.
    fn middle(&self, mcp: Angle, pip: Angle) -> (f64, f64) {
        let (x, y) = self.second_joint(mcp);
        let half = MIDDLE * self.hand / 2.0;
        let along = mcp + pip;
        (x + half * along.cos(), y + half * along.sin())
    }

    /// The finger that rests its middle pad on a blade at this lever reach (mm) with the least strain.
    pub fn rest_on_blade(&self, lever_reach: f64) -> FingerRest {
        let target = self.blade_line(lever_reach);
        // Strain is not convex where the blade is out of reach: a coarse scan, then a golden section about its best.
        const SCAN_DEG: f64 = 3.0;
        let mut best = self.rest_with(target, Angle::ZERO);
        for step in 1..=30 {
            let rest = self.rest_with(target, Angle::from_deg(SCAN_DEG * f64::from(step)));
            if rest.strain < best.strain {
                best = rest;
            }
        }
        let (low, high) = (best.mcp.deg() - SCAN_DEG, best.mcp.deg() + SCAN_DEG);
        let refined = least(low.max(0.0), high.min(90.0), |deg| {
            self.rest_with(target, Angle::from_deg(deg)).strain
        });
        let refined = self.rest_with(target, Angle::from_deg(refined));
        if refined.strain < best.strain {
            refined
        } else {
            best
        }
    }

    /// The rest with a given flexion of the first joint: the second follows from the distance to the blade.
    fn rest_with(&self, target: f64, mcp: Angle) -> FingerRest {
        let (x, y) = self.second_joint(mcp);
        let out = libm::hypot(x, y);
        let half = MIDDLE * self.hand / 2.0;
        let cos = (target * target - out * out - half * half) / (2.0 * out * half);
        let bend = libm::acos(if cos.is_finite() {
            cos.clamp(-1.0, 1.0)
        } else {
            1.0
        });
        let free = Angle::from_rad(libm::atan2(y, x) + bend) - mcp;
        let pip = free.clamped(Angle::ZERO, Angle::from_deg(110.0));
        let middle = self.middle(mcp, pip);
        let missing = (libm::hypot(middle.0, middle.1) - target).abs();
        let off = |angle: Angle, rest: f64, band: f64| {
            let units = (angle.deg() - rest) / band;
            units * units
        };
        FingerRest {
            blade_below_hand: Angle::from_rad(libm::atan2(middle.1, middle.0)),
            mcp,
            pip,
            missing: if missing < 1e-6 { 0.0 } else { missing },
            strain: off(mcp, MCP_REST, MCP_BAND) + off(pip, PIP_REST, PIP_BAND) + missing * missing,
        }
    }
}

/// Where a function of one variable is least between two bounds, by golden section; exact only where it has one valley.
pub(super) fn least(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const INVERSE_GOLDEN: f64 = 0.618_033_988_749_894_8;
    // 40 cuts narrow any bracket 2·10⁸ times: below a millionth of a degree from a turn.
    const CUTS: usize = 40;
    let (mut low, mut high) = (low, high);
    let mut inner = (
        high - INVERSE_GOLDEN * (high - low),
        low + INVERSE_GOLDEN * (high - low),
    );
    let mut values = (f(inner.0), f(inner.1));
    for _ in 0..CUTS {
        if values.0 <= values.1 {
            high = inner.1;
            inner = (high - INVERSE_GOLDEN * (high - low), inner.0);
            values = (f(inner.0), values.0);
        } else {
            low = inner.0;
            inner = (inner.1, low + INVERSE_GOLDEN * (high - low));
            values = (values.1, f(inner.1));
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bones_sum_to_finger_and_thumb() {
        assert!((PROXIMAL + MIDDLE - 0.408).abs() < 1e-12);
        assert!((THUMB_METACARPAL + THUMB_PROXIMAL + THUMB_DISTAL - 0.605).abs() < 1e-12);
        assert!(FIGURES.iter().all(|f| !f.source.is_empty()));
    }

    #[test]
    fn golden_section_finds_the_bottom() {
        assert!((least(-3.0, 8.0, |x| (x - 2.5) * (x - 2.5)) - 2.5).abs() < 1e-6);
        assert!((least(-3.0, 8.0, |x| x) + 3.0).abs() < 1e-6);
    }
}
