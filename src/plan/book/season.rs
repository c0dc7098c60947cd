//! A rider's sled over time: what the drawing of a season shows, and the same as rows of a table.

use crate::log::{Id, Outcome, Reading, SetUpForm, SetUpState, What, when};
use crate::units::text::{System, format_number};
use crate::view::season::{Column, Lane, Season};

/// A season to look at.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seen {
    /// The drawing's model; settings that never changed have no lane.
    pub season: Season,
    /// Settings that never changed, with their value.
    pub constant: Vec<String>,
    /// The same in words, the earliest first.
    pub rows: Vec<Row>,
}

/// A set-up in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The entry that made it.
    pub root: Id,
    /// When it was made.
    pub since: String,
    /// What was changed; of the first, and of one that was set anew, that.
    pub changed: String,
    /// What was felt on it.
    pub felt: String,
    /// What came of the change; empty where nothing was changed.
    pub came: String,
}

/// The season of a rider on a sled; clocks are `offset` minutes ahead of UTC.
pub fn seen(
    reading: &Reading,
    rider: Id,
    sled: Id,
    system: System,
    offset: i32,
    until_ms: u64,
) -> Seen {
    let set_ups = reading.set_ups(rider, sled);
    let outcomes = reading.outcomes(rider, sled);
    let came = |root: Id| {
        let outcome: Option<&Outcome> = outcomes.iter().find(|o| o.strand.root == root);
        outcome.map_or("", |o| o.verdict.label())
    };
    let felt = felts(reading, rider, sled);
    let mut seen = Seen::default();
    for (i, state) in set_ups.iter().enumerate() {
        let from = state.strand.moment.0;
        let until = set_ups.get(i + 1).map_or(u64::MAX, |s| s.strand.moment.0);
        let root = state.strand.root;
        let came = came(root);
        seen.season.columns.push(Column {
            from_ms: from,
            day: when::date(state.strand.happened_ms(), offset),
            came: short(came).to_owned(),
            felt: felt
                .iter()
                .filter(|f| (from..until).contains(&f.0))
                .copied()
                .collect(),
        });
        let former = i.checked_sub(1).and_then(|i| set_ups.get(i));
        seen.rows.push(Row {
            root,
            since: when::date_time(state.strand.happened_ms(), offset),
            changed: changed(former, state, system),
            felt: felt_words(state),
            came: came.to_owned(),
        });
    }
    let last_felt = felt.last().map_or(0, |f| f.0);
    let last = set_ups.last().map_or(0, |s| s.strand.moment.0);
    seen.season.until_ms = until_ms.max(last).max(last_felt);
    for lane in lanes(&set_ups, system) {
        let first = lane.steps.first().map(|s| s.1.clone());
        if lane.steps.iter().all(|s| Some(&s.1) == first.as_ref()) {
            seen.constant
                .extend(first.map(|value| format!("{} {value}", lane.name)));
        } else {
            seen.season.lanes.push(lane);
        }
    }
    seen
}

/// When something was felt, and all strengths together.
fn felts(reading: &Reading, rider: Id, sled: Id) -> Vec<(u64, f64)> {
    let all = reading.of_pair(rider, sled).filter_map(|(strand, entry)| {
        let What::Felt(felt) = entry.what() else {
            return None;
        };
        let sum = felt.complaints.iter().map(|c| f64::from(c.strength)).sum();
        Some((strand.moment.0, sum))
    });
    all.collect()
}

fn changed(former: Option<&SetUpState>, now: &SetUpState, system: System) -> String {
    let Some(former) = former else {
        return "the first that is written down".to_owned();
    };
    let differences = former.set_up.differences(now.set_up, system);
    if differences.is_empty() {
        "nothing that tape or level shows".to_owned()
    } else {
        differences.join("; ")
    }
}

