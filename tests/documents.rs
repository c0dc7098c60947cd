//! Stored documents: they round-trip, stay readable for ever, and what is wrong is named by field, value and range.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use proptest::prelude::*;
use serde_json::{Value, json};
use sledstance::document::DocumentError;
use sledstance::rider::{Measurement, RiderProfile, Sex};
use sledstance::sled::{Sled, SledProfile, profile::SHIPPED};
use sledstance::stance::{Load, Stance, StanceProfile};

/// One document of each kind as its first version was written; they must load for ever.
const RIDER_1: &str = include_str!("cases/documents/rider-1.json");
const SLED_1: &str = include_str!("cases/documents/sled-1.json");
const STANCE_1: &str = include_str!("cases/documents/stance-1.json");

/// A document's text with one value changed; `Value::Null` takes the field away.
fn with(text: &str, pointer: &str, value: Value) -> String {
    let mut document: Value = serde_json::from_str(text).unwrap();
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    match document.pointer_mut(parent).unwrap() {
        Value::Object(map) if value.is_null() => drop(map.remove(name).unwrap()),
        Value::Object(map) => drop(map.insert(name.to_owned(), value)),
        Value::Array(list) => list[name.parse::<usize>().unwrap()] = value,
        other => panic!("{pointer} leads into {other}"),
    }
    document.to_string()
}

fn sled(text: &str) -> Result<Sled, String> {
    SledProfile::read(text)
        .map_err(|e| e.to_string())?
        .resolve()
        .map_err(|e| e.to_string())
}

/// The complaint about a sled with one value changed.
fn sled_complaint(pointer: &str, value: Value) -> String {
    sled(&with(SLED_1, pointer, value)).expect_err(pointer)
}

fn rider_complaint(pointer: &str, value: Value) -> String {
    let text = with(RIDER_1, pointer, value);
    match RiderProfile::read(&text) {
        Err(error) => error.to_string(),
        Ok(profile) => profile.build().expect_err(pointer).to_string(),
    }
}

