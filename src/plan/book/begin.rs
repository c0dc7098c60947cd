//! Between the start place and the book: what stands there becomes entries, and what the book says becomes a plan.

use serde_json::Value;

use super::form::{Wrong, blamed, said};
use super::pen::{Beside, Pen};
use super::set_up::{Why, change};
use crate::document::{from_tree, to_tree};
use crate::log::form::{RiderRecord, RidesRecord, SledRecord};
use crate::log::{About, Entry, Id, Reading, SetUpForm, What, without_shelf};
use crate::plan::entry::{Entry as Typed, Kind, Units};
use crate::plan::rider_form::{self, AGE, SEX};
use crate::plan::setting::{Chosen, LeverRolls};
use crate::plan::words::path_in_words;
use crate::plan::{Plan, RiderForm, SledForm, draft};
use crate::rider::{Measurement, RiderProfile};
use crate::sled::SledProfile;
use crate::units::text::System;

/// Whom of the book something is: one that is there, or a new one under a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// One that the book knows.
    Known(Id),
    /// A new one.
    New(String),
}

/// What stands on the start place.
#[derive(Clone, Debug, PartialEq)]
pub struct Stands {
    /// The rider.
    pub rider: RiderProfile,
    /// The sled.
    pub sled: SledProfile,
    /// The set-up.
    pub set_up: SetUpForm,
}

/// The entries that put it into the book: a rider and a sled that are new or were measured again, who rides what, and the
/// set-up: the first of a rider on a sled, and one without a reason, is a base set-up; else it is a change.
///
/// # Errors
/// What is wrong, by field: `rider_name`, `sled_name`, `reason`; nothing new stands under the empty name.
pub fn put(
    stands: &Stands,
    rider: &Named,
    sled: &Named,
    why: &Why,
    reading: &Reading,
    pen: &mut Pen,
) -> Result<Vec<Entry>, Wrong> {
    let mut entries: Vec<Entry> = Vec::new();
    let named = |key: &str, name: &str| {
        let name = name.trim();
        if name.is_empty() {
            return Err(said(
                key,
                "Give a name: the book tells people and sleds apart by it.",
            ));
        }
        Ok(name.to_owned())
    };
    let rider_id = match rider {
        Named::New(name) => {
            let mut profile = stands.rider.clone();
            profile.name = named("rider_name", name)?;
            let entry = write_rider(pen, About::default(), profile, false)?;
            let id = entry.id();
            entries.push(entry);
            id
        }
        Named::Known(id) => {
            let Some(known) = reading.rider(*id) else {
                return Err(said("rider", "This rider is not in this book."));
            };
            if let Some(profile) = measured_again(known.profile, &stands.rider) {
                entries.push(write_rider(pen, About::rider(*id), profile, known.retired)?);
            }
            *id
        }
    };
    let sled_id = match sled {
        Named::New(name) => {
            let mut profile = stands.sled.clone();
            profile.name = named("sled_name", name)?;
            let entry = write_sled(pen, About::default(), profile, false)?;
            let id = entry.id();
            entries.push(entry);
            id
        }
        Named::Known(id) => {
            let Some(known) = reading.sled(*id) else {
                return Err(said("sled", "This sled is not in this book."));
            };
            let profile = SledProfile {
                name: known.profile.name.clone(),
                note: known.profile.note.clone(),
                ..without_shelf(&stands.sled, known.profile, known.at_hand)
            };
            if *known.profile != profile {
                entries.push(write_sled(pen, About::sled(*id), profile, known.retired)?);
            }
            *id
        }
    };
    let both = About::both(rider_id, sled_id);
    let rides = reading.riding().into_iter().find(|r| r.rider == rider_id);
    if rides.is_none_or(|r| r.sled != Some(sled_id)) {
        entries.push(written(pen, both, What::Rides(RidesRecord {}))?);
    }
    let from = reading.set_up(rider_id, sled_id, None);
    let differs = from.is_none_or(|f| !f.differences(&stands.set_up, System::Metric).is_empty());
    if differs {
        let from = from.filter(|_| !why.reason.trim().is_empty());
        let what = change(from, stands.set_up.clone(), why)?;
        entries.push(written(pen, both, what)?);
    }
    if entries.is_empty() {
        return Err(said(
            "",
            "The book says all of this already: nothing was written.",
        ));
    }
    Ok(entries)
}