/// How often a rider spoke of a set-up, and how much there was to complain of.
pub fn felt_words(state: &SetUpState) -> String {
    match (state.felts, state.complaints) {
        (0, _) | (_, None) => "nothing was said".to_owned(),
        (n, Some(mean)) => {
            let times = if n == 1 {
                "once".to_owned()
            } else {
                format!("{n} times")
            };
            format!(
                "{times}, complaints {} on average",
                format_number(mean, 0.1)
            )
        }
    }
}

/// Each setting that can be read of every set-up: a number to draw it by, and its words.
fn lanes(set_ups: &[SetUpState], system: System) -> Vec<Lane> {
    let lines = set_ups.iter().map(|s| s.set_up.lines(system));
    let lines: Vec<Vec<(&str, String)>> = lines.collect();
    let names = lines.first().into_iter().flatten().map(|(name, _)| *name);
    names
        .filter_map(|name| {
            let words = lines.iter().map(|lines| {
                let line = lines.iter().find(|(n, _)| *n == name);
                line.map(|(_, value)| value)
            });
            // A lever that was not always written down has no line.
            let words: Vec<&String> = words.collect::<Option<_>>()?;
            let mut known: Vec<&String> = Vec::new();
            let steps = words.iter().zip(set_ups).map(|(word, state)| {
                let number = number(name, state.set_up).unwrap_or_else(|| {
                    // A part has no size: each new one stands a line lower.
                    let place = known.iter().position(|k| k == word).unwrap_or(known.len());
                    if place == known.len() {
                        known.push(*word);
                    }
                    -f64::from(u32::try_from(place).unwrap_or(0))
                });
                (number, String::clone(word))
            });
            Some(Lane {
                name: name.to_owned(),
                steps: steps.collect(),
            })
        })
        .collect()
}

fn number(name: &str, set_up: &SetUpForm) -> Option<f64> {
    match name {
        "Riser" => Some(set_up.riser_height_mm),
        "Riser angle" => Some(set_up.riser_angle_deg),
        "Bar roll" => Some(set_up.bar_roll_deg),
        "Stirrup bolt" => Some(set_up.stirrup_mm),
        "Brake" => set_up.brake.as_ref().map(|l| l.roll_deg),
        "Throttle" => set_up.throttle.as_ref().map(|l| l.roll_deg),
        _ => None,
    }
}

/// A verdict short enough to stand under a column; the table has it whole.
fn short(label: &'static str) -> &'static str {
    match label {
        "nothing was said before it" => "not comparable",
        "mixed: counts for nothing" => "mixed",
        label => label,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{Book, DEMO};
    use crate::view::season::season;

    #[test]
    fn every_set_up_of_the_demo_is_a_column_and_a_row() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        let mut changes = 0;
        for (rider, sled) in reading.pairs() {
            let seen = seen(&reading, rider, sled, System::Metric, 60, 1_772_000_000_000);
            let count = reading.set_ups(rider, sled).len();
            assert_eq!((seen.rows.len(), seen.season.columns.len()), (count, count));
            assert!(
                seen.season
                    .lanes
                    .iter()
                    .all(|lane| lane.steps.len() == count)
            );
            let said: usize = seen.season.columns.iter().map(|c| c.felt.len()).sum();
            let felts: usize = reading.set_ups(rider, sled).iter().map(|s| s.felts).sum();
            assert_eq!(said, felts);
            assert!(!season(&seen.season, 700.0).contains("NaN"));
            changes += seen.rows.iter().filter(|r| !r.came.is_empty()).count();
            assert!(seen.season.lanes.len() + seen.constant.len() >= 7 || count == 0);
        }
        assert!(changes >= 5, "{changes}");
    }

    #[test]
    fn only_verdicts_that_are_long_are_shortened() {
        use crate::log::Verdict;
        for verdict in [Verdict::Mixed, Verdict::NotFeltBefore] {
            assert_ne!(short(verdict.label()), verdict.label());
        }
        assert_eq!(short(Verdict::Better.label()), "better");
    }
}