fn stance_complaint(pointer: &str, value: Value) -> String {
    Stance::read(&with(STANCE_1, pointer, value))
        .expect_err(pointer)
        .to_string()
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

#[test]
fn first_versions_load_for_ever() {
    let rider = RiderProfile::read(RIDER_1).unwrap();
    assert_eq!(rider.sex, Sex::Female);
    assert_eq!(rider.gear.knees.flexion_stop_deg, Some(110.0));
    let built = rider.build().unwrap();
    assert!(built.estimate.given(Measurement::CrotchHeight));

    let sled = sled(SLED_1).unwrap();
    assert_eq!(sled.stirrup.positions.len(), 9);
    assert_eq!((sled.risers.len(), sled.seats.len()), (5, 4));
    assert_eq!(sled.steering.hose_limit, Some(290.0));

    let stance = Stance::read(STANCE_1).unwrap();
    assert_eq!(stance.name, "braced");
    assert_eq!(stance.goals[0].load, Load::ShortLanding2g);
    assert!((stance.ranges.knee.preferred.deg() - 80.0).abs() < 1e-12);
}

#[test]
fn what_is_written_reads_back_the_same() {
    let rider = RiderProfile::read(RIDER_1).unwrap();
    assert_eq!(RiderProfile::read(&rider.write().unwrap()).unwrap(), rider);
    for shipped in SHIPPED {
        let sled = SledProfile::read(shipped.text).unwrap();
        assert_eq!(SledProfile::read(&sled.write().unwrap()).unwrap(), sled);
    }
    let stance = StanceProfile::read(STANCE_1).unwrap();
    assert_eq!(
        StanceProfile::read(&stance.write().unwrap()).unwrap(),
        stance
    );
}

#[test]
fn text_that_is_no_json_is_answered_with_line_and_column() {
    let cut = &SLED_1[..SLED_1.len() / 2];
    let error = SledProfile::read(cut).unwrap_err();
    let DocumentError::NotJson { line, .. } = error else {
        panic!("{error}");
    };
    assert_eq!(line, cut.matches('\n').count() + 1);
    for text in ["", "sled", "{"] {
        assert!(
            matches!(
                SledProfile::read(text),
                Err(DocumentError::NotJson { line: 1, .. })
            ),
            "{text}"
        );
    }
    // JSON has no word for what is no number: the reader says where it stands.
    for word in ["NaN", "Infinity", "-Infinity", "1e999"] {
        let text = SLED_1.replacen(
            "\"foot_lateral_mm\": 255",
            &format!("\"foot_lateral_mm\": {word}"),
            1,
        );
        assert_ne!(text, SLED_1);
        let complaint = SledProfile::read(&text).unwrap_err().to_string();
        let line = text[..text.find("foot_lateral_mm").unwrap()]
            .matches('\n')
            .count()
            + 1;
        says(&complaint, &[&format!("line {line}")]);
    }
}

#[test]
fn a_document_of_another_kind_is_named_with_the_kind_that_is_wanted() {
    let complaint = SledProfile::read(RIDER_1).unwrap_err().to_string();
    says(&complaint, &["sledstance-rider", "sledstance-sled"]);
    let complaint = RiderProfile::read(SLED_1).unwrap_err().to_string();
    says(&complaint, &["sledstance-sled", "sledstance-rider"]);
    let complaint = StanceProfile::read(SLED_1).unwrap_err().to_string();
    says(&complaint, &["sledstance-sled", "sledstance-stance"]);
    says(&sled_complaint("/format", Value::Null), &["format"]);
    says(
        &sled_complaint("/format", json!("recipe")),
        &["recipe", "sledstance-sled"],
    );
}

#[test]
fn versions_that_are_not_known_are_refused_in_words() {
    says(&sled_complaint("/schema", json!(2)), &["2", "newer"]);
    says(&sled_complaint("/schema", json!(0)), &["0"]);
    says(&rider_complaint("/schema", json!(7)), &["7", "newer"]);
    says(&stance_complaint("/schema", json!(3)), &["3", "newer"]);
}

#[test]
fn missing_unknown_and_mistyped_fields_are_named_by_their_path() {
    says(
        &sled_complaint("/data/board/foot_lateral_mm", Value::Null),
        &["board", "foot_lateral_mm", "missing"],
    );
    says(
        &sled_complaint("/data/steering/base_x_mm", Value::Null),
        &["steering", "base_x_mm"],
    );
    says(
        &sled_complaint("/data/stirrup/positions_mm", Value::Null),
        &["stirrup.positions_mm", "missing"],
    );
    says(
        &sled_complaint("/data/stirrup/bolt", json!(1)),
        &["stirrup", "unknown field `bolt`"],
    );
    says(
        &sled_complaint("/data/risers/2/height", json!(1)),
        &["risers[2]", "unknown field `height`"],
    );
    says(
        &sled_complaint("/data/board/foot_lateral_mm", json!("255")),
        &["board.foot_lateral_mm", "255"],
    );
    says(
        &stance_complaint("/data/joints/knee", Value::Null),
        &["joints", "knee"],
    );
    says(
        &stance_complaint("/data/hold_goals/0/load", json!("jump")),
        &["hold_goals[0].load", "jump"],
    );
    says(
        &rider_complaint("/data/measurements/0/name", json!("inseam")),
        &["measurements[0].name", "inseam"],
    );
}

#[test]
fn values_that_cannot_be_are_named_with_the_allowed_range() {
    let cases = [
        (
            "/data/board/foot_lateral_mm",
            json!(0),
            "board.foot_lateral_mm",
            "100 to 500",
        ),
        (
            "/data/board/foot_lateral_mm",
            json!(-255),
            "-255",
            "100 to 500",
        ),
        (
            "/data/board/foot_lateral_mm",
            json!(1e300),
            "board.foot_lateral_mm",
            "100 to 500",
        ),
        (
            "/data/steering/base_z_mm",
            json!(0),
            "steering.base_z_mm",
            "300 to 1200",
        ),
        (
            "/data/steering/lock_deg",
            json!(340),
            "steering.lock_deg: 340",
            "5 to 70",
        ),
        (
            "/data/stirrup/positions_mm/3",
            json!(60),
            "stirrup.positions_mm[3]: 60",
            "-600 to 0",
        ),
        (
            "/data/risers/1/height_mm",
            json!(0),
            "risers[1].height_mm: 0",
            "10 to 400",
        ),
        (
            "/data/risers/1/angle_step_deg",
            json!(0),
            "risers[1].angle_step_deg: 0",
            "0.1 to 45",
        ),
        (
            "/data/seats/0/thickness_mm",
            json!(-100),
            "seats[0].thickness_mm: -100",
            "10 to 300",
        ),
        (
            "/data/seats/0/support",
            json!(0.5),
            "seats[0].support: 0.5",
            "1.05 to 6",
        ),
        (
            "/data/outline/2/half_width_mm",
            json!(-1),
            "outline[2].half_width_mm: -1",
            "0 to 700",
        ),
        (
            "/data/brake/reach_steps",
            json!(0),
            "brake.reach_steps: 0",
            "1 to 200",
        ),
        (
            "/data/balance_mark/sd_mm",
            json!(0),
            "balance_mark.sd_mm: 0",
            "1 to 500",
        ),
        (
            "/data/measured/0/tolerance_mm",
            json!(-2),
            "measured[0].tolerance_mm: -2",
            "0.05 to 100",
        ),
    ];
    for (pointer, value, named, range) in cases {
        says(&sled_complaint(pointer, value), &[named, range]);
    }
    says(
        &stance_complaint("/data/joints/knee/tolerance_deg", json!(0)),
        &["joints.knee.tolerance_deg: 0", "1 to 90"],
    );
    says(
        &stance_complaint("/data/joints/knee/preferred_deg", json!(140)),
        &["joints.knee.preferred_deg: 140", "30 to 115"],
    );
    says(
        &stance_complaint("/data/joints/knee/high_deg", json!(20)),
        &["joints.knee.high_deg: 20", "30 to 180"],
    );
    says(
        &stance_complaint("/data/hands/brake_fingers", json!(5)),
        &["hands.brake_fingers: 5", "0 to 4"],
    );
    says(
        &stance_complaint("/data/weight", json!(-1)),
        &["weight: -1", "0 to 1000"],
    );
    says(
        &stance_complaint("/data/hold_goals/1/load", json!("short_landing_2g")),
        &["hold_goals[1].load", "two goals"],
    );
}

#[test]
fn numbers_that_are_none_are_refused_where_no_text_guards_the_gate() {
    // The page hands numbers over without JSON between.
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
        let mut profile = SledProfile::read(SLED_1).unwrap();
        profile.steering.base_x_mm = value;
        says(
            &profile.resolve().unwrap_err().to_string(),
            &["steering.base_x_mm", "-300 to 900"],
        );
        let mut profile = SledProfile::read(SLED_1).unwrap();
        profile.stirrup.positions_mm = Some(vec![0.0, value]);
        says(
            &profile.resolve().unwrap_err().to_string(),
            &["stirrup.positions_mm[1]", "-600 to 0"],
        );
        let mut profile = StanceProfile::read(STANCE_1).unwrap();
        profile.joints.elbow.low_deg = value;
        says(
            &profile.resolve().unwrap_err().to_string(),
            &["joints.elbow.low_deg", "-90 to 180"],
        );
        let complaint = RiderProfile::of(Sex::Male, value, 80.0)
            .build()
            .unwrap_err()
            .to_string();
        says(&complaint, &["stature", "1300", "2300"]);
        let complaint = RiderProfile::of(Sex::Male, 1800.0, value)
            .build()
            .unwrap_err()
            .to_string();
        says(&complaint, &["body_mass", "30", "200"]);
    }
}

