//! The mechanic's book: nothing is lost, whoever merges what in which order; what it says follows from its entries.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use proptest::prelude::*;
use proptest::sample::Index;
use sledstance::log::form::{
    Also, AlsoChangedRecord, BookForm, ChangeRecord, ChecksRecord, ComplaintForm, ConditionsRecord,
    DeletedRecord, FeltRecord, ImageForm, Media, NoteRecord, PhotoRecord, RiderRecord, Roughness,
    SessionRecord, SetUpRecord, ShelfRecord, SledRecord, Snow,
};
use sledstance::log::{
    self, About, Book, BookError, DEMO, Entry, EntryError, EntryForm, Filter, Id, Inserted, Like,
    Part, Reading, SetUpForm, ShelfPart, Verdict, What, moved, without_shelf,
};
use sledstance::rider::RiderProfile;
use sledstance::sled::profile::{ClampProfile, RiserProfile, SHIPPED};
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::units::Angle;
use sledstance::units::text::System;

/// Every document that the first version wrote; they must load for ever.
const WHOLE_1: &str = include_str!("cases/book/book-1-whole.json");
const HALF_1: &str = include_str!("cases/book/book-1-half.json");
const CLASH_1: &str = include_str!("cases/book/book-1-clash.json");
/// And the second.
const WHOLE_2: &str = include_str!("cases/book/book-2-whole.json");

/// 2026-01-03 09:00 UTC.
const START: u64 = 1_767_430_800_000;
const MINUTE: u64 = 60_000;
const HOUR: u64 = 60 * MINUTE;

/// Writes entries as a device does.
struct Writer {
    book: Book,
    noise: u64,
}

impl Writer {
    fn new() -> Self {
        Self {
            book: Book::new(),
            noise: 7,
        }
    }

    fn random(&mut self) -> [u8; 10] {
        // Knuth's MMIX generator: any will do.
        self.noise = self
            .noise
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(&self.noise.to_be_bytes());
        bytes
    }

    fn form(&mut self, at: u64, about: About, what: What) -> EntryForm {
        let random = self.random();
        EntryForm {
            id: self.book.next_id(at, random, None),
            at_ms: at,
            device: "test".to_owned(),
            happened_ms: None,
            supersedes: None,
            about,
            what,
        }
    }

    fn put(&mut self, form: EntryForm) -> Id {
        let id = form.id;
        assert_eq!(self.book.insert(Entry::new(form).unwrap()), Inserted::New);
        id
    }

    fn write(&mut self, at: u64, about: About, what: What) -> Id {
        let form = self.form(at, about, what);
        self.put(form)
    }

    fn over(&mut self, at: u64, former: Id, what: What) -> Id {
        let about = self.book.get(former).unwrap().about();
        let mut form = self.form(at, about, what);
        form.supersedes = Some(former);
        self.put(form)
    }

    fn rider(&mut self, name: &str) -> Id {
        let profile = RiderProfile {
            name: name.to_owned(),
            ..RiderProfile::default()
        };
        let record = RiderRecord {
            profile,
            retired: false,
        };
        let mut form = self.form(START, About::default(), What::Rider(Box::new(record)));
        form.about.rider = Some(form.id);
        self.put(form)
    }

    fn sled(&mut self, text: &str) -> Id {
        let record = SledRecord {
            profile: SledProfile::read(text).unwrap(),
            retired: false,
        };
        let mut form = self.form(START, About::default(), What::Sled(Box::new(record)));
        form.about.sled = Some(form.id);
        self.put(form)
    }
}

fn set_up(riser_angle_deg: f64) -> SetUpForm {
    SetUpForm {
        riser_height_mm: 150.0,
        riser_angle_deg,
        bar_roll_deg: 0.0,
        stirrup_mm: -60.0,
        seat: "standard".to_owned(),
        clamp: "solid".to_owned(),
        bar: "high bend".to_owned(),
        brake: None,
        throttle: None,
    }
}

fn base(angle: f64) -> What {
    What::BaseSetUp(SetUpRecord {
        set_up: set_up(angle),
        note: None,
    })
}

fn change(from: f64, to: f64, answers: &[&str]) -> What {
    What::Change(Box::new(ChangeRecord {
        from: set_up(from),
        to: set_up(to),
        reason: "to try".to_owned(),
        answers: answers.iter().map(|&a| a.to_owned()).collect(),
        expected: Vec::new(),
        parts: Vec::new(),
        minutes: None,
    }))
}

fn felt(complaints: &[(&str, u8)]) -> What {
    What::Felt(FeltRecord {
        complaints: complaints
            .iter()
            .map(|&(complaint, strength)| ComplaintForm {
                complaint: complaint.to_owned(),
                strength,
            })
            .collect(),
        words: None,
        lap: None,
        place: None,
    })
}

fn also(suspension: Also) -> What {
    What::AlsoChanged(AlsoChangedRecord {
        suspension,
        skis: Also::None,
        track: Also::None,
        clutching: Also::None,
        brakes: Also::None,
    })
}

fn note(words: &str) -> What {
    What::Note(NoteRecord {
        words: words.to_owned(),
    })
}

fn deleted() -> What {
    What::Deleted(DeletedRecord { why: None })
}

fn conditions(snow: Snow, celsius: f64) -> What {
    What::Conditions(ConditionsRecord {
        snow: Some(snow),
        temperature_c: Some(celsius),
        roughness: Some(Roughness::Rough),
        track: None,
        words: None,
    })
}

fn on_sled(id: Id) -> About {
    About {
        sled: Some(id),
        ..About::default()
    }
}

fn merged(parts: &[&Book]) -> Book {
    let mut all = Book::new();
    for part in parts {
        all.merge(part);
    }
    all
}

#[track_caller]
fn says(complaint: &str, parts: &[&str]) {
    for part in parts {
        assert!(
            complaint.contains(part),
            "\"{complaint}\" does not say \"{part}\""
        );
    }
}

// ---- Stored form

