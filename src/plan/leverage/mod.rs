//! Leverage in words and numbers: what the options give besides their hold fore and aft, hold over stirrup and riser angle,
//! and what comfort costs in hold. For the page and the command line.

pub mod charts;
pub mod shared;

use serde::{Deserialize, Serialize};

use super::advice::amount;
use super::{Chosen, Units};
use crate::compare::Alternative;
use crate::compare::front::Fronting;
use crate::compare::leverage::leverage;
use crate::compare::map::{HoldMap, Mapping};
use crate::fit::{Keep, Request, SetUp};
use crate::hold::{CornerHold, NotHeld, SideLimit, Taken};
use crate::order;
use crate::sled::{Settings, Sled};
use crate::stance::Load;
use crate::units::Angle;
use crate::units::text::{System, format_number};
use crate::view::envelope::load_name;

/// Points (x, y).
pub type Points = Vec<(f64, f64)>;

/// One option's leverage in one stance.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Levered {
    /// Its letter, what it is called, and the stance.
    pub title: String,
    /// What, and what came of it.
    pub rows: Vec<Given>,
    /// The sideways envelope as (f_y, f_z), g.
    pub side: Points,
    /// Borders of where the hips can go as (x, z), mm, the outer one first.
    pub room: Vec<Points>,
    /// Where the hips are, mm.
    pub hips: (f64, f64),
    /// The hips' way up from the seat, mm.
    pub rising: Points,
    /// Hold over the stirrup bolt's x, mm, on the riser's own angle.
    pub over_stirrup: Points,
    /// Hold over the riser's angle, deg, at the stirrup's own place.
    pub over_angle: Points,
}

/// What options give.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Leveraged {
    /// Option by option.
    pub levered: Vec<Levered>,
    /// Their maps.
    pub mapped: Vec<Mapped>,
    /// The front of the first.
    pub front: Option<Fronted>,
}

impl Leveraged {
    /// Whether nothing more is to come.
    pub fn is_whole(&self) -> bool {
        self.front.as_ref().is_some_and(|front| front.whole)
    }
}

/// A row.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Given {
    /// What.
    pub what: String,
    /// Its value.
    pub value: String,
    /// What decides it; empty: nothing is to be said.
    pub because: String,
}

/// Hold of one option over both settings.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Mapped {
    /// Of which option, in which stance, under which load.
    pub title: String,
    /// Stirrup bolts' x, mm.
    pub stirrups: Vec<f64>,
    /// Riser angles, deg.
    pub angles: Vec<f64>,
    /// Hold, g, angle by angle; none where it cannot be had.
    pub holds: Vec<Option<f64>>,
    /// Lines of equal hold: level, line, whether it is closed.
    pub contours: Vec<(f64, Points, bool)>,
    /// The border of what is in reach.
    pub reach: Vec<(Points, bool)>,
    /// The sled's stirrup positions, mm.
    pub positions: Vec<f64>,
    /// Where the option stands: mm and deg.
    pub here: (f64, f64),
    /// The node of greatest hold: mm, deg, g.
    pub best: Option<(f64, f64, f64)>,
}

/// Set-ups of one option's rider and sled that no other beats in comfort and hold.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Fronted {
    /// Of which option.
    pub title: String,
    /// The points, most comfortable first.
    pub points: Vec<Picked>,
    /// Set-ups solved.
    pub done: usize,
    /// Whether nothing more is to come.
    pub whole: bool,
}

/// A set-up to pick.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub struct Picked {
    /// Its settings.
    pub settings: Chosen,
    /// In words.
    pub says: String,
    /// Weighted discomfort of the postures.
    pub discomfort: f64,
    /// Least share of a wanted hold that is reached.
    pub hold: f64,
}

/// Points of a front at the most: as many as a finger can tell apart. Our choice.
const MOST_POINTS: usize = 9;

/// Of many points those that stand evenly along the hold, both ends among them.
fn thinned(all: Vec<Picked>) -> Vec<Picked> {
    let (Some(first), Some(last)) = (all.first(), all.last()) else {
        return all;
    };
    if all.len() <= MOST_POINTS {
        return all;
    }
    let (low, high) = (first.hold, last.hold);
    let mut wanted = (0..MOST_POINTS)
        .map(|k| low + (high - low) * k as f64 / (MOST_POINTS - 1) as f64)
        .peekable();
    let end = all.len() - 1;
    let mut kept = Vec::new();
    for (k, point) in all.into_iter().enumerate() {
        if k == end || wanted.peek().is_some_and(|w| point.hold >= *w - 1e-12) {
            while wanted.next_if(|w| point.hold >= *w - 1e-12).is_some() {}
            kept.push(point);
        }
    }
    kept
}

