//! How sure, why, what if, and what to change, as words and lines that a page shows as they stand.
//!
//! The long work behind them runs beside the page; what comes back is text, so that the page needs no form of its own for
//! each answer.

use serde::{Deserialize, Serialize};

use super::entry::Units;
use super::rider_form::called;
use super::setting::{Chosen, Setting};
use crate::change::{Change, Felt, FigureChange, Kind, WhatIf, Why};
use crate::confidence::{self, Band, Confidence, Odds, Quantity};
use crate::order::Map;
use crate::sled::Sled;
use crate::units::Angle;
use crate::units::text::{
    LengthUnit, System, capital, coarse, format_length, format_number, level,
};

/// A piece of advice.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// What it is about, or what to do.
    pub title: String,
    /// What there is to say about it.
    pub lines: Vec<String>,
    /// Settings to try it with.
    pub settings: Option<Chosen>,
}

/// Notes under a heading.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Group {
    /// Heading.
    pub title: String,
    /// Its notes.
    pub notes: Vec<Note>,
}

/// An answer.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// First of all.
    pub says: Vec<String>,
    /// Everything else.
    pub groups: Vec<Group>,
}

/// How sure a set-up is, so far.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sure {
    /// Riders drawn.
    pub done: u32,
    /// Riders to be drawn.
    pub total: u32,
    /// Beside each setting.
    pub settings: Map<Setting, String>,
    /// The one measurement to take next, in a sentence; empty: none is worth it, or it is not known yet.
    pub next: String,
    /// Bands of figures and distances, and the other measurements.
    pub told: Told,
}

/// Odds below this share go unsaid; our choice.
const WORTH_SAYING: f64 = 0.03;
/// Odds that are said at the most.
const MOST_ODDS: usize = 3;

/// Puts what sampling found into words.
pub fn sure(found: &Confidence, total: u32, sled: &Sled, units: Units) -> Sure {
    let system = System::from(units);
    let mut told = Told::default();
    let widest = found.widest();
    if found.draws > 0 && widest.nothing_fits > 0.02 {
        told.says.push(format!(
            "For {} of riders with these measurements nothing in stock fits.",
            percent(widest.nothing_fits)
        ));
    }
    let next: Vec<String> = found
        .measure_next
        .iter()
        .map(|n| measuring(n, system))
        .collect();
    told.groups = figure_groups(found, system);
    if next.len() > 1 {
        told.groups.insert(
            0,
            Group {
                title: "Then measure".to_owned(),
                notes: vec![Note {
                    lines: next[1..].to_vec(),
                    ..Note::default()
                }],
            },
        );
    }
    Sure {
        done: found.draws,
        total,
        settings: Setting::ALL
            .into_iter()
            .filter_map(|s| Some((s, setting_words(found, s, sled, system)?)))
            .collect(),
        next: next.into_iter().next().unwrap_or_default(),
        told,
    }
}

fn percent(share: f64) -> String {
    format!("{}\u{a0}%", format_number(100.0 * share, 1.0))
}

fn measuring(next: &confidence::MeasureNext, system: System) -> String {
    let unit = next.setting.unit();
    let half = |width: f64| amount(0.5 * width, unit, next.setting.decimals(), system);
    format!(
        "{}: narrows the {} from ± {} to ± {}.",
        capital(&called(next.measurement)),
        next.setting.words(),
        half(next.from),
        half(next.to)
    )
}

/// A value with its unit, lengths in the reader's.
pub(super) fn amount(value: f64, unit: &str, decimals: usize, system: System) -> String {
    match (unit, system) {
        ("mm", System::Metric) => format_length(value, LengthUnit::Mm, 1.0),
        ("mm", System::Imperial) => format_length(value, LengthUnit::Inch, 0.1),
        ("°" | "deg", _) => level(Angle::from_deg(value)),
        ("Nm", _) => format!("{} N·m", format_number(value, 1.0)),
        ("N", _) => format!("{}\u{a0}N", format_number(value, 1.0)),
        ("", _) => format_number(value, 0.01),
        (unit, _) => {
            let step = [1.0, 0.1, 0.01][decimals.min(2)];
            format!("{}\u{a0}{unit}", format_number(value, step))
        }
    }
}