#[test]
fn first_versions_load_for_ever() {
    let whole = Book::read(WHOLE_1).unwrap();
    assert_eq!(whole.len(), 19);
    let mut kinds: Vec<&str> = whole.entries().map(|e| e.what().name()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds.len(), 13, "{kinds:?}");
    let reading = Reading::new(&whole);
    let rider = reading.riders().next().unwrap().id;
    let sled = reading.sleds().next().unwrap();
    assert!(sled.retired && sled.profile.name.contains("sold"));
    let stands = reading.set_up(rider, sled.id, None).unwrap();
    assert_eq!(stands.riser_angle_deg, 14.0);
    let outcome = &reading.outcomes(rider, sled.id)[0];
    assert_eq!(outcome.verdict, Verdict::Mixed);
    assert_eq!(outcome.mixed, ["skis: new runners", "track: not asked"]);
    assert_eq!(reading.riding()[0].sled, None);

    let half = Book::read(HALF_1).unwrap();
    let reading = Reading::new(&half);
    assert_eq!(half.len(), 3);
    assert_eq!(
        reading.strands().iter().filter(|s| s.is_headless()).count(),
        2
    );

    let clash = Book::read(CLASH_1).unwrap();
    assert_eq!((clash.len(), clash.clashes().count()), (2, 1));
    assert_eq!(merged(&[&half, &whole, &clash]).len(), 20);

    let second = Book::read(WHOLE_2).unwrap();
    assert_eq!(merged(&[&second, &whole]).len(), 24);
    let reading = Reading::new(&second);
    let lies: Vec<String> = reading
        .shelf()
        .map(|(.., part)| part.words(System::Metric))
        .collect();
    assert_eq!(lies, ["riser 137 mm", "seat spare tall", "bar spare bend"]);
}

#[test]
fn every_document_and_every_entry_reads_back_the_same() {
    for text in [WHOLE_1, HALF_1, CLASH_1, WHOLE_2, DEMO] {
        let book = Book::read(text).unwrap();
        let written = book.write(Part::Whole, None).unwrap();
        assert_eq!(Book::read(&written).unwrap(), book);
        for entry in book.entries() {
            let back = Entry::read(log::SCHEMA, &entry.text()).unwrap();
            assert_eq!(&back, entry);
            assert_eq!(back.text(), entry.text());
        }
    }
}

#[test]
fn what_is_wrong_is_named_with_its_place_and_changes_nothing() {
    let mut book = Book::read(DEMO).unwrap();
    let before = book.clone();
    let at = |text: &str| {
        let start = WHOLE_1.find(text).unwrap();
        WHOLE_1[..start].matches('\n').count() + 1
    };
    let cases = [
        (
            "\"strength\": 3",
            "\"strength\": 4",
            "what.felt.complaints[0].strength: 4 is outside the allowed 1 to 3",
        ),
        (
            "\"temperature_c\": -11.5",
            "\"temperature_c\": -115",
            "temperature_c: -115 is outside the allowed -60 to 40",
        ),
        (
            "\"riser_angle_deg\": 12.5",
            "\"riser_angle_deg\": 125",
            "riser_angle_deg: 125 is outside the allowed -90 to 90",
        ),
        (
            "\"stirrup_mm\": -60",
            "\"stirrup_mm\": 60",
            "stirrup_mm: 60 is outside the allowed -600 to 0",
        ),
        (
            "\"minutes\": 38",
            "\"minutes\": -1",
            "what.change.minutes: -1",
        ),
        (
            "\"iVBORw0KGgo=\"",
            "\"iVBORw0KGg?=\"",
            "what.photo.image.base64",
        ),
        (
            "\"file_name\": \"fixture.csv\"",
            "\"file_name\": \" \"",
            "file_name: 0 characters; allowed are 1 to 255",
        ),
        (
            "\"what\": \"new runners\"",
            "\"what\": \"\"",
            "what.also_changed.skis.what",
        ),
        (
            "\"complaint\": \"over_the_bars\"",
            "\"complaint\": \"numb_hands\"",
            "each complaint stands there once",
        ),
    ];
    for (good, bad, named) in cases {
        let text = WHOLE_1.replacen(good, bad, 1);
        assert_ne!(text, WHOLE_1, "{good}");
        let complaint = book.import(&text).unwrap_err().to_string();
        says(
            &complaint,
            &["data.entries[", named, &format!("line {}", at(good))],
        );
        assert_eq!(book, before, "{named}");
    }
    for (good, bad, named) in [
        ("\"schema\": 1", "\"schema\": 3", "newer version"),
        ("\"schema\": 1", "\"schema\": 0", "never existed"),
        ("sledstance-book", "sledstance-sled", "sledstance-book"),
        ("\"lap\"", "\"round\"", "unknown field `round`"),
        ("\"rides\"", "\"flies\"", "unknown variant `flies`"),
        ("-7", "-4", "version 7"),
        (
            "\"good\": true",
            "\"good\": 1",
            "data.entries[4].what.tape_checks.checks[0].good",
        ),
    ] {
        let text = WHOLE_1.replacen(good, bad, 1);
        assert_ne!(text, WHOLE_1, "{good}");
        let complaint = book.import(&text).unwrap_err().to_string();
        says(&complaint, &[named]);
        assert_eq!(book, before, "{named}");
    }
    assert!(matches!(
        Entry::read(3, "{}").unwrap_err(),
        BookError::Document(_)
    ));
}