#[test]
fn a_wrong_unit_is_guessed_at() {
    says(
        &sled_complaint("/data/seat/height_mm", json!(16.5)),
        &[
            "seat.height_mm: 16.5",
            "150 to 900",
            "16.5 inches would be 419.1 mm",
        ],
    );
    says(
        &sled_complaint("/data/steering/base_z_mm", json!(0.705)),
        &["steering.base_z_mm: 0.705", "m would be 705.0 mm"],
    );
    says(
        &sled_complaint("/data/board/foot_lateral_mm", json!(25.5)),
        &["cm would be 255.0 mm"],
    );
    // Inches in a list that ends at 0 lie inside the allowed range; the distance between bolts gives them away.
    says(
        &sled_complaint("/data/stirrup/positions_mm", json!([0, -0.8, -1.6])),
        &["stirrup.positions_mm[1]: -0.8", "at least 4 mm"],
    );
    says(
        &rider_complaint("/data/measurements/0/value_mm", json!(71)),
        &["stature", "71", "1300", "2300", "inches"],
    );
    says(
        &rider_complaint("/data/measurements/0/value_mm", json!(1.8)),
        &["stature", "1.8", "metres"],
    );
}

#[test]
fn stock_and_order_are_checked() {
    for list in ["risers", "clamps", "bars", "seats"] {
        let complaint = sled_complaint(&format!("/data/{list}"), json!([]));
        says(&complaint, &[list, "at least 1"]);
    }
    says(
        &sled_complaint("/data/stirrup/positions_mm", json!([])),
        &["stirrup.positions_mm", "at least 1"],
    );
    says(
        &sled_complaint("/data/stirrup/positions_mm", json!([0, -20, -40, -20])),
        &["stirrup.positions_mm[3]: -20", "twice"],
    );
    says(
        &sled_complaint("/data/stirrup/positions_mm", json!([0, -40, -20])),
        &["stirrup.positions_mm[2]: -20", "rearward"],
    );
    says(
        &sled_complaint("/data/stirrup/positions_mm", json!([-20, -40])),
        &["stirrup.positions_mm[0]: -20", "must be 0"],
    );
    says(
        &sled_complaint("/data/stirrup/slot_mm", json!(100)),
        &["stirrup.slot_mm: 100", "not both"],
    );
    says(
        &sled_complaint("/data/outline/3/x_mm", json!(-400)),
        &["outline[3].x_mm: -400", "rear to front", "140"],
    );
    says(
        &sled_complaint(
            "/data/outline",
            json!([{"name": "lone", "x_mm": 0, "z_mm": 500, "half_width_mm": 80}]),
        ),
        &["outline: 1", "at least 2"],
    );
    says(
        &sled_complaint("/data/seat/height_mm", json!(300)),
        &["seat.height_mm: 300", "418", "446"],
    );
    says(
        &sled_complaint("/data/risers/1/height_mm", json!(100)),
        &["risers[1].height_mm: 100", "twice"],
    );
    says(
        &sled_complaint("/data/risers/0/angle_low_deg", json!(40)),
        &["risers[0].angle_high_deg: 35", "angle_low_deg 40"],
    );
    says(
        &sled_complaint("/data/seats/2/name", json!("soft")),
        &["seats[2].name", "soft", "twice"],
    );
    says(
        &sled_complaint("/data/clamps/0/name", json!(" ")),
        &["clamps[0].name", "missing"],
    );
    says(
        &sled_complaint("/data/name", json!("")),
        &["name", "missing"],
    );
    says(
        &sled_complaint("/data/board/footwell_front_mm", json!(50)),
        &["board.footwell_front_mm: 50", "toe_stop_offset_mm 100"],
    );
    says(
        &sled_complaint("/data/brake/longest_travel_mm", json!(5)),
        &["brake.longest_travel_mm: 5", "free_travel_mm 10"],
    );
    says(
        &sled_complaint("/data/seats/0/known_weight_kg", json!(60)),
        &["seats[0].f25_n", "not both"],
    );
}

