//! A judged run as a document: plain numbers with their units in their names, and what is said about them.

use core::fmt::{self, Display, Formatter};

use super::columns::{Columns, Gravity};
use super::fault::Fault;
use super::held::{Change, LEAST};
use super::judge::{Judged, Moment};
use super::survey::Surveyed;
use super::tally::Tallied;
use super::{CELL, MOST_MOMENTS, Options, REACH};
use crate::document::reported;
use crate::fit::cautions::CAUTIONS;
use crate::units::ChannelUnit;
use crate::units::text::many;

reported! {
    /// A recorded run against what a stance can hold.
    pub struct RunReport {
        /// The answer in a sentence or two.
        pub says: String,
        /// Columns as they were read.
        pub columns: Vec<ColumnReport>,
        /// What the vertical channel reads at rest.
        pub gravity: Gravity,
        /// Rows of the file.
        pub rows: RowsReport,
        /// Samples a second.
        pub rate_hz: f64,
        /// Whether that is quick enough to judge landings.
        pub landings_judged: bool,
        /// Cut-off of the low-pass.
        pub cut_off_hz: f64,
        /// Least time outside for which an event counts.
        pub longer_than_s: f64,
        /// How the sensor is mounted; null where it is not corrected.
        pub tilt: Option<TiltReport>,
        /// How the run's time is made up.
        pub times: TimesReport,
        /// Stances that the run was held against; at each instant the one that holds best counts.
        pub stances: Vec<String>,
        /// Time outside, s.
        pub outside_s: f64,
        /// The same as a share of the time on the snow.
        pub outside_share: f64,
        /// Time outside by what gives, longest first.
        pub causes: Vec<CauseReport>,
        /// Events at least as long as asked for.
        pub events: u64,
        /// Events that were shorter.
        pub brief: u64,
        /// Time that only chassis spikes were outside.
        pub spikes_s: f64,
        /// The hardest moments, hardest first.
        pub moments: Vec<MomentReport>,
        /// Single changes for those moments: those first that fit, hold most and ease most.
        pub changes: Vec<ChangeReport>,
        /// Against what is held sideways; null where there is no lateral channel.
        pub sideways: Option<SidewaysReport>,
        /// Laps.
        pub laps: Vec<LapReport>,
        /// Time by load.
        pub density: DensityReport,
        /// What a reader should know.
        pub notes: Vec<String>,
        /// What stands beside every change.
        pub cautions: Vec<&'static str>,
    }

    /// A column as it was read.
    pub struct ColumnReport {
        /// What it holds.
        pub role: &'static str,
        /// Its name.
        pub name: String,
        /// Its unit.
        pub unit: &'static str,
        /// Whether it counts the other way.
        pub reversed: bool,
    }

    /// Rows of the file.
    pub struct RowsReport {
        /// All of them.
        pub all: u64,
        /// Those that were used.
        pub used: u64,
        /// Those without a time or an acceleration.
        pub incomplete: u64,
        /// Those with a fault, by kind.
        pub left_out: Vec<FaultReport>,
    }

    /// Rows with a fault of one kind.
    pub struct FaultReport {
        /// Which.
        pub kind: &'static str,
        /// How many.
        pub count: u64,
        /// The first of them, with line, column, value and what is allowed.
        pub first: String,
    }

    /// How the sensor is mounted.
    pub struct TiltReport {
        /// Nose up.
        pub pitch_deg: f64,
        /// Left side up.
        pub roll_deg: f64,
        /// Time that the sled stood still.
        pub still_s: f64,
        /// What gravity reads then.
        pub reads_g: f64,
        /// How far single seconds of it point apart.
        pub spread_deg: f64,
    }

    /// How the run's time is made up: the last three sum to the first.
    pub struct TimesReport {
        /// From the first row to the last.
        pub whole_s: f64,
        /// On the snow: the sum of the density.
        pub on_snow_s: f64,
        /// In flight.
        pub flight_s: f64,
        /// In gaps.
        pub gaps_s: f64,
        /// Number of flights.
        pub flights: u64,
        /// Number of gaps.
        pub gaps: u64,
    }

    /// Time outside over one limit.
    pub struct CauseReport {
        /// What gives.
        pub gives_first: String,
        /// How long.
        pub time_s: f64,
    }

    /// The run across: hips in the middle, alike to both sides.
    pub struct SidewaysReport {
        /// Time outside, s.
        pub outside_s: f64,
        /// The same as a share of the time on the snow.
        pub outside_share: f64,
        /// Time outside by what gives, longest first.
        pub causes: Vec<CauseReport>,
        /// Events at least as long as asked for.
        pub events: u64,
        /// The hardest moments, hardest first.
        pub moments: Vec<SideMomentReport>,
        /// Single changes for those moments, as for the others.
        pub changes: Vec<ChangeReport>,
    }

    /// A moment outside, sideways.
    pub struct SideMomentReport {
        /// When, s from the first row.
        pub at_s: f64,
        /// Line of the file.
        pub line: u64,
        /// Time outside in it, s.
        pub lasts_s: f64,
        /// Load forward, g.
        pub f_x_g: f64,
        /// Load across, to either side, g.
        pub f_y_g: f64,
        /// Load upward, g.
        pub f_z_g: f64,
        /// How far outside, g.
        pub excess_g: f64,
        /// The stance that held it best.
        pub stance: String,
        /// What gave.
        pub gives_first: String,
    }

    /// A moment outside.
    pub struct MomentReport {
        /// When it was hardest, from the start of the run.
        pub at_s: f64,
        /// Line of the file with that row.
        pub line: u64,
        /// How long the load was outside.
        pub lasts_s: f64,
        /// The hardest load.
        pub f_x_g: f64,
        /// The hardest load, to the left; null where there is no lateral channel.
        pub f_y_g: Option<f64>,
        /// The hardest load.
        pub f_z_g: f64,
        /// How far outside.
        pub excess_g: f64,
        /// The stance that holds it best.
        pub stance: String,
        /// What gives.
        pub gives_first: String,
        /// Length of the flight that it ends; null where it is no landing.
        pub flight_s: Option<f64>,
        /// Speed.
        pub speed_m_s: Option<f64>,
        /// Throttle, in % or in the pressure's bar.
        pub throttle: Option<f64>,
        /// Brake, in % or in the pressure's bar.
        pub brake: Option<f64>,
        /// Number of the lap.
        pub lap: Option<u32>,
        /// East of the first position.
        pub east_m: Option<f64>,
        /// North of it.
        pub north_m: Option<f64>,
    }

    /// A single change.
    pub struct ChangeReport {
        /// Which setting.
        pub setting: &'static str,
        /// What is done.
        pub says: String,
        /// Whether every hard condition is met after it.
        pub fits: bool,
        /// What it breaks.
        pub breaks: Vec<String>,
        /// How many of the moments it would have held.
        pub held: usize,
        /// How far the hardest of them would still be outside, along its way from rest; negative where all are held.
        pub left_g: f64,
        /// Along those ways, by how much the loads would come nearer to the inside, on the mean.
        pub eased_g: f64,
    }

    /// A lap.
    pub struct LapReport {
        /// Its number.
        pub number: u32,
        /// When it starts, from the start of the run.
        pub starts_s: f64,
        /// How long it took.
        pub lasts_s: f64,
        /// Time outside in it.
        pub outside_s: f64,
        /// How many of the hardest moments lie in it.
        pub moments: usize,
    }

    /// Time by load.
    pub struct DensityReport {
        /// Width of a cell.
        pub cell_g: f64,
        /// Time beyond the map.
        pub beyond_s: f64,
        /// Cells with time in them.
        pub cells: Vec<CellReport>,
    }

    /// A cell of it.
    pub struct CellReport {
        /// Its centre.
        pub f_x_g: f64,
        /// Its centre.
        pub f_z_g: f64,
        /// Time in it.
        pub time_s: f64,
    }
}