#[test]
fn entries_that_cannot_be_are_refused_by_name() {
    let mut writer = Writer::new();
    let (rider, sled) = (writer.rider("Invented"), writer.sled(SHIPPED[0].text));
    let both = About::both(rider, sled);
    let refused = |form: EntryForm| Entry::new(form).unwrap_err();
    let no_sled = About {
        rider: Some(rider),
        sled: None,
    };
    let form = writer.form(START, no_sled, felt(&[]));
    assert_eq!(refused(form).field(), "about.sled");
    let form = writer.form(START, About::default(), also(Also::None));
    assert_eq!(refused(form).field(), "about.sled");
    let form = writer.form(START, both, deleted());
    assert!(matches!(refused(form), EntryError::Missing { field, .. } if field == "supersedes"));
    let mut form = writer.form(START, both, note("early"));
    form.supersedes = Some(form.id);
    assert_eq!(refused(form).field(), "supersedes");
    for at in [7_258_118_400_001, u64::MAX] {
        let mut form = writer.form(START, both, note("wrong clock"));
        form.at_ms = at;
        says(&refused(form).to_string(), &["at_ms", "7258118400000"]);
        let mut form = writer.form(START, both, note("wrong time"));
        form.happened_ms = Some(at);
        says(&refused(form).to_string(), &["happened_ms", "946684800000"]);
    }
    // A tablet that ran empty begins at 1970: what is written on it is kept, and marked.
    let mut form = writer.form(START, both, note("dead battery"));
    form.at_ms = 0;
    assert!(Entry::new(form).unwrap().is_time_doubtful());
    for number in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
        let form = writer.form(START, both, base(number));
        assert_eq!(
            refused(form).field(),
            "what.base_set_up.set_up.riser_angle_deg"
        );
        let form = writer.form(START, both, conditions(Snow::Ice, number));
        assert_eq!(refused(form).field(), "what.conditions.temperature_c");
    }
    let form = writer.form(
        START,
        both,
        What::TapeChecks(ChecksRecord { checks: Vec::new() }),
    );
    says(&refused(form).to_string(), &["checks", "1 to 200"]);
    let session = SessionRecord {
        file_name: "a.csv".to_owned(),
        sha256: "ABC".to_owned(),
        from_ms: None,
        to_ms: None,
        summary: None,
    };
    let form = writer.form(START, both, What::Session(session));
    says(&refused(form).to_string(), &["sha256", "64 characters"]);
    let photo = PhotoRecord {
        name: "film".to_owned(),
        image: Some(ImageForm {
            media: Media::Jpeg,
            base64: "A".repeat(200_004),
        }),
        shows: None,
    };
    let form = writer.form(START, both, What::Photo(photo));
    says(
        &refused(form).to_string(),
        &["image.base64: 200004", "200000"],
    );
    // JSON has no word for a number that is none.
    let mut profile = RiderProfile::of(Default::default(), f64::NAN, 80.0);
    profile.name = "Nobody".to_owned();
    let record = RiderRecord {
        profile,
        retired: false,
    };
    let form = writer.form(START, no_sled, What::Rider(Box::new(record)));
    assert_eq!(refused(form).field(), "what.rider.profile");
}

// ---- Identifiers

proptest! {
    #[test]
    fn identifiers_rise_whatever_the_clock_does(clocks in prop::collection::vec((0..1_u64 << 47, any::<[u8; 10]>()), 1..60)) {
        let mut last: Option<Id> = None;
        for (clock, random) in clocks {
            let id = Id::next(clock, random, last);
            prop_assert!(last.is_none_or(|last| id > last));
            prop_assert!(id.unix_ms() >= clock);
            let text = id.to_string();
            prop_assert_eq!(text.parse::<Id>().unwrap(), id);
            prop_assert_eq!(&text[14..15], "7");
            if let Some(last) = last {
                prop_assert!(text > last.to_string(), "the text orders as the identifier does");
            }
            last = Some(id);
        }
    }

    #[test]
    fn any_text_is_an_identifier_or_none(text in "[0-9a-fA-F-]{30,40}|.{0,60}") {
        if let Ok(id) = text.parse::<Id>() {
            prop_assert_eq!(id.to_string(), text.to_lowercase());
        }
    }
}

// ---- Merging

/// What a device does next.
#[derive(Clone, Debug)]
enum Act {
    Write(u8, String),
    Correct(Index, String),
    Delete(Index),
    /// Takes in what another device has.
    Import(Index),
    /// The clock jumps.
    Jump(i64),
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        4 => (0..6_u8, "[a-z]{1,8}").prop_map(|(k, w)| Act::Write(k, w)),
        2 => (any::<Index>(), "[a-z]{1,8}").prop_map(|(i, w)| Act::Correct(i, w)),
        1 => any::<Index>().prop_map(Act::Delete),
        1 => any::<Index>().prop_map(Act::Import),
        1 => (-400_000_000_000..400_000_000_000_i64).prop_map(Act::Jump),
    ]
}

/// Several devices at work: their books in the end.
fn devices(acts: &[(usize, Act)]) -> Vec<Book> {
    let mut shared = Writer::new();
    let (rider, sled) = (shared.rider("Invented"), shared.sled(SHIPPED[2].text));
    let both = About::both(rider, sled);
    let mut all: Vec<(Writer, u64)> = (0..3_u32)
        .map(|i| {
            let writer = Writer {
                book: shared.book.clone(),
                noise: u64::from(i) * 977 + 13,
            };
            (writer, START + u64::from(i) * HOUR)
        })
        .collect();
    for (device, act) in acts {
        let device = device % all.len();
        let others: Vec<Book> = all.iter().map(|(w, _)| w.book.clone()).collect();
        let (writer, clock) = &mut all[device];
        *clock += MINUTE;
        let pick = |index: &Index, book: &Book| {
            let ids: Vec<Id> = book.entries().map(Entry::id).collect();
            ids[index.index(ids.len())]
        };
        match act {
            Act::Write(kind, words) => {
                let what = match kind {
                    0 => base(f64::from(words.len() as u32)),
                    1 => change(1.0, f64::from(words.len() as u32), &["numb_hands"]),
                    2 => felt(&[("numb_hands", 1 + words.len() as u8 % 3)]),
                    3 => also(Also::What(words.clone())),
                    4 => conditions(Snow::Packed, -5.0),
                    _ => note(words),
                };
                writer.write(*clock, both, what);
            }
            Act::Correct(index, words) => {
                let former = pick(index, &writer.book);
                writer.over(*clock, former, note(words));
            }
            Act::Delete(index) => {
                let former = pick(index, &writer.book);
                writer.over(*clock, former, deleted());
            }
            Act::Import(index) => drop(writer.book.merge(&others[index.index(others.len())])),
            Act::Jump(by) => *clock = clock.saturating_add_signed(*by).min(START * 4),
        }
    }
    all.into_iter().map(|(writer, _)| writer.book).collect()
}

fn acts() -> impl Strategy<Value = Vec<(usize, Act)>> {
    prop::collection::vec((0..3_usize, act()), 0..40)
}

/// Entries under few identifiers, so that contents clash.
fn clashing() -> impl Strategy<Value = Book> {
    prop::collection::vec((0..4_u8, "[ab]{1,2}"), 0..6).prop_map(|all| {
        let entries = all.into_iter().map(|(n, words)| {
            let mut random = [0; 10];
            random[9] = n;
            let form = EntryForm {
                id: Id::next(START, random, None),
                at_ms: START,
                device: "test".to_owned(),
                happened_ms: None,
                supersedes: None,
                about: About::default(),
                what: note(&words),
            };
            Entry::new(form).unwrap()
        });
        entries.collect()
    })
}

