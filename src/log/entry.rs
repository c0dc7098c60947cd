//! A checked entry, and the one gate to it.
//!
//! [`Entry::new`] takes the stored form, refuses what cannot be by field, value and range, and keeps the rest
//! unchanged and for good. Limits are our choice: wide enough for whatever is written down, narrow enough that a wrong
//! unit or a whole film is noticed.

use std::sync::Arc;

use thiserror::Error;

use super::form::{
    About, Also, ChangeRecord, ChecksRecord, ConditionsRecord, EntryForm, FeltRecord, LeverForm,
    PhotoRecord, SessionRecord, SetUpForm, ShelfPart, What,
};
use super::id::Id;
use crate::sled::profile::{BarProfile, ClampProfile, SeatProfile};

/// An entry of the book: checked, and never changed, so that clones share it and a book of thousands is cloned quickly.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry(Arc<EntryForm>);

/// Why something is no entry.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum EntryError {
    /// A number outside the allowed range, or none.
    #[error("{field}: {value} is outside the allowed {low} to {high}")]
    OutOfRange {
        /// Path of the field inside the entry.
        field: String,
        /// What was given.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
    },
    /// A text that is empty or too long.
    #[error("{field}: {length} characters; allowed are {least} to {most}")]
    Length {
        /// Path of the field inside the entry.
        field: String,
        /// How many there are.
        length: usize,
        /// Least allowed.
        least: usize,
        /// Most allowed.
        most: usize,
    },
    /// A list with too few or too many things.
    #[error("{field}: {count} in the list; allowed are {least} to {most}")]
    Count {
        /// Path of the field inside the entry.
        field: String,
        /// How many there are.
        count: usize,
        /// Least allowed.
        least: usize,
        /// Most allowed.
        most: usize,
    },
    /// A value that breaks a rule.
    #[error("{field}: \"{value}\" does not do: {rule}")]
    Rule {
        /// Path of the field inside the entry.
        field: String,
        /// What was given, cut to 60 characters.
        value: String,
        /// What must hold.
        rule: &'static str,
    },
    /// Something that must be given here.
    #[error("{field}: missing: {because}")]
    Missing {
        /// Path of the field inside the entry.
        field: String,
        /// Why it is needed.
        because: &'static str,
    },
}

impl EntryError {
    /// Path of the field inside the entry: `what.felt.complaints[0].strength`.
    pub fn field(&self) -> &str {
        match self {
            Self::OutOfRange { field, .. }
            | Self::Length { field, .. }
            | Self::Count { field, .. }
            | Self::Rule { field, .. }
            | Self::Missing { field, .. } => field,
        }
    }
}

/// What a clock may say, ms since 1970. A tablet that ran empty begins at 1970, and what is written on it must be kept.
/// Beyond 2200-01-01 a file is damaged, and its identifiers would push every later one to the end of time.
const CLOCK: (u64, u64) = (0, 7_258_118_400_000);
/// When something may have happened, ms since 1970: from 2000-01-01, as no clock decides it.
const HAPPENED: (u64, u64) = (946_684_800_000, CLOCK.1);
/// Characters of a name.
const NAME: (usize, usize) = (1, 100);
/// Characters of free words.
const WORDS: (usize, usize) = (1, 4000);
/// Things in a list.
const LIST: usize = 200;
/// Characters of an embedded image in base64.
const IMAGE: (usize, usize) = (4, 200_000);

impl Entry {
    /// Check an entry.
    ///
    /// # Errors
    /// Names the first field that cannot be, with its value and what is allowed.
    pub fn new(form: EntryForm) -> Result<Self, EntryError> {
        moment("id", form.id.unix_ms(), CLOCK)?;
        moment("at_ms", form.at_ms, CLOCK)?;
        Self::device_name(&form.device)?;
        if let Some(happened) = form.happened_ms {
            moment("happened_ms", happened, HAPPENED)?;
        }
        if let Some(superseded) = form.supersedes
            && superseded >= form.id
        {
            return Err(rule(
                "supersedes",
                &superseded.to_string(),
                "an entry supersedes only what was there before, and its identifier is the greater",
            ));
        }
        whom(&form)?;
        what(&form.what)?;
        Ok(Self(Arc::new(form)))
    }

    /// Check what a device is called.
    ///
    /// # Errors
    /// Where it is empty or longer than 100 characters.
    pub fn device_name(name: &str) -> Result<(), EntryError> {
        text("device", name, NAME)
    }

    /// Its identifier.
    pub fn id(&self) -> Id {
        self.0.id
    }

