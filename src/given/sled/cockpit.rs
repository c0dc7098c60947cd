//! Where a choice of settings puts everything that the rider touches or must not touch.
//!
//! The bar's centre lies on the riser's axis at riser height plus clamp stack over the base point. The bar's own frame
//! leans with riser angle plus bar roll: its up axis is u = (−sin φ, 0, cos φ), its rear axis r = (−cos φ, 0, −sin φ).

use super::geometry::{Foam, Sled};
use super::settings::Settings;
use crate::units::{Angle, Point};

/// The contact geometry that stances see: settings resolved on a sled, left side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cockpit<'a> {
    /// The sled it belongs to.
    pub sled: &'a Sled,
    /// The settings it was made from.
    pub settings: Settings,
    /// Toe stop's face on the board, at the left foot's centre line.
    pub toe_stop: Point,
    /// Bar's centre in the clamp.
    pub bar_centre: Point,
    /// Left grip centre, bars straight.
    pub grip: Point,
    /// Unit vector along the left grip, outward.
    pub grip_axis: Point,
    /// Lean of the bar's frame from vertical: riser angle plus bar roll.
    pub bar_lean: Angle,
    /// How far the fitted seat's unloaded top stands over the sled's seat line.
    pub seat_raise: f64,
    /// The fitted seat's foam.
    pub foam: Foam,
}

impl<'a> Cockpit<'a> {
    /// Resolves settings that were checked on this sled.
    pub fn new(sled: &'a Sled, settings: Settings) -> Self {
        let riser = sled.risers[settings.riser];
        let bar = &sled.bars[settings.bar];
        let reach_up = riser.height + sled.clamps[settings.clamp].stack;
        let bar_centre = Point::new(
            sled.steering.base_x - reach_up * settings.riser_angle.sin(),
            0.0,
            sled.steering.base_z + reach_up * settings.riser_angle.cos(),
        );
        let bar_lean = settings.riser_angle + settings.bar_roll;
        let up = Point::new(-bar_lean.sin(), 0.0, bar_lean.cos());
        let rear = Point::new(-bar_lean.cos(), 0.0, -bar_lean.sin());
        let outward = Point::new(0.0, 1.0, 0.0);
        let grip =
            bar_centre + up * bar.rise + rear * bar.pullback + outward * (bar.grip_to_grip / 2.0);
        let grip_axis = outward * (bar.sweep.cos() * bar.upsweep.cos())
            + rear * (bar.sweep.sin() * bar.upsweep.cos())
            + up * bar.upsweep.sin();
        let toe_x = settings.stirrup + sled.stirrup.toe_stop_offset;
        let seat = &sled.seats[settings.seat];
        Self {
            sled,
            settings,
            toe_stop: Point::new(
                toe_x,
                sled.board.foot_lateral,
                toe_x * sled.board.pitch.tan(),
            ),
            bar_centre,
            grip,
            grip_axis,
            bar_lean,
            seat_raise: seat.height_over_line,
            foam: seat.foam,
        }
    }

    /// Riser base point.
    pub fn riser_base(&self) -> Point {
        Point::new(self.sled.steering.base_x, 0.0, self.sled.steering.base_z)
    }

    /// Unit vector up along the steering post.
    pub fn post_axis(&self) -> Point {
        let rake = self.sled.steering.post_rake;
        Point::new(-rake.sin(), 0.0, rake.cos())
    }

    /// A point turned with the bars about the post axis; positive turns to the left.
    pub fn steered(&self, point: Point, steer: Angle) -> Point {
        let base = self.riser_base();
        base + turned(point - base, self.post_axis(), steer)
    }

    /// A direction turned with the bars about the post axis; positive turns to the left.
    pub fn steered_direction(&self, direction: Point, steer: Angle) -> Point {
        turned(direction, self.post_axis(), steer)
    }
}

/// Rotates a vector about a unit axis (Rodrigues' formula).
fn turned(v: Point, axis: Point, angle: Angle) -> Point {
    let (s, c) = (angle.sin(), angle.cos());
    v * c + axis.cross(&v) * s + axis * (axis.dot(&v) * (1.0 - c))
}
