//! What the body feels: seats in stock under this rider, and vibration at the grips.

use crate::document::reported;
use crate::fit::outcome::SetUp;
use crate::hold::{VIBRATION_CAUTION, Vibration};
use crate::order;
use crate::rider::Rider;
use crate::sled::Sled;
use crate::units::STANDARD_GRAVITY;

reported! {
/// A seat in stock under this rider: sitting still, and dropped onto. The weight on the seat and the hips' place along it
/// are those of the seated stance on the set-up's own seat. The drop is that of a rigid mass, so that its peaks are
/// upper bounds: they compare seats and predict no load on a spine.
pub struct SeatReport {
    /// Which.
    pub name: String,
    /// Whether it is the set-up's.
    pub fitted: bool,
    /// Weight on the seat, N.
    pub seated_n: f64,
    /// How far the foam sinks under it, mm.
    pub sag_mm: f64,
    /// Hip joint over the running board, mm.
    pub hip_height_mm: f64,
    /// Force at which the foam begins to bottom, N.
    pub bottoming_n: f64,
    /// The same as a load factor, g: 1 is sitting still; below 1 it has bottomed already.
    pub bottoming_g: f64,
    /// Energy that the foam stores until it bottoms, J.
    pub stored_j: f64,
    /// What of that comes back, J.
    pub returned_j: f64,
    /// Speed of the drop onto it, m/s.
    pub drop_speed_m_s: f64,
    /// From touch until the foam presses with the seated weight, s: the less, the sooner force passes to the tunnel.
    pub one_weight_s: f64,
    /// From touch until the greatest force, s.
    pub peak_s: f64,
    /// Greatest force, N; at least so much where the foam is pressed solid.
    pub peak_n: f64,
    /// Greatest deflection, mm.
    pub depth_mm: f64,
    /// Whether the drop presses the foam solid.
    pub solid: bool,
}

/// Hand-arm vibration against the values of Directive 2002/44/EC, by ISO 5349-1.
pub struct VibrationReport {
    /// Frequency-weighted vector sum at the grip, as given, m/s².
    pub acceleration_m_s2: f64,
    /// Hours a day, as given.
    pub hours: Option<f64>,
    /// Daily exposure A(8), m/s²; null where no hours were given.
    pub daily_m_s2: Option<f64>,
    /// Hours a day until the action value of 2.5 m/s²; null where a whole day does not reach it.
    pub hours_to_action: Option<f64>,
    /// Hours a day until the limit value of 5.0 m/s²; null where a whole day does not reach it.
    pub hours_to_limit: Option<f64>,
    /// What stands beside it.
    pub caution: &'static str,
}
}

impl SeatReport {
    /// Every seat in stock, the one that passes force soonest first; empty where no stance of the set-up sits. The drop
    /// speed is in m/s, not negative.
    pub fn all(rider: &Rider, sled: &Sled, set_up: &SetUp, drop_speed: f64) -> Vec<Self> {
        let sitting = set_up.stances.iter().find(|s| s.posture.pose.seated);
        let share = sitting.and_then(|s| s.hold.working.as_ref().map(|w| w.seat_share));
        let (Some(sitting), Some(share)) = (sitting, share) else {
            return Vec::new();
        };
        let weight = share * rider.mass() * STANDARD_GRAVITY;
        if weight <= 0.0 {
            return Vec::new();
        }
        let own = &sled.seats[set_up.settings.seat];
        let hip = sitting.posture.pose.points.hip.z;
        let line = hip - own.height_over_line + own.foam.deflection(weight);
        let mut all: Vec<Self> = sled
            .seats
            .iter()
            .enumerate()
            .map(|(i, seat)| {
                let bounce = seat.foam.bounce(weight, drop_speed);
                Self {
                    name: seat.name.clone(),
                    fitted: i == set_up.settings.seat,
                    seated_n: weight,
                    sag_mm: bounce.sag,
                    hip_height_mm: line + seat.height_over_line - bounce.sag,
                    bottoming_n: bounce.bottoming_force,
                    bottoming_g: bounce.bottoming_factor,
                    stored_j: bounce.stored,
                    returned_j: bounce.returned,
                    drop_speed_m_s: drop_speed,
                    one_weight_s: bounce.drop.one_weight_after,
                    peak_s: bounce.drop.peak_after,
                    peak_n: bounce.drop.peak_force,
                    depth_mm: bounce.drop.depth,
                    solid: bounce.drop.solid,
                }
            })
            .collect();
        order::sort(&mut all, |a, b| a.one_weight_s.total_cmp(&b.one_weight_s));
        all
    }
}

impl From<Vibration> for VibrationReport {
    fn from(vibration: Vibration) -> Self {
        Self {
            acceleration_m_s2: vibration.acceleration(),
            hours: vibration.hours(),
            daily_m_s2: vibration.daily(),
            hours_to_action: vibration.hours_to_action(),
            hours_to_limit: vibration.hours_to_limit(),
            caution: VIBRATION_CAUTION,
        }
    }
}