/// An option that is known: what it is, its letter, and its set-up.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The option.
    pub alternative: &'a Alternative,
    /// Its place among the others.
    pub place: usize,
    /// Its set-up.
    pub set_up: &'a SetUp,
}

impl Known<'_> {
    fn title(&self) -> String {
        self.alternative.title(self.place)
    }

    /// Its title, with the stance of a place where it names none itself.
    fn title_in(&self, stance: usize) -> String {
        match self.alternative.stances.get(stance) {
            Some(stance) if self.alternative.stance.is_none() => {
                format!("{}, {}", self.title(), stance.name)
            }
            _ => self.title(),
        }
    }
}

/// Corners, the hips' room, standing up, and both curves.
pub fn levered(option: Known, stance: &str, load: Load, units: Units) -> Levered {
    let system = System::from(units);
    let place = option.alternative.front(stance);
    let request = option.alternative.request();
    let set_up = option.set_up;
    let Some(found) = leverage(&request, set_up, place) else {
        return Levered::default();
    };
    let mm = |value: f64| amount(value, "mm", 0, system);
    let row = |what: &str, value: String, because: &str| Given {
        what: what.to_owned(),
        value,
        because: because.to_owned(),
    };
    let mut rows: Vec<Given> = found
        .corners
        .iter()
        .map(|(taken, held)| corner_row(taken, held, system))
        .collect();
    let carriers = if found.carriers.is_empty() {
        "hands alone".to_owned()
    } else {
        format!("{}, hands", found.carriers.join(", "))
    };
    rows.push(row("What carries sideways", carriers, ""));
    let hip = set_up.stances[place].posture.pose.points.hip;
    if let Some(room) = &found.room {
        rows.push(row("Hips can sink", mm(hip.z - room.lowest.1), ""));
        rows.push(row("Hips can rise", mm(room.highest.1 - hip.z), ""));
        rows.push(row(
            "Room of the hips, side view",
            format!("{} cm²", format_number(room.area / 100.0, 10.0)),
            "",
        ));
    }
    if let Some(travel) = &found.travel {
        rows.push(row(
            "Drop that the legs take up",
            mm(travel.drop),
            &travel.stops_at,
        ));
    }
    if let Some(rising) = &found.rising {
        let value = match rising.time {
            Some(time) => format!("{} s at the least", format_number(time, 0.01)),
            None => "not without help".to_owned(),
        };
        let because = format!(
            "least held on the way: {} g; hips travel {}",
            format_number(rising.weakest, 0.1),
            mm(rising.hip_travel)
        );
        rows.push(row("Standing up from the seat", value, &because));
    }
    let (stirrup, angle) = curves(option, place, load);
    Levered {
        title: option.title_in(place),
        rows,
        side: found.side.iter().map(|e| (e.f_y, e.f_z)).collect(),
        room: found.room.map(|r| r.border).unwrap_or_default(),
        hips: (hip.x, hip.z),
        rising: found.rising.map(|r| r.hips).unwrap_or_default(),
        over_stirrup: stirrup,
        over_angle: angle,
    }
}

fn corner_row(taken: &Taken, held: &Result<CornerHold, NotHeld>, system: System) -> Given {
    let mut what = if taken.bank > Angle::ZERO {
        format!("Corner banked {}°", format_number(taken.bank.deg(), 1.0))
    } else {
        "Level corner".to_owned()
    };
    if taken.shift > 0.0 {
        what.push_str(&format!(
            ", hips {} inside",
            amount(taken.shift, "mm", 0, system)
        ));
    }
    what.push_str(if taken.protector {
        ", edge protector"
    } else {
        ", no edge protector"
    });
    match held {
        Ok(CornerHold { least, most }) => Given {
            what,
            value: format!(
                "{} to {} g",
                format_number(least.g, 0.01),
                format_number(most.g, 0.01)
            ),
            because: gives(most),
        },
        Err(NotHeld { because }) => Given {
            what,
            value: "not held".to_owned(),
            because: because.clone(),
        },
    }
}

fn gives(limit: &SideLimit) -> String {
    format!("{} gives first", limit.gives_first)
}

/// A stretch of settings in even steps, the present one among them.
fn with_present(mut even: Vec<f64>, present: f64) -> Vec<f64> {
    if !even.iter().any(|v| (v - present).abs() < 1e-9) {
        even.push(present);
        order::ascend(&mut even);
    }
    even
}