/// A rider's record, new or again.
///
/// # Errors
/// As [`Entry::new`], by field.
pub fn write_rider(
    pen: &mut Pen,
    about: About,
    profile: RiderProfile,
    retired: bool,
) -> Result<Entry, Wrong> {
    let record = RiderRecord { profile, retired };
    written(pen, about, What::Rider(Box::new(record)))
}

/// A sled's record, new or again.
///
/// # Errors
/// As [`Entry::new`], by field.
pub fn write_sled(
    pen: &mut Pen,
    about: About,
    profile: SledProfile,
    retired: bool,
) -> Result<Entry, Wrong> {
    let record = SledRecord { profile, retired };
    written(pen, about, What::Sled(Box::new(record)))
}

/// An entry about someone.
///
/// # Errors
/// As [`Entry::new`], by field.
pub fn written(pen: &mut Pen, about: About, what: What) -> Result<Entry, Wrong> {
    pen.write(Beside::from(about), what)
        .map_err(|error| blamed(&error))
}

/// A plan that the book's rider, sled and set-up were opened in.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The plan.
    pub plan: Plan,
    /// What of the book's record the start place has no field for, in words; empty where nothing is lost.
    pub lost: Vec<String>,
}

/// Open a rider on a sled in a plan; units and the stance in front stay.
///
/// # Errors
/// In words, where the set-up cannot be made on the sled as recorded now.
pub fn open(
    plan: &Plan,
    rider: &RiderProfile,
    sled: &SledProfile,
    set_up: Option<&SetUpForm>,
) -> Result<Opened, String> {
    let mut next = Plan {
        units: plan.units,
        front: plan.front.clone(),
        ..Plan::default()
    };
    next.rider = typed(rider);
    let tree = to_tree(sled).map_err(|error| error.to_string())?;
    next.sled = SledForm::of_own(&tree.to_string()).unwrap_or_default();
    if let Some(set_up) = set_up {
        let machine = sled.resolve().map_err(|error| error.to_string())?;
        let settings = set_up.on(&machine).map_err(|error| error.to_string())?;
        next.by_hand = Some(Chosen::from(settings));
        next.levers = LeverRolls {
            brake_deg: set_up.brake.as_ref().map(|l| l.roll_deg),
            throttle_deg: set_up.throttle.as_ref().map(|l| l.roll_deg),
        };
    }
    let lost = lost(rider, &next.rider, plan.units);
    Ok(Opened { plan: next, lost })
}

/// A rider's record as the start place's form holds it.
fn typed(rider: &RiderProfile) -> RiderForm {
    let mut form = RiderForm::default();
    let Ok(tree) = to_tree(rider) else {
        return form;
    };
    let mut put = |path: &str, kind: Kind, value: &Value| {
        let text = match (kind, value) {
            (Kind::Length | Kind::BodyLength, Value::Number(n)) => format!("{n} mm"),
            (Kind::Mass, Value::Number(n)) => format!("{n} kg"),
            (_, Value::Number(n)) => n.to_string(),
            (_, Value::String(text)) => text.clone(),
            _ => return,
        };
        form.type_in(path, Typed::new(text, Units::Metric));
    };
    for entry in &rider.measurements {
        let field = rider_form::field_of(entry.name);
        if let Some(value) = entry.value_mm.or(entry.value_kg)
            && let Some(number) = serde_json::Number::from_f64(value)
        {
            put(&field.path, field.kind, &Value::Number(number));
        }
    }
    let groups = rider_form::groups();
    let plain = groups.iter().flat_map(|g| &g.fields);
    for field in plain.filter(|f| f.measurement.is_none()) {
        if let Some(value) = draft::get(&tree, &field.path) {
            put(&field.path, field.kind, value);
        }
    }
    for (path, kind) in [(SEX, Kind::Text), (AGE, Kind::Number)] {
        if let Some(value) = draft::get(&tree, path) {
            put(path, kind, value);
        }
    }
    form
}

