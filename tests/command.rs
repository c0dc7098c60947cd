//! The command line as people run it: the built program, files in, files and words out.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

mod line;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use line::{err, folder, out, program, run, text};
use serde_json::{Value, json};

/// A rider known by two numbers, on a demo sled.
const RIDER: [&str; 6] = ["--stature-mm", "1790", "--mass-kg", "79", "--sex", "m"];
const SLED: [&str; 2] = ["--sled", "long-lemming"];

fn on(command: &str, more: &[&str]) -> Output {
    let mut args = vec![command];
    args.extend(RIDER);
    args.extend(SLED);
    args.extend(more);
    run(&args)
}

fn json(output: &Output) -> Value {
    serde_json::from_str(&out(output)).unwrap_or_else(|e| panic!("{e}: {}", err(output)))
}

/// Names of everything in a folder.
fn left_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn help_names_every_command_and_exit_code() {
    let help = run(&["--help"]);
    assert_eq!(help.status.code(), Some(0));
    let says = out(&help);
    for word in [
        "fit",
        "pose",
        "people",
        "book",
        "check",
        "schema",
        "not medical advice",
        "Exit codes",
    ] {
        assert!(says.contains(word), "{word}");
    }
    let readme = include_str!("../README.md");
    for code in [0, 2, 3, 4] {
        assert!(says.contains(&format!("\n  {code}  ")), "help says {code}");
        assert!(
            readme.contains(&format!("\n| {code} |")),
            "README says {code}"
        );
    }
}

#[test]
fn a_fit_prints_a_work_order_with_checks_and_cautions() {
    let fit = on("fit", &[]);
    assert_eq!(fit.status.code(), Some(0), "{}", err(&fit));
    let says = out(&fit);
    for words in [
        "Work order: Long Lemming (demo)",
        "riser angle",
        "stirrups",
        "brake lever",
        "Work, in this order",
        "Check with tape and level",
        "Try on",
        "Tick off after every change",
        "throttle snaps back",
        "not medical advice",
        "short landing from 1 g",
    ] {
        assert!(says.contains(words), "\"{words}\" is missing in:\n{says}");
    }
}

