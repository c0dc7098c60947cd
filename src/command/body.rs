//! Seats and vibration in words, after the work order.

use std::fmt::{self, Display, Formatter};

use clap::Args;

use super::failure::Failure;
use super::list::heading;
use crate::fit::report::{SeatReport, VibrationReport};
use crate::hold::{ACTION_VALUE, LIMIT_VALUE, Vibration};
use crate::sled::DROP_SPEED;

/// What the body feels.
#[derive(Args, Debug)]
pub struct BodyArgs {
    /// Vibration at the grips: frequency-weighted vector sum, m/s², by a meter for ISO 5349-1. Adds how many hours a day
    /// it takes to the action and limit value of Directive 2002/44/EC.
    #[arg(
        long,
        value_name = "M_S2",
        allow_negative_numbers = true,
        help_heading = "Body"
    )]
    vibration_ms2: Option<f64>,
    /// Hours a day with that vibration.
    #[arg(
        long,
        value_name = "HOURS",
        allow_negative_numbers = true,
        requires = "vibration_ms2",
        help_heading = "Body"
    )]
    hours: Option<f64>,
    /// Speed at which the rider drops onto each seat for comparison, m/s.
    #[arg(
        long,
        value_name = "M_S",
        default_value_t = DROP_SPEED,
        allow_negative_numbers = true,
        help_heading = "Body"
    )]
    drop_ms: f64,
}

/// Fastest drop onto a seat taken in, m/s: one of 5 m.
const FASTEST_DROP: f64 = 10.0;

/// What was asked of the body, checked.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// Vibration at the grips, if it is known.
    pub vibration: Option<Vibration>,
    /// Speed of the drop onto the seats, m/s.
    pub drop_speed: f64,
}

impl BodyArgs {
    /// The options, checked.
    pub fn asked(&self) -> Result<Asked, Failure> {
        let vibration = self
            .vibration_ms2
            .map(|a| Vibration::new(a, self.hours))
            .transpose()
            .map_err(|e| Failure::Usage(format!("--vibration-ms2, --hours: {e}")))?;
        if !(0.0..=FASTEST_DROP).contains(&self.drop_ms) {
            return Err(Failure::Usage(format!(
                "--drop-ms: {} m/s is none of 0 to {FASTEST_DROP}",
                self.drop_ms
            )));
        }
        Ok(Asked {
            vibration,
            drop_speed: self.drop_ms,
        })
    }
}

/// Seats in stock, compared for one rider.
pub struct Seats<'a>(pub &'a [SeatReport]);

impl Display for Seats<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let Some(first) = self.0.first() else {
            return Ok(());
        };
        heading(
            f,
            &format!(
                "Seats in stock, soonest force first ({:.0} N sit, {:.1} m/s drop)",
                first.seated_n, first.drop_speed_m_s
            ),
        )?;
        for seat in self.0 {
            let mark = if seat.fitted { " (in this set-up)" } else { "" };
            let bottoms = if seat.bottoming_g < 1.0 {
                "bottoms when sitting still".to_owned()
            } else {
                format!("bottoms at {:.1} g", seat.bottoming_g)
            };
            let least = if seat.solid { "at least " } else { "" };
            writeln!(
                f,
                "  {}{mark}: sinks {:.0} mm, hips {:.0} mm over the board, {bottoms}",
                seat.name, seat.sag_mm, seat.hip_height_mm
            )?;
            writeln!(
                f,
                "    passes force after {:.0} ms, peaks at {least}{:.1} times the weight {:.0} mm deep; \
                 stores {:.0} J until it bottoms, gives {:.0} J back",
                1e3 * seat.one_weight_s,
                seat.peak_n / seat.seated_n,
                seat.depth_mm,
                seat.stored_j,
                seat.returned_j
            )?;
        }
        writeln!(
            f,
            "  A firmer seat passes force to the tunnel sooner and keeps the hips higher (common practice). The drop is a \
             rigid mass's:\n  it compares seats and says nothing of a spine."
        )
    }
}

impl Display for VibrationReport {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        heading(f, "Vibration at the grips")?;
        let until = |hours: Option<f64>| {
            hours.map_or_else(
                || "not reached in a whole day".to_owned(),
                |hours| format!("{hours:.1} h a day"),
            )
        };
        writeln!(
            f,
            "  {:.1} m/s² (Directive 2002/44/EC, ISO 5349-1): action value of {ACTION_VALUE} m/s² {}, limit value of \
             {LIMIT_VALUE} m/s² {}.",
            self.acceleration_m_s2,
            until(self.hours_to_action),
            until(self.hours_to_limit)
        )?;
        if let (Some(hours), Some(daily)) = (self.hours, self.daily_m_s2) {
            let against = if daily > LIMIT_VALUE {
                "ABOVE THE LIMIT VALUE"
            } else if daily > ACTION_VALUE {
                "above the action value: ride less, damp the bar, or both"
            } else {
                "below the action value"
            };
            writeln!(
                f,
                "  {hours} h a day make a daily exposure A(8) of {daily:.1} m/s²: {against}."
            )?;
        }
        writeln!(f, "  {}", self.caution)
    }
}
