//! Forms of entries that are words, choices and a few numbers: which fields there are, and what is typed in them read as
//! what an entry says, with what is wrong beside its field.
//!
//! One table per kind. A text stays as it was typed; the book's own gate ([`Entry::new`]) has the last word on every
//! value.

use super::pen::{Beside, Pen};
use crate::log::form::{
    Also, AlsoChangedRecord, ComplaintForm, ConditionsRecord, FeltRecord, ImageForm, Media,
    NoteRecord, PhotoRecord, Roughness, SessionRecord, Snow,
};
use crate::log::{Entry, EntryError, Like, What, when};
use crate::order::Map;
use crate::plan::Kind;
use crate::plan::entry::Units;

/// Which form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sheet {
    /// What the rider said.
    Felt,
    /// Snow, weather, track.
    Conditions,
    /// What else was changed.
    AlsoChanged,
    /// A logged session.
    Session,
    /// A photo.
    Photo,
    /// A note.
    Note,
}

/// A field of a form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Its name, as the entry's stored form has it where it has one.
    pub key: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// How it is filled in.
    pub how: &'static str,
    /// It is asked only where another field holds this.
    pub only: Option<(&'static str, &'static str)>,
}

/// What is typed, by field.
pub type Texts = Map<String, String>;

/// What is wrong, by field; what speaks of no field stands under the empty name.
pub type Wrong = Map<String, String>;

/// Field of a photo's small picture: a JPEG in base64.
pub const IMAGE: &str = "image";

/// Characters that the picture of a photo may have at the most.
pub const IMAGE_MOST: usize = 200_000;

/// Field of the moment, on every form.
pub const WHEN: &str = "when";

const MS_PER_MINUTE: u64 = 60_000;

const fn field(key: &'static str, label: &'static str, kind: Kind, how: &'static str) -> Field {
    Field {
        key,
        label,
        kind,
        how,
        only: None,
    }
}

const fn what(key: &'static str, label: &'static str, of: &'static str) -> Field {
    Field {
        key,
        label,
        kind: Kind::Text,
        how: "",
        only: Some((of, "what")),
    }
}

/// Snow as it is chosen: the stored word, and what people read.
pub const SNOW: &[(&str, &str)] = &[
    ("", "not written down"),
    ("fresh", Snow::Fresh.label()),
    ("packed", Snow::Packed.label()),
    ("sugar", Snow::Sugar.label()),
    ("wet", Snow::Wet.label()),
    ("ice", Snow::Ice.label()),
    ("man_made", Snow::ManMade.label()),
];

/// Roughness as it is chosen.
pub const ROUGHNESS: &[(&str, &str)] = &[
    ("", "not written down"),
    ("smooth", Roughness::Smooth.label()),
    ("chopped", Roughness::Chopped.label()),
    ("rough", Roughness::Rough.label()),
    ("deep_holes", Roughness::DeepHoles.label()),
];

const ALSO: Kind = Kind::Choice(&[
    ("not_asked", "not asked"),
    ("none", "nothing"),
    ("what", "this:"),
]);

/// Things beside the cockpit, in the order in which they are asked.
pub const THINGS: [&str; 5] = ["suspension", "skis", "track", "clutching", "brakes"];

const FELT: &[Field] = &[
    field("lap", "Lap or heat", Kind::Text, "Such as heat 2, lap 6."),
    field("place", "Where", Kind::Text, "A corner, a jump, a stretch."),
    field("words", "In the rider’s words", Kind::Text, ""),
];

const CONDITIONS: &[Field] = &[
    field("snow", "Snow", Kind::Choice(SNOW), ""),
    field("temperature_c", "Air temperature, °C", Kind::Number, ""),
    field("roughness", "How rough", Kind::Choice(ROUGHNESS), ""),
    field("track", "Track", Kind::Text, "What you call it."),
    field("words", "Anything else", Kind::Text, ""),
];

const ALSO_CHANGED: &[Field] = &[
    field("suspension", "Suspension", ALSO, ""),
    what("suspension_what", "What of the suspension", "suspension"),
    field("skis", "Skis", ALSO, ""),
    what("skis_what", "What of the skis", "skis"),
    field("track", "Drive track", ALSO, ""),
    what("track_what", "What of the drive track", "track"),
    field("clutching", "Clutching", ALSO, ""),
    what("clutching_what", "What of the clutching", "clutching"),
    field("brakes", "Brakes", ALSO, ""),
    what("brakes_what", "What of the brakes", "brakes"),
];