/// What stands over the single changes.
pub const CHANGES_TITLE: &str = "Single changes for these moments: make one, ride, then judge";

/// Changes and sideways moments that are told in words; our choice.
const TOLD: usize = 5;

/// Everything that is told about a run.
pub struct Found<'a> {
    /// Columns as they were read.
    pub columns: &'a Columns,
    /// What was said about the file's start.
    pub opening: &'a [String],
    /// How it was judged.
    pub options: &'a Options,
    /// The first reading.
    pub surveyed: &'a Surveyed,
    /// The second.
    pub tallied: &'a Tallied,
    /// Stances that it was held against.
    pub stances: Vec<String>,
    /// Single changes for its moments, and for those across.
    pub changes: [Vec<Change>; 2],
}

impl RunReport {
    /// Tells it.
    pub fn new(found: &Found) -> Self {
        let Found {
            surveyed,
            tallied,
            options,
            changes: [changes, across],
            ..
        } = found;
        let (hold, times) = (&tallied.hold, &tallied.times);
        let laps = tallied.track.laps();
        let lap = |moment: &Moment| laps.get(moment.lap).map(|lap| lap.number);
        let share = share(hold, times.ground);
        let mut notes = found.opening.to_vec();
        notes.extend(surveyed.notes(options, found.columns.gravity));
        notes.push(match &tallied.sideways {
            Some(_) => "Single changes are judged by a moment's whole load, across too, hips in the middle.".to_owned(),
            None => "Without a lateral channel single changes are judged in the side view alone.".to_owned(),
        });
        if hold.density.beyond > 0.0 {
            notes.push(format!(
                "{:.1} s lie beyond the map of {REACH:.0} g either way.",
                hold.density.beyond
            ));
        }
        Self {
            says: says(hold, share, options, changes),
            columns: found
                .columns
                .all()
                .iter()
                .map(|c| ColumnReport {
                    role: c.role.name(),
                    name: c.name.clone(),
                    unit: c.unit.name(),
                    reversed: c.reversed,
                })
                .collect(),
            gravity: found.columns.gravity,
            rows: rows(surveyed),
            rate_hz: surveyed.rate(),
            landings_judged: !surveyed.is_too_slow(options),
            cut_off_hz: options.cut_off(),
            longer_than_s: options.dwell(),
            tilt: surveyed.still.map(|still| TiltReport {
                pitch_deg: surveyed.tilt.pitch.deg(),
                roll_deg: surveyed.tilt.roll.deg(),
                still_s: still.seconds,
                reads_g: still.size(),
                spread_deg: still.spread.deg(),
            }),
            times: TimesReport {
                whole_s: times.whole,
                on_snow_s: times.ground,
                flight_s: times.flight,
                gaps_s: times.gaps,
                flights: times.flights,
                gaps: times.gap_count,
            },
            stances: found.stances.clone(),
            outside_s: hold.outside,
            outside_share: share,
            causes: causes(hold),
            events: hold.events,
            brief: hold.brief,
            spikes_s: hold.spikes,
            moments: hold
                .moments
                .iter()
                .map(|m| moment(m, lap(m), tallied.sideways.is_some()))
                .collect(),
            changes: changes.iter().map(change).collect(),
            sideways: tallied
                .sideways
                .as_ref()
                .map(|side| SidewaysReport::new(side, times.ground, across)),
            laps: laps
                .iter()
                .enumerate()
                .map(|(i, lap)| LapReport {
                    number: lap.number,
                    starts_s: lap.starts,
                    lasts_s: lap.lasts,
                    outside_s: lap.outside,
                    moments: hold.moments.iter().filter(|m| m.lap == i).count(),
                })
                .collect(),
            density: DensityReport {
                cell_g: CELL,
                beyond_s: hold.density.beyond,
                cells: hold
                    .density
                    .cells()
                    .map(|c| CellReport {
                        f_x_g: c.at[0],
                        f_z_g: c.at[1],
                        time_s: c.seconds,
                    })
                    .collect(),
            },
            notes,
            cautions: CAUTIONS.to_vec(),
        }
    }
}