/// A band in words: "9.5° to 15°", "not held to 1.3 g".
fn range(band: Band, quantity: &Quantity, system: System) -> String {
    let end = |value: Option<f64>, none: &str| {
        value.map_or_else(
            || none.to_owned(),
            |v| amount(v, quantity.unit, quantity.decimals, system),
        )
    };
    let (low, high) = (end(band.low, "not held"), end(band.high, "no limit"));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A signed angle's band: "9° to 15° back", "3° forward to 4° back".
fn tilted(band: Band) -> Option<String> {
    let (low, high) = (band.low?, band.high?);
    let word = |deg: f64| if deg < 0.0 { "forward" } else { "back" };
    let size = |deg: f64| level(Angle::from_deg(deg.abs()));
    let (a, b) = if low < 0.0 && high <= 0.0 {
        (high, low)
    } else {
        (low, high)
    };
    Some(if word(a) == word(b) || size(a) == size(0.0) {
        format!("{} to {} {}", size(a), size(b), word(b))
    } else {
        format!("{} {} to {} {}", size(a), word(a), size(b), word(b))
    })
}

fn setting_words(
    found: &Confidence,
    setting: Setting,
    sled: &Sled,
    system: System,
) -> Option<String> {
    let spread = found.widest();
    let odds: &Odds = &spread.odds;
    let band = |of: confidence::Setting| Some(*spread.bands.get(found.place(of.name())?)?);
    let words = match setting {
        Setting::RiserAngle => nine_of_ten(&tilted(band(confidence::Setting::RiserAngle)?)?),
        Setting::BarRoll => nine_of_ten(&tilted(band(confidence::Setting::BarRoll)?)?),
        Setting::Riser => shares(
            odds.riser_height_mm
                .iter()
                .map(|&(mm, share)| (amount(mm, "mm", 0, system), share)),
        ),
        Setting::Stirrup => shares(odds.stirrup_mm.iter().map(|&(mm, share)| {
            let place = sled.stirrup.position_number(mm);
            let words = place.map_or_else(
                || format!("{} back", coarse(-mm, system)),
                |n| format!("position {n}"),
            );
            (words, share)
        })),
        Setting::Seat => shares(odds.seat.iter().cloned()),
        Setting::Clamp => shares(odds.clamp.iter().cloned()),
        Setting::Bar => shares(odds.bar.iter().cloned()),
    };
    (!words.is_empty()).then_some(words)
}

/// A band with what it is.
fn nine_of_ten(band: &str) -> String {
    format!("{}: {band}", percent(0.9))
}

/// "odds: position 3 71 %, position 4 24 %"; empty where there are none.
fn shares(odds: impl Iterator<Item = (String, f64)>) -> String {
    let said: Vec<String> = odds
        .filter(|(_, share)| *share >= WORTH_SAYING)
        .take(MOST_ODDS)
        .map(|(what, share)| format!("{what} {}", percent(share)))
        .collect();
    if said.is_empty() {
        String::new()
    } else {
        format!("odds: {}", said.join(", "))
    }
}

/// Bands of distances, then of each stance's figures: from the body alone, and from everything.
fn figure_groups(found: &Confidence, system: System) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (i, quantity) in found.quantities.iter().enumerate() {
        let (title, words) = match quantity.name.split_once('.') {
            Some((stance, _)) => (
                capital(stance),
                quantity
                    .words
                    .trim_start_matches(stance)
                    .trim_start_matches([',', ':', ' ']),
            ),
            None => ("Settings and distances".to_owned(), quantity.words.as_str()),
        };
        let narrow = found
            .anthropometric
            .bands
            .get(i)
            .map(|b| range(*b, quantity, system));
        let wide = found
            .full
            .as_ref()
            .and_then(|f| f.bands.get(i))
            .map(|b| range(*b, quantity, system));
        let line = match (narrow, wide) {
            (Some(narrow), Some(wide)) if narrow != wide => format!(
                "{}: {narrow}; with everything uncertain {wide}",
                capital(words)
            ),
            (Some(band), _) | (None, Some(band)) => format!("{}: {band}", capital(words)),
            (None, None) => continue,
        };
        match groups.last_mut().filter(|g| g.title == title) {
            Some(group) => group.notes[0].lines.push(line),
            None => groups.push(Group {
                title,
                notes: vec![Note {
                    lines: vec![line],
                    ..Note::default()
                }],
            }),
        }
    }
    groups
}