    /// The device's clock when it was written, ms since 1970.
    pub fn at_ms(&self) -> u64 {
        self.0.at_ms
    }

    /// When it happened as far as is known, ms since 1970: as stated, or when it was written.
    pub fn happened_ms(&self) -> u64 {
        self.0.happened_ms.unwrap_or(self.0.at_ms)
    }

    /// Which device wrote it.
    pub fn device(&self) -> &str {
        &self.0.device
    }

    /// What it corrects or deletes.
    pub fn supersedes(&self) -> Option<Id> {
        self.0.supersedes
    }

    /// Whom and which sled it is about.
    pub fn about(&self) -> About {
        self.0.about
    }

    /// What it says.
    pub fn what(&self) -> &What {
        &self.0.what
    }

    /// Its stored form.
    pub fn form(&self) -> &EntryForm {
        &self.0
    }

    /// Whether it only takes another entry away.
    pub fn is_deletion(&self) -> bool {
        matches!(self.0.what, What::Deleted(_))
    }

    /// Whether the device's clock is not to be believed: it was set back by more than a minute before this was written,
    /// or never set.
    pub fn is_time_doubtful(&self) -> bool {
        self.0.at_ms < HAPPENED.0 || self.0.id.unix_ms().abs_diff(self.0.at_ms) > 60_000
    }
}

/// What an entry must be about.
fn whom(form: &EntryForm) -> Result<(), EntryError> {
    let (rider, sled) = (form.about.rider, form.about.sled);
    let (needs_rider, needs_sled) = match form.what {
        What::Rider(_) | What::Rides(_) => (true, false),
        What::Sled(_) | What::TapeChecks(_) | What::AlsoChanged(_) => (false, true),
        What::BaseSetUp(_) | What::Change(_) | What::Felt(_) => (true, true),
        _ => (false, false),
    };
    let missing = |field: &str, because| {
        Err(EntryError::Missing {
            field: field.to_owned(),
            because,
        })
    };
    if needs_rider && rider.is_none() {
        return missing(
            "about.rider",
            "an entry of this kind is about a rider; a new rider's own identifier is that of the entry",
        );
    }
    if needs_sled && sled.is_none() {
        return missing(
            "about.sled",
            "an entry of this kind is about a sled; a new sled's own identifier is that of the entry",
        );
    }
    for (field, named) in [("about.rider", rider), ("about.sled", sled)] {
        if let Some(named) = named
            && named > form.id
        {
            return Err(rule(
                field,
                &named.to_string(),
                "it must have been recorded before, and the entry's identifier is the greater",
            ));
        }
    }
    if form.supersedes.is_none() && matches!(form.what, What::Deleted(_)) {
        return missing("supersedes", "a deletion says what it deletes");
    }
    Ok(())
}

fn what(what: &What) -> Result<(), EntryError> {
    let at = |field: &str| format!("what.{}.{field}", what.name());
    match what {
        What::Rider(record) => {
            text(&at("profile.name"), &record.profile.name, NAME)?;
            writable(&at("profile"), &record.profile)
        }
        What::Sled(record) => {
            text(&at("profile.name"), &record.profile.name, NAME)?;
            writable(&at("profile"), &record.profile)
        }
        What::Shelf(record) => {
            match &record.part {
                ShelfPart::Riser(_) => {}
                ShelfPart::Clamp(ClampProfile { name, .. })
                | ShelfPart::Bar(BarProfile { name, .. })
                | ShelfPart::Seat(SeatProfile { name, .. }) => text(&at("part.name"), name, NAME)?,
            }
            writable(&at("part"), &record.part)
        }
        What::Rides(_) => Ok(()),
        What::BaseSetUp(record) => {
            set_up(&at("set_up"), &record.set_up)?;
            optional(&at("note"), record.note.as_deref(), WORDS)
        }
        What::Change(record) => change(&at, record),
        What::Felt(record) => felt(&at, record),
        What::TapeChecks(record) => checks(&at, record),
        What::Conditions(record) => conditions(&at, record),
        What::AlsoChanged(record) => record.answers().into_iter().try_for_each(|(name, also)| {
            let Also::What(words) = also else {
                return Ok(());
            };
            text(&format!("{}.what", at(name)), words, WORDS)
        }),
        What::Session(record) => session(&at, record),
        What::Photo(record) => photo(&at, record),
        What::Note(record) => text(&at("words"), &record.words, WORDS),
        What::Deleted(record) => optional(&at("why"), record.why.as_deref(), WORDS),
    }
}