const SESSION: &[Field] = &[
    field("file_name", "File’s name", Kind::Text, ""),
    field(
        "sha256",
        "Its SHA-256",
        Kind::Text,
        "By which the file is known again; it is worked out when you choose the file.",
    ),
    field(
        "from_ms",
        "First moment",
        Kind::Text,
        "Such as 2026-02-14 13:05; optional.",
    ),
    field("to_ms", "Last moment", Kind::Text, "Optional."),
    field("summary", "What it shows", Kind::Text, ""),
];

const PHOTO: &[Field] = &[
    field(
        "name",
        "What it is called where you keep it",
        Kind::Text,
        "",
    ),
    field("shows", "What it shows", Kind::Text, ""),
];

const NOTE: &[Field] = &[field("words", "Note", Kind::Text, "")];

impl Sheet {
    /// Those that stand for themselves: what was felt has a way of its own.
    pub const OTHERS: [Self; 5] = [
        Self::Conditions,
        Self::AlsoChanged,
        Self::Session,
        Self::Photo,
        Self::Note,
    ];

    /// What it is called.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Felt => "What the rider said",
            Self::Conditions => "Conditions",
            Self::AlsoChanged => "What else was changed",
            Self::Session => "A logged session",
            Self::Photo => "A photo",
            Self::Note => "A note",
        }
    }

    /// Its name in an address.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Felt => "felt",
            Self::Conditions => "conditions",
            Self::AlsoChanged => "also",
            Self::Session => "session",
            Self::Photo => "photo",
            Self::Note => "note",
        }
    }

    /// Its fields.
    pub const fn fields(self) -> &'static [Field] {
        match self {
            Self::Felt => FELT,
            Self::Conditions => CONDITIONS,
            Self::AlsoChanged => ALSO_CHANGED,
            Self::Session => SESSION,
            Self::Photo => PHOTO,
            Self::Note => NOTE,
        }
    }

    /// The form of an entry that is to be corrected, filled in; `None` where the entry has another way.
    pub fn of(what: &What, offset: i32) -> Option<(Self, Texts)> {
        let mut texts = Texts::new();
        let mut put = |key: &str, text: Option<String>| {
            if let Some(text) = text {
                texts.insert(key.to_owned(), text);
            }
        };
        let moment = |ms: Option<u64>| ms.map(|ms| when::date_time(ms, offset));
        let sheet = match what {
            What::Felt(record) => {
                put("lap", record.lap.clone());
                put("place", record.place.clone());
                put("words", record.words.clone());
                for complaint in &record.complaints {
                    let key = format!("{COMPLAINT}{}", complaint.complaint);
                    put(&key, Some(complaint.strength.to_string()));
                }
                Self::Felt
            }
            What::Conditions(record) => {
                put("snow", record.snow.and_then(|s| stored(SNOW, s.label())));
                put("temperature_c", record.temperature_c.map(|c| c.to_string()));
                let rough = record.roughness;
                put(
                    "roughness",
                    rough.and_then(|r| stored(ROUGHNESS, r.label())),
                );
                put("track", record.track.clone());
                put("words", record.words.clone());
                Self::Conditions
            }
            What::AlsoChanged(record) => {
                for (thing, also) in record.answers() {
                    let chosen = match also {
                        Also::None => "none",
                        Also::NotAsked => "not_asked",
                        Also::What(words) => {
                            put(&format!("{thing}_what"), Some(words.clone()));
                            "what"
                        }
                    };
                    put(thing, Some(chosen.to_owned()));
                }
                Self::AlsoChanged
            }
            What::Session(record) => {
                put("file_name", Some(record.file_name.clone()));
                put("sha256", Some(record.sha256.clone()));
                put("from_ms", moment(record.from_ms));
                put("to_ms", moment(record.to_ms));
                put("summary", record.summary.clone());
                Self::Session
            }
            What::Photo(record) => {
                put("name", Some(record.name.clone()));
                put("shows", record.shows.clone());
                Self::Photo
            }
            What::Note(record) => {
                put("words", Some(record.words.clone()));
                Self::Note
            }
            _ => return None,
        };
        Some((sheet, texts))
    }

    /// Read the form and write its entry.
    ///
    /// `former` is the entry that is corrected: what the form has no field for stays as it was there.
    ///
    /// # Errors
    /// What is wrong, by field.
    pub fn write(
        self,
        texts: &Texts,
        former: Option<&What>,
        offset: i32,
        beside: Beside,
        pen: &mut Pen,
    ) -> Result<Entry, Wrong> {
        let beside = Beside {
            happened_ms: moment(WHEN, texts, beside.happened_ms, offset)?,
            ..beside
        };
        let what = self.read(texts, former, offset)?;
        pen.write(beside, what).map_err(|error| blamed(&error))
    }

    fn read(self, texts: &Texts, former: Option<&What>, offset: i32) -> Result<What, Wrong> {
        let text = |key: &str| filled(texts, key);
        let given = |key: &str| text(key).unwrap_or_default();
        Ok(match self {
            Self::Felt => What::Felt(FeltRecord {
                complaints: complaints(texts)?,
                words: text("words"),
                lap: text("lap"),
                place: text("place"),
            }),
            Self::Conditions => {
                let record = conditions(texts)?;
                if Like::of(&record).is_any() && record.words.is_none() {
                    return Err(said(
                        "",
                        "Nothing is filled in yet: give at least one of these.",
                    ));
                }
                What::Conditions(record)
            }
            Self::AlsoChanged => {
                let also = |thing: &str| match given(thing).as_str() {
                    "none" => Also::None,
                    "what" => Also::What(given(&format!("{thing}_what"))),
                    _ => Also::NotAsked,
                };
                What::AlsoChanged(AlsoChangedRecord {
                    suspension: also("suspension"),
                    skis: also("skis"),
                    track: also("track"),
                    clutching: also("clutching"),
                    brakes: also("brakes"),
                })
            }
            Self::Session => {
                let (from, to) = match former {
                    Some(What::Session(record)) => (record.from_ms, record.to_ms),
                    _ => (None, None),
                };
                What::Session(SessionRecord {
                    file_name: given("file_name"),
                    sha256: given("sha256").to_lowercase(),
                    from_ms: moment("from_ms", texts, from, offset)?,
                    to_ms: moment("to_ms", texts, to, offset)?,
                    summary: text("summary"),
                })
            }
            Self::Photo => What::Photo(PhotoRecord {
                name: given("name"),
                image: match (text(IMAGE), former) {
                    (Some(base64), _) => Some(ImageForm {
                        media: Media::Jpeg,
                        base64,
                    }),
                    (None, Some(What::Photo(record))) => record.image.clone(),
                    _ => None,
                },
                shows: text("shows"),
            }),
            Self::Note => What::Note(NoteRecord {
                words: given("words"),
            }),
        })
    }
}

