//! Sentences about a set-up for people: what a stance holds, what it costs, how a fit came out.

use super::entry::Units;
use crate::fit::FitStatus;
use crate::hold::{Hold, LoadHold, Travel};
use crate::order;
use crate::stance::{Load, Status};
use crate::units::text::{System, coarse, format_number};

/// A load as people speak of it.
pub const fn load(load: Load) -> &'static str {
    match load {
        Load::ShortLanding1g => "Short landing",
        Load::ShortLanding2g => "Short landing, landing hard",
        Load::Start => "Start",
        Load::StraightDrop => "Straight drop",
    }
}

/// How much of a load is held and what gives first.
pub fn held(hold: &LoadHold) -> (String, String) {
    match &hold.hold {
        Ok(held) => {
            let assumed = if held.assumed && !held.gives_first.contains("assumed") {
                " (assumed limit)"
            } else {
                ""
            };
            (
                format!("{} g", format_number(held.g, 0.1)),
                format!("{} gives first{assumed}", held.gives_first),
            )
        }
        Err(not) => ("not held".to_owned(), not.because.clone()),
    }
}

/// The one sentence about a stance's hold.
pub fn hold_sentence(hold: &Hold) -> String {
    let Some(landing) = hold.loads.iter().find(|l| l.load == Load::ShortLanding1g) else {
        return String::new();
    };
    match &landing.hold {
        Ok(held) => format!(
            "Holds a short landing to {} g; {} gives first.",
            format_number(held.g, 0.1),
            held.gives_first
        ),
        Err(not) => format!("Does not hold a short landing: {}.", not.because),
    }
}

/// Hand load and the joints that work hardest at rest.
pub fn working(hold: &Hold) -> String {
    let Some(working) = &hold.working else {
        return "The weight at rest cannot be held.".to_owned();
    };
    let mut efforts = working.efforts.clone();
    order::sort(&mut efforts, |a, b| b.fraction.total_cmp(&a.fraction));
    let hardest: Vec<String> = efforts
        .iter()
        .take(2)
        .map(|e| {
            let percent = format_number(100.0 * e.fraction, 1.0);
            format!("{} {percent} %", e.name.replace('_', " "))
        })
        .collect();
    let mut words = format!(
        "{} N in each hand at rest; hardest at work: {}.",
        format_number(working.hand, 5.0),
        hardest.join(", ")
    );
    if working.seat_share > 0.0 {
        let percent = format_number(100.0 * working.seat_share, 1.0);
        words.push_str(&format!(" The seat carries {percent} % of the weight."));
    }
    words
}

/// How far the legs can give.
pub fn travel(travel: &Travel, units: Units) -> String {
    let system = System::from(units);
    format!(
        "The hips can sink {}, which takes up a drop of {}; then {}.",
        coarse(travel.leg_travel, system),
        coarse(travel.drop, system),
        travel.stops_at
    )
}

/// Whether a posture is in reach.
pub fn posture_word(status: &Status) -> &'static str {
    match status {
        Status::Solved => "in reach",
        Status::AtLimit(_) => "at a limit",
        Status::OutOfReach(_) => "out of reach",
    }
}

/// What stands at the top when a set-up does not fit: what binds, and what would help.
pub fn poor_fit(status: &FitStatus) -> Option<(String, Vec<String>)> {
    match status {
        FitStatus::Fits => None,
        FitStatus::Infeasible { binds, helps } => Some((binds.clone(), helps.clone())),
    }
}

/// A field's path in words: `steering.post_rake_deg` is "steering: post rake".
pub fn path_in_words(path: &str) -> String {
    let plain = |part: &str| {
        let mut part = part;
        for unit in ["_mm", "_deg", "_kg", "_n"] {
            part = part.strip_suffix(unit).unwrap_or(part);
        }
        part.replace('_', " ")
    };
    let parts: Vec<String> = path.split('.').map(plain).collect();
    parts.join(": ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hold::{Held, NotHeld};

    fn landing(hold: Result<Held, NotHeld>) -> LoadHold {
        LoadHold {
            load: Load::ShortLanding1g,
            hold,
        }
    }

    #[test]
    fn a_held_load_says_what_gives_first_and_an_assumed_limit_says_so_once() {
        let mut it = Held {
            g: 1.234,
            gives_first: "elbow extension".to_owned(),
            assumed: false,
            forces: Vec::new(),
            moments: Vec::new(),
        };
        let (g, first) = held(&landing(Ok(it.clone())));
        assert_eq!(
            (g.as_str(), first.as_str()),
            ("1.2 g", "elbow extension gives first")
        );
        it.assumed = true;
        assert!(
            held(&landing(Ok(it.clone())))
                .1
                .ends_with("(assumed limit)")
        );
        it.gives_first = "toe stop (assumed limit)".to_owned();
        assert_eq!(held(&landing(Ok(it))).1.matches("assumed").count(), 1);
        let because = "the elbows give at rest".to_owned();
        assert_eq!(
            held(&landing(Err(NotHeld {
                because: because.clone()
            })))
            .1,
            because
        );
    }

    #[test]
    fn paths_read_as_words() {
        assert_eq!(
            path_in_words("steering.post_rake_deg"),
            "steering: post rake"
        );
        assert_eq!(path_in_words("seats[0].f25_n"), "seats[0]: f25");
    }
}