fn change(at: &impl Fn(&str) -> String, record: &ChangeRecord) -> Result<(), EntryError> {
    set_up(&at("from"), &record.from)?;
    set_up(&at("to"), &record.to)?;
    text(&at("reason"), &record.reason, WORDS)?;
    list(&at("answers"), record.answers.len(), 0)?;
    for (i, complaint) in record.answers.iter().enumerate() {
        name_in_code(&at(&format!("answers[{i}]")), complaint)?;
    }
    list(&at("expected"), record.expected.len(), 0)?;
    for (i, expected) in record.expected.iter().enumerate() {
        let at = |field| at(&format!("expected[{i}].{field}"));
        name_in_code(&at("figure"), &expected.figure)?;
        optional(&at("stance"), expected.stance.as_deref(), NAME)?;
        optional(&at("unit"), expected.unit.as_deref(), (1, 10))?;
        number(&at("from"), expected.from, (-1e6, 1e6))?;
        number(&at("to"), expected.to, (-1e6, 1e6))?;
    }
    list(&at("parts"), record.parts.len(), 0)?;
    for (i, part) in record.parts.iter().enumerate() {
        text(&at(&format!("parts[{i}]")), part, NAME)?;
    }
    match record.minutes {
        Some(minutes) => number(&at("minutes"), minutes, (0.0, 1440.0)),
        None => Ok(()),
    }
}

/// Values are those of any sled: what one sled allows changes with its stock.
fn set_up(field: &str, set_up: &SetUpForm) -> Result<(), EntryError> {
    for (name, value, range) in [
        ("riser_height_mm", set_up.riser_height_mm, (10.0, 400.0)),
        ("riser_angle_deg", set_up.riser_angle_deg, (-90.0, 90.0)),
        ("bar_roll_deg", set_up.bar_roll_deg, (-180.0, 180.0)),
        ("stirrup_mm", set_up.stirrup_mm, (-600.0, 0.0)),
    ] {
        number(&format!("{field}.{name}"), value, range)?;
    }
    for (name, part) in [
        ("seat", &set_up.seat),
        ("clamp", &set_up.clamp),
        ("bar", &set_up.bar),
    ] {
        text(&format!("{field}.{name}"), part, NAME)?;
    }
    for (name, lever) in [("brake", &set_up.brake), ("throttle", &set_up.throttle)] {
        if let Some(lever) = lever {
            self::lever(&format!("{field}.{name}"), lever)?;
        }
    }
    Ok(())
}

fn lever(field: &str, lever: &LeverForm) -> Result<(), EntryError> {
    number(
        &format!("{field}.along_mm"),
        lever.along_mm,
        (-100.0, 400.0),
    )?;
    number(
        &format!("{field}.roll_deg"),
        lever.roll_deg,
        (-360.0, 360.0),
    )?;
    number(
        &format!("{field}.lever_reach_mm"),
        lever.lever_reach_mm,
        (0.0, 200.0),
    )
}

fn felt(at: &impl Fn(&str) -> String, record: &FeltRecord) -> Result<(), EntryError> {
    list(&at("complaints"), record.complaints.len(), 0)?;
    for (i, complaint) in record.complaints.iter().enumerate() {
        let field = at(&format!("complaints[{i}]"));
        name_in_code(&format!("{field}.complaint"), &complaint.complaint)?;
        number(
            &format!("{field}.strength"),
            f64::from(complaint.strength),
            (1.0, 3.0),
        )?;
        let before = &record.complaints[..i];
        if before.iter().any(|b| b.complaint == complaint.complaint) {
            return Err(rule(
                &format!("{field}.complaint"),
                &complaint.complaint,
                "each complaint stands there once",
            ));
        }
    }
    optional(&at("words"), record.words.as_deref(), WORDS)?;
    optional(&at("lap"), record.lap.as_deref(), NAME)?;
    optional(&at("place"), record.place.as_deref(), NAME)
}

fn checks(at: &impl Fn(&str) -> String, record: &ChecksRecord) -> Result<(), EntryError> {
    list(&at("checks"), record.checks.len(), 1)?;
    for (i, check) in record.checks.iter().enumerate() {
        let at = |field| at(&format!("checks[{i}].{field}"));
        text(&at("what"), &check.what, WORDS)?;
        optional(&at("expect"), check.expect.as_deref(), WORDS)?;
        optional(&at("found"), check.found.as_deref(), WORDS)?;
    }
    Ok(())
}

fn conditions(at: &impl Fn(&str) -> String, record: &ConditionsRecord) -> Result<(), EntryError> {
    if let Some(celsius) = record.temperature_c {
        number(&at("temperature_c"), celsius, (-60.0, 40.0))?;
    }
    optional(&at("track"), record.track.as_deref(), NAME)?;
    optional(&at("words"), record.words.as_deref(), WORDS)
}