/// What a book says, in words, all of it.
fn told(book: &Book) -> String {
    let reading = Reading::new(book);
    let all = Filter {
        deleted: true,
        ..Filter::default()
    };
    format!(
        "{}\n{:?}\n{:?}",
        reading.csv(&all),
        reading.riding(),
        book.clashes().collect::<Vec<_>>()
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn merging_is_commutative_associative_and_idempotent(acts in acts()) {
        let books = devices(&acts);
        let [a, b, c] = [&books[0], &books[1], &books[2]];
        prop_assert_eq!(merged(&[a, b]), merged(&[b, a]));
        prop_assert_eq!(merged(&[&merged(&[a, b]), c]), merged(&[a, &merged(&[b, c])]));
        prop_assert_eq!(&merged(&[a, a]), a);
        prop_assert_eq!(merged(&[a, b, a, c, b]), merged(&[c, b, a]));
        prop_assert_eq!(told(&merged(&[a, b, c])), told(&merged(&[c, a, b])));
    }

    #[test]
    fn halves_in_any_order_make_the_whole(acts in acts(), cut in any::<Index>(), odd in any::<bool>()) {
        let whole = merged(&devices(&acts).iter().collect::<Vec<_>>());
        let ids: Vec<Id> = whole.entries().map(Entry::id).collect();
        let cut = ids[cut.index(ids.len())];
        let first = whole.part(|id| id < cut);
        let second = whole.part(|id| id >= cut || (odd && ids[0] == id));
        // A half is read without complaint, and says nothing that the whole takes back by panicking.
        prop_assert!(!told(&second).is_empty());
        prop_assert_eq!(&merged(&[&second, &first, &second]), &whole);
        prop_assert_eq!(&merged(&[&first, &second]), &whole);
    }

    #[test]
    fn two_tablets_that_exchange_files_both_ways_end_the_same(acts in acts()) {
        let books = devices(&acts);
        let (mut a, mut b) = (books[0].clone(), books[1].clone());
        let from_a = a.write(Part::Whole, Some("from a")).unwrap();
        let from_b = b.write(Part::Whole, None).unwrap();
        a.import(&from_b).unwrap();
        b.import(&from_a).unwrap();
        prop_assert_eq!(&a, &b);
        prop_assert_eq!(told(&a), told(&b));
        prop_assert_eq!(a.write(Part::Whole, None).unwrap(), b.write(Part::Whole, None).unwrap());
        let again = a.import(&from_b).unwrap();
        prop_assert_eq!(again.new, 0);
    }

    #[test]
    fn nothing_is_lost_and_what_counts_follows_what_was_known(acts in acts()) {
        let books = devices(&acts);
        let whole = merged(&books.iter().collect::<Vec<_>>());
        let reading = Reading::new(&whole);
        let in_strands: usize = reading.strands().iter().map(|s| s.history.len()).sum();
        prop_assert_eq!(in_strands, whole.len());
        for strand in reading.strands() {
            let heads = strand.history.iter().filter(|e| {
                !strand.history.iter().any(|o| o.supersedes() == Some(e.id()))
            });
            let content: Vec<Id> = heads.filter(|e| !e.is_deletion()).map(|e| e.id()).collect();
            prop_assert_eq!(strand.shown.as_ref().map(Entry::id), content.iter().max().copied());
            for other in content.iter().rev().skip(1) {
                prop_assert!(strand.rivals.iter().any(|r| r.id() == *other));
            }
            for entry in &strand.history {
                prop_assert!(entry.supersedes().is_none_or(|former| former < entry.id()));
            }
        }
    }

    #[test]
    fn clashes_are_kept_and_told_alike_in_every_order(a in clashing(), b in clashing(), c in clashing()) {
        let ab = merged(&[&a, &b]);
        prop_assert_eq!(&ab, &merged(&[&b, &a]));
        prop_assert_eq!(merged(&[&ab, &c]), merged(&[&a, &merged(&[&b, &c])]));
        prop_assert_eq!(&merged(&[&ab, &a]), &ab);
        prop_assert_eq!(told(&ab), told(&merged(&[&b, &a])));
        for id in ab.clashes() {
            prop_assert!(ab.contents(id).len() > 1);
            prop_assert_eq!(ab.get(id), ab.contents(id).first());
        }
        let (mut left, mut right) = (a.clone(), b.clone());
        prop_assert_eq!(left.merge(&b).clashes.len(), ab.clashes().filter(|id| b.get(*id).is_some()).count());
        right.merge(&a);
        prop_assert_eq!(Book::read(&left.write(Part::Whole, None).unwrap()).unwrap(), right);
    }
}

// ---- What a book says

/// A rider on a sled with a set-up at 12°, and the writer.
fn season() -> (Writer, Id, Id) {
    let mut writer = Writer::new();
    let (rider, sled) = (writer.rider("Ida Invented"), writer.sled(SHIPPED[0].text));
    writer.write(START, About::both(rider, sled), base(12.0));
    (writer, rider, sled)
}

#[test]
fn a_set_up_is_known_at_every_moment_and_can_be_gone_back_to() {
    let (mut writer, rider, sled) = season();
    let both = About::both(rider, sled);
    let first = writer.write(START + HOUR, both, change(12.0, 14.0, &[]));
    let second = writer.write(START + 2 * HOUR, both, change(14.0, 16.0, &[]));
    let reading = Reading::new(&writer.book);
    let angle = |at| reading.set_up(rider, sled, at).map(|s| s.riser_angle_deg);
    assert_eq!(angle(Some(START - 1)), None);
    assert_eq!(angle(Some(START)), Some(12.0));
    assert_eq!(angle(Some(START + 90 * MINUTE)), Some(14.0));
    assert_eq!(angle(None), Some(16.0));
    let all = reading.set_ups(rider, sled);
    assert!(
        all.iter()
            .all(|s| reading.gap(s.strand, System::Metric).is_empty())
    );
    assert_eq!(all[1].until.unwrap().1, second);
    let back = reading.back_to(first, "back to the better one").unwrap();
    assert_eq!(
        (back.from.riser_angle_deg, back.to.riser_angle_deg),
        (16.0, 14.0)
    );
    assert!(reading.back_to(rider, "a rider is no set-up").is_none());

    // A deleted change was never made; what was corrected counts from when it was first written.
    writer.over(START + 3 * HOUR, second, deleted());
    writer.over(START + 4 * HOUR, first, change(12.0, 13.0, &[]));
    let reading = Reading::new(&writer.book);
    let at = |at| reading.set_up(rider, sled, at).unwrap().riser_angle_deg;
    assert_eq!((at(None), at(Some(START + 90 * MINUTE))), (13.0, 13.0));
    // A change that begins elsewhere than the one before ended is marked.
    writer.write(START + 5 * HOUR, both, change(14.0, 15.0, &[]));
    let reading = Reading::new(&writer.book);
    let last = reading.set_ups(rider, sled).pop().unwrap();
    assert!(!reading.gap(last.strand, System::Metric).is_empty());
}

#[test]
fn a_set_up_put_right_leaves_later_changes_as_written_and_says_where_they_do_not_join() {
    let mut w = Writer::new();
    let (rider, sled) = (w.rider("Nora"), w.sled(SHIPPED[0].text));
    let about = About::both(rider, sled);
    let first = w.write(START + HOUR, about, base(5.0));
    let second = w.write(START + 2 * HOUR, about, change(5.0, 7.0, &[]));
    let third = w.write(START + 3 * HOUR, about, change(7.0, 9.0, &[]));
    let gaps = |book: &Book| {
        let reading = Reading::new(book);
        let of = |id| reading.gap(reading.strand_of(id).unwrap(), System::Metric);
        [first, second, third].map(of)
    };
    assert!(gaps(&w.book).iter().all(Vec::is_empty));
    // Typed 5 for 15: what was changed from there says so, and stays as it was written down.
    w.over(START + 4 * HOUR, first, base(15.0));
    let [none, gap, joins] = gaps(&w.book);
    assert!(none.is_empty() && joins.is_empty(), "{none:?} {joins:?}");
    let [gap] = gap.as_slice() else {
        panic!("{gap:?}")
    };
    assert!(gap.contains("15") && gap.ends_with("5° back"), "{gap}");
    let reading = Reading::new(&w.book);
    let angles = |at: u64| {
        reading
            .set_up(rider, sled, Some(at))
            .unwrap()
            .riser_angle_deg
    };
    assert!((angles(START + HOUR) - 15.0).abs() < 1e-9);
    assert!((angles(START + 2 * HOUR) - 7.0).abs() < 1e-9);
    assert_eq!(reading.set_ups(rider, sled).len(), 3);
    assert!(reading.card(rider, sled, System::Metric, 0).is_some());
    let before = reading.before(reading.strand_of(second).unwrap());
    assert!((before.unwrap().riser_angle_deg - 15.0).abs() < 1e-9);
    // The change put right as well, from where it did begin: then they join.
    let right = w.over(START + 5 * HOUR, second, change(15.0, 7.0, &[]));
    assert!(gaps(&w.book).iter().all(Vec::is_empty));
    // One before it that is deleted leaves what came after to the one before that.
    w.over(START + 6 * HOUR, right, deleted());
    assert!(!gaps(&w.book)[2].is_empty());
}

fn lies(part: ShelfPart) -> What {
    What::Shelf(ShelfRecord { part })
}

fn riser(height_mm: f64) -> ShelfPart {
    ShelfPart::Riser(RiserProfile {
        height_mm,
        angle_low_deg: None,
        angle_high_deg: None,
        angle_step_deg: None,
    })
}

fn clamp(name: &str, stack_mm: f64) -> ShelfPart {
    ShelfPart::Clamp(ClampProfile {
        name: name.to_owned(),
        stack_mm,
        damping: false,
    })
}

#[test]
fn what_lies_on_the_shelf_is_at_hand_for_the_sleds_that_it_fits() {
    let mut w = Writer::new();
    let (rider, long) = (w.rider("Nora"), w.sled(SHIPPED[0].text));
    // A sled that leaves its lists out has those of the typical sled, and keeps them.
    let bare = w.sled(SHIPPED.last().unwrap().text);
    let sleds = |book: &Book| {
        let reading = Reading::new(book);
        [long, bare].map(|id| {
            let sled = reading.sled(id).unwrap();
            (sled.profile.clone(), sled.at_hand.clone())
        })
    };
    for (own, at_hand) in sleds(&w.book) {
        assert_eq!(own, at_hand);
    }
    let spare = w.write(START + HOUR, About::default(), lies(riser(137.0)));
    w.write(
        START + HOUR,
        About::sled(long),
        lies(clamp("only here", 35.0)),
    );
    // The sled's own part of that name is used; one that no sled can be used with is left on the shelf.
    let own = SledProfile::read(SHIPPED[0].text).unwrap().clamps.unwrap();
    w.write(
        START + HOUR,
        About::default(),
        lies(clamp(&own[0].name, 60.0)),
    );
    w.write(START + HOUR, About::default(), lies(riser(9000.0)));
    let [(own_long, with), (own_bare, bare_with)] = sleds(&w.book);
    let heights = |profile: &SledProfile| -> Vec<f64> {
        let sled = profile.resolve().unwrap();
        sled.risers.iter().map(|r| r.height).collect()
    };
    for (own, at_hand) in [(&own_long, &with), (&own_bare, &bare_with)] {
        let mut expected = heights(own);
        expected.push(137.0);
        expected.sort_by(f64::total_cmp);
        assert_eq!(heights(at_hand), expected);
    }
    let clamps = |profile: &SledProfile| -> Vec<(String, f64)> {
        let sled = profile.resolve().unwrap();
        sled.clamps
            .iter()
            .map(|c| (c.name.clone(), c.stack))
            .collect()
    };
    let mut expected = clamps(&own_long);
    expected.push(("only here".to_owned(), 35.0));
    assert_eq!(clamps(&with), expected);
    assert!(
        !clamps(&bare_with)
            .iter()
            .any(|(name, _)| name == "only here")
    );

    // A set-up with it is made, and said to be off the shelf.
    let reading = Reading::new(&w.book);
    let to = SetUpForm {
        riser_height_mm: 137.0,
        ..set_up(5.0)
    };
    assert!(to.on(&with.resolve().unwrap()).is_ok());
    assert!(to.on(&own_long.resolve().unwrap()).is_err());
    assert_eq!(
        reading.off_shelf(long, &to, System::Metric),
        ["riser 137 mm"]
    );
    assert!(
        reading
            .off_shelf(long, &set_up(5.0), System::Metric)
            .is_empty()
    );
    assert_eq!(reading.records(rider, long).unwrap().1, &with);

    // What only lies on the shelf does not become the sled's own.
    for (own, at_hand) in [(&own_long, &with), (&own_bare, &bare_with)] {
        assert_eq!(&without_shelf(at_hand, own, at_hand), own);
    }
    let mut moved = with.clone();
    moved.board.foot_lateral_mm += 5.0;
    moved.risers.as_mut().unwrap().remove(0);
    let back = without_shelf(&moved, &own_long, &with);
    assert_eq!(
        back.risers.unwrap()[..],
        own_long.risers.as_ref().unwrap()[1..]
    );
    assert_eq!(back.clamps, own_long.clamps);

    // Taken from the shelf, it is at hand no longer; the shelf goes with every part of a book.
    let part = Book::read(&w.book.write(Part::Rider(rider), None).unwrap()).unwrap();
    assert_eq!(Reading::new(&part).shelf().count(), 3);
    w.over(START + 2 * HOUR, spare, deleted());
    assert!(!heights(&sleds(&w.book)[1].1).contains(&137.0));
    let table = Reading::new(&w.book).csv(&Filter::default());
    assert!(table.contains(",shelf,"), "{table}");
}

#[test]
fn what_was_written_with_knowledge_stands_after_whatever_the_clock_says() {
    let (mut writer, rider, sled) = season();
    let both = About::both(rider, sled);
    writer.write(START + 40 * HOUR, both, change(12.0, 14.0, &[]));
    // Another tablet, its clock two days behind, takes the book in and changes the set-up.
    let late = writer.write(START - 8 * HOUR, both, change(14.0, 15.0, &[]));
    let reading = Reading::new(&writer.book);
    assert_eq!(
        reading.set_up(rider, sled, None).unwrap().riser_angle_deg,
        15.0
    );
    assert!(writer.book.get(late).unwrap().is_time_doubtful());
    // What is typed in the evening may say when it happened.
    let mut form = writer.form(START + 50 * HOUR, both, change(12.0, 13.0, &[]));
    form.happened_ms = Some(START + HOUR);
    writer.put(form);
    let reading = Reading::new(&writer.book);
    assert_eq!(
        reading.set_up(rider, sled, None).unwrap().riser_angle_deg,
        15.0
    );
    let then = reading.set_up(rider, sled, Some(START + 2 * HOUR)).unwrap();
    assert_eq!(then.riser_angle_deg, 13.0);
}

#[test]
fn corrections_at_the_same_time_are_both_shown_and_one_counts_everywhere() {
    let (mut writer, rider, sled) = season();
    let said = writer.write(
        START + HOUR,
        About::both(rider, sled),
        felt(&[("numb_hands", 1)]),
    );
    let mut a = Writer {
        book: writer.book.clone(),
        noise: 1,
    };
    let mut b = Writer {
        book: writer.book.clone(),
        noise: 2,
    };
    let first = a.over(START + 2 * HOUR, said, felt(&[("numb_hands", 2)]));
    let second = b.over(START + 3 * HOUR, said, felt(&[("numb_hands", 3)]));
    let both = merged(&[&a.book, &b.book]);
    let reading = Reading::new(&both);
    let strand = reading.strand_of(said).unwrap();
    assert_eq!(strand.shown.as_ref().unwrap().id(), second);
    assert_eq!(strand.rivals[0].id(), first);
    // A deletion elsewhere does not take a correction away, and stays visible.
    let third = a.over(START + 4 * HOUR, first, deleted());
    let settled = merged(&[&a.book, &b.book]);
    let reading = Reading::new(&settled);
    let strand = reading.strand_of(said).unwrap();
    assert_eq!(strand.shown.as_ref().unwrap().id(), second);
    assert!(
        strand.rivals.is_empty(),
        "the rival was taken away: settled"
    );
    assert_eq!(strand.history.last().unwrap().id(), third);
    let mut c = Writer {
        book: writer.book.clone(),
        noise: 3,
    };
    let gone = c.over(START + 5 * HOUR, said, deleted());
    let all = merged(&[&b.book, &c.book]);
    let reading = Reading::new(&all);
    let strand = reading.strand_of(said).unwrap();
    assert_eq!(strand.shown.as_ref().unwrap().id(), second);
    assert_eq!(strand.rivals[0].id(), gone);
}

#[test]
fn a_change_is_judged_by_what_was_felt_and_only_if_nothing_else_changed() {
    for (told, verdict) in [
        (Some(Also::None), Verdict::Better),
        (Some(Also::NotAsked), Verdict::Mixed),
        (Some(Also::What("softer".to_owned())), Verdict::Mixed),
        (None, Verdict::Mixed),
    ] {
        let (mut writer, rider, sled) = season();
        let both = About::both(rider, sled);
        writer.write(
            START + HOUR,
            both,
            felt(&[("numb_hands", 3), ("arm_pump", 1)]),
        );
        writer.write(
            START + HOUR + MINUTE,
            on_sled(sled),
            also(Also::What("before: does not matter".to_owned())),
        );
        writer.write(START + 2 * HOUR, both, change(12.0, 14.0, &["numb_hands"]));
        writer.write(
            START + 3 * HOUR,
            both,
            felt(&[("numb_hands", 1), ("arm_pump", 2)]),
        );
        if let Some(told) = told.clone() {
            writer.write(START + 3 * HOUR + MINUTE, on_sled(sled), also(told));
        }
        let reading = Reading::new(&writer.book);
        let outcomes = reading.outcomes(rider, sled);
        let [outcome] = outcomes.as_slice() else {
            panic!("one change");
        };
        assert_eq!(outcome.verdict, verdict, "{told:?}");
        assert_eq!(outcome.mixed.is_empty(), verdict != Verdict::Mixed);
        let shift = &outcome.shifts[0];
        assert!(shift.answered && shift.complaint == "numb_hands");
        assert_eq!((shift.before, shift.after), (3.0, 1.0));
        assert_eq!(
            (outcome.shifts[1].before, outcome.shifts[1].after),
            (1.0, 2.0)
        );
        let worked = reading.worked(rider, &Like::default());
        assert_eq!(worked.len(), usize::from(verdict == Verdict::Better));
    }
}

#[test]
fn verdicts_follow_from_what_was_said_before_and_after() {
    let verdict = |before: Option<u8>, after: Option<u8>, new: Option<u8>| {
        let (mut writer, rider, sled) = season();
        let both = About::both(rider, sled);
        if let Some(strength) = before {
            writer.write(START + HOUR, both, felt(&[("numb_hands", strength)]));
        }
        writer.write(START + 2 * HOUR, both, change(12.0, 14.0, &["numb_hands"]));
        if let Some(strength) = after {
            let mut said: Vec<(&str, u8)> = new.map(|s| ("over_the_bars", s)).into_iter().collect();
            if strength > 0 {
                said.push(("numb_hands", strength));
            }
            writer.write(START + 3 * HOUR, both, felt(&said));
            writer.write(START + 3 * HOUR, on_sled(sled), also(Also::None));
        }
        // The next change begins a period of its own.
        writer.write(START + 4 * HOUR, both, change(14.0, 15.0, &[]));
        writer.write(START + 5 * HOUR, both, felt(&[("numb_hands", 3)]));
        Reading::new(&writer.book).outcomes(rider, sled)[0].verdict
    };
    assert_eq!(verdict(Some(2), None, None), Verdict::NotFeltYet);
    assert_eq!(verdict(None, Some(2), None), Verdict::NotFeltBefore);
    assert_eq!(verdict(Some(2), Some(2), None), Verdict::Same);
    assert_eq!(verdict(Some(1), Some(2), None), Verdict::Worse);
    assert_eq!(verdict(Some(1), Some(0), None), Verdict::Better);
    // It did not help, and there is something new to complain of; or what it helped costs more elsewhere.
    assert_eq!(verdict(Some(2), Some(2), Some(1)), Verdict::Worse);
    assert_eq!(verdict(Some(3), Some(1), Some(2)), Verdict::Better);
    assert_eq!(verdict(Some(3), Some(2), Some(3)), Verdict::Traded);
}

#[test]
fn records_that_are_missing_are_named() {
    let book = Book::read(DEMO).unwrap();
    let reading = Reading::new(&book);
    let (rider, sled) = reading.pairs().next().unwrap();
    let nobody = book.next_id(START, [1; 10], None);
    let (profile, machine) = reading.records(rider, sled).unwrap();
    assert_eq!(profile.name, reading.rider_name(rider));
    assert_eq!(machine.name, reading.sled_name(sled));
    let error = |rider, sled| reading.records(rider, sled).unwrap_err().to_string();
    assert_eq!(
        error(nobody, sled),
        "the rider’s record is not in this book"
    );
    assert_eq!(
        error(rider, nobody),
        "the sled’s record is not in this book"
    );
}

#[test]
fn what_worked_is_found_by_conditions_and_mixed_changes_count_for_nothing() {
    let book = Book::read(DEMO).unwrap();
    let reading = Reading::new(&book);
    let find = |name: &str| {
        let found = reading.riders().find(|r| r.profile.name.starts_with(name));
        found.unwrap().id
    };
    let (max, lena) = (find("Max"), find("Lena"));
    let icy = Like {
        snow: Some(Snow::Ice),
        temperature_c: Some(-12.0),
        ..Like::default()
    };
    let worked = reading.worked(max, &icy);
    assert_eq!(worked.len(), 1);
    assert_eq!(worked[0].outcome.change.to.clamp, "damping");
    assert_eq!((worked[0].likeness, worked[0].relief), (2, 3.0));
    assert_eq!(reading.worked(max, &Like::default()).len(), 2);
    let mixed = reading.pairs().filter(|(rider, _)| *rider == lena);
    let outcomes: Vec<_> = mixed.flat_map(|(r, s)| reading.outcomes(r, s)).collect();
    assert_eq!(outcomes[0].verdict, Verdict::Mixed);
    assert!(
        reading
            .worked(lena, &Like::default())
            .iter()
            .all(|w| w.outcome.strand.root != outcomes[0].strand.root)
    );
}

#[test]
fn the_timeline_filters_by_rider_sled_complaint_condition_and_words() {
    let book = Book::read(DEMO).unwrap();
    let reading = Reading::new(&book);
    let count = |filter: Filter| reading.timeline(&filter).len();
    let rider = |name: &str| {
        let found = reading.riders().find(|r| r.profile.name.starts_with(name));
        found.map(|r| r.id)
    };
    let all = count(Filter::default());
    let max = Filter {
        rider: rider("Max"),
        ..Filter::default()
    };
    assert!(count(max.clone()) < all);
    assert!(reading.timeline(&max).iter().all(|s| {
        let about = s.shown.as_ref().unwrap().about();
        about.rider.is_none_or(|r| Some(r) == rider("Max"))
    }));
    let numb = Filter {
        complaint: Some("numb_hands".to_owned()),
        ..Filter::default()
    };
    assert_eq!(count(numb), 4, "three times felt, one change");
    let text = |text: &str| {
        count(Filter {
            text: text.to_owned(),
            ..Filter::default()
        })
    };
    assert_eq!(text("FROZEN ruts max"), 1);
    assert_eq!(text("frozen"), 2);
    assert_eq!(text("no such word"), 0);
    assert_eq!(text("wrong sled"), 0, "deleted");
    let deleted = Filter {
        text: "wrong sled, meant".to_owned(),
        deleted: true,
        ..Filter::default()
    };
    assert_eq!(count(deleted), 1);
    let icy = Filter {
        conditions: Like {
            snow: Some(Snow::Ice),
            ..Like::default()
        },
        kinds: vec!["felt".to_owned()],
        ..Filter::default()
    };
    assert_eq!(count(icy), 2);
    let days = Filter {
        from_ms: Some(START + 24 * HOUR),
        to_ms: Some(START + 10 * 24 * HOUR),
        ..Filter::default()
    };
    assert!((1..all).contains(&count(days)));
}

#[test]
fn a_part_holds_whole_strands_and_merges_back_into_the_book() {
    let book = Book::read(DEMO).unwrap();
    let reading = Reading::new(&book);
    let riders: Vec<Id> = reading.riders().map(|r| r.id).collect();
    let sleds: Vec<Id> = reading.sleds().map(|s| s.id).collect();
    let parts = riders
        .iter()
        .map(|id| Part::Rider(*id))
        .chain(sleds.iter().map(|id| Part::Sled(*id)));
    let mut all = Book::new();
    for part in parts {
        let text = book.write(part, Some("a part")).unwrap();
        let form: sledstance::document::Envelope<BookForm> = serde_json::from_str(&text).unwrap();
        assert_eq!(form.data.part, part);
        let piece = Book::read(&text).unwrap();
        assert!(piece.len() < book.len());
        let pieces = Reading::new(&piece);
        if let Part::Rider(rider) = part {
            assert!(pieces.rider(rider).is_some());
            for (r, s) in reading.pairs().filter(|(r, _)| *r == rider) {
                assert!(pieces.sled(s).is_some(), "the sleds come along");
                assert_eq!(pieces.set_up(r, s, None), reading.set_up(r, s, None));
                assert_eq!(pieces.outcomes(r, s).len(), reading.outcomes(r, s).len());
            }
        }
        assert!(pieces.strands().iter().all(|s| !s.is_headless()));
        all.merge(&piece);
    }
    assert_eq!(all, book);
}

#[test]
fn the_table_has_a_line_for_every_entry_and_runs_no_formula() {
    let (mut writer, rider, sled) = season();
    let said = writer.write(
        START + HOUR,
        About::both(rider, sled),
        note("=HYPERLINK(\"http://example\"), \"quoted\"\nnext line"),
    );
    writer.over(START + 2 * HOUR, said, note("-2 laps"));
    let reading = Reading::new(&writer.book);
    let text = reading.csv(&Filter::default());
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let headings = table.headers().unwrap().clone();
    let column = |name: &str| headings.iter().position(|h| h == name).unwrap();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), writer.book.len());
    let says: Vec<&str> = rows.iter().map(|r| &r[column("says")]).collect();
    assert!(says.contains(&"'=HYPERLINK(\"http://example\"), \"quoted\"\nnext line"));
    assert!(says.contains(&"'-2 laps"));
    let states: Vec<&str> = rows.iter().map(|r| &r[column("state")]).collect();
    assert_eq!(states.iter().filter(|s| **s == "corrected").count(), 1);
    let set = rows.iter().find(|r| &r[column("kind")] == "base_set_up");
    assert_eq!(&set.unwrap()[column("stirrup_mm")], "-60");
}