/// A signed change in words, where a rider could notice it: "hold in short landings in ready 1.1 to 1.2 g (+0.1 g)".
fn changed(change: &FigureChange, system: System) -> Option<String> {
    let row = Kind::ALL
        .iter()
        .map(|k| k.row())
        .find(|r| r.name == change.figure)?;
    let value = |v: f64| amount(v, row.unit, 2, system);
    let place = change
        .stance
        .as_ref()
        .map_or_else(String::new, |s| format!(" in {s}"));
    match (change.from, change.to) {
        (Some(from), Some(to)) => {
            let by = to - from;
            (by.abs() >= 0.5 * row.notice).then(|| {
                let sign = if by < 0.0 { "−" } else { "+" };
                format!(
                    "{}{place}: {} to {} ({sign}{})",
                    capital(row.words),
                    value(from),
                    value(to),
                    value(by.abs())
                )
            })
        }
        (Some(_), None) => Some(format!("{}{place}: not held any more", capital(row.words))),
        (None, Some(to)) => Some(format!(
            "{}{place}: held now, {}",
            capital(row.words),
            value(to)
        )),
        (None, None) => None,
    }
}

/// Every single step with what it changes, as far as it can be noticed.
pub fn what_ifs(list: &[WhatIf], units: Units) -> Told {
    let system = System::from(units);
    let note = |step: &WhatIf| {
        let mut lines: Vec<String> = step
            .breaks
            .iter()
            .map(|b| format!("Does not fit: {b}"))
            .collect();
        let said = step.figures.iter().filter(|f| f.figure != "objective");
        lines.extend(said.filter_map(|f| changed(f, system)));
        if lines.is_empty() {
            lines.push("Nothing that a rider would notice.".to_owned());
        }
        Note {
            title: capital(&step.says),
            lines,
            settings: Some(step.settings.into()),
        }
    };
    Told {
        says: Vec::new(),
        groups: vec![Group {
            title: String::new(),
            notes: list.iter().map(note).collect(),
        }],
    }
}

/// Why each setting stands where it does.
pub fn reasons(list: &[Why]) -> Told {
    let note = |why: &Why| Note {
        title: capital(&why.setting.replace('_', " ")),
        lines: vec![why.says.clone()],
        settings: None,
    };
    Told {
        says: Vec::new(),
        groups: vec![Group {
            title: String::new(),
            notes: list.iter().map(note).collect(),
        }],
    }
}