#[test]
fn the_report_carries_what_is_needed_to_recompute_it() {
    let report = json(&on("fit", &["--json"]));
    for pointer in [
        "/settings/riser_height_mm",
        "/settings/riser_angle_deg",
        "/settings/bar_roll_deg",
        "/settings/stirrup_mm",
        "/settings/stirrup_right_offset_mm",
        "/settings/seat",
        "/settings/clamp",
        "/rider/mass_kg",
        "/rider/measurements/0/name",
        "/rider/measurements/0/sd",
        "/rider/measurements/0/given",
        "/rider/links_mm/thigh",
        "/levers/brake/along_mm",
        "/levers/brake/roll_deg",
        "/levers/brake/lever_reach_mm",
        "/levers/throttle/along_mm",
        "/distances/stirrup_to_grip_mm",
        "/distances/stirrup_to_grip_forward_mm",
        "/distances/grip_height_mm",
        "/distances/seat_to_grip_mm",
        "/checks/0/what",
        "/try_on/0/what",
        "/tasks/0/what",
        "/tasks/0/minutes",
        "/tasks/0/tools",
        "/warnings",
        "/practice",
        "/cautions/0",
    ] {
        assert!(report.pointer(pointer).is_some(), "{pointer}");
    }
    let stances = report["stances"].as_array().unwrap();
    let names: Vec<_> = stances
        .iter()
        .map(|s| s["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["seated", "ready", "attack", "braced"]);
    for stance in stances {
        for name in [
            "ball",
            "heel",
            "toe_stop",
            "ankle",
            "knee",
            "hip",
            "lower_trunk",
            "shoulder",
            "elbow",
            "grip",
            "seat",
            "neck",
            "head",
        ] {
            assert_eq!(
                stance["points_mm"][name].as_array().map(Vec::len),
                Some(3),
                "{name}"
            );
        }
        for name in [
            "ankle",
            "knee",
            "hip",
            "trunk",
            "shoulder",
            "elbow",
            "elbow_swing",
            "wrist_extension",
            "wrist_ulnar",
            "neck",
        ] {
            assert!(stance["angles_deg"][name].is_f64(), "{name}");
        }
        let terms = stance["terms"].as_array().unwrap();
        let sum: f64 = terms.iter().map(|t| t["value"].as_f64().unwrap()).sum();
        assert!((sum - stance["cost"].as_f64().unwrap()).abs() < 1e-6);
        for load in [
            "short_landing_1g",
            "short_landing_2g",
            "start",
            "straight_drop",
        ] {
            held_or_said(&stance["hold"][load], &report["rider"]["mass_kg"]);
        }
    }
}

/// A held load's contact forces sum to mass times specific force; one that is not held says why.
fn held_or_said(load: &Value, mass: &Value) {
    let pair = |v: &Value| [v[0].as_f64().unwrap(), v[1].as_f64().unwrap()];
    let (start, direction) = (pair(&load["start_load"]), pair(&load["direction"]));
    let Some(g) = load["g"].as_f64() else {
        assert!(!load["because"].as_str().unwrap().is_empty());
        return;
    };
    assert!(!load["gives_first"].as_str().unwrap().is_empty());
    let weight = mass.as_f64().unwrap() * 9.80665;
    let forces = load["forces_n"].as_object().unwrap();
    for (axis, i) in [(0, 0), (2, 1)] {
        let sum: f64 = forces.values().map(|f| f[axis].as_f64().unwrap()).sum();
        let wanted = weight * (start[i] + g * direction[i]);
        assert!(
            (sum - wanted).abs() < 1e-3 * weight,
            "axis {axis}: {sum} against {wanted}"
        );
    }
    for (joint, m) in load["moments_nm"].as_object().unwrap() {
        let at = |name: &str| m[name].as_f64().unwrap();
        let slack = 1e-6 * (at("high") - at("low"));
        assert!(
            at("low") - slack <= at("value") && at("value") <= at("high") + slack,
            "{joint}: {m}"
        );
    }
}

#[test]
fn the_segments_sum_to_the_riding_mass() {
    let report = json(&on("fit", &["--json"]));
    let mass = report["rider"]["mass_kg"].as_f64().unwrap();
    assert!(mass > report["rider"]["body_mass_kg"].as_f64().unwrap());
    for stance in report["stances"].as_array().unwrap() {
        let segments = stance["segments"].as_array().unwrap();
        let each = |s: &Value| s["mass_kg"].as_f64().unwrap() * s["count"].as_f64().unwrap();
        let sum: f64 = segments.iter().map(each).sum();
        assert!((sum - mass).abs() < 1e-9, "{sum} against {mass}");
        for axis in [0, 2] {
            let moment: f64 = segments
                .iter()
                .map(|s| each(s) * s["com_mm"][axis].as_f64().unwrap())
                .sum();
            let com = stance["com_mm"][axis].as_f64().unwrap();
            assert!(
                (moment / sum - com).abs() < 1e-6,
                "{} against {com}",
                moment / sum
            );
        }
    }
}

#[test]
fn kept_settings_stay_and_a_pose_of_the_answer_gives_the_answer() {
    let fit = json(&on(
        "fit",
        &[
            "--json",
            "--keep",
            "riser_height=125",
            "--keep",
            "seat=firm",
            "--keep",
            "clamp=solid",
            "--keep",
            "bar=low bend",
        ],
    ));
    let settings = &fit["settings"];
    assert_eq!(settings["riser_height_mm"], 125.0);
    assert_eq!(settings["seat"], "firm");
    let set = |name: &str, field: &str| format!("{name}={}", settings[field]);
    let pose = json(&on(
        "pose",
        &[
            "--json",
            "--set",
            "riser_height=125",
            "--set",
            "seat=firm",
            "--set",
            "clamp=solid",
            "--set",
            "bar=low bend",
            "--set",
            &set("riser_angle", "riser_angle_deg"),
            "--set",
            &set("bar_roll", "bar_roll_deg"),
            "--set",
            &set("stirrup", "stirrup_mm"),
        ],
    ));
    let (a, b) = (&fit["objective"]["value"], &pose["objective"]["value"]);
    let gap = (a.as_f64().unwrap() - b.as_f64().unwrap()).abs();
    // The pose is solved from other starts than the search's last step, to the solver's own tolerance.
    assert!(gap < 1e-5, "{a} against {b}");
}

#[test]
fn a_pose_says_what_was_not_given() {
    let pose = on("pose", &["--set", "riser_height=150"]);
    assert!(
        out(&pose).contains("taken as a sled comes: "),
        "{}",
        out(&pose)
    );
    assert!(out(&pose).contains("stirrup"));
}

#[test]
fn a_rider_nobody_s_sled_reaches_is_an_outcome_with_its_own_code() {
    let mut args = vec!["fit", "--stature-mm", "1350", "--mass-kg", "38"];
    args.extend(SLED);
    args.extend([
        "--keep",
        "riser_height=200",
        "--keep",
        "stirrup=-160",
        "--keep",
        "riser_angle=-5",
    ]);
    let fit = run(&args);
    assert_eq!(fit.status.code(), Some(3), "{}", err(&fit));
    let says = out(&fit);
    assert!(says.contains("NOTHING IN STOCK FITS"), "{says}");
    assert!(says.contains("what stops it: "), "{says}");
}

#[test]
fn wrong_input_ends_with_2_and_names_field_value_and_range() {
    let cases: [(&[&str], &[&str]); 10] = [
        (
            &[
                "fit",
                "--stature-mm",
                "71",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
            ],
            &["stature", "71", "1300", "2300"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "1.8",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
            ],
            &["stature", "1.8", "metres"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "NaN",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
            ],
            &["stature", "NaN"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "inf",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
            ],
            &["stature", "inf"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "-1800",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
            ],
            &["stature", "-1800"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "1800",
                "--mass-kg",
                "0",
                "--sled",
                "tall-tern",
            ],
            &["body_mass", "30", "200"],
        ),
        (
            &["fit", "--stature-mm", "1800", "--sled", "tall-tern"],
            &["body_mass", "--mass-kg"],
        ),
        (
            &["fit", "--stature-mm", "1800", "--mass-kg", "80"],
            &["--sled"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "1800",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
                "--measure",
                "leg=5",
            ],
            &["leg", "crotch_height"],
        ),
        (
            &[
                "fit",
                "--stature-mm",
                "1800",
                "--mass-kg",
                "80",
                "--sled",
                "tall-tern",
                "--keep",
                "riser_height=130",
            ],
            &["riser_height=130", "50, 75, 100, 125, 150"],
        ),
    ];
    for (args, words) in cases {
        let output = run(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {}", err(&output));
        assert!(output.stdout.is_empty(), "{args:?}");
        for word in words {
            assert!(err(&output).contains(word), "{args:?}: {}", err(&output));
        }
    }
}

#[test]
fn settings_that_the_sled_does_not_allow_are_refused_by_name() {
    for (choice, word) in [
        ("riser_angle=70", "-5 to 35"),
        ("bar_roll=-40", "-12 to 12"),
        ("stirrup=-30", "0, -20, -40"),
        ("seat=blue", "soft, standard, firm, tall"),
        ("clamp=none", "solid, damping"),
        ("riser_angle=steep", "takes a number"),
        ("saddle=1", "no setting is called"),
        ("seat", "NAME=VALUE"),
    ] {
        let output = on("pose", &["--set", choice]);
        assert_eq!(output.status.code(), Some(2), "{choice}");
        assert!(err(&output).contains(word), "{choice}: {}", err(&output));
    }
}

#[test]
fn check_points_at_file_line_and_column() {
    let folder = folder("check");
    let sled = include_str!("cases/documents/sled-1.json");
    let wrong = folder.join("wrong.json");
    fs::write(
        &wrong,
        sled.replace("\"foot_lateral_mm\": 255", "\"foot_lateral_mm\": 10"),
    )
    .unwrap();
    let place = sled.find("\"foot_lateral_mm\": ").unwrap() + "\"foot_lateral_mm\": ".len();
    let line = sled[..place].matches('\n').count() + 1;
    let column = place - sled[..place].rfind('\n').unwrap();
    let output = run(&["check", text(&wrong)]);
    assert_eq!(output.status.code(), Some(2));
    let says = err(&output);
    assert!(
        says.contains(&format!(
            "wrong.json:{line}:{column}: board.foot_lateral_mm: 10"
        )),
        "{says}"
    );

    let rider = folder.join("rider.json");
    let text_1 = include_str!("cases/documents/rider-1.json");
    fs::write(
        &rider,
        text_1.replace("\"value_mm\": 1684", "\"value_mm\": 168.4"),
    )
    .unwrap();
    let output = run(&["check", text(&rider)]);
    assert_eq!(output.status.code(), Some(2));
    let line = text_1[..text_1.find("1684").unwrap()].matches('\n').count() + 1;
    assert!(
        err(&output).contains(&format!("rider.json:{line}:")),
        "{}",
        err(&output)
    );

    let good = folder.join("good.json");
    fs::write(&good, sled).unwrap();
    let output = run(&["check", text(&good), text(&wrong)]);
    assert_eq!(
        output.status.code(),
        Some(2),
        "one wrong file among good ones"
    );
    assert!(out(&output).contains("good.json: sound: a sled"));
    assert_eq!(run(&["check", text(&good)]).status.code(), Some(0));
    assert_eq!(
        run(&["check", text(&folder.join("absent.json"))])
            .status
            .code(),
        Some(4)
    );
}

#[test]
fn every_shipped_profile_is_sound() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("rider-profiles");
    let mut count = 0;
    for kind in ["riders", "sleds", "stances"] {
        for entry in fs::read_dir(root.join(kind)).unwrap() {
            let path = entry.unwrap().path();
            let output = run(&["check", text(&path)]);
            assert_eq!(output.status.code(), Some(0), "{}", err(&output));
            count += 1;
        }
    }
    assert!(count >= 15, "{count}");
}

#[test]
fn schemas_describe_the_documents() {
    for (kind, format, field) in [
        ("rider", "sledstance-rider", "RiderProfile"),
        ("sled", "sledstance-sled", "SledProfile"),
        ("stance", "sledstance-stance", "StanceProfile"),
    ] {
        let schema = json(&run(&["schema", kind]));
        assert_eq!(schema["properties"]["format"]["const"], format);
        let data = &schema["$defs"][field];
        assert_eq!(data["additionalProperties"], false, "{kind}");
        for (name, property) in data["properties"].as_object().unwrap() {
            let described = property["description"]
                .as_str()
                .is_some_and(|d| !d.is_empty());
            assert!(described, "{kind}.{name} says nothing");
        }
    }
    let report = json(&run(&["schema", "report"]));
    assert_eq!(report["properties"]["format"]["const"], "sledstance-report");
    let required: Vec<_> = report["required"].as_array().unwrap().iter().collect();
    for name in [
        "settings",
        "rider",
        "stances",
        "levers",
        "distances",
        "cautions",
    ] {
        assert!(required.contains(&&Value::from(name)), "{name}");
    }
    assert!(
        report["description"]
            .as_str()
            .unwrap()
            .contains("x forward, y left, z up")
    );
    assert_eq!(run(&["schema", "recipe"]).status.code(), Some(2));
}

#[test]
fn a_failure_leaves_no_file_behind() {
    let folder = folder("no-partial");
    let target = folder.join("order.txt");
    let output = run(&[
        "fit",
        "--stature-mm",
        "71",
        "--mass-kg",
        "80",
        "--sled",
        "tall-tern",
        "--out",
        text(&target),
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(left_in(&folder), Vec::<String>::new());
    let nowhere = folder.join("absent/order.txt");
    let output = on("fit", &["--out", text(&nowhere)]);
    assert_eq!(output.status.code(), Some(4), "{}", err(&output));
    // A folder stands where the file should go: the rename fails and the finished text beside it is taken away.
    fs::create_dir(folder.join("taken")).unwrap();
    let output = on("fit", &["--out", text(&folder.join("taken"))]);
    assert_eq!(output.status.code(), Some(4), "{}", err(&output));
    assert_eq!(left_in(&folder), ["taken"]);
    let output = on("fit", &["--out", text(&target)]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(output.stdout.is_empty());
    assert_eq!(left_in(&folder), ["order.txt", "taken"]);
}

const PEOPLE: &str = "\
subjectid,sex,stature_mm,weight_kg,crotchheight_mm,eye_colour
1,m,1760,80,,blue
2,f,1650,62,760,brown
3,m,71,80,,grey
4,x,1700,70,,green
5,m,1820,84,860,blue
";

fn people(data: &Path, target: &Path) -> Output {
    run(&[
        "people",
        "--data",
        text(data),
        "--sled",
        "tall-tern",
        "--out",
        text(target),
    ])
}

fn rows(path: &Path) -> Vec<String> {
    fs::read_to_string(path)
        .unwrap()
        .lines()
        .map(str::to_owned)
        .collect()
}

#[test]
fn people_are_fitted_row_by_row_and_the_run_can_be_taken_up_again() {
    let folder = folder("people");
    let (data, target) = (folder.join("people.csv"), folder.join("fitted.csv"));
    fs::write(&data, PEOPLE).unwrap();
    let first = people(&data, &target);
    assert_eq!(first.status.code(), Some(0), "{}", err(&first));
    assert!(out(&first).contains("5 people: "), "{}", out(&first));
    assert!(
        out(&first).contains("2 refused: the parts in stock fit 100.0 %"),
        "{}",
        out(&first)
    );
    let whole = rows(&target);
    assert_eq!(whole.len(), 6);
    let width = whole[0].split(',').count();
    assert!(
        whole[3].contains("refused") && whole[3].contains("stature"),
        "{}",
        whole[3]
    );
    assert!(whole[4].contains("sex"), "{}", whole[4]);
    for row in [1, 2, 5] {
        assert_eq!(whole[row].split(',').nth(3), Some("fits"), "{}", whole[row]);
        assert_eq!(whole[row].split(',').count(), width);
    }

    // Stopped half-way: two rows are there. The others are computed, and the end is the same.
    fs::write(&target, whole[..3].join("\n") + "\n").unwrap();
    let second = people(&data, &target);
    assert!(
        out(&second).contains("\n2 rows were there already"),
        "{}",
        out(&second)
    );
    assert_eq!(rows(&target), whole);

    // What stands there is believed, not computed again.
    let marked = whole
        .join("\n")
        .replacen(",fits,,", ",fits,marked by hand,", 1)
        + "\n";
    assert!(marked.contains("marked by hand"));
    fs::write(&target, &marked).unwrap();
    let third = people(&data, &target);
    assert!(
        out(&third).contains("5 rows were there already"),
        "{}",
        out(&third)
    );
    assert_eq!(fs::read_to_string(&target).unwrap(), marked);

    // A row that changed in the data is computed again.
    fs::write(&data, PEOPLE.replace("1,m,1760,80", "1,m,1765,80")).unwrap();
    let fourth = people(&data, &target);
    assert!(
        out(&fourth).contains("4 rows were there already"),
        "{}",
        out(&fourth)
    );
    let changed = rows(&target);
    assert_ne!(changed[1], whole[1]);
    assert_eq!(changed[2..], whole[2..]);
    assert_eq!(left_in(&folder), ["fitted.csv", "people.csv"]);
}

#[test]
fn people_are_summed_up_with_settings_kept_for_all() {
    let folder = folder("people-summary");
    let (data, target) = (folder.join("people.csv"), folder.join("fitted.csv"));
    let summary = folder.join("summary.json");
    fs::write(&data, PEOPLE).unwrap();
    let with = |more: &[&str]| {
        let mut args = vec![
            "people",
            "--data",
            text(&data),
            "--sled",
            "tall-tern",
            "--out",
            text(&target),
        ];
        args.extend_from_slice(more);
        run(&args)
    };
    let first = with(&["--keep", "seat=firm", "--summary", text(&summary)]);
    assert_eq!(first.status.code(), Some(0), "{}", err(&first));
    assert!(
        out(&first).contains("seat: firm for 100.0 %"),
        "{}",
        out(&first)
    );
    let told: Value = serde_json::from_str(&fs::read_to_string(&summary).unwrap()).unwrap();
    assert_eq!(told["format"], "sledstance-people-summary");
    assert_eq!((&told["riders"], &told["refused"]), (&json!(5), &json!(2)));
    assert_eq!(told["refusals"][0]["row"], 3);
    let of = |name: &str| -> u64 {
        let uses = told["used"][name].as_array().unwrap();
        uses.iter().map(|u| u["riders"].as_u64().unwrap()).sum()
    };
    let fit = told["fit"].as_u64().unwrap();
    for name in ["seat", "clamp", "bar", "riser_height_mm"] {
        assert_eq!(of(name), fit, "{name}");
    }
    // Printed as JSON it is the same, and nobody is computed again.
    let second = with(&["--keep", "seat=firm", "--json"]);
    assert_eq!(serde_json::from_str::<Value>(&out(&second)).unwrap(), told);
    // Another keep is another question: everybody is computed again.
    let third = with(&[]);
    assert!(
        out(&third).contains("\n0 rows were there already"),
        "{}",
        out(&third)
    );
    let wrong = with(&["--keep", "seat=velvet"]);
    assert_eq!(wrong.status.code(), Some(2), "{}", err(&wrong));
    let schema = run(&["schema", "summary"]);
    assert!(out(&schema).contains("not_fitted"), "{}", out(&schema));
}

#[test]
fn seats_tiring_and_vibration_stand_in_the_report() {
    let with = |more: &[&str]| {
        let mut args = vec![
            "pose",
            "--stature-mm",
            "1780",
            "--mass-kg",
            "79",
            "--sex",
            "m",
            "--sled",
            "long-lemming",
        ];
        args.extend_from_slice(more);
        run(&args)
    };
    let json = with(&["--json", "--vibration-ms2", "3.5", "--hours", "2"]);
    let report: Value = serde_json::from_str(&out(&json)).unwrap();
    let seats = report["seats"].as_array().unwrap();
    let of = |name: &str, field: &str| {
        let seat = seats.iter().find(|s| s["name"] == name).unwrap();
        seat[field].as_f64().unwrap()
    };
    assert_eq!(seats.iter().filter(|s| s["fitted"] == true).count(), 1);
    for pair in ["soft", "standard", "firm"].windows(2) {
        assert!(of(pair[1], "one_weight_s") < of(pair[0], "one_weight_s"));
        assert!(of(pair[1], "hip_height_mm") > of(pair[0], "hip_height_mm"));
        assert!(of(pair[1], "sag_mm") < of(pair[0], "sag_mm"));
    }
    // The set-up's own seat stands where its seated stance says.
    let seated = report["stances"].as_array().unwrap().iter();
    let seated = seated.into_iter().find(|s| s["name"] == "seated").unwrap();
    let own = seats.iter().find(|s| s["fitted"] == true).unwrap();
    let hip = seated["points_mm"]["hip"][2].as_f64().unwrap();
    assert!((own["hip_height_mm"].as_f64().unwrap() - hip).abs() < 1e-6);
    for stance in report["stances"].as_array().unwrap() {
        let working = &stance["working"];
        let efforts = working["effort"].as_object().unwrap();
        for (joint, effort) in efforts {
            let time = &working["holding_time_s"][joint];
            assert_eq!(
                time.is_null(),
                effort.as_f64().unwrap() < 0.15,
                "{joint}: {time}"
            );
        }
    }
    let vibration = &report["vibration"];
    let number = |name: &str| vibration[name].as_f64().unwrap();
    assert!((number("hours_to_action") - 4.08).abs() < 0.01);
    assert!((number("hours_to_limit") - 16.33).abs() < 0.01);
    assert!((number("daily_m_s2") - 1.75).abs() < 1e-9);

    let words = out(&with(&["--vibration-ms2", "7.9", "--hours", "5"]));
    for told in [
        "0.8 h a day",
        "3.2 h a day",
        "ABOVE THE LIMIT VALUE",
        "white fingers",
        "Seats in stock",
        "passes force after",
        "tires first",
        "steady hold until failure",
    ] {
        assert!(words.contains(told), "{told} not in {words}");
    }
    let bare = out(&with(&["--json"]));
    assert!(
        serde_json::from_str::<Value>(&bare)
            .unwrap()
            .get("vibration")
            .is_none()
    );
    for wrong in [
        &["--vibration-ms2", "-1"][..],
        &["--vibration-ms2", "3.5", "--hours", "25"],
        &["--hours", "2"],
        &["--drop-ms", "11"],
        &["--drop-ms", "nan"],
    ] {
        let output = with(wrong);
        assert_eq!(output.status.code(), Some(2), "{wrong:?}: {}", out(&output));
    }
}

#[test]
fn tables_that_cannot_be_used_are_refused_and_nothing_is_written() {
    let folder = folder("tables");
    let (data, target) = (folder.join("people.csv"), folder.join("fitted.csv"));
    for (table, word) in [
        ("name,weight_kg\nA,80\n", "stature"),
        (
            "stature_mm,stature_cm,mass_kg\n1800,180,80\n",
            "exactly one",
        ),
        ("stature_mm,mass_kg\n", "no people"),
        ("stature_mm,mass_kg\n1800,80,3\n", "3"),
        ("", "stature"),
    ] {
        fs::write(&data, table).unwrap();
        let output = people(&data, &target);
        assert_eq!(output.status.code(), Some(2), "{table}");
        assert!(err(&output).contains(word), "{table}: {}", err(&output));
        assert!(!target.exists());
    }
    // A file that is no output of this command is not written over.
    fs::write(&data, PEOPLE).unwrap();
    fs::write(&target, "my,own,table\n").unwrap();
    let output = people(&data, &target);
    assert_eq!(output.status.code(), Some(2), "{}", err(&output));
    assert_eq!(fs::read_to_string(&target).unwrap(), "my,own,table\n");
    let output = people(&folder.join("absent.csv"), &target);
    assert_eq!(output.status.code(), Some(4));
}

#[test]
fn a_reader_that_leaves_is_no_failure() {
    for args in [
        &["schema", "report"][..],
        &["check", "rider-profiles/sleds/tall-tern.json"],
    ] {
        let mut child = program(args)
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        assert!(output.stderr.is_empty(), "{}", err(&output));
    }
}

/// An invented book in a file of its own.
fn book_in(folder: &Path) -> PathBuf {
    let path = folder.join("book.json");
    fs::write(
        &path,
        include_str!("../rider-profiles/books/two-tents.json"),
    )
    .unwrap();
    path
}

/// Lays a part on the team's shelf, for every sled.
fn lay_on_shelf(book: &Path, part: &serde_json::Value) {
    let mut whole: serde_json::Value = serde_json::from_slice(&fs::read(book).unwrap()).unwrap();
    let entries = whole["data"]["entries"].as_array_mut().unwrap();
    entries.push(serde_json::json!({
        "id": "01b00000-0000-7000-8000-000000000001",
        "at_ms": 1_855_425_871_872_u64,
        "device": "bench",
        "what": { "shelf": { "part": part } },
    }));
    fs::write(book, whole.to_string()).unwrap();
}

#[test]
fn a_book_is_shown_in_words_and_as_a_table() {
    let shown = run(&["book", "show", "two-tents", "--rider", "max"]);
    assert_eq!(shown.status.code(), Some(0), "{}", err(&shown));
    let says = out(&shown);
    for words in [
        "Max Midpack rides Long Lemming (demo)",
        "Riser angle: 13° back",
        "expected: hand load 43 → 41 N, ready",
        "felt: better (arm pump 2.0 → 0.0; numb hands 2.0 → 1.0)",
        "felt: not felt yet",
    ] {
        assert!(says.contains(words), "\"{words}\" is missing in:\n{says}");
    }
    assert!(
        !says.contains("Lena") && !says.contains("Filed under"),
        "{says}"
    );
    let table = out(&run(&["book", "show", "two-tents", "--csv"]));
    assert_eq!(table.lines().count(), 1 + 48, "{table}");
    assert!(table.contains(",deletion,") && table.contains(",corrected,"));
    let none = run(&["book", "show", "two-tents", "--rider", "nobody"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(
        err(&none).contains("Max Midpack, Lena Longleg"),
        "{}",
        err(&none)
    );
}

#[test]
fn books_are_merged_whole_or_not_at_all_and_never_over_another() {
    let folder = folder("book-merge");
    let book = book_in(&folder);
    let part = folder.join("part.json");
    let parted = run(&[
        "book",
        "part",
        text(&book),
        "--rider",
        "lena",
        "--out",
        text(&part),
    ]);
    assert_eq!(parted.status.code(), Some(0), "{}", err(&parted));
    let both = folder.join("both.json");
    let merge = [
        "book",
        "merge",
        text(&part),
        text(&book),
        text(&part),
        "--out",
        text(&both),
    ];
    let merged = run(&merge);
    assert_eq!(merged.status.code(), Some(0), "{}", err(&merged));
    assert!(
        out(&merged).contains("48 entries written"),
        "{}",
        out(&merged)
    );
    // A file that stands there and is none of those that are merged keeps its entries.
    let refused = run(&["book", "merge", text(&part), "--out", text(&both)]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(err(&refused).contains("stands there already"));
    let before = fs::read(&both).unwrap();
    let broken = folder.join("broken.json");
    fs::write(&broken, &before[..before.len() / 2]).unwrap();
    let failed = run(&[
        "book",
        "merge",
        text(&both),
        text(&broken),
        "--out",
        text(&both),
    ]);
    assert_eq!(failed.status.code(), Some(2));
    assert!(
        err(&failed).contains("broken.json: line "),
        "{}",
        err(&failed)
    );
    assert_eq!(fs::read(&both).unwrap(), before);
    let names = ["book.json", "both.json", "broken.json", "part.json"];
    assert_eq!(left_in(&folder), names);
    let new = folder.join("new.json");
    let missing = run(&["book", "merge", "no-such-file.json", "--out", text(&new)]);
    assert_eq!(missing.status.code(), Some(4));
}

#[test]
fn a_book_is_checked_and_its_faults_are_placed() {
    let folder = folder("book-check");
    let book = book_in(&folder);
    for command in [&["book", "check"][..], &["check"]] {
        let checked = run(&[command, &[text(&book)]].concat());
        assert_eq!(checked.status.code(), Some(0), "{}", err(&checked));
        assert!(out(&checked).contains("sound: a book, 48 entries, 3 riders, 2 sleds"));
    }
    let wrong = folder.join("wrong.json");
    let good = fs::read_to_string(&book).unwrap();
    let bad = good.replacen("\"strength\": 2", "\"strength\": 9", 1);
    let line = good[..good.find("\"strength\": 2").unwrap()]
        .matches('\n')
        .count()
        + 1;
    fs::write(&wrong, bad).unwrap();
    let checked = run(&["book", "check", text(&book), text(&wrong)]);
    assert_eq!(checked.status.code(), Some(2));
    let says = err(&checked);
    assert!(
        says.contains(&format!("line {line}")) && says.contains("1 to 3"),
        "{says}"
    );
    let schema = json(&run(&["schema", "book"]));
    assert_eq!(schema["properties"]["format"]["const"], "sledstance-book");
    assert_eq!(
        schema["properties"]["schema"]["maximum"],
        sledstance::log::SCHEMA
    );
}

#[test]
fn a_book_gives_a_card_and_takes_entries() {
    let folder = folder("book-add");
    let book = book_in(&folder);
    let pair = ["--rider", "max", "--sled", "lemming"];
    let on = |command: &str, more: &[&str]| {
        run(&[&["book", command, text(&book)][..], &pair, more].concat())
    };
    let card = on("card", &[]);
    assert!(
        out(&card).contains("[ ] Stop switch and tether"),
        "{}",
        err(&card)
    );
    let told = [
        "--set",
        "riser_angle=15",
        "--why",
        "hangs at the start",
        "--answers",
        "hangs_at_start",
    ];
    let added = on("add", &told);
    assert_eq!(added.status.code(), Some(0), "{}", err(&added));
    assert!(out(&added).contains("Riser angle 13° back → 15° back"));
    assert!(!out(&added).contains("On the shelf"), "{}", out(&added));
    lay_on_shelf(&book, &serde_json::json!({ "riser": { "height_mm": 137 } }));
    let higher = on("add", &["--set", "riser_height=137", "--why", "taller"]);
    assert!(
        out(&higher).contains("Riser 150 mm → 137 mm")
            && out(&higher).contains("On the shelf: riser 137 mm.\n"),
        "{}{}",
        out(&higher),
        err(&higher)
    );
    let felt = on("add", &["--felt", "hangs_at_start=1", "--words", "easier"]);
    assert_eq!(felt.status.code(), Some(0), "{}", err(&felt));
    let before = fs::read(&book).unwrap();
    for (more, named) in [
        (&["--felt", "numb_hands=4"][..], "1 to 3"),
        (&["--set", "riser_angle=80", "--why", "no"], "35"),
        (&["--set", "seat=sofa", "--why", "no"], "soft, standard"),
        (&["--note", " "], "what.note.words"),
        (&[], "required"),
    ] {
        let refused = on("add", more);
        assert_eq!(refused.status.code(), Some(2), "{more:?}");
        assert!(err(&refused).contains(named), "{}", err(&refused));
        assert_eq!(fs::read(&book).unwrap(), before);
    }
    assert!(out(&on("card", &[])).contains("Riser angle: 15° back"));
    let moved = on("move", &["--onto", "tern"]);
    assert!(
        out(&moved).contains("Max Midpack on Tall Tern (demo)\n  Riser: "),
        "{}",
        err(&moved)
    );
    assert!(out(&moved).contains("A place to begin"));
}
