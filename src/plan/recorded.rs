//! A recorded run as it is shown: what a file has, and what came of it, in words and drawings.

use serde::{Deserialize, Serialize};

use crate::fit::{Request, SetUp};
use crate::run::report::{CHANGES_TITLE, Found, RunReport, SIDE_CHANGES_TITLE, SIDEWAYS_TITLE};
use crate::run::{
    self, Channels, Columns, ColumnsError, Opening, Options, Region, RunError, Surveyed, Tallied,
    held,
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
    Ok(Looked {
        shown: (0..opening.names.len()).map(|i| opening.shown(i)).collect(),
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

impl Judged<'_> {
    /// Tells it, with what every single change of the set-up would have held.
    pub fn report(&self, request: &Request, set_up: &SetUp) -> RunReport {
        let loads = |judged: &run::Judged| -> Vec<[f64; 3]> {
            judged.moments.iter().map(|m| m.whole).collect()
        };
        let along = loads(&self.tallied.hold);
        let across = self.tallied.sideways.as_ref().map(loads);
        let across = across.unwrap_or_default();
        RunReport::new(&Found {
            columns: &self.ready.columns,
            opening: &self.opening.notes,
            options: &self.ready.options,
            surveyed: self.surveyed,
            tallied: self.tallied,
            stances: self.stances.iter().map(|s| s.name.clone()).collect(),
            changes: held::changes(request, set_up, self.stances, [&along, &across]),
        })
    }

    /// Draws it on a hold envelope, at a size in px: that of the stance that holds the hardest moment best, or of the
    /// first. Nothing where the set-up has no such stance.
    pub fn envelope(&self, set_up: &SetUp, (width, height): (f64, f64)) -> Option<EnvelopeView> {
        let moments = &self.tallied.hold.moments;
        let hardest = moments.first().map(|m| &m.stance);
        let front = hardest.or(self.regions.first().map(|r| &r.name))?;
        let result = set_up.stances.iter().find(|s| s.name == *front)?;
        let at: Vec<(f64, f64)> = moments.iter().map(|m| (m.f[0], m.f[1])).collect();
        let recorded = Recorded {
            density: &self.tallied.hold.density,
            regions: self.regions,
            moments: &at,
        };
        Some(envelope_with_run(&result.hold, &recorded, width, height))
    }

    /// Draws its hardest moments on its track, at a size in px. Nothing where the run has no positions.
    pub fn track(&self, (width, height): (f64, f64)) -> Option<EnvelopeView> {
        track(
            &self.tallied.track,
            &self.tallied.hold.moments,
            width,
            height,
        )
    }
}

/// Tells and draws it for the page.
pub fn shown(request: &Request, set_up: &SetUp, judged: &Judged, width: f64) -> Shown {
    let report = judged.report(request, set_up);
    let part = |title: &str, lines: Vec<String>| Part {
        title: title.to_owned(),
        lines,
        numbered: false,
    };
    let lines = report.moments.iter().map(ToString::to_string).collect();
    let moments = part(report.moments_title(), lines);
    let cautions = report.cautions.iter().map(|c| (*c).to_owned()).collect();
    let mut parts = vec![
        Part {
            numbered: true,
            ..moments
        },
        part(CHANGES_TITLE, report.best_changes()),
        part(SIDEWAYS_TITLE, report.side_lines()),
        part(SIDE_CHANGES_TITLE, report.best_side_changes()),
        part("Laps", report.lap_lines()),
        part("What to know", report.notes.clone()),
        part("How it was read", report.reading()),
        part("Cautions", cautions),
    ];
    parts.retain(|part| !part.lines.is_empty());
    Shown {
        says: report.says,
        against: format!("Held against: {}.", report.stances.join(", ")),
        parts,
        envelope: judged.envelope(set_up, (width, 0.85 * width)).map(drawn),
        track: judged.track((width, 0.7 * width)).map(drawn),
    }
}

fn drawn(view: EnvelopeView) -> Drawn {
    Drawn {
        size: view.size,
        content: svg::envelope_content(&view),
        title: view.title,
        omitted: view.omitted,
    }
}