#[test]
fn a_slot_is_tried_every_ten_millimetres_and_at_its_end() {
    let mut profile = SledProfile::read(SLED_1).unwrap();
    profile.stirrup.positions_mm = None;
    profile.stirrup.slot_mm = Some(35.0);
    let sled = profile.resolve().unwrap();
    assert_eq!(sled.stirrup.positions, [0.0, -10.0, -20.0, -30.0, -35.0]);
    assert_eq!(sled.stirrup.position_number(-20.2), Some(3));
    assert_eq!(sled.stirrup.position_number(-25.0), None);
}

#[test]
fn usual_values_pass_unmentioned_and_unusual_ones_are_said() {
    let sled = sled(&with(SLED_1, "/data/seat", json!({"height_mm": 520}))).unwrap();
    assert_eq!(sled.unusual.len(), 1);
    says(
        &sled.unusual[0],
        &["seat.height_mm: 520", "350 to 480", "no source"],
    );
    assert_eq!(sled.assumed, ["seat.line"]);
}

/// Every place in a document that holds a number.
fn numbers(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Number(_) => found.push(at.to_owned()),
        Value::Array(list) => {
            for (i, v) in list.iter().enumerate() {
                numbers(v, &format!("{at}/{i}"), found);
            }
        }
        Value::Object(map) => {
            for (k, v) in map {
                numbers(v, &format!("{at}/{k}"), found);
            }
        }
        _ => {}
    }
}

