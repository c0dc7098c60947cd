//! What the body feels, as a page says it: seats and their bounce, what tires first, vibration at the grips.

use super::advice::Note;
use super::entry::{Kind, Units};
use crate::fit::SetUp;
use crate::fit::report::SeatReport;
use crate::hold::{
    ACTION_VALUE, HOLDING_LIMITS, Holding, LIMIT_VALUE, VIBRATION_CAUTION, Vibration, Working,
};
use crate::order;
use crate::rider::Rider;
use crate::sled::{DROP_SPEED, Sled};
use crate::units::text::{System, capital, coarse, format_number};

/// What is said under every comparison of seats.
pub const SEATS_CAUTION: &str = "A firmer seat passes force to the tunnel sooner and keeps the hips higher (common practice, no source). The drop \
     is a rigid mass's: it compares seats and says nothing of a spine.";

/// Every seat in stock under a rider, the one that passes force soonest first; empty where nobody sits.
pub fn seats(rider: &Rider, sled: &Sled, set_up: &SetUp, units: Units) -> Vec<Note> {
    let system = System::from(units);
    let note = |seat: SeatReport| {
        let fitted = if seat.fitted { ", in this set-up" } else { "" };
        let bottoms = if seat.bottoming_g < 1.0 {
            "Bottoms when sitting still".to_owned()
        } else {
            let room = format_number(seat.bottoming_g, 0.1);
            format!("Bottoms at {room} times the weight on it")
        };
        let least = if seat.solid { "at least " } else { "" };
        Note {
            title: format!("{}{fitted}", capital(&seat.name)),
            lines: vec![
                format!(
                    "Sinks {}; hips {} over the board",
                    coarse(seat.sag_mm, system),
                    coarse(seat.hip_height_mm, system)
                ),
                bottoms,
                format!(
                    "Dropped onto at {} m/s: force reaches the tunnel after {} ms and peaks at {least}{} times the weight",
                    format_number(seat.drop_speed_m_s, 0.1),
                    format_number(1e3 * seat.one_weight_s, 1.0),
                    format_number(seat.peak_n / seat.seated_n, 0.1)
                ),
                format!(
                    "Gives back {} J of the {} J that it takes",
                    format_number(seat.returned_j, 1.0),
                    format_number(seat.stored_j, 1.0)
                ),
            ],
            settings: None,
        }
    };
    let all = SeatReport::all(rider, sled, set_up, DROP_SPEED);
    all.into_iter().map(note).collect()
}

/// How long each joint holds what a stance asks of it, the one that tires first first.
pub fn tiring(working: &Working) -> Note {
    let mut times: Vec<(f64, String)> = working
        .holding()
        .map(|(joint, holding)| {
            let name = capital(&joint.name().replace('_', " "));
            match holding {
                Holding::Not => (0.0, format!("{name}: more than it can hold")),
                Holding::For(s) => (s, format!("{name}: {}", spell(s))),
                Holding::LongerThan(s) => {
                    // Below the efforts that were measured; after everything that has a time.
                    (1e9 + s, format!("{name}: longer than {}", spell(s)))
                }
            }
        })
        .collect();
    order::sort(&mut times, |a, b| a.0.total_cmp(&b.0));
    Note {
        title: String::new(),
        lines: times.into_iter().map(|(_, words)| words).collect(),
        settings: None,
    }
}

/// What must be known about holding times.
pub const fn tiring_limits() -> &'static str {
    HOLDING_LIMITS
}

/// A holding time: no one holds still to the second.
fn spell(seconds: f64) -> String {
    if seconds < 60.0 {
        format!("{} s", format_number(seconds, 5.0))
    } else {
        format!("{} min", format_number(seconds / 60.0, 1.0))
    }
}

/// Hours a day until the values that protect people at work, for an acceleration as it was typed, m/s²; nothing for an
/// empty text.
///
/// # Errors
/// Says why a text is no acceleration.
pub fn vibration(typed: &str) -> Result<Vec<String>, String> {
    if typed.trim().is_empty() {
        return Ok(Vec::new());
    }
    let a = Kind::Number.number(typed, None, Units::Metric);
    let a = a.map_err(|e| e.to_string())?;
    let vibration = Vibration::new(a, None).map_err(|e| e.to_string())?;
    let until = |value: f64, hours: Option<f64>, name: &str| {
        let hours = hours.map_or_else(
            || "not reached in a whole day".to_owned(),
            |hours| format!("after {} hours a day", format_number(hours, 0.1)),
        );
        format!("{name} of {value} m/s²: {hours}")
    };
    Ok(vec![
        until(ACTION_VALUE, vibration.hours_to_action(), "Action value"),
        until(LIMIT_VALUE, vibration.hours_to_limit(), "Limit value"),
        VIBRATION_CAUTION.to_owned(),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Request, fit};
    use crate::rider::{RiderProfile, Sex};
    use crate::sled::{SledProfile, profile::SHIPPED};
    use crate::stance::Stance;

    #[test]
    fn seats_and_tiring_are_said_in_words_and_in_order() {
        let built = RiderProfile::of(Sex::Female, 1680.0, 64.0).build().unwrap();
        let sled = SledProfile::read(SHIPPED[0].text).unwrap();
        let sled = sled.resolve().unwrap();
        let stances = Stance::shipped().unwrap();
        let best = fit(&Request::new(&built.rider, &sled, &stances)).best;
        let notes = seats(&built.rider, &sled, &best, Units::Metric);
        assert_eq!(notes.len(), sled.seats.len());
        let fitted = notes
            .iter()
            .filter(|n| n.title.contains("in this set-up"))
            .count();
        assert_eq!(fitted, 1);
        let after = |n: &Note| {
            let (_, rest) = n.lines[2].split_once("after ").unwrap();
            rest.split(' ').next().unwrap().parse::<f64>().unwrap()
        };
        assert!(notes.windows(2).all(|w| after(&w[0]) <= after(&w[1])));
        let working = best.stances[0].hold.working.as_ref().unwrap();
        let lines = tiring(working).lines;
        assert_eq!(lines.len(), working.efforts.len());
        let known = lines.iter().take_while(|l| !l.contains("longer")).count();
        assert!(lines[known..].iter().all(|l| l.contains("longer than")));
    }

    #[test]
    fn vibration_is_read_as_people_type_it_and_refused_in_words() {
        assert_eq!(vibration(" ").unwrap(), Vec::<String>::new());
        let lines = vibration("3,5").unwrap();
        assert!(lines[0].contains("after 4.1 hours"), "{lines:?}");
        assert!(lines[1].contains("after 16.3 hours"), "{lines:?}");
        assert!(lines[2].contains("clinician"));
        assert!(vibration("1").unwrap()[0].contains("not reached"));
        for wrong in ["much", "0", "-3", "1e9", "NaN"] {
            assert!(vibration(wrong).is_err(), "{wrong}");
        }
    }
}
