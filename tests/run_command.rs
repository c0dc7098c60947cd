//! `sledstance run` and `sledstance columns` as people run them.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod line;

use std::fs;
use std::process::Output;

use line::{err, folder, out, run, text};
use serde_json::Value;

const DEMO: &str = "rider-profiles/runs/invented-loop.csv";
/// A rider on the foremost stirrups, judged in one stance: something lies outside.
const HELD: [&str; 12] = [
    "--stature-mm",
    "1790",
    "--mass-kg",
    "79",
    "--sex",
    "m",
    "--sled",
    "long-lemming",
    "--set",
    "stirrup=0",
    "--stand",
    "ready",
];

fn judged(file: &str, more: &[&str]) -> Output {
    run(&[&["run", file], &HELD[..], more].concat())
}

#[test]
fn a_run_is_told_in_words_and_drawn() {
    let folder = folder("run-words");
    let (svg, track) = (folder.join("run.svg"), folder.join("track.svg"));
    let done = judged(DEMO, &["--svg", text(&svg), "--track", text(&track)]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let says = out(&done);
    for words in [
        "of the time on the snow lay outside what the stance can hold",
        "single change",
        "Held against: ready.",
        "longitudinal \"acc x\" in g",
        "sensor tilted 4.0° nose up, 1.5° left side up",
        "in 6 flights",
        "landing after",
        "g to the left",
        "judged by a moment's whole load",
        "Single changes for these moments",
        "lap 2:",
        "not medical advice",
    ] {
        assert!(says.contains(words), "{words}: {says}");
    }
    let drawing = fs::read_to_string(&svg).unwrap();
    for class in ["run-inside", "run-outside", "load-lost", "class=\"hold\""] {
        assert!(drawing.contains(class), "{class}");
    }
    assert!(drawing.contains("<title>What this stance can hold"));
    let drawing = fs::read_to_string(&track).unwrap();
    assert!(drawing.contains("north up, 2 laps") && drawing.contains("lap-dashed"));
}

#[test]
fn the_json_keeps_all_time_and_agrees_with_its_schema() {
    let done = judged(DEMO, &["--json"]);
    let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!(answer["format"], "sledstance-run");
    let number = |value: &Value| value.as_f64().unwrap();
    let cells = answer["density"]["cells"].as_array().unwrap();
    let map: f64 = cells.iter().map(|c| number(&c["time_s"])).sum();
    let times = &answer["times"];
    let sum = map
        + number(&answer["density"]["beyond_s"])
        + number(&times["flight_s"])
        + number(&times["gaps_s"]);
    assert!((sum - number(&times["whole_s"])).abs() < 1e-6, "{sum}");
    let moments = answer["moments"].as_array().unwrap();
    assert!(!moments.is_empty());
    let excess: Vec<f64> = moments.iter().map(|m| number(&m["excess_g"])).collect();
    assert!(excess.windows(2).all(|w| w[0] >= w[1]));
    // A change that holds all leaves nothing outside, and the other way round.
    for change in answer["changes"].as_array().unwrap() {
        let all = change["held"].as_u64().unwrap() == moments.len() as u64;
        assert_eq!(all, number(&change["left_g"]) <= 0.0, "{change}");
    }
    let schema: Value = serde_json::from_slice(&run(&["schema", "run"]).stdout).unwrap();
    let properties = schema["properties"].as_object().unwrap();
    for key in answer.as_object().unwrap().keys() {
        assert!(properties.contains_key(key), "{key}");
    }
}

#[test]
fn columns_are_shown_named_and_kept() {
    let folder = folder("run-columns");
    let kept = folder.join("columns.json");
    let kept = text(&kept);
    let file = folder.join("odd.csv");
    let mut table = String::from("n;p;q\n");
    for i in 0..400 {
        table.push_str(&format!("{};0,0;-9,81\n", i * 10));
    }
    fs::write(&file, table).unwrap();
    let file = text(&file);
    let looked = run(&["columns", file]);
    assert_eq!(looked.status.code(), Some(2));
    assert!(
        err(&looked).contains("time: no column is named for it; the file has \"n\", \"p\", \"q\""),
        "{}",
        err(&looked)
    );
    let unitless = run(&["columns", file, "--column", "time=n"]);
    assert!(
        err(&unitless).contains("--unit time: the file does not say the unit of \"n\""),
        "{}",
        err(&unitless)
    );
    let named = [
        "columns",
        file,
        "--column",
        "time=n",
        "--unit",
        "time=ms",
        "--column",
        "longitudinal=p",
        "--unit",
        "longitudinal=m/s2",
        "--column",
        "vertical=q",
        "--unit",
        "vertical=m/s2",
        "--reverse",
        "vertical",
        "--keep-columns",
        kept,
    ];
    let said = run(&named);
    assert_eq!(said.status.code(), Some(0), "{}", err(&said));
    assert!(
        out(&said).contains("3. q: vertical in m/s2, reversed"),
        "{}",
        out(&said)
    );
    assert!(
        out(&run(&["check", kept]))
            .contains("sound: a run's columns: time, longitudinal, vertical")
    );
    let done = judged(file, &["--columns", kept]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    assert!(
        out(&done).contains("Nothing that lasted 0.1 s or longer lay outside"),
        "{}",
        out(&done)
    );
}

#[test]
fn what_is_wrong_is_named_with_what_is_allowed() {
    for (args, words) in [
        (
            &["--stand", "floating"][..],
            "--stand floating: no such stance; there are seated, ready",
        ),
        (
            &["--cut-off-hz", "0"],
            "--cut-off-hz: 0 is outside 1 to 100",
        ),
        (
            &["--longer-than-s", "9"],
            "--longer-than-s: 9 is outside 0.01 to 5",
        ),
        (
            &["--unit", "speed=bar"],
            "speed: \"bar\" is no unit of it; allowed are m/s, km/h, mph, kn",
        ),
        (
            &["--column", "speed=depth"],
            "the file has no column \"depth\"",
        ),
    ] {
        let mut all = vec!["run", DEMO];
        all.extend(HELD[..10].iter());
        all.extend(args);
        let failed = run(&all);
        assert_eq!(failed.status.code(), Some(2), "{words}");
        assert!(err(&failed).contains(words), "{words}: {}", err(&failed));
    }
    let missing = judged("rider-profiles/runs/none.csv", &[]);
    assert_eq!(missing.status.code(), Some(4));
    let no_run = judged("Cargo.toml", &[]);
    assert_eq!(no_run.status.code(), Some(2));
    assert!(
        err(&no_run).contains("no table was found"),
        "{}",
        err(&no_run)
    );
}