/// What to change for what was felt.
pub fn answers(felt: &Felt, sled: &Sled, units: Units) -> Told {
    let system = System::from(units);
    let note = |change: &Change| {
        let tools = if change.tools.is_empty() {
            String::new()
        } else {
            format!("; {}", change.tools.join(", "))
        };
        let mut lines = vec![format!("{} min{tools}", format_number(change.minutes, 1.0))];
        if let Some(part) = &change.part {
            lines.push(format!(
                "{}: {}",
                capital(part),
                if change.in_stock {
                    "in stock"
                } else {
                    "not in stock"
                }
            ));
        }
        lines.extend(change.figures.iter().filter_map(|f| changed(f, system)));
        lines.extend(change.costs.iter().map(|c| format!("Costs: {c}")));
        lines.extend(change.notes.iter().cloned());
        if change.basis != "computed" {
            lines.push(capital(change.basis));
        }
        Note {
            title: capital(&change.says),
            lines,
            settings: change
                .settings
                .checked(sled)
                .ok()
                .filter(|_| change.in_stock || change.part.is_none())
                .map(Into::into),
        }
    };
    let notes = |list: &[Change]| list.iter().map(note).collect::<Vec<_>>();
    let plain = |lines: Vec<String>| {
        if lines.is_empty() {
            Vec::new()
        } else {
            vec![Note {
                lines,
                ..Note::default()
            }]
        }
    };
    let outside = felt.complaints.iter().map(|heard| {
        let mut lines: Vec<String> = heard.inspect.iter().map(|i| (*i).to_owned()).collect();
        lines.push(heard.outside.to_owned());
        lines.push(format!(
            "Where the link comes from: {}.",
            heard.status.trim_end_matches('.')
        ));
        Note {
            title: heard.words.to_owned(),
            lines,
            settings: None,
        }
    });
    let impossible = felt
        .impossible
        .iter()
        .map(|i| format!("{}: {}", capital(&i.says), i.because))
        .collect();
    let groups = [
        ("Change one thing, best first", notes(&felt.changes)),
        ("Takes longer than you have", notes(&felt.longer)),
        ("With a part that is not in stock", notes(&felt.to_buy)),
        (
            "Look at first, and what is none of the cockpit’s business",
            outside.collect(),
        ),
        ("Cannot be done", plain(impossible)),
        ("Tried, and no help", plain(felt.no_help.clone())),
        ("After every change", plain(felt.tick_off.clone())),
    ];
    let mut says = vec![felt.says.clone()];
    says.extend(
        felt.cautions
            .iter()
            .map(|c| (*c).to_owned())
            .filter(|c| c.contains("clinician")),
    );
    Told {
        says,
        groups: groups
            .into_iter()
            .filter(|(_, notes)| !notes.is_empty())
            .map(|(title, notes)| Group {
                title: title.to_owned(),
                notes,
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::{Asked, felt, what_if, why};
    use crate::confidence::{Sampler, Sampling};
    use crate::fit::{Request, fit};
    use crate::rider::{RiderProfile, Sex};
    use crate::sled::SledProfile;
    use crate::sled::profile::SHIPPED;
    use crate::stance::Stance;

    #[test]
    fn every_answer_is_said_in_words() {
        let built = RiderProfile::of(Sex::Male, 1830.0, 82.0).build().unwrap();
        let sled = SledProfile::read(SHIPPED[0].text)
            .unwrap()
            .resolve()
            .unwrap();
        let stances = Stance::shipped().unwrap();
        let request = Request::new(&built.rider, &sled, &stances);
        let best = fit(&request).best;
        let whats = what_ifs(&what_if(&request, &best), Units::Metric);
        assert!(whats.groups[0].notes.len() > 8);
        assert!(
            whats.groups[0]
                .notes
                .iter()
                .all(|n| !n.lines.is_empty() && n.settings.is_some())
        );
        assert_eq!(reasons(&why(&request, &best)).groups[0].notes.len(), 5);
        let asked = [
            Asked::new("numb_hands", 2).unwrap(),
            Asked::new("cannot_get_back", 1).unwrap(),
        ];
        let answer = answers(
            &felt(&request, &best, &asked, Some(15.0)),
            &sled,
            Units::Imperial,
        );
        assert!(answer.says[0].len() > 10 && answer.says.iter().any(|s| s.contains("clinician")));
        let sampling = Sampling {
            draws: 3,
            seed: 7,
            ..Sampling::default()
        };
        let mut sampler = Sampler::new(&built, &request, best.settings, sampling);
        while sampler.step() {}
        let sure = sure(&sampler.confidence(), 3, &sled, Units::Metric);
        assert_eq!((sure.done, sure.total), (3, 3));
        assert!(
            sure.settings[&Setting::Riser].starts_with("odds: "),
            "{:?}",
            sure.settings
        );
        assert!(sure.settings[&Setting::RiserAngle].starts_with("90\u{a0}%: "));
        assert!(sure.settings[&Setting::Stirrup].contains("position "));
        assert!(
            sure.told
                .groups
                .iter()
                .any(|g| g.title == "Ready" && g.notes[0].lines.len() > 8),
            "{:?}",
            sure.told
        );
    }

    #[test]
    fn tilts_read_as_a_mechanic_says_them() {
        let band = |low, high| {
            tilted(Band {
                low: Some(low),
                high: Some(high),
            })
            .unwrap()
        };
        assert_eq!(band(9.0, 15.0), "9° to 15° back");
        assert_eq!(band(-5.0, -2.0), "2° to 5° forward");
        assert_eq!(band(-3.0, 4.0), "3° forward to 4° back");
        assert_eq!(band(0.0, 4.0), "0° to 4° back");
    }
}
