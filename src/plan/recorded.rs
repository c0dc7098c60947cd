//! A recorded run as the page shows it: what a file has, and what came of it, in words and drawings.

use serde::{Deserialize, Serialize};

use crate::fit::{Request, SetUp};
use crate::run::report::{CHANGES_TITLE, Found, RunReport, SIDEWAYS_TITLE};
use crate::run::{
    Channels, Columns, ColumnsError, Opening, Options, Region, RunError, Surveyed, Tallied, held,
};
use crate::stance::Stance;
use crate::view::envelope::{EnvelopeView, Recorded, envelope_with_run};
use crate::view::svg;
use crate::view::track::track;

/// What the start of a file says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Looked {
    /// Names of its columns.
    pub names: Vec<String>,
    /// What stands in each in the first rows.
    pub shown: Vec<String>,
    /// What a reader should know.
    pub notes: Vec<String>,
    /// Which column is which: the mapping that was kept, if it goes with the file, or a guess. Its stored form.
    pub columns: String,
    /// Whether it is the kept one.
    pub kept: bool,
}

/// A judged run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shown {
    /// The answer in a sentence or two.
    pub says: String,
    /// What the run was held against.
    pub against: String,
    /// Parts with a heading and lines; the moments are numbered as in the drawings.
    pub parts: Vec<Part>,
    /// The run on the hold envelope.
    pub envelope: Option<Drawn>,
    /// Its hardest moments on the track.
    pub track: Option<Drawn>,
}

/// A heading and its lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// The heading.
    pub title: String,
    /// Its lines.
    pub lines: Vec<String>,
    /// Whether their order is a number.
    pub numbered: bool,
}

/// A finished drawing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drawn {
    /// Size, px.
    pub size: (f64, f64),
    /// What it shows.
    pub title: String,
    /// What is inside the `svg` element.
    pub content: String,
    /// Labels that found no room.
    pub omitted: Vec<String>,
}

/// How a run is to be judged, as a person chose it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Wish {
    /// Which column is which, in its stored form.
    pub columns: String,
    /// The stance; none: the standing one that holds best.
    pub stance: Option<String>,
    /// Cut-off of the low-pass, Hz.
    pub cut_off_hz: f64,
    /// Least time outside, s.
    pub longer_than_s: f64,
    /// Width of the drawings, px.
    pub width: f64,
}

/// Look at the start of a file, with the mapping that was kept from the last one.
///
/// # Errors
/// Where it is no table of numbers.
pub fn look(head: &[u8], whole: bool, kept: Option<&str>) -> Result<Looked, RunError> {
    let opening = Opening::read(head, whole)?;
    let before = kept.and_then(|text| Columns::read(text).ok());
    let fits = before.filter(|columns| columns.on(&opening).is_ok());
    let kept = fits.is_some();
    let columns = fits.unwrap_or_else(|| Columns::guess(&opening));
    let shown = |place: usize| {
        let rows = opening.preview.iter().take(3);
        let cells: Vec<&str> = rows
            .filter_map(|row| row.get(place).map(String::as_str))
            .filter(|cell| !cell.is_empty())
            .collect();
        cells.join(", ")
    };
    Ok(Looked {
        shown: (0..opening.names.len()).map(shown).collect(),
        // A mapping holds nothing that cannot be written.
        columns: columns.write().unwrap_or_default(),
        names: opening.names,
        notes: opening.notes,
        kept,
    })
}

/// What a wish means for a file.
pub struct Ready {
    /// The mapping.
    pub columns: Columns,
    /// Its channels.
    pub channels: Channels,
    /// How the run is judged.
    pub options: Options,
}

impl Wish {
    /// Check it against a file.
    ///
    /// # Errors
    /// In words: a column, a unit or a number that cannot be.
    pub fn on(&self, opening: &Opening) -> Result<Ready, String> {
        let words = |e: ColumnsError| e.to_string();
        let columns = Columns::read(&self.columns).map_err(words)?;
        let channels = columns.on(opening).map_err(words)?;
        let options =
            Options::new(self.cut_off_hz, self.longer_than_s).map_err(|e| e.to_string())?;
        Ok(Ready {
            columns,
            channels,
            options,
        })
    }
}

/// Everything about a run that was read.
pub struct Judged<'a> {
    /// The file's start.
    pub opening: &'a Opening,
    /// How it was judged.
    pub ready: &'a Ready,
    /// The first reading.
    pub surveyed: &'a Surveyed,
    /// The second.
    pub tallied: &'a Tallied,
    /// The stances.
    pub stances: &'a [&'a Stance],
    /// Their envelopes.
    pub regions: &'a [Region],
}

/// Tell it, with what every single change would have held.
pub fn shown(request: &Request, set_up: &SetUp, judged: &Judged, width: f64) -> Shown {
    let moments = &judged.tallied.hold.moments;
    let loads: Vec<[f64; 2]> = moments.iter().map(|m| m.f).collect();
    let changes = held::changes(request, set_up, judged.stances, &loads);
    let report = RunReport::new(&Found {
        columns: &judged.ready.columns,
        opening: &judged.opening.notes,
        options: &judged.ready.options,
        surveyed: judged.surveyed,
        tallied: judged.tallied,
        stances: judged.stances.iter().map(|s| s.name.clone()).collect(),
        changes: &changes,
    });
    let part = |title: &str, lines: Vec<String>| Part {
        title: title.to_owned(),
        lines,
        numbered: false,
    };
    let mut parts = vec![
        Part {
            numbered: true,
            ..part(
                report.moments_title(),
                report.moments.iter().map(ToString::to_string).collect(),
            )
        },
        part(CHANGES_TITLE, report.best_changes()),
        part(SIDEWAYS_TITLE, report.side_lines()),
        part("Laps", report.lap_lines()),
        part("What to know", report.notes.clone()),
        part("How it was read", report.reading()),
    ];
    parts.retain(|part| !part.lines.is_empty());
    let front = front(set_up, judged);
    let at: Vec<(f64, f64)> = moments.iter().map(|m| (m.f[0], m.f[1])).collect();
    let recorded = Recorded {
        density: &judged.tallied.hold.density,
        regions: judged.regions,
        moments: &at,
    };
    let envelope = front
        .map(|result| envelope_with_run(&result.hold, &recorded, width, 0.85 * width))
        .map(drawn);
    Shown {
        says: report.says,
        against: format!("Held against: {}.", report.stances.join(", ")),
        parts,
        envelope,
        track: track(&judged.tallied.track, moments, width, 0.7 * width).map(drawn),
    }
}

/// The stance whose envelope is drawn: the one that holds the hardest moment best, or the first.
fn front<'a>(set_up: &'a SetUp, judged: &Judged) -> Option<&'a crate::fit::StanceResult> {
    let hardest = judged.tallied.hold.moments.first().map(|m| &m.stance);
    let name = hardest.or(judged.regions.first().map(|r| &r.name))?;
    set_up.stances.iter().find(|s| s.name == *name)
}

fn drawn(view: EnvelopeView) -> Drawn {
    Drawn {
        size: view.size,
        content: svg::envelope_content(&view),
        title: view.title,
        omitted: view.omitted,
    }
}
