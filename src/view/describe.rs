//! The drawing in words and tables, for screen readers, the command line and everyone who cannot see it.

use super::envelope::load_name;
use super::gauge::{comfortable, state, word};
use super::label::State;
use super::measure::Measures;
use crate::hold::Hold;
use crate::sled::Cockpit;
use crate::stance::{Angles, JointRange, LimitUnit, Posture, Stance, StanceRanges, Status};
use crate::units::Angle;
use crate::units::text::{System, coarse, format_angle, format_length, format_number, level};

/// A table in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it lists.
    pub caption: String,
    /// Column heads.
    pub head: Vec<String>,
    /// Rows, as long as the head.
    pub rows: Vec<Vec<String>>,
}

/// A stance on a set-up, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Description {
    /// What a reader must know first: which stance, how it came out, what is outside its range.
    pub summary: String,
    /// Angles, distances, hold.
    pub tables: Vec<Table>,
}

/// A joint with its angle and range, as people call it.
struct Joint {
    name: &'static str,
    value: Angle,
    range: JointRange,
}

fn joints(angles: &Angles, ranges: &StanceRanges) -> [Joint; 11] {
    let joint = |name, value, range| Joint { name, value, range };
    [
        joint("Ankle", angles.ankle, ranges.ankle),
        joint("Knee", angles.knee, ranges.knee),
        joint("Knee splay", angles.knee_splay, ranges.knee_splay),
        joint("Hip", angles.hip, ranges.hip),
        joint("Trunk lean from vertical", angles.trunk, ranges.trunk),
        joint("Shoulder", angles.shoulder, ranges.shoulder),
        joint("Elbow", angles.elbow, ranges.elbow),
        joint("Elbow swing", angles.elbow_swing, ranges.elbow_swing),
        joint(
            "Wrist extension",
            angles.wrist_extension,
            ranges.wrist_extension,
        ),
        joint(
            "Wrist, to the little finger",
            angles.wrist_ulnar,
            ranges.wrist_ulnar,
        ),
        joint("Neck extension", angles.neck, ranges.neck),
    ]
}

/// Describes a posture on a set-up; the hold where it was computed.
pub fn describe(
    stance: &Stance,
    posture: &Posture,
    cockpit: &Cockpit,
    hold: Option<&Hold>,
    system: System,
) -> Description {
    let joints = joints(&posture.pose.angles, &stance.ranges);
    let outside: Vec<String> = joints
        .iter()
        .filter(|j| state(j.value, &j.range) != State::Inside)
        .map(|j| {
            format!(
                "{} {}, {}",
                j.name.to_ascii_lowercase(),
                level(j.value),
                word(j.value, &j.range)
            )
        })
        .collect();
    let mut summary = format!(
        "{}. {} {}",
        stance.name,
        stance.says,
        outcome(&posture.status)
    );
    if outside.is_empty() {
        summary.push_str(" Every joint is inside its preferred range.");
    } else {
        summary.push_str(&format!(" Outside: {}.", outside.join("; ")));
    }
    let mut tables = vec![
        angle_table(&joints),
        distance_table(posture, cockpit, system),
    ];
    if let Some(hold) = hold {
        tables.push(hold_table(hold, system));
    }
    Description { summary, tables }
}

fn outcome(status: &Status) -> String {
    match status {
        Status::Solved => "The posture keeps every limit.".to_owned(),
        Status::AtLimit(limits) => {
            let names: Vec<&str> = limits.iter().map(|l| l.name.as_str()).collect();
            format!("The posture rests on: {}.", names.join("; "))
        }
        Status::OutOfReach(limits) => {
            let names: Vec<String> = limits
                .iter()
                .map(|l| {
                    let by = match l.unit {
                        LimitUnit::Degrees => format!("{}°", format_number(l.broken_by, 0.5)),
                        LimitUnit::Millimetres => {
                            format!("{} mm", format_number(l.broken_by, 1.0))
                        }
                    };
                    format!("{} by {by}", l.name)
                })
                .collect();
            format!("Out of reach: {}.", names.join("; "))
        }
    }
}

fn strings(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|&t| t.to_owned()).collect()
}

fn angle_table(joints: &[Joint]) -> Table {
    let rows = joints
        .iter()
        .map(|j| {
            let (low, high) = comfortable(&j.range);
            let whole = |a: Angle| format_angle(a, 1.0);
            let verdict = match state(j.value, &j.range) {
                State::Inside => "inside".to_owned(),
                State::Beyond | State::AtLimit => word(j.value, &j.range),
            };
            vec![
                j.name.to_owned(),
                level(j.value),
                format!("{} to {}", whole(low), whole(high)),
                format!("{} to {}", whole(j.range.low), whole(j.range.high)),
                verdict,
            ]
        })
        .collect();
    Table {
        caption: "Joint angles".to_owned(),
        head: strings(&["Joint", "Now", "Preferred", "Limits", "Verdict"]),
        rows,
    }
}