/// Before a complaint's name, the key of its strength.
pub const COMPLAINT: &str = "complaint.";

fn complaints(texts: &Texts) -> Result<Vec<ComplaintForm>, Wrong> {
    let named = texts.iter().filter_map(|(key, strength)| {
        let complaint = key.strip_prefix(COMPLAINT)?;
        (!strength.is_empty()).then_some((key, complaint, strength))
    });
    named
        .map(|(key, complaint, strength)| {
            let strength = strength.parse().map_err(|_| {
                said(
                    key,
                    &format!("\u{201c}{strength}\u{201d} is none of 1, 2 and 3"),
                )
            })?;
            Ok(ComplaintForm {
                complaint: complaint.to_owned(),
                strength,
            })
        })
        .collect()
}

/// Conditions as far as they are filled in; none of them is fine.
///
/// # Errors
/// What is wrong, by field.
pub fn conditions(texts: &Texts) -> Result<ConditionsRecord, Wrong> {
    let temperature = filled(texts, "temperature_c")
        .map(|text| {
            // Of a unit that is typed along only the one that is meant is understood.
            let bare = text
                .trim_end_matches('C')
                .trim_end_matches(['°', '\u{a0}', ' ']);
            Kind::Number
                .number(bare, None, Units::Metric)
                .map_err(|error| said("temperature_c", &error.to_string()))
        })
        .transpose()?;
    Ok(ConditionsRecord {
        snow: texts.get("snow").and_then(|word| snow(word)),
        temperature_c: temperature,
        roughness: texts.get("roughness").and_then(|word| roughness(word)),
        track: filled(texts, "track"),
        words: filled(texts, "words"),
    })
}