fn places(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    numbers(&serde_json::from_str(text).unwrap(), "", &mut found);
    found
}

fn finite(sled: &Sled) -> bool {
    let again = SledProfile::from(sled);
    let mut text = again.write().unwrap();
    // A number that is not finite would have been written as null.
    text.retain(|c| !c.is_whitespace());
    !text.contains(":null") && !text.contains("[null")
}

proptest! {
    #[test]
    fn any_text_is_answered(text in ".{0,200}") {
        prop_assert!(SledProfile::read(&text).is_err());
        prop_assert!(StanceProfile::read(&text).is_err());
        prop_assert!(RiderProfile::read(&text).is_err());
    }

    #[test]
    fn a_document_cut_anywhere_is_refused(share in 0.0..1.0_f64) {
        for text in [SLED_1, STANCE_1, RIDER_1] {
            let mut end = (text.trim_end().len() as f64 * share) as usize;
            while !text.is_char_boundary(end) {
                end -= 1;
            }
            let cut = &text[..end];
            prop_assert!(SledProfile::read(cut).is_err());
            prop_assert!(StanceProfile::read(cut).is_err());
            prop_assert!(RiderProfile::read(cut).is_err());
        }
    }

    #[test]
    fn any_number_anywhere_is_refused_or_makes_finite_things(pick in any::<prop::sample::Index>(), value in prop_oneof![
        any::<f64>().prop_filter("JSON has no word for it", |v| v.is_finite()),
        -1000.0..1000.0_f64,
        Just(0.0), Just(1e300), Just(-1e300), Just(f64::MIN_POSITIVE),
    ]) {
        let sled_places = places(SLED_1);
        if let Ok(sled) = sled(&with(SLED_1, sled_places[pick.index(sled_places.len())].as_str(), json!(value))) {
            prop_assert!(finite(&sled));
        }
        let stance_places = places(STANCE_1);
        if let Ok(stance) = Stance::read(&with(STANCE_1, stance_places[pick.index(stance_places.len())].as_str(), json!(value))) {
            prop_assert!(stance.weight.is_finite() && stance.ranges.knee.preferred.rad().is_finite());
        }
        let rider_places = places(RIDER_1);
        if let Ok(profile) = RiderProfile::read(&with(RIDER_1, rider_places[pick.index(rider_places.len())].as_str(), json!(value)))
            && let Ok(built) = profile.build()
        {
            prop_assert!(built.rider.mass().is_finite() && built.rider.mass() > 0.0);
            prop_assert!(built.rider.links.thigh.is_finite());
        }
    }

    #[test]
    fn numbers_that_are_none_never_pass(pick in 0..6_usize, value in prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY)]) {
        let mut profile = SledProfile::read(SLED_1).unwrap();
        let spot = match pick {
            0 => &mut profile.board.foot_lateral_mm,
            1 => &mut profile.steering.base_x_mm,
            2 => profile.seat.height_mm.get_or_insert(0.0),
            3 => &mut profile.risers.as_mut().unwrap()[2].height_mm,
            4 => profile.seats.as_mut().unwrap()[1].f25_n.get_or_insert(0.0),
            _ => &mut profile.outline.as_mut().unwrap()[3].z_mm,
        };
        *spot = value;
        prop_assert!(profile.resolve().is_err());
    }
}
