//! The rider's form: which fields there are, what is typed in them, and the rider that comes of it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::draft;
use super::entry::{Entry, Kind, Units};
use crate::document::{from_tree, without_place};
use crate::order::Map;
use crate::rider::{
    ADULT_AGE, Built, Measurement, MeasurementError, RiderError, RiderProfile, Unit,
};
use crate::units::text::capital;

/// Path of the height.
pub const STATURE: &str = "measurements.stature";
/// Path of the weight.
pub const BODY_MASS: &str = "measurements.body_mass";
/// Path of the sex.
pub const SEX: &str = "sex";
/// Path of the age.
pub const AGE: &str = "age_y";

/// A field of the form.
#[derive(Clone, Debug, PartialEq)]
pub struct RiderField {
    /// Path in the rider's document; a measurement stands under `measurements.` and its name.
    pub path: String,
    /// What it is called.
    pub label: String,
    /// What it holds.
    pub kind: Kind,
    /// How it is taken, or what it says.
    pub how: String,
    /// The body measurement that it is, where it is one.
    pub measurement: Option<Measurement>,
}

/// Fields that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct RiderGroup {
    /// Heading.
    pub title: &'static str,
    /// Its fields.
    pub fields: Vec<RiderField>,
}

/// What is typed, by path.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RiderForm {
    entries: Map<String, Entry>,
}

/// What the form says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RiderRead {
    /// The rider's document without what is wrong; none while height or weight are missing.
    pub profile: Option<RiderProfile>,
    /// The rider.
    pub built: Option<Built>,
    /// What is wrong, by path.
    pub errors: Map<String, String>,
}

use Measurement as M;

/// Measurements by the part of the body, in the order in which a helper takes them.
const MEASUREMENTS: [(&str, &[Measurement]); 4] = [
    (
        "Legs and feet",
        &[
            M::CrotchHeight,
            M::TibialHeight,
            M::KneeHeightSitting,
            M::ButtockKneeLength,
            M::TrochanterionHeight,
            M::LateralMalleolusHeight,
            M::FootLength,
            M::BallOfFootLength,
        ],
    ),
    (
        "Arms and hands",
        &[
            M::Span,
            M::ShoulderElbowLength,
            M::ElbowGripLength,
            M::AcromionRadialeLength,
            M::RadialeStylionLength,
            M::ForearmFingertipLength,
            M::HandLength,
            M::HandBreadth,
        ],
    ),
    (
        "Trunk and head",
        &[
            M::SittingHeight,
            M::ShoulderHeight,
            M::CervicaleHeight,
            M::SuprasternaleHeight,
        ],
    ),
    (
        "Breadths and girths",
        &[
            M::BiacromialBreadth,
            M::HipBreadth,
            M::ChestDepth,
            M::ThighClearance,
            M::ThighCircumference,
            M::CalfCircumference,
        ],
    ),
];

/// Choices of the sex: as stored, and as shown.
pub const SEXES: &[(&str, &str)] = &[
    ("unknown", "not said"),
    ("female", "woman or girl"),
    ("male", "man or boy"),
];
const SHOE_SYSTEMS: &[(&str, &str)] = &[
    ("eu", "EU"),
    ("mondopoint", "mm (Mondopoint)"),
    ("uk", "UK"),
    ("us_men", "US men"),
    ("us_women", "US women"),
];
const LEVELS: &[(&str, &str)] = &[
    ("weak", "less than average"),
    ("average", "average"),
    ("trained", "trained"),
];