/// The snow of a stored word; `None` where the word is none of them.
pub fn snow(word: &str) -> Option<Snow> {
    chosen(Snow::ALL, |s| s.label(), SNOW, word)
}

/// The roughness of a stored word, likewise.
pub fn roughness(word: &str) -> Option<Roughness> {
    chosen(Roughness::ALL, |r| r.label(), ROUGHNESS, word)
}

fn chosen<T: Copy>(
    all: &[T],
    label: impl Fn(T) -> &'static str,
    table: &[(&str, &str)],
    word: &str,
) -> Option<T> {
    let (_, says) = table.iter().find(|(stored, _)| *stored == word)?;
    all.iter().copied().find(|one| label(*one) == *says)
}

fn stored(table: &[(&str, &str)], label: &str) -> Option<String> {
    let row = table.iter().find(|(_, says)| *says == label);
    row.map(|(word, _)| (*word).to_owned())
}

/// What is typed into a field; `None` where it is empty.
pub fn filled(texts: &Texts, key: &str) -> Option<String> {
    let text = texts.get(key)?.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// A moment as typed. A form shows minutes: what is left as it was keeps its seconds.
fn moment(key: &str, texts: &Texts, was: Option<u64>, offset: i32) -> Result<Option<u64>, Wrong> {
    let Some(text) = filled(texts, key) else {
        return Ok(None);
    };
    let typed = when::parse(&text, offset).ok_or_else(|| {
        said(
            key,
            &format!("\u{201c}{text}\u{201d} is no date and time such as 2026-02-14 13:05"),
        )
    })?;
    let as_it_was = was.filter(|was| was / MS_PER_MINUTE == typed / MS_PER_MINUTE);
    Ok(Some(as_it_was.unwrap_or(typed)))
}

/// All that is wrong, in words.
pub fn in_words(wrong: Wrong) -> String {
    wrong.into_values().collect::<Vec<_>>().join("; ")
}

/// One complaint about one field.
pub fn said(key: &str, words: &str) -> Wrong {
    Wrong::from([(key.to_owned(), words.to_owned())])
}

/// What the book's gate refused, at the form's field that it speaks of.
pub fn blamed(error: &EntryError) -> Wrong {
    let path = error.field();
    let whole = error.to_string();
    let words = whole
        .strip_prefix(path)
        .and_then(|rest| rest.strip_prefix(": "))
        .unwrap_or(&whole);
    let key = match path.strip_suffix(".what") {
        Some(thing) => format!("{}_what", last(thing)),
        None if path == "happened_ms" => WHEN.to_owned(),
        None => last(path).to_owned(),
    };
    said(&key, words)
}

fn last(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{About, Book, DEMO, Id, Reading};

    fn texts(pairs: &[(&str, &str)]) -> Texts {
        let owned = pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()));
        owned.collect()
    }

    fn write(sheet: Sheet, pairs: &[(&str, &str)]) -> Result<Entry, Wrong> {
        let book = Book::read(DEMO).unwrap();
        let about = Reading::new(&book).pairs().next().unwrap();
        let random = || [3; 10];
        let mut pen = Pen::on(&book, 1_771_000_000_000, "bench", random);
        let beside = Beside::from(About::both(about.0, about.1));
        sheet.write(&texts(pairs), None, 60, beside, &mut pen)
    }

    /// A form has its complaints in the order of their names.
    fn sorted(what: &What) -> What {
        let mut what = what.clone();
        if let What::Felt(record) = &mut what {
            record
                .complaints
                .sort_by(|a, b| a.complaint.cmp(&b.complaint));
        }
        what
    }

    #[test]
    fn every_entry_of_the_demo_comes_back_through_its_form() {
        let book = Book::read(DEMO).unwrap();
        let random = || [5; 10];
        let mut seen = 0;
        for entry in book.entries() {
            let Some((sheet, texts)) = Sheet::of(entry.what(), 60) else {
                continue;
            };
            seen += 1;
            let mut pen = Pen::on(&book, 1_771_000_000_000, "bench", random);
            let beside = Beside {
                about: entry.about(),
                happened_ms: None,
                supersedes: Some(entry.id()),
            };
            let again = sheet.write(&texts, Some(entry.what()), 60, beside, &mut pen);
            let again = again.unwrap_or_else(|w| panic!("{w:?}"));
            assert_eq!(sorted(again.what()), sorted(entry.what()));
            assert_eq!(again.supersedes(), Some(entry.id()));
        }
        assert!(seen > 25, "{seen}");
    }

    #[test]
    fn what_is_wrong_stands_at_its_field_with_value_and_range() {
        let wrong = |sheet, pairs: &[(&str, &str)]| write(sheet, pairs).unwrap_err();
        let cold = wrong(Sheet::Conditions, &[("temperature_c", "-80")]);
        assert_eq!(
            cold["temperature_c"],
            "-80 is outside the allowed -60 to 40"
        );
        assert!(
            wrong(Sheet::Conditions, &[("temperature_c", "cold")]).contains_key("temperature_c")
        );
        assert!(wrong(Sheet::Conditions, &[]).contains_key(""));
        assert!(wrong(Sheet::Note, &[("words", " ")])["words"].starts_with("0 characters"));
        let also = wrong(Sheet::AlsoChanged, &[("skis", "what")]);
        assert!(also["skis_what"].starts_with("0 characters"), "{also:?}");
        let session = wrong(
            Sheet::Session,
            &[("file_name", "run.csv"), ("sha256", "zz")],
        );
        assert!(session["sha256"].contains("64 characters"));
        let when = wrong(Sheet::Note, &[("words", "a"), (WHEN, "14.2.2026")]);
        assert!(when[WHEN].contains("2026-02-14 13:05"));
        let early = wrong(Sheet::Note, &[("words", "a"), (WHEN, "1999-01-01")]);
        assert!(early[WHEN].contains("outside"), "{early:?}");
        let hard = wrong(Sheet::Felt, &[("complaint.numb_hands", "9")]);
        assert!(hard["strength"].contains("9 is outside the allowed 1 to 3"));
        let large = "A".repeat(IMAGE_MOST + 4);
        let photo = wrong(Sheet::Photo, &[("name", "a.jpg"), (IMAGE, &large)]);
        assert!(
            photo["base64"].contains("allowed are 4 to 200000"),
            "{photo:?}"
        );
        let fits = [("name", "a.jpg"), (IMAGE, &large[..IMAGE_MOST])];
        assert!(
            matches!(write(Sheet::Photo, &fits).unwrap().what(), What::Photo(p) if p.image.is_some())
        );
    }

    #[test]
    fn a_filled_form_is_an_entry_about_its_moment() {
        let entry = write(
            Sheet::Conditions,
            &[
                ("temperature_c", "−9,5 °C"),
                ("snow", "packed"),
                (WHEN, "2026-02-01T09:30"),
            ],
        )
        .unwrap();
        let What::Conditions(record) = entry.what() else {
            panic!("{entry:?}")
        };
        assert_eq!(
            (record.temperature_c, record.snow),
            (Some(-9.5), Some(Snow::Packed))
        );
        assert_eq!(when::date_time(entry.happened_ms(), 60), "2026-02-01 09:30");
        let felt = write(
            Sheet::Felt,
            &[("complaint.numb_hands", "2"), ("complaint.x", "")],
        )
        .unwrap();
        let What::Felt(record) = felt.what() else {
            panic!("{felt:?}")
        };
        assert_eq!(record.complaints.len(), 1);
        let _: Id = felt.id();
    }

    #[test]
    fn every_choice_is_stored_under_the_word_that_the_book_knows() {
        for (word, _) in SNOW.iter().skip(1) {
            let snow: Snow = serde_json::from_str(&format!("\"{word}\"")).unwrap();
            assert_eq!(stored(SNOW, snow.label()).as_deref(), Some(*word));
        }
        for (word, _) in ROUGHNESS.iter().skip(1) {
            let rough: Roughness = serde_json::from_str(&format!("\"{word}\"")).unwrap();
            assert_eq!(stored(ROUGHNESS, rough.label()).as_deref(), Some(*word));
        }
        assert_eq!(
            (SNOW.len(), ROUGHNESS.len()),
            (Snow::ALL.len() + 1, Roughness::ALL.len() + 1)
        );
        for sheet in Sheet::OTHERS {
            assert!(!sheet.fields().is_empty() && !sheet.label().is_empty());
        }
    }
}
