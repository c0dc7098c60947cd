//! Distances that verify a set-up with a tape and a digital level, bars straight, sled levelled on its stand.

use super::outcome::{Distances, Levers};
use crate::sled::Cockpit;

impl Distances {
    /// Distances of a cockpit with its levers placed, mm.
    ///
    /// The blade is taken to run parallel to the grip, so its tip stands off as far as the lever reach says.
    pub fn measure(cockpit: &Cockpit, levers: &Levers) -> Self {
        Self {
            brake_tip_to_grip: levers.brake.lever_reach,
            ..Self::of_grip(cockpit)
        }
    }

    /// Distances of a cockpit that need no levers; the brake's is 0.
    pub(crate) fn of_grip(cockpit: &Cockpit) -> Self {
        let settings = &cockpit.settings;
        let sled = cockpit.sled;
        let grip = cockpit.grip;
        let bolt_z = settings.stirrup * sled.board.pitch.tan();
        let forward = grip.x - settings.stirrup;
        // A seat line has two points or more.
        let points = sled.seat_line.points();
        let front = points[points.len() - 1];
        Self {
            stirrup_to_grip: libm::hypot(forward, grip.z - bolt_z),
            stirrup_to_grip_forward: forward,
            grip_height: grip.z,
            seat_to_grip: libm::hypot(grip.x - front.x, grip.z - front.z - cockpit.seat_raise),
            riser_to_post: settings.riser_angle - sled.steering.post_rake,
            brake_tip_to_grip: 0.0,
        }
    }
}