/// A rider's record with what the start place's form says otherwise; `None` where it says nothing else. What the form has
/// no field for stays.
fn measured_again(known: &RiderProfile, now: &RiderProfile) -> Option<RiderProfile> {
    let mut next = known.clone();
    let before = typed(known).read(Units::Metric).profile.unwrap_or_default();
    let value = |of: &RiderProfile, name: Measurement| {
        let entry = of.measurements.iter().find(|e| e.name == name);
        entry.map(|e| (e.value_mm, e.value_kg))
    };
    for &name in Measurement::ALL.iter() {
        if value(&before, name) != value(now, name) {
            next.measurements.retain(|e| e.name != name);
            let taken = now.measurements.iter().filter(|e| e.name == name);
            next.measurements.extend(taken.cloned());
        }
    }
    let (Ok(mut tree), Ok(before), Ok(now)) = (to_tree(&next), to_tree(&before), to_tree(now))
    else {
        return None;
    };
    let groups = rider_form::groups();
    let fields = groups.iter().flat_map(|g| &g.fields);
    let plain = fields
        .filter(|f| f.measurement.is_none())
        .map(|f| f.path.as_str());
    for path in plain.chain([SEX, AGE]) {
        let (was, is) = (draft::get(&before, path), draft::get(&now, path));
        match is {
            _ if was == is => {}
            Some(is) => draft::set(&mut tree, path, is.clone()),
            None => draft::remove_field(&mut tree, path),
        }
    }
    let next: RiderProfile = from_tree(&tree).ok()?;
    (next != *known).then_some(next)
}

/// What of a record its form does not hold, in words.
fn lost(rider: &RiderProfile, form: &RiderForm, units: Units) -> Vec<String> {
    let Some(read) = form.read(units).profile else {
        let lacks = [Measurement::Stature, Measurement::BodyMass]
            .iter()
            .any(|m| !rider.measurements.iter().any(|e| e.name == *m));
        let words = if lacks {
            "height and weight are not both measured: the example rider is drawn until they are"
        } else {
            "the record cannot be read by the form as it stands"
        };
        return vec![words.to_owned()];
    };
    let (Ok(mut whole), Ok(kept)) = (to_tree(rider), to_tree(&read)) else {
        return Vec::new();
    };
    for path in ["name", "note"] {
        draft::remove(&mut whole, path);
    }
    let mut lost = Vec::new();
    // Measurements are a list in another order: their deviations are all that the form leaves out.
    draft::remove(&mut whole, "measurements");
    let deviations = rider
        .measurements
        .iter()
        .any(|e| e.sd_mm.or(e.sd_kg).is_some());
    if deviations {
        lost.push("how exactly each measurement was taken".to_owned());
    }
    differing("", &whole, &kept, &mut lost);
    lost
}

