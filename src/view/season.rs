//! A season of set-ups as a small drawing: a lane for each setting, a step where it was changed, and what was felt below.
//!
//! Time runs to the right. A set-up that was ridden for an hour would be a hair beside one that stood for a month: each
//! takes at least the room of its longest label, and the rest of the width is shared by time. Lengths are px.

use core::fmt::Write as _;

use super::label::text_width;
use super::svg::escaped;

/// What is drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Season {
    /// The set-ups, the earliest first.
    pub columns: Vec<Column>,
    /// A lane for each setting, with as many steps as there are set-ups.
    pub lanes: Vec<Lane>,
    /// When it ends, ms since 1970.
    pub until_ms: u64,
}

/// A set-up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Column {
    /// When it was made, ms since 1970.
    pub from_ms: u64,
    /// The day.
    pub day: String,
    /// What came of the change that made it, in a word; empty where nothing was changed.
    pub came: String,
    /// When something was felt on it, and all strengths together.
    pub felt: Vec<(u64, f64)>,
}

/// A setting over all set-ups.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lane {
    /// What it is called.
    pub name: String,
    /// Its value on each set-up as a number to draw it by, and in words.
    pub steps: Vec<(f64, String)>,
}

/// The sizes that follow are our choice. Text, px; as the tables beside it.
const TEXT: f64 = 14.0;
/// Height of a lane, of its name and of the room that its line moves in.
const LANE: f64 = 62.0;
const NAME: f64 = 18.0;
const ROOM: f64 = 14.0;
/// Height of the lane of what was felt; of the heaviest bar in it.
const FELT: f64 = 84.0;
const BAR: f64 = 40.0;
/// Beside the drawing, and between two labels.
const EDGE: f64 = 8.0;
const APART: f64 = 12.0;

/// The strength of one complaint at its worst: what the heaviest bar stands for at least.
const WORST: f64 = 3.0;

/// Draws a season at least as wide as it is given, px; wider where its labels need it.
pub fn season(season: &Season, width: f64) -> String {
    let places = places(season, width);
    let right = places.last().copied().unwrap_or(width);
    let height = 24.0 + LANE * count(season.lanes.len()) + FELT;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"season\" width=\"{0:.0}\" height=\"{1:.0}\" viewBox=\"0 0 {0:.0} {1:.0}\" aria-hidden=\"true\">",
        right + EDGE,
        height
    );
    let mut text = |class: &str, x: f64, y: f64, words: &str| {
        let _ = write!(
            out,
            "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\">{}</text>",
            escaped(words)
        );
    };
    for (column, x) in season.columns.iter().zip(&places) {
        text("season-day", *x, 15.0, &column.day);
        text("season-came", *x, height - 6.0, &column.came);
    }
    for (i, lane) in season.lanes.iter().enumerate() {
        let top = 24.0 + LANE * count(i);
        text("season-name", EDGE, top + TEXT, &lane.name);
        for (step, x, y) in steps(lane, &places, top) {
            text("season-value", x, y - 5.0, &step);
        }
    }
    let bottom = 24.0 + LANE * count(season.lanes.len());
    text("season-name", EDGE, bottom + TEXT, "Complaints");
    let mut shape = |class: &str, d: &str| {
        let _ = write!(out, "<path class=\"{class}\" d=\"{d}\"/>");
    };
    for x in &places {
        shape("season-rule", &format!("M{x:.1} 20V{height:.0}"));
    }
    for (i, lane) in season.lanes.iter().enumerate() {
        shape("season-step", &line(lane, &places, 24.0 + LANE * count(i)));
    }
    let foot = bottom + NAME + 4.0 + BAR;
    let worst = season
        .columns
        .iter()
        .flat_map(|c| &c.felt)
        .fold(WORST, |most, f| most.max(f.1));
    for (i, column) in season.columns.iter().enumerate() {
        for (ms, strength) in &column.felt {
            let x = at(season, &places, i, *ms);
            let high = BAR * strength / worst;
            // Nothing to complain of is a mark on the ground.
            let d = if high > 0.0 {
                format!("M{:.1} {foot:.1}v{:.1}h5v{:.1}z", x - 2.5, -high, high)
            } else {
                format!("M{:.1} {foot:.1}h8", x - 4.0)
            };
            shape(
                if high > 0.0 {
                    "season-felt"
                } else {
                    "season-well"
                },
                &d,
            );
        }
    }
    shape("season-rule", &format!("M{EDGE} {foot:.1}H{right:.1}"));
    out.push_str("</svg>");
    out
}