/// Time outside as a share of the time on the snow.
fn share(judged: &Judged, ground: f64) -> f64 {
    judged.outside / ground.max(f64::MIN_POSITIVE)
}

fn causes(judged: &Judged) -> Vec<CauseReport> {
    let cause = |c: &super::judge::Cause| CauseReport {
        gives_first: c.gives_first.clone(),
        time_s: c.seconds,
    };
    judged.causes.iter().map(cause).collect()
}

/// What stands over the single changes for the moments across.
pub const SIDE_CHANGES_TITLE: &str = "Single changes for the sideways moments";

/// What stands over the run across.
pub const SIDEWAYS_TITLE: &str = "Sideways, hips in the middle";

impl SidewaysReport {
    fn new(side: &Judged, ground: f64, changes: &[Change]) -> Self {
        Self {
            outside_s: side.outside,
            outside_share: share(side, ground),
            causes: causes(side),
            events: side.events,
            changes: changes.iter().map(change).collect(),
            moments: side
                .moments
                .iter()
                .map(|m| SideMomentReport {
                    at_s: m.at,
                    line: m.line,
                    lasts_s: m.lasts,
                    f_x_g: m.whole[0],
                    f_y_g: m.whole[1],
                    f_z_g: m.whole[2],
                    excess_g: m.excess,
                    stance: m.stance.clone(),
                    gives_first: m.gives_first.clone(),
                })
                .collect(),
        }
    }
}