fn differing(path: &str, whole: &Value, kept: &Value, lost: &mut Vec<String>) {
    if let Value::Object(fields) = whole {
        for (key, value) in fields {
            let below = if path.is_empty() {
                key.clone()
            } else {
                format!("{path}.{key}")
            };
            differing(&below, value, kept.get(key).unwrap_or(&Value::Null), lost);
        }
    } else if whole != kept {
        lost.push(path_in_words(path));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::form::ShelfRecord;
    use crate::log::{Book, DEMO, ShelfPart};
    use crate::plan::setting::middle;
    use crate::sled::profile::{RiserProfile, SHIPPED};

    fn stands() -> Stands {
        let sled = SledProfile::read(SHIPPED[1].text).unwrap();
        let machine = sled.resolve().unwrap();
        Stands {
            rider: RiderProfile::of(crate::rider::Sex::Female, 1720.0, 66.0),
            set_up: SetUpForm::of(&machine, &middle(&machine), None),
            sled,
        }
    }

    fn into(book: &mut Book, entries: Vec<Entry>) {
        for entry in entries {
            book.insert(entry);
        }
    }

    fn bench(book: &Book) -> Pen<'_> {
        Pen::on(book, 1_771_000_000_000, "bench", || [9; 10])
    }

    fn new(name: &str) -> Named {
        Named::New(name.to_owned())
    }

    #[test]
    fn a_new_rider_and_sled_are_four_entries_and_the_same_again_is_none() {
        let mut book = Book::new();
        let why = Why::default();
        let reading = Reading::new(&book);
        let mut pen = bench(&book);
        let nameless = put(&stands(), &new(" "), &new("Tern"), &why, &reading, &mut pen);
        assert!(nameless.unwrap_err().contains_key("rider_name"));
        let elsewhere = Named::Known(Id::next(5, [1; 10], None));
        let unknown = put(
            &stands(),
            &elsewhere,
            &new("Tern"),
            &why,
            &reading,
            &mut pen,
        );
        assert!(unknown.unwrap_err().contains_key("rider"));
        let unknown = put(
            &stands(),
            &new("Nora"),
            &elsewhere,
            &why,
            &reading,
            &mut pen,
        );
        assert!(unknown.unwrap_err().contains_key("sled"));
        let first = put(
            &stands(),
            &new("Nora"),
            &new("Tern"),
            &why,
            &reading,
            &mut pen,
        )
        .unwrap();
        let kinds: Vec<&str> = first.iter().map(|e| e.what().name()).collect();
        assert_eq!(kinds, ["rider", "sled", "rides", "base_set_up"]);
        drop(pen);
        into(&mut book, first);

        let reading = Reading::new(&book);
        let (rider, sled) = reading.pairs().next().unwrap();
        let (known_rider, known_sled) = (Named::Known(rider), Named::Known(sled));
        let mut pen = bench(&book);
        let mut put = |stands: &Stands, why: &Why| {
            put(stands, &known_rider, &known_sled, why, &reading, &mut pen)
        };
        assert!(put(&stands(), &why).unwrap_err()[""].contains("already"));
        let mut moved = stands();
        moved.set_up.riser_angle_deg += 2.0;
        let because = Why {
            reason: "she said so".to_owned(),
            ..Why::default()
        };
        let kinds = |entries: Vec<Entry>| -> Vec<&'static str> {
            entries.iter().map(|e| e.what().name()).collect()
        };
        assert_eq!(kinds(put(&moved, &because).unwrap()), ["change"]);
        assert_eq!(kinds(put(&moved, &why).unwrap()), ["base_set_up"]);
        moved.rider = moved.rider.with(Measurement::CrotchHeight, 800.0);
        assert_eq!(kinds(put(&moved, &because).unwrap()), ["rider", "change"]);
    }

    #[test]
    fn a_sled_that_was_opened_with_the_shelf_at_hand_goes_back_without_it() {
        let mut book = Book::new();
        let why = Why::default();
        let reading = Reading::new(&book);
        let mut pen = bench(&book);
        let (nora, tern) = (new("Nora"), new("Tern"));
        let mut first = put(&stands(), &nora, &tern, &why, &reading, &mut pen).unwrap();
        let spare = RiserProfile {
            height_mm: 137.0,
            angle_low_deg: None,
            angle_high_deg: None,
            angle_step_deg: None,
        };
        let part = ShelfPart::Riser(spare);
        let lies = What::Shelf(ShelfRecord { part });
        first.push(written(&mut pen, About::default(), lies).unwrap());
        drop(pen);
        into(&mut book, first);

        let reading = Reading::new(&book);
        let (rider, sled) = reading.pairs().next().unwrap();
        let mut seen = stands();
        seen.sled = reading.sled(sled).unwrap().at_hand.clone();
        seen.set_up.riser_height_mm = 137.0;
        assert!(seen.set_up.on(&seen.sled.resolve().unwrap()).is_ok());
        let mut pen = bench(&book);
        let (rider, sled) = (Named::Known(rider), Named::Known(sled));
        let again = put(&seen, &rider, &sled, &why, &reading, &mut pen).unwrap();
        let kinds: Vec<&str> = again.iter().map(|e| e.what().name()).collect();
        assert_eq!(kinds, ["base_set_up"]);
    }

    #[test]
    fn measuring_again_keeps_what_the_form_has_no_field_for() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        for rider in reading.riders() {
            let form = typed(rider.profile).read(Units::Metric).profile.unwrap();
            assert_eq!(
                measured_again(rider.profile, &form),
                None,
                "{}",
                rider.profile.name
            );
            let mut now = form;
            now.age_y = Some(44.0);
            now.measurements
                .retain(|e| ![Measurement::Span, Measurement::Stature].contains(&e.name));
            let taller = now.with(Measurement::Stature, 1801.0);
            let next = measured_again(rider.profile, &taller).unwrap();
            assert_eq!((next.age_y, &next.name), (Some(44.0), &rider.profile.name));
            assert_eq!(
                (&next.note, &next.gear),
                (&rider.profile.note, &rider.profile.gear)
            );
            let names: Vec<Measurement> = next.measurements.iter().map(|e| e.name).collect();
            assert!(!names.contains(&Measurement::Span) && names.contains(&Measurement::Stature));
            next.build().unwrap();
        }
    }

    #[test]
    fn every_rider_of_the_demo_opens_on_the_stage_and_says_what_is_lost() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        let sled = reading.sleds().next().unwrap().profile;
        let mut lossless = 0;
        for rider in reading.riders() {
            let opened = open(&Plan::default(), rider.profile, sled, None).unwrap();
            assert!(opened.plan.rider.read(Units::Metric).errors.is_empty());
            let read = opened.plan.rider.read(Units::Metric).profile.unwrap();
            if opened.lost.is_empty() {
                lossless += 1;
                let (a, b) = (read.build().unwrap(), rider.profile.build().unwrap());
                // Another order of the measurements may differ in the last bits.
                let far = |a: f64, b: f64| (a - b).abs() > 1e-9;
                let name = &rider.profile.name;
                assert!(!far(a.rider.mass(), b.rider.mass()), "{name}");
                assert!(
                    !far(
                        a.estimate.mean(Measurement::HandLength),
                        b.estimate.mean(Measurement::HandLength)
                    ),
                    "{name}"
                );
                assert!(
                    !far(
                        a.estimate.sd(Measurement::CrotchHeight),
                        b.estimate.sd(Measurement::CrotchHeight)
                    ),
                    "{name}"
                );
            }
        }
        assert!(lossless > 0);
        let otto = reading
            .riders()
            .find(|r| r.profile.name.starts_with("Otto"))
            .unwrap();
        let opened = open(&Plan::default(), otto.profile, sled, None).unwrap();
        assert!(
            opened.lost.iter().any(|l| l.contains("shaft")),
            "{:?}",
            opened.lost
        );
    }

    #[test]
    fn a_set_up_opens_as_it_is_written_and_one_that_cannot_be_says_why() {
        let book = Book::read(DEMO).unwrap();
        let reading = Reading::new(&book);
        let (rider, sled) = reading.pairs().next().unwrap();
        let (rider, sled_state) = (reading.rider(rider).unwrap(), reading.sled(sled).unwrap());
        let set_up = reading.set_up(rider.id, sled, None).unwrap();
        let opened = open(
            &Plan::default(),
            rider.profile,
            sled_state.profile,
            Some(set_up),
        )
        .unwrap();
        let machine = opened.plan.sled.read().sled.unwrap();
        let settings = opened.plan.by_hand.unwrap().on(&machine).unwrap();
        let back = SetUpForm::of(&machine, &settings, None);
        assert!(set_up.differences(&back, System::Metric).is_empty());
        let gone = SetUpForm {
            seat: "gone".to_owned(),
            ..set_up.clone()
        };
        let error = open(
            &Plan::default(),
            rider.profile,
            sled_state.profile,
            Some(&gone),
        );
        assert!(
            error
                .unwrap_err()
                .contains("seat \"gone\" is not in this sled's stock")
        );
    }
}