/// Left edges of all columns, and the right edge of the last.
fn places(season: &Season, width: f64) -> Vec<f64> {
    let n = season.columns.len();
    let least: Vec<f64> = (0..n)
        .map(|i| {
            let column = &season.columns[i];
            let values = season
                .lanes
                .iter()
                .filter(|lane| changed(lane, i))
                .map(|lane| &lane.steps[i].1);
            let words = values.chain([&column.day, &column.came]);
            words
                .map(|w| text_width(w, false) * TEXT)
                .fold(0.0, f64::max)
                + APART
        })
        .collect();
    let spare = (width - 2.0 * EDGE - least.iter().sum::<f64>()).max(0.0);
    let end = |i: usize| {
        season
            .columns
            .get(i + 1)
            .map_or(season.until_ms, |c| c.from_ms)
    };
    let spans: Vec<f64> = (0..n)
        .map(|i| span(season.columns[i].from_ms, end(i)))
        .collect();
    let all = spans.iter().sum::<f64>().max(1.0);
    let mut x = EDGE;
    let mut places = vec![x];
    for (least, span) in least.iter().zip(&spans) {
        x += least + spare * span / all;
        places.push(x);
    }
    places
}

/// Time between two moments, ms; a season is far below what an `f64` counts.
fn span(from: u64, to: u64) -> f64 {
    to.saturating_sub(from) as f64
}

/// Where a moment of a column lies.
fn at(season: &Season, places: &[f64], column: usize, ms: u64) -> f64 {
    let from = season.columns[column].from_ms;
    let until = season
        .columns
        .get(column + 1)
        .map_or(season.until_ms, |c| c.from_ms);
    let share = span(from, ms) / span(from, until).max(1.0);
    let (left, right) = (places[column] + 5.0, places[column + 1] - 5.0);
    left + (right - left) * share.clamp(0.0, 1.0)
}

/// Whether a lane's value on a set-up is another than before; it is on the first.
fn changed(lane: &Lane, i: usize) -> bool {
    let value = |i: usize| lane.steps.get(i).map(|s| &s.1);
    i < lane.steps.len() && (i == 0 || value(i) != value(i - 1))
}

/// Height of a lane's line on each set-up: the greatest value is on top.
fn heights(lane: &Lane, top: f64) -> Vec<f64> {
    let values = || lane.steps.iter().map(|s| s.0);
    let low = values().fold(f64::INFINITY, f64::min);
    let high = values().fold(f64::NEG_INFINITY, f64::max);
    let room = high - low;
    let place = |v: f64| if room > 0.0 { (high - v) / room } else { 0.5 };
    values()
        .map(|v| top + NAME + TEXT + 6.0 + ROOM * place(v))
        .collect()
}

fn steps(lane: &Lane, places: &[f64], top: f64) -> Vec<(String, f64, f64)> {
    let heights = heights(lane, top);
    let all = heights
        .iter()
        .enumerate()
        .filter(|(i, _)| changed(lane, *i));
    all.map(|(i, y)| (lane.steps[i].1.clone(), places[i] + 3.0, *y))
        .collect()
}

fn line(lane: &Lane, places: &[f64], top: f64) -> String {
    let mut d = String::new();
    for (i, y) in heights(lane, top).into_iter().enumerate() {
        let begin = if i == 0 {
            format!("M{:.1} {y:.1}", places[0])
        } else {
            format!("V{y:.1}")
        };
        let _ = write!(d, "{begin}H{:.1}", places[i + 1]);
    }
    d
}

/// A short list's count.
fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(n: usize) -> Season {
        let column = |i: usize| Column {
            from_ms: (i as u64).pow(3) * 1000,
            day: format!("2026-01-{:02}", i + 1),
            came: "no difference".to_owned(),
            felt: vec![((i as u64).pow(3) * 1000 + 1, i as f64)],
        };
        let lane = |name: &str| Lane {
            name: name.to_owned(),
            steps: (0..n)
                .map(|i| (i as f64, format!("{i}\u{b0} back & up")))
                .collect(),
        };
        Season {
            columns: (0..n).map(column).collect(),
            lanes: vec![lane("Riser angle"), lane("Bar roll")],
            until_ms: 1_000_000,
        }
    }

    #[test]
    fn every_column_has_room_for_its_words_and_the_width_is_filled() {
        for n in [1, 2, 7, 30] {
            let season = sample(n);
            let places = places(&season, 400.0);
            assert_eq!(places.len(), n + 1);
            let widest = text_width("no difference", false) * TEXT;
            assert!(
                places.windows(2).all(|p| p[1] - p[0] >= widest),
                "{places:?}"
            );
            assert!(*places.last().unwrap() >= 400.0 - EDGE - 1e-9);
        }
    }

    #[test]
    fn a_drawing_is_sound_and_says_each_value_where_it_changes() {
        let mut season_of = sample(4);
        season_of.lanes[0].steps[2] = season_of.lanes[0].steps[1].clone();
        let drawn = season(&season_of, 600.0);
        assert!(drawn.starts_with("<svg") && drawn.ends_with("</svg>") && !drawn.contains("NaN"));
        assert_eq!(drawn.matches("season-value").count(), 7);
        assert!(drawn.contains("back &amp; up") && !drawn.contains("back & up"));
        assert!(!season(&Season::default(), 300.0).contains("NaN"));
        let y = heights(&season_of.lanes[0], 0.0);
        assert!(y[0] > y[3], "the greatest value is on top");
    }
}