impl Display for SideMomentReport {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "at {:.2} s (line {}): {:.2} g across, {:+.2} g forward, {:.2} g up, {:.2} g outside; {} gives first in {}",
            self.at_s,
            self.line,
            self.f_y_g,
            self.f_x_g,
            self.f_z_g,
            self.excess_g,
            self.gives_first,
            self.stance
        )
    }
}

impl RunReport {
    /// The run across, line by line; nothing where there is no lateral channel.
    pub fn side_lines(&self) -> Vec<String> {
        let Some(side) = &self.sideways else {
            return Vec::new();
        };
        let mut lines = vec![format!(
            "{:.2} s outside what is held sideways, {:.1} % of the time on the snow, in {}",
            side.outside_s,
            100.0 * side.outside_share,
            many(side.events, "event")
        )];
        lines.extend(side.moments.iter().take(TOLD).map(ToString::to_string));
        lines
    }

    /// How the file was read and what its time was, line by line.
    pub fn reading(&self) -> Vec<String> {
        let way = |reversed| if reversed { ", reversed" } else { "" };
        let column = |c: &ColumnReport| {
            format!("{} \"{}\" in {}{}", c.role, c.name, c.unit, way(c.reversed))
        };
        let columns: Vec<String> = self.columns.iter().map(column).collect();
        let t = &self.times;
        let mut lines = vec![
            format!("columns: {}", columns.join(", ")),
            format!(
                "{} of {} rows, {:.0} a second; low-pass {} Hz; events from {} s",
                self.rows.used, self.rows.all, self.rate_hz, self.cut_off_hz, self.longer_than_s
            ),
            format!(
                "{:.1} s in all: {:.1} s on the snow, {:.1} s in {}, {:.1} s in {}",
                t.whole_s,
                t.on_snow_s,
                t.flight_s,
                many(t.flights, "flight"),
                t.gaps_s,
                many(t.gaps, "gap")
            ),
        ];
        if let Some(tilt) = &self.tilt {
            lines.push(format!(
                "sensor tilted {:.1}\u{b0} nose up, {:.1}\u{b0} left side up, from {:.0} s of standing still",
                tilt.pitch_deg, tilt.roll_deg, tilt.still_s
            ));
        }
        lines.push(format!(
            "outside: {:.2} s ({:.2} %), in {} and {} shorter; chassis spikes, not counted: {:.2} s",
            self.outside_s,
            100.0 * self.outside_share,
            many(self.events, "event"),
            self.brief,
            self.spikes_s
        ));
        let over = |c: &CauseReport| format!("over {}: {:.2} s", c.gives_first, c.time_s);
        lines.extend(self.causes.iter().map(over));
        lines
    }

    /// What stands over the moments.
    pub fn moments_title(&self) -> &'static str {
        if self.moments.len() == MOST_MOMENTS {
            "The ten hardest moments"
        } else {
            "The hardest moments"
        }
    }

    /// The first changes that fit, in words, and how many do not.
    pub fn best_changes(&self) -> Vec<String> {
        best(&self.changes, self.moments.len())
    }

    /// The same for the moments across.
    pub fn best_side_changes(&self) -> Vec<String> {
        let side = self.sideways.as_ref();
        side.map_or_else(Vec::new, |side| best(&side.changes, side.moments.len()))
    }

    /// Laps in words, where there is more than one.
    pub fn lap_lines(&self) -> Vec<String> {
        if self.laps.len() < 2 {
            return Vec::new();
        }
        let told = |lap: &LapReport| {
            format!(
                "lap {}: {:.1} s, {:.2} s of it outside; {} of the hardest moments",
                lap.number, lap.lasts_s, lap.outside_s, lap.moments
            )
        };
        self.laps.iter().map(told).collect()
    }
}