#[test]
fn the_card_says_how_it_stands_and_what_to_tick_off() {
    let book = Book::read(DEMO).unwrap();
    let reading = Reading::new(&book);
    let (rider, sled) = reading
        .pairs()
        .find(|(r, _)| reading.rider_name(*r).starts_with("Max"))
        .unwrap();
    let card = reading
        .card(rider, sled, System::Metric, 60)
        .unwrap()
        .to_string();
    says(
        &card,
        &[
            "Max Midpack on Long Lemming",
            "Stands so since 2026-02-14 14:50",
            "Riser: 150 mm",
            "Clamp: damping",
            "Changed last",
            "worse",
            "[ ] The throttle snaps back",
            "not medical advice",
        ],
    );
    assert!(reading.card(rider, rider, System::Metric, 0).is_none());
}

// ---- Moving a set-up to another sled

fn sleds() -> Vec<Sled> {
    SHIPPED
        .iter()
        .map(|s| SledProfile::read(s.text).unwrap().resolve().unwrap())
        .collect()
}

fn choices(sled: &Sled) -> impl Strategy<Value = Settings> + use<> {
    let sled = sled.clone();
    (any::<[Index; 5]>(), 0.0..1.0_f64, 0.0..1.0_f64).prop_map(move |(i, angle, roll)| {
        let riser = i[0].index(sled.risers.len());
        let (low, high) = sled.risers[riser].angles.bounds();
        Settings {
            riser,
            clamp: i[1].index(sled.clamps.len()),
            bar: i[2].index(sled.bars.len()),
            seat: i[3].index(sled.seats.len()),
            stirrup: sled.stirrup.positions[i[4].index(sled.stirrup.positions.len())],
            riser_angle: sled.risers[riser]
                .angles
                .nearest(low + (high - low) * angle),
            bar_roll: sled.bar_roll.0 + (sled.bar_roll.1 - sled.bar_roll.0) * roll,
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_set_up_moved_onto_its_own_sled_stays_where_it_is(settings in choices(&sleds()[0])) {
        let sled = &sleds()[0];
        let from = Cockpit::new(sled, settings);
        let moved = moved(&from, sled);
        prop_assert!(moved.settings.checked(sled).is_ok());
        // Angles are tried every half degree: at this length that is less than a tape shows.
        prop_assert!(moved.grip_forward.abs() < 5.0 && moved.grip_up.abs() < 5.0, "{moved:?}");
        prop_assert!(moved.seat_up.abs() < 5.0 && moved.wider.abs() < 5.0, "{moved:?}");
        prop_assert!(moved.lean.abs() < Angle::from_deg(2.0), "{moved:?}");
    }

    #[test]
    fn a_set_up_moves_to_what_another_sled_allows_and_says_what_is_lost(settings in choices(&sleds()[0])) {
        let all = sleds();
        let from = Cockpit::new(&all[0], settings);
        for onto in &all[1..] {
            let moved = moved(&from, onto);
            prop_assert!(moved.settings.checked(onto).is_ok());
            let far = moved.grip_forward.abs().max(moved.grip_up.abs()).max(moved.seat_up.abs()) > 5.0;
            prop_assert!(!far || !moved.lost.is_empty());
            prop_assert_eq!(moved.same, moved.lost.is_empty());
            let to = Cockpit::new(onto, moved.settings);
            let off = |c: &Cockpit| (c.grip.x - c.toe_stop.x, c.grip.z - c.toe_stop.z);
            let (a, b) = (off(&from), off(&to));
            prop_assert!((b.0 - a.0 - moved.grip_forward).abs() < 1e-9);
            prop_assert!((b.1 - a.1 - moved.grip_up).abs() < 1e-9);
        }
    }
}

#[test]
fn a_written_set_up_is_found_on_its_sled_or_the_missing_part_is_named() {
    let sled = &sleds()[0];
    let settings = set_up(12.0).on(sled).unwrap();
    assert_eq!(
        SetUpForm::of(sled, &settings, None).differences(&set_up(12.0), System::Metric),
        Vec::<String>::new()
    );
    let mut gone = set_up(12.0);
    gone.clamp = "borrowed".to_owned();
    says(
        &gone.on(sled).unwrap_err().to_string(),
        &["clamp", "borrowed", "solid, damping"],
    );
    gone = set_up(12.0);
    gone.riser_height_mm = 160.0;
    says(
        &gone.on(sled).unwrap_err().to_string(),
        &["riser", "160 mm", "150 mm"],
    );
    says(
        &set_up(80.0).on(sled).unwrap_err().to_string(),
        &["riser_angle_deg", "80"],
    );
}