fn distance_table(posture: &Posture, cockpit: &Cockpit, system: System) -> Table {
    let m = Measures::new(cockpit, &posture.pose);
    let settings = cockpit.settings;
    let sided = |value: f64, plus: &str, minus: &str| {
        let side = if value >= 0.0 { plus } else { minus };
        format!("{} {side}", coarse(value.abs(), system))
    };
    let tilt = |angle: Angle| {
        let side = if angle >= Angle::ZERO {
            "back"
        } else {
            "forward"
        };
        format!("{} {side}", level(angle.abs()))
    };
    let riser = cockpit.sled.risers[settings.riser].height;
    let rows = [
        (
            "Stirrup",
            format!(
                "position {} of {}, {} behind the foremost",
                m.position,
                cockpit.sled.stirrup.positions.len(),
                coarse(-settings.stirrup, system)
            ),
        ),
        (
            "Riser",
            format!(
                "{}, {} from vertical",
                coarse(riser, system),
                tilt(settings.riser_angle)
            ),
        ),
        (
            "Bar roll",
            format!("{} from the riser", tilt(settings.bar_roll)),
        ),
        ("Seat", cockpit.sled.seats[settings.seat].name.clone()),
        ("Stirrup to grip, straight", coarse(m.straight, system)),
        (
            "Stirrup to grip, fore-aft",
            sided(m.forward, "forward", "back"),
        ),
        ("Grip height over the board", coarse(m.grip_height, system)),
        (
            "Centre of mass from the ball of the foot",
            sided(m.mass_behind_ball, "behind", "ahead"),
        ),
    ];
    Table {
        caption: "Settings and distances".to_owned(),
        head: strings(&["What", "Value"]),
        rows: rows
            .into_iter()
            .map(|(what, value)| vec![what.to_owned(), value])
            .collect(),
    }
}

fn hold_table(hold: &Hold, system: System) -> Table {
    let mut rows: Vec<Vec<String>> = hold
        .loads
        .iter()
        .map(|l| {
            let (value, why) = match &l.hold {
                Ok(held) => (
                    format!("{} g", format_number(held.g, 0.05)),
                    format!("{} gives first", held.gives_first),
                ),
                Err(not) => ("not held".to_owned(), not.because.clone()),
            };
            vec![load_name(l.load).to_owned(), value, why]
        })
        .collect();
    let mut row = |what: &str, value: String, why: String| {
        rows.push(vec![what.to_owned(), value, why]);
    };
    row(
        "Steering, bars straight",
        format!("{} N·m", format_number(hold.steering.straight, 1.0)),
        String::new(),
    );
    if let Some(working) = &hold.working {
        let most = working
            .efforts
            .iter()
            .max_by(|a, b| a.fraction.total_cmp(&b.fraction));
        row(
            "Each hand at rest",
            format!("{} N", format_number(working.hand, 5.0)),
            most.map_or_else(String::new, |e| {
                format!(
                    "{} works hardest, {} % of its strength",
                    e.name,
                    format_number(100.0 * e.fraction, 1.0)
                )
            }),
        );
    }
    if let Some(travel) = &hold.travel {
        row(
            "Leg travel",
            format_length(travel.leg_travel, system.length(), step(system)),
            format!(
                "a drop of {}; then {}",
                coarse(travel.drop, system),
                travel.stops_at
            ),
        );
    }
    Table {
        caption: "What this stance can hold".to_owned(),
        head: strings(&["Load", "Holds", "Why"]),
        rows,
    }
}

/// Step of a travel that a tape shows.
fn step(system: System) -> f64 {
    match system {
        System::Metric => 5.0,
        System::Imperial => 0.2,
    }
}

impl Description {
    /// As plain text: the summary, then each table with one row a line.
    pub fn plain(&self) -> String {
        let mut out = self.summary.clone();
        for table in &self.tables {
            out.push_str("\n\n");
            out.push_str(&table.caption);
            out.push(':');
            for row in &table.rows {
                let cells: Vec<&str> = row
                    .iter()
                    .map(String::as_str)
                    .filter(|c| !c.is_empty())
                    .collect();
                out.push('\n');
                out.push_str(&cells.join(", "));
            }
        }
        out.push('\n');
        out
    }
}