/// Changes that are told of those for so many moments.
fn best(changes: &[ChangeReport], all: usize) -> Vec<String> {
    if all == 0 {
        return Vec::new();
    }
    let told = |c: &ChangeReport| {
        let way = if c.eased_g < 0.0 {
            "farther out"
        } else {
            "nearer to the inside"
        };
        format!(
            "{}: holds {} of {all}; {:.2} g {way} on the mean",
            c.says,
            c.held,
            c.eased_g.abs()
        )
    };
    let fits = changes.iter().filter(|c| c.fits);
    let mut lines: Vec<String> = fits.take(TOLD).map(told).collect();
    match changes.iter().filter(|c| !c.fits).count() {
        0 => {}
        1 => lines.push("one more breaks a limit".to_owned()),
        unfit => lines.push(format!("{unfit} more break a limit")),
    }
    lines
}

impl Display for MomentReport {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "at {:.2} s (line {})", self.at_s, self.line)?;
        if let Some(lap) = self.lap {
            write!(f, ", lap {lap}")?;
        }
        write!(f, ": {:+.2} g forward, ", self.f_x_g)?;
        if let Some(left) = self.f_y_g {
            write!(f, "{left:+.2} g to the left, ")?;
        }
        write!(
            f,
            "{:.2} g up, {:.2} g outside, {:.2} s long; in {} gives {}",
            self.f_z_g, self.excess_g, self.lasts_s, self.stance, self.gives_first
        )?;
        if let Some(flight) = self.flight_s {
            write!(f, "; landing after {flight:.2} s in flight")?;
        }
        if let Some(speed) = self.speed_m_s {
            write!(
                f,
                "; {:.0} km/h",
                speed / ChannelUnit::KilometrePerHour.in_base()
            )?;
        }
        Ok(())
    }
}

fn rows(surveyed: &Surveyed) -> RowsReport {
    let left_out = |(first, count): (&Fault, u64)| FaultReport {
        kind: first.kind.name(),
        count,
        first: first.says.clone(),
    };
    RowsReport {
        all: surveyed.rows.all,
        used: surveyed.rows.used,
        incomplete: surveyed.rows.incomplete,
        left_out: surveyed.faults.kinds().map(left_out).collect(),
    }
}

fn moment(m: &Moment, lap: Option<u32>, lateral: bool) -> MomentReport {
    MomentReport {
        at_s: m.at,
        line: m.line,
        lasts_s: m.lasts,
        f_x_g: m.whole[0],
        f_y_g: lateral.then_some(m.whole[1]),
        f_z_g: m.whole[2],
        excess_g: m.excess,
        stance: m.stance.clone(),
        gives_first: m.gives_first.clone(),
        flight_s: m.flight,
        speed_m_s: m.speed,
        throttle: m.throttle,
        brake: m.brake,
        lap,
        east_m: m.place.map(|p| p[0]),
        north_m: m.place.map(|p| p[1]),
    }
}

fn change(c: &Change) -> ChangeReport {
    ChangeReport {
        setting: c.setting,
        says: c.says.clone(),
        fits: c.fits,
        breaks: c.breaks.clone(),
        held: c.held,
        left_g: c.left,
        eased_g: c.eased,
    }
}

/// The answer in a sentence or two.
fn says(hold: &Judged, share: f64, options: &Options, changes: &[Change]) -> String {
    let dwell = options.dwell();
    if hold.moments.is_empty() {
        return format!(
            "Nothing that lasted {dwell} s or longer lay outside what the stance can hold."
        );
    }
    let mut said = format!(
        "{:.1} % of the time on the snow lay outside what the stance can hold, in {} of {dwell} s or longer.",
        100.0 * share,
        many(hold.events, "event")
    );
    if let Some(cause) = hold.causes.first() {
        said.push_str(&format!(" Mostly gives: {}.", cause.gives_first));
    }
    let all = hold.moments.len();
    let which = if all == MOST_MOMENTS {
        "ten hardest moments".to_owned()
    } else {
        many(all as u64, "moment")
    };
    match changes.first().filter(|c| c.fits) {
        Some(best) if best.held > 0 => said.push_str(&format!(
            " The single change that would have held most, {} of the {which}: {}.",
            best.held, best.says
        )),
        Some(best) if best.eased >= LEAST => said.push_str(&format!(
            " No single change would have held any of the {which}; nearest comes: {} (by {:.2} g on the mean).",
            best.says, best.eased
        )),
        _ => said.push_str(&format!(
            " No single change would have held any of the {which} or eased them."
        )),
    }
    said
}