fn session(at: &impl Fn(&str) -> String, record: &SessionRecord) -> Result<(), EntryError> {
    text(&at("file_name"), &record.file_name, (1, 255))?;
    let hexadecimal = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    if record.sha256.len() != 64 || !record.sha256.bytes().all(hexadecimal) {
        return Err(rule(
            &at("sha256"),
            &record.sha256,
            "a SHA-256 is 64 characters out of 0-9 and a-f",
        ));
    }
    for (name, time) in [("from_ms", record.from_ms), ("to_ms", record.to_ms)] {
        if let Some(time) = time {
            moment(&at(name), time, HAPPENED)?;
        }
    }
    if let (Some(from), Some(to)) = (record.from_ms, record.to_ms)
        && from > to
    {
        return Err(rule(
            &at("to_ms"),
            &to.to_string(),
            "it is not before from_ms",
        ));
    }
    optional(&at("summary"), record.summary.as_deref(), WORDS)
}

fn photo(at: &impl Fn(&str) -> String, record: &PhotoRecord) -> Result<(), EntryError> {
    text(&at("name"), &record.name, (1, 255))?;
    optional(&at("shows"), record.shows.as_deref(), WORDS)?;
    let Some(image) = &record.image else {
        return Ok(());
    };
    let field = at("image.base64");
    let (least, most) = IMAGE;
    let length = image.base64.len();
    if !(least..=most).contains(&length) {
        return Err(EntryError::Length {
            field,
            length,
            least,
            most,
        });
    }
    let bytes = image.base64.trim_end_matches('=');
    let known = |b: u8| b.is_ascii_alphanumeric() || b == b'+' || b == b'/';
    if length % 4 != 0 || length - bytes.len() > 2 || !bytes.bytes().all(known) {
        return Err(rule(
            &field,
            &image.base64,
            "base64 is written in fours of A-Z, a-z, 0-9, + and /, filled up with =",
        ));
    }
    Ok(())
}

fn moment(field: &str, ms: u64, (low, high): (u64, u64)) -> Result<(), EntryError> {
    if (low..=high).contains(&ms) {
        return Ok(());
    }
    Err(EntryError::OutOfRange {
        field: field.to_owned(),
        value: ms as f64,
        low: low as f64,
        high: high as f64,
    })
}

fn number(field: &str, value: f64, (low, high): (f64, f64)) -> Result<(), EntryError> {
    // A number that is none lies in no range.
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(EntryError::OutOfRange {
        field: field.to_owned(),
        value,
        low,
        high,
    })
}

fn text(field: &str, text: &str, (least, most): (usize, usize)) -> Result<(), EntryError> {
    // Blanks are no words.
    let length = if text.trim().is_empty() {
        0
    } else {
        text.chars().count()
    };
    if (least..=most).contains(&length) {
        return Ok(());
    }
    Err(EntryError::Length {
        field: field.to_owned(),
        length,
        least,
        most,
    })
}

fn optional(field: &str, words: Option<&str>, range: (usize, usize)) -> Result<(), EntryError> {
    words.map_or(Ok(()), |words| text(field, words, range))
}

fn list(field: &str, count: usize, least: usize) -> Result<(), EntryError> {
    if (least..=LIST).contains(&count) {
        return Ok(());
    }
    Err(EntryError::Count {
        field: field.to_owned(),
        count,
        least,
        most: LIST,
    })
}

/// Complaints and figures go by names as the program writes them.
fn name_in_code(field: &str, name: &str) -> Result<(), EntryError> {
    let known = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
    if (1..=60).contains(&name.len()) && name.bytes().all(known) {
        return Ok(());
    }
    Err(rule(
        field,
        name,
        "a name is 1 to 60 characters out of a-z, 0-9 and _",
    ))
}

fn rule(field: &str, value: &str, rule: &'static str) -> EntryError {
    EntryError::Rule {
        field: field.to_owned(),
        value: value.chars().take(60).collect(),
        rule,
    }
}

/// JSON has no word for a number that is none: what would be written could not be read again.
fn writable<T>(field: &str, profile: &T) -> Result<(), EntryError>
where
    T: serde::Serialize + serde::de::DeserializeOwned + PartialEq,
{
    let back = serde_json::to_string_pretty(profile)
        .ok()
        .and_then(|text| serde_json::from_str::<T>(&text).ok());
    if back.as_ref() == Some(profile) {
        return Ok(());
    }
    Err(rule(
        field,
        "a number that is none",
        "every number in it must be finite",
    ))
}