/// Fields beside the body's measurements: path, label, kind, how.
type Row = (&'static str, &'static str, Kind, &'static str);

const KNOWN: [Row; 4] = [
    (
        "stated.boot_size.size",
        "Boot size",
        Kind::Number,
        "As printed in the boot.",
    ),
    (
        "stated.boot_size.system",
        "Boot size is",
        Kind::Choice(SHOE_SYSTEMS),
        "The system of that size.",
    ),
    (
        "stated.glove_size",
        "Glove size",
        Kind::Number,
        "As a number: hand girth in inches.",
    ),
    (
        "stated.inseam_mm",
        "Trouser inseam",
        Kind::BodyLength,
        "Of trousers that fit, along the inner seam.",
    ),
];
const STRENGTH: [Row; 3] = [
    (
        "strength.level",
        "Strength",
        Kind::Choice(LEVELS),
        "For sex, size and age.",
    ),
    (
        "strength.grip_n",
        "Grip of the bare hand, N",
        Kind::Number,
        "By a dynamometer; 10 N is about 1 kg shown.",
    ),
    (
        "protraction_mm",
        "Shoulders ahead of the trunk",
        Kind::Length,
        "How far they are carried forward, riding.",
    ),
];
const GEAR: [Row; 16] = [
    (
        "gear.boots.sole_at_ball_mm",
        "Boot sole under the ball",
        Kind::Length,
        "Sole, board and liner.",
    ),
    (
        "gear.boots.sole_at_heel_mm",
        "Boot sole under the heel",
        Kind::Length,
        "Sole, board and liner.",
    ),
    (
        "gear.boots.longer_mm",
        "Boot longer than the foot by",
        Kind::Length,
        "Toe to heel, outside.",
    ),
    (
        "gear.boots.wider_mm",
        "Boot wider than the foot by",
        Kind::Length,
        "At its widest.",
    ),
    (
        "gear.boots.instep_height_mm",
        "Boot height at the instep",
        Kind::Length,
        "Over the underside of the sole.",
    ),
    (
        "gear.boots.dorsiflexion_stop_deg",
        "Boot stops the ankle at",
        Kind::Angle,
        "Shin forward from square to the sole.",
    ),
    (
        "gear.gloves.palm_thickness_mm",
        "Glove thickness in the palm",
        Kind::Length,
        "Pressed as on the grip.",
    ),
    (
        "gear.gloves.wider_mm",
        "Glove wider than the hand by",
        Kind::Length,
        "Across the knuckles.",
    ),
    (
        "gear.helmet.crown_mm",
        "Helmet above the crown",
        Kind::Length,
        "Shell and liner.",
    ),
    (
        "gear.helmet.mass_kg",
        "Helmet with goggles",
        Kind::Mass,
        "On a scale.",
    ),
    (
        "gear.neck_brace_stop_deg",
        "Neck brace stops at",
        Kind::Angle,
        "Head tilted back; empty: no brace.",
    ),
    (
        "gear.knees.thickness_mm",
        "Knee guard thickness",
        Kind::Length,
        "Ahead of the kneecap.",
    ),
    (
        "gear.knees.flexion_stop_deg",
        "Knee brace stops at",
        Kind::Angle,
        "Bend of the knee; empty: no stop.",
    ),
    (
        "gear.protector.chest_mm",
        "Chest protector thickness",
        Kind::Length,
        "At the breastbone.",
    ),
    (
        "gear.clothing.thickness_mm",
        "Clothing thickness",
        Kind::Length,
        "On each side.",
    ),
    (
        "gear.clothing.mass_kg",
        "Clothing in all",
        Kind::Mass,
        "Jacket and trousers on a scale.",
    ),
];

/// What a measurement is called.
pub fn called(measurement: Measurement) -> String {
    match measurement {
        M::Stature => "Height".to_owned(),
        M::BodyMass => "Weight".to_owned(),
        M::Span => "Arm span".to_owned(),
        other => capital(&other.name().replace('_', " ")),
    }
}

/// The field of a body measurement.
pub fn field_of(measurement: Measurement) -> RiderField {
    RiderField {
        path: path_of(measurement),
        label: called(measurement),
        kind: match measurement.unit() {
            Unit::Mm => Kind::BodyLength,
            Unit::Kg => Kind::Mass,
        },
        how: measurement.how().to_owned(),
        measurement: Some(measurement),
    }
}

fn path_of(measurement: Measurement) -> String {
    format!("measurements.{}", measurement.name())
}

fn field(&(path, label, kind, how): &Row) -> RiderField {
    RiderField {
        path: path.to_owned(),
        label: label.to_owned(),
        kind,
        how: how.to_owned(),
        measurement: None,
    }
}

/// The field of the sex.
pub fn sex_field() -> RiderField {
    let how = "Some published figures differ by it.";
    field(&(SEX, "Sex", Kind::Choice(SEXES), how))
}

/// The field of the age.
pub fn age_field() -> RiderField {
    let how = "In years; under 16 the figures of youths apply.";
    field(&(AGE, "Age", Kind::Number, how))
}

/// Everything beyond height, weight, sex and age, in groups.
pub fn groups() -> Vec<RiderGroup> {
    let rows = |title, rows: &[Row]| RiderGroup {
        title,
        fields: rows.iter().map(field).collect(),
    };
    let mut groups = vec![rows("Known without a tape", &KNOWN)];
    groups.extend(MEASUREMENTS.iter().map(|(title, list)| RiderGroup {
        title,
        fields: list.iter().copied().map(field_of).collect(),
    }));
    groups.push(rows("Strength and carriage", &STRENGTH));
    groups.push(rows("Gear", &GEAR));
    groups
}

impl RiderForm {
    /// Everything that was typed, by path.
    pub fn entries(&self) -> impl Iterator<Item = (&str, &Entry)> {
        self.entries
            .iter()
            .map(|(path, entry)| (path.as_str(), entry))
    }

    /// What stands at a path.
    pub fn entry(&self, path: &str) -> Option<&Entry> {
        self.entries.get(path)
    }

    /// Type a text at a path; an empty text clears it.
    pub fn type_in(&mut self, path: &str, entry: Entry) {
        if entry.text.is_empty() {
            self.entries.remove(path);
        } else {
            self.entries.insert(path.to_owned(), entry);
        }
    }

    /// How many of a group's fields are filled in.
    pub fn filled(&self, group: &RiderGroup) -> usize {
        let filled = |f: &&RiderField| self.entry(&f.path).is_some_and(|e| !e.is_empty());
        group.fields.iter().filter(filled).count()
    }

    /// How many of the body's measurements are typed as they can be read, and how many there are.
    pub fn measured(&self) -> (usize, usize) {
        let youth = self.is_youth();
        let taken = |m: &Measurement| {
            let entry = self.entry(&path_of(*m)).filter(|e| !e.is_empty());
            entry.is_some_and(|e| value(&field_of(*m), e, youth).is_ok())
        };
        (M::ALL.iter().filter(|m| taken(m)).count(), M::COUNT)
    }

    /// Whether the figures of youths apply.
    pub fn is_youth(&self) -> bool {
        self.entry(AGE)
            .and_then(|e| Kind::Number.number(&e.text, None, e.units).ok())
            .is_some_and(|age| age < ADULT_AGE)
    }

    /// Read every field; what is wrong is left out and said.
    pub fn read(&self, units: Units) -> RiderRead {
        let youth = self.is_youth();
        let mut errors = Map::new();
        let mut document = json!({ "name": "rider" });
        let mut measurements = Map::new();
        for (path, entry) in &self.entries {
            if entry.is_empty() {
                continue;
            }
            let Some(field) = known(path) else { continue };
            match value(&field, entry, youth) {
                Ok(value) => {
                    if field.measurement.is_some() {
                        measurements.insert(path.clone(), value);
                    } else {
                        draft::set(&mut document, path, value);
                    }
                }
                Err(words) => {
                    errors.insert(path.clone(), words);
                }
            }
        }
        complete_boot_size(&mut document);
        let mut read = RiderRead::default();
        // Each round leaves out one more value that the rider's own checks refuse.
        for _ in 0..=self.entries.len() {
            if !(measurements.contains_key(STATURE) && measurements.contains_key(BODY_MASS)) {
                break;
            }
            draft::set(&mut document, "measurements", listed(&measurements));
            let profile = match from_tree::<RiderProfile>(&document) {
                Ok(profile) => profile,
                Err(error) => {
                    errors.insert(STATURE.to_owned(), without_place(&error));
                    break;
                }
            };
            match profile.build() {
                Ok(built) => {
                    read.profile = Some(profile);
                    read.built = Some(built);
                    break;
                }
                Err(error) => {
                    let (path, words) = blame(&error, units);
                    if path == AGE || path == SEX {
                        draft::remove(&mut document, path.as_str());
                    } else if measurements.remove(&path).is_none() {
                        draft::remove(&mut document, whole(&path));
                    }
                    errors.insert(path, words);
                }
            }
        }
        read.errors = errors;
        read
    }
}

/// The field at a path.
pub fn known(path: &str) -> Option<RiderField> {
    if let Some(name) = path.strip_prefix("measurements.") {
        return Measurement::from_name(name).map(field_of);
    }
    match path {
        SEX => return Some(sex_field()),
        AGE => return Some(age_field()),
        _ => {}
    }
    KNOWN
        .iter()
        .chain(&STRENGTH)
        .chain(&GEAR)
        .find(|row| row.0 == path)
        .map(field)
}

fn value(field: &RiderField, entry: &Entry, youth: bool) -> Result<Value, String> {
    if let Kind::Choice(choices) = field.kind {
        let known = choices.iter().any(|(stored, _)| *stored == entry.text);
        return if known {
            Ok(json!(entry.text))
        } else {
            Err(format!(
                "\u{201c}{}\u{201d} is none of the choices",
                entry.text
            ))
        };
    }
    let range = field.measurement.map(|m| m.allowed(youth));
    field
        .kind
        .number(&entry.text, range, entry.units)
        .map(|number| json!(number))
        .map_err(|error| error.to_string())
}

/// A boot size without its system is an EU size; a system alone says nothing.
fn complete_boot_size(document: &mut Value) {
    if draft::get(document, "stated.boot_size.size").is_none() {
        draft::remove(document, "stated.boot_size");
    } else if draft::get(document, "stated.boot_size.system").is_none() {
        draft::set(document, "stated.boot_size.system", json!("eu"));
    }
}

fn listed(measurements: &Map<String, Value>) -> Value {
    let entry = |(path, value): (&String, &Value)| {
        let field = known(path)?;
        let key = match field.kind {
            Kind::Mass => "value_kg",
            _ => "value_mm",
        };
        let name = path.strip_prefix("measurements.")?;
        let mut entry = json!({ "name": name });
        draft::set(&mut entry, key, value.clone());
        Some(entry)
    };
    Value::Array(measurements.iter().filter_map(entry).collect())
}

/// What has to go from the document when a path is refused: a boot size goes whole.
fn whole(path: &str) -> &str {
    if path.starts_with("stated.boot_size") {
        "stated.boot_size"
    } else {
        path
    }
}

/// Which field an error speaks of, and its words in the units chosen.
fn blame(error: &RiderError, units: Units) -> (String, String) {
    let path = match error {
        RiderError::Measurement(inner) => {
            let field = match inner {
                MeasurementError::Missing { field }
                | MeasurementError::NotFinite { field, .. }
                | MeasurementError::OutOfRange { field, .. }
                | MeasurementError::Twice { field } => *field,
                MeasurementError::Deviation { field, .. } => *field,
            };
            match field {
                "age" => AGE.to_owned(),
                "boot_size" => "stated.boot_size.size".to_owned(),
                "glove_size" => "stated.glove_size".to_owned(),
                "inseam" => "stated.inseam_mm".to_owned(),
                name => format!("measurements.{name}"),
            }
        }
        RiderError::ValueField { measurement, .. } => format!("measurements.{measurement}"),
        RiderError::OutOfRange { field, .. } => (*field).to_owned(),
        RiderError::Estimate(_) => STATURE.to_owned(),
    };
    let bounds = match error {
        RiderError::Measurement(MeasurementError::OutOfRange {
            value, low, high, ..
        })
        | RiderError::OutOfRange {
            value, low, high, ..
        } => Some((*value, *low, *high)),
        _ => None,
    };
    let words = match (bounds, known(&path)) {
        (Some((value, low, high)), Some(field)) => {
            let print = |v| field.kind.print(v, units);
            format!(
                "{} is outside {} to {}",
                print(value),
                print(low),
                print(high)
            )
        }
        _ => error.to_string(),
    };
    (path, words)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(entries: &[(&str, &str)]) -> RiderForm {
        let mut form = RiderForm::default();
        for (path, text) in entries {
            form.type_in(path, Entry::new(*text, Units::Metric));
        }
        form
    }

    #[test]
    fn every_field_is_known_by_its_path_and_every_measurement_has_one() {
        let groups = groups();
        let mut measured = vec![M::Stature, M::BodyMass];
        for field in groups.iter().flat_map(|g| &g.fields) {
            assert_eq!(known(&field.path).as_ref(), Some(field));
            measured.extend(field.measurement);
        }
        measured.sort();
        assert_eq!(measured, M::ALL);
    }

    #[test]
    fn two_numbers_make_a_rider() {
        let read = form(&[(STATURE, "5'11"), (BODY_MASS, "176 lb")]).read(Units::Metric);
        assert_eq!(read.errors, Map::new());
        let built = read.built.unwrap();
        assert!((built.estimate.mean(M::Stature) - 1803.4).abs() < 10.0);
        assert!(!built.estimate.given(M::CrotchHeight));
    }

    #[test]
    fn what_is_wrong_is_said_beside_its_field_and_left_out() {
        let read = form(&[
            (STATURE, "180"),
            (BODY_MASS, "80"),
            (AGE, "230"),
            ("measurements.crotch_height", "84 lb"),
            ("stated.glove_size", "99"),
            ("gear.helmet.mass_kg", "14"),
            ("gear.knees.flexion_stop_deg", "95"),
        ])
        .read(Units::Metric);
        assert!(read.built.is_some());
        let wrong: Vec<&str> = read.errors.keys().map(String::as_str).collect();
        assert_eq!(
            wrong,
            [
                AGE,
                "gear.helmet.mass_kg",
                "measurements.crotch_height",
                "stated.glove_size"
            ]
        );
        assert_eq!(
            read.errors["gear.helmet.mass_kg"],
            "14.0 kg is outside 0.3 kg to 4.0 kg"
        );
        let profile = read.profile.unwrap();
        assert_eq!(profile.gear.knees.flexion_stop_deg, Some(95.0));
        assert_eq!(profile.gear.helmet.mass_kg, None);
    }

    #[test]
    fn without_height_or_weight_there_is_no_rider_and_no_complaint() {
        for entries in [vec![], vec![(STATURE, "180")], vec![(BODY_MASS, "80")]] {
            let read = form(&entries).read(Units::Metric);
            assert!(read.built.is_none() && read.errors.is_empty());
        }
        let read = form(&[(STATURE, "tall"), (BODY_MASS, "80")]).read(Units::Metric);
        assert!(read.built.is_none() && read.errors.contains_key(STATURE));
    }

    #[test]
    fn what_is_measured_is_counted_but_not_what_is_wrong_or_no_measurement() {
        assert_eq!(form(&[]).measured(), (0, 28));
        let entries = [
            (STATURE, "180"),
            (BODY_MASS, "80"),
            (AGE, "30"),
            ("stated.glove_size", "9"),
            ("measurements.crotch_height", "about 84"),
            ("measurements.span", "182"),
            ("measurements.hand_length", "19"),
        ];
        assert_eq!(form(&entries).measured(), (4, 28));
    }

    #[test]
    fn a_youth_is_allowed_to_be_short() {
        let small = [(STATURE, "125"), (BODY_MASS, "26")];
        assert!(form(&small).read(Units::Metric).built.is_none());
        let youth = form(&[small[0], small[1], (AGE, "8")]).read(Units::Metric);
        assert!(youth.built.is_some(), "{:?}", youth.errors);
    }

    #[test]
    fn a_boot_size_needs_no_system_and_a_system_no_size() {
        let base = [(STATURE, "180"), (BODY_MASS, "80")];
        let sized = form(&[base[0], base[1], ("stated.boot_size.size", "44")]);
        assert!(
            sized
                .read(Units::Metric)
                .profile
                .unwrap()
                .stated
                .boot_size
                .is_some()
        );
        let system = form(&[base[0], base[1], ("stated.boot_size.system", "uk")]);
        assert!(
            system
                .read(Units::Metric)
                .profile
                .unwrap()
                .stated
                .boot_size
                .is_none()
        );
    }
}