fn curves(option: Known, place: usize, load: Load) -> (Points, Points) {
    let request = option.alternative.request();
    let settings = option.set_up.settings;
    let Some(stance) = option.alternative.stances.get(place) else {
        return Default::default();
    };
    let whole = Mapping::whole(&request, settings, stance).map();
    let angles = whole.angles.iter().map(|a| a.rad()).collect();
    let stirrups = with_present(whole.stirrups, settings.stirrup);
    let angles: Vec<Angle> = with_present(angles, settings.riser_angle.rad())
        .into_iter()
        .map(Angle::from_rad)
        .collect();
    let run = |stirrups: Vec<f64>, angles: Vec<Angle>| {
        let mut mapping = Mapping::new(&request, settings, stance, stirrups, angles);
        while mapping.step() {}
        mapping.map()
    };
    let along = run(stirrups, vec![settings.riser_angle]);
    let over = run(vec![settings.stirrup], angles);
    let held = |map: &HoldMap, i: usize, j: usize| map.hold(i, j, load);
    let over_stirrup = (0..along.stirrups.len())
        .filter_map(|i| Some((along.stirrups[i], held(&along, i, 0)?)))
        .collect();
    let over_angle = (0..over.angles.len())
        .filter_map(|j| Some((over.angles[j].deg(), held(&over, 0, j)?)))
        .collect();
    (over_stirrup, over_angle)
}

/// Lines of equal hold are this far apart at the least, g.
const LEAST_LEVEL: f64 = 0.05;

/// Lines of equal hold at the most.
const LEVELS: f64 = 7.0;

/// Hold of one option over stirrup and riser angle.
pub fn mapped(option: Known, stance: &str, load: Load) -> Mapped {
    let place = option.alternative.front(stance);
    let request = option.alternative.request();
    let settings = option.set_up.settings;
    let Some(stance) = option.alternative.stances.get(place) else {
        return Mapped::default();
    };
    let mut mapping = Mapping::whole(&request, settings, stance);
    while mapping.step() {}
    let map = mapping.map();
    let nodes = || (0..map.angles.len()).flat_map(|j| (0..map.stirrups.len()).map(move |i| (i, j)));
    let holds: Vec<Option<f64>> = nodes().map(|(i, j)| map.hold(i, j, load)).collect();
    let known = || holds.iter().flatten().copied();
    let (low, high) = known().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), g| {
        (a.min(g), b.max(g))
    });
    let mut contours = Vec::new();
    if low < high {
        let mut step = LEAST_LEVEL;
        while (high - low) / step > LEVELS {
            step *= 2.0;
        }
        let first = libm::ceil(low / step) as i64;
        let last = libm::floor(high / step) as i64;
        for level in (first..=last).map(|k| k as f64 * step) {
            let lines = map.contour(load, level);
            contours.extend(
                lines
                    .into_iter()
                    .map(|line| (level, line.points, line.closed)),
            );
        }
    }
    Mapped {
        title: format!(
            "{}, {}",
            option.title_in(place),
            load_name(load).to_lowercase()
        ),
        reach: map
            .reach()
            .into_iter()
            .map(|line| (line.points, line.closed))
            .collect(),
        positions: request.sled.stirrup.positions.clone(),
        here: (settings.stirrup, settings.riser_angle.deg()),
        best: map.best(load).map(|(x, angle, g)| (x, angle.deg(), g)),
        angles: map.angles.iter().map(|a| a.deg()).collect(),
        stirrups: map.stirrups,
        holds,
        contours,
    }
}

/// The search for the front of one option's rider and sled, with its bar and its clamp: both are rarely at hand to be
/// changed, and every one more doubles the set-ups.
pub fn fronting(option: Known<'_>) -> Fronting<'_> {
    let settings = option.set_up.settings;
    let keep = Keep {
        clamp: Some(settings.clamp),
        bar: Some(settings.bar),
        ..Keep::default()
    };
    Fronting::new(&Request {
        keep,
        ..option.alternative.request()
    })
}

/// What it found so far; `whole` says whether it is done.
pub fn fronted(option: Known, fronting: &Fronting, whole: bool, units: Units) -> Fronted {
    let system = System::from(units);
    let picked = fronting.front().into_iter().map(|choice| Picked {
        says: said(&choice.settings, &option.alternative.sled, system),
        settings: choice.settings.into(),
        discomfort: choice.discomfort,
        hold: choice.hold,
    });
    Fronted {
        title: option.title(),
        points: thinned(picked.collect()),
        done: fronting.progress().0,
        whole,
    }
}

/// A set-up in few words: "riser 125 mm at 12°, roll 4°, stirrups at position 3, firm seat".
fn said(settings: &Settings, sled: &Sled, system: System) -> String {
    let degrees = |angle: Angle| format!("{}°", format_number(angle.deg(), 0.5));
    let stirrup = match sled.stirrup.position_number(settings.stirrup) {
        Some(number) => format!("position {number}"),
        None => amount(settings.stirrup, "mm", 0, system),
    };
    format!(
        "riser {} at {}, bar roll {}, stirrups at {stirrup}, {} seat",
        amount(sled.risers[settings.riser].height, "mm", 0, system),
        degrees(settings.riser_angle),
        degrees(settings.bar_roll),
        sled.seats[settings.seat].name
    )
}
