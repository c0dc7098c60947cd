//! Options beside each other: differences are those of separate evaluations, bands are of the difference, marks appear
//! where a difference is smaller than its band, and an address carries all of it.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

mod line;
mod shipped;

use proptest::prelude::*;
use shipped::{STANCES, middling, sled};
use sledstance::compare::{
    Alternative, Cell, CompareError, Comparison, FEWEST_DRAWS, Group, Mark, Row, Table,
};
use sledstance::confidence::Sampling;
use sledstance::fit::{self, Keep, Request, SetUp};
use sledstance::hold::{BANK, SHIFT, Sideways};
use sledstance::order::Map;
use sledstance::plan::options::{Entered, Options};
use sledstance::plan::place::Address;
use sledstance::plan::{Chosen, Entry, Plan, SledPick, Units, code, rider_form};
use sledstance::rider::{Level, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Cockpit, Settings};
use sledstance::stance::Load;
use sledstance::units::Angle;

/// A rider known by height and weight, on settings as they stand.
fn option(stature: f64, mass: f64, index: usize, settings: Settings) -> Alternative {
    Alternative {
        name: String::new(),
        rider_name: String::new(),
        built: RiderProfile::of(Sex::Male, stature, mass).build().unwrap(),
        sled: sled(index),
        stances: STANCES.clone(),
        keep: Keep::all(settings),
        levers: (None, None),
        stance: None,
    }
}

fn sampling(draws: u32) -> Sampling {
    Sampling {
        draws,
        ..Sampling::default()
    }
}

fn compared(options: &[Alternative], draws: u32) -> Table {
    let mut comparison = Comparison::new(options, sampling(draws)).unwrap();
    while comparison.step() {}
    comparison.table()
}

fn row<'a>(table: &'a Table, group: &Group, name: &str) -> Option<&'a Row> {
    let same = |r: &&Row| r.group == *group && r.name == name;
    table.rows.iter().find(same)
}

fn stance(name: &str) -> Group {
    Group::Stance(name.to_owned())
}

/// A figure of a set-up that was evaluated on its own.
fn separate(set_up: &SetUp, name: &str, of: &str) -> Option<f64> {
    let result = set_up.stances.iter().find(|s| s.name == of).unwrap();
    let angles = &result.posture.pose.angles;
    let hold = |load: Load| {
        let found = result.hold.loads.iter().find(|l| l.load == load).unwrap();
        found.hold.as_ref().ok().map(|h| h.g)
    };
    match name {
        "knee" => Some(angles.knee.deg()),
        "hip" => Some(angles.hip.deg()),
        "elbow" => Some(angles.elbow.deg()),
        "trunk" => Some(angles.trunk.deg()),
        "hold_short_landing_1g" => hold(Load::ShortLanding1g),
        "hold_short_landing_2g" => hold(Load::ShortLanding2g),
        "hold_start" => hold(Load::Start),
        "hold_straight_drop" => hold(Load::StraightDrop),
        "leg_travel" => result.hold.travel.as_ref().map(|t| t.leg_travel),
        "hand_load" => result.hold.working.as_ref().map(|w| w.hand),
        "steering_hold" => Some(result.hold.steering.straight),
        "foot_to_mass" => {
            let pose = &result.posture.pose;
            Some((pose.com - pose.points.ball).xz().norm())
        }
        _ => panic!("{name}"),
    }
}

/// How far a re-solve from a neighbour may lie from one from scratch: the solver's own steps and the seat's share.
fn near_enough(name: &str) -> f64 {
    match name {
        "leg_travel" => 3.0,
        name if name.starts_with("hold") => 2e-3,
        "hand_load" | "steering_hold" => 0.3,
        "foot_to_mass" => 0.5,
        _ => 0.1,
    }
}

const FIGURES: [&str; 12] = [
    "knee",
    "hip",
    "elbow",
    "trunk",
    "hold_short_landing_1g",
    "hold_short_landing_2g",
    "hold_start",
    "hold_straight_drop",
    "leg_travel",
    "hand_load",
    "steering_hold",
    "foot_to_mass",
];

#[test]
fn differences_equal_separate_evaluations_and_are_signed_against_the_first() {
    let mut seen = 0;
    for index in 0..SHIPPED.len() {
        let here = middling(&sled(index));
        let turned = Settings {
            riser_angle: here.riser_angle - Angle::from_deg(4.0),
            bar_roll: Angle::from_deg(3.0),
            ..here
        };
        let options = [
            option(1760.0, 76.0, index, here),
            option(1760.0, 76.0, index, turned),
            option(1880.0, 90.0, index, here),
        ];
        let table = compared(&options, 0);
        let alone: Vec<SetUp> = options
            .iter()
            .map(|o| {
                let request = Request::new(&o.built.rider, &o.sled, &o.stances);
                fit::evaluate(&request, o.request().keep_all())
            })
            .collect();
        let feasible = alone
            .iter()
            .all(|s| s.verdicts.iter().all(|v| v.met != Some(false)));
        for s in STANCES.iter().filter(|_| feasible) {
            for name in FIGURES {
                let Some(row) = row(&table, &stance(&s.name), name) else {
                    continue;
                };
                let values: Vec<Option<f64>> = alone
                    .iter()
                    .map(|set_up| separate(set_up, name, &s.name))
                    .collect();
                for (cell, value) in row.cells.iter().zip(&values) {
                    match value {
                        Some(value) => {
                            let found = cell.number().unwrap();
                            let off = (found - value).abs();
                            assert!(
                                off <= near_enough(name),
                                "{} {name}: {found} {value}",
                                s.name
                            );
                        }
                        None => assert_eq!(*cell, Cell::None),
                    }
                }
                for (i, difference) in row.differences.iter().enumerate() {
                    let by = difference.as_ref().unwrap().by;
                    let expected = values[0].zip(values[i + 1]).map(|(a, b)| b - a);
                    assert_eq!(by.is_some(), expected.is_some());
                    if let Some((by, expected)) = by.zip(expected) {
                        assert!((by - expected).abs() <= 2.0 * near_enough(name));
                        seen += 1;
                    }
                }
            }
        }
        let angle = row(&table, &Group::Settings, "riser_angle").unwrap();
        let by: Vec<f64> = angle
            .differences
            .iter()
            .map(|d| d.as_ref().unwrap().by.unwrap())
            .collect();
        assert!((by[0] + 4.0).abs() < 1e-9 && by[1] == 0.0, "{by:?}");
        assert!(
            angle
                .differences
                .iter()
                .all(|d| d.as_ref().unwrap().mark.is_none())
        );
    }
    assert!(seen > 60, "only {seen} differences were looked at");
}

trait KeepAll {
    fn keep_all(&self) -> Settings;
}

impl KeepAll for Request<'_> {
    /// The settings of a request that keeps all of them.
    fn keep_all(&self) -> Settings {
        let k = &self.keep;
        Settings {
            riser: k.riser.unwrap(),
            clamp: k.clamp.unwrap(),
            bar: k.bar.unwrap(),
            seat: k.seat.unwrap(),
            stirrup: k.stirrup.unwrap(),
            riser_angle: k.riser_angle.unwrap(),
            bar_roll: k.bar_roll.unwrap(),
        }
    }
}

#[test]
fn nothing_differs_between_an_option_and_itself() {
    let one = option(1780.0, 80.0, 0, middling(&sled(0)));
    let table = compared(&[one.clone(), one], 30);
    assert_eq!(table.rows, []);
    assert_eq!((table.draws, table.titles.len()), (30, 2));
}

#[test]
fn a_difference_smaller_than_its_band_is_marked_and_a_greater_one_is_not() {
    let here = middling(&sled(0));
    let far = Settings {
        stirrup: *sled(0).stirrup.positions.last().unwrap(),
        ..here
    };
    // Two people of nearly one height: what is not known of their legs is more than what differs.
    let mut close = [option(1780.0, 80.0, 0, here), option(1786.0, 80.0, 0, here)];
    close[1].rider_name = "another".to_owned();
    let table = compared(&close, 60);
    let marked = table.rows.iter().filter(|r| r.kind.is_some());
    let marks: Vec<Option<Mark>> = marked
        .flat_map(|r| r.differences.iter().flatten().map(|d| d.mark))
        .collect();
    assert!(
        !marks.is_empty() && marks.iter().all(|m| *m == Some(Mark::Unsure)),
        "{marks:?}"
    );
    for row in &table.rows {
        for d in row
            .differences
            .iter()
            .flatten()
            .filter(|d| d.band.is_some())
        {
            assert!(d.band.unwrap().holds(0.0));
        }
    }
    // One person with the stirrups at the other end: sure, and noticed.
    let table = compared(
        &[option(1780.0, 80.0, 0, here), option(1780.0, 80.0, 0, far)],
        60,
    );
    let weight = row(&table, &stance("ready"), "weight_ahead").unwrap();
    let difference = weight.differences[0].as_ref().unwrap();
    assert_eq!(difference.mark, Some(Mark::Clear), "{difference:?}");
    let trade = table.trade(0);
    assert!(!trade.gains.is_empty() || !trade.losses.is_empty());
    for shifts in [&trade.gains, &trade.losses] {
        assert!(shifts.windows(2).all(|w| w[0].notices >= w[1].notices));
        assert!(shifts.iter().all(|s| s.notices >= 1.0));
    }
}

/// One rider on one set-up, without an edge protector and with one.
#[test]
fn corners_are_compared_with_bands_and_the_protector_shows() {
    let settings = middling(&sled(0));
    let options = [None, Some((-2000.0, 2000.0))].map(|protector| {
        let mut one = option(1780.0, 80.0, 0, settings);
        one.sled.stirrup.edge_protector = protector;
        one
    });
    let table = compared(&options, FEWEST_DRAWS);
    let mut seen = 0;
    for (k, s) in STANCES.iter().enumerate() {
        // With a protector put beside both there is nothing left to differ.
        assert_eq!(row(&table, &stance(&s.name), "hold_corner_guarded"), None);
        for (name, bank, shift) in [
            ("hold_corner", Angle::ZERO, 0.0),
            ("hold_corner_banked", BANK, 0.0),
            ("hold_corner_leaned", Angle::ZERO, SHIFT),
        ] {
            let alone = options.each_ref().map(|o| {
                let request = o.request();
                let set_up = fit::evaluate(&request, settings);
                let cockpit = Cockpit::new(&o.sled, settings);
                let (rider, pose) = (request.rider, set_up.stances[k].posture.pose);
                let body = Sideways::new(rider, &cockpit, s, &pose, &request.options, shift);
                body.and_then(|b| b.corner(bank)).ok().map(|c| c.most.g)
            });
            let Some(row) = row(&table, &stance(&s.name), name) else {
                // What cannot be told apart is no row.
                let by = alone[0].zip(alone[1]).map_or(0.0, |(a, b)| b - a);
                assert!(by < 0.01, "{} {name}: {alone:?}", s.name);
                continue;
            };
            for (cell, value) in row.cells.iter().zip(alone) {
                let off = cell.number().zip(value).map_or(0.0, |(a, b)| (a - b).abs());
                assert!(off <= near_enough(name), "{} {name}", s.name);
                assert_eq!(cell.number().is_some(), value.is_some());
            }
            let difference = row.differences[0].as_ref().unwrap();
            let (by, band) = (difference.by.unwrap(), difference.band.unwrap());
            println!(
                "{} {name}: {by:+.2} g, {band:?}, {:?}",
                s.name, difference.mark
            );
            // A protector never harms, whoever rides.
            assert!(by > 0.0 && band.low.unwrap() > -1e-6);
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen}");
    assert!(table.csv().contains("hold_corner"));
}

#[test]
fn fewer_draws_than_a_percentile_needs_tell_no_band() {
    let here = middling(&sled(0));
    let options = [option(1780.0, 80.0, 0, here), option(1850.0, 80.0, 0, here)];
    let table = compared(&options, FEWEST_DRAWS - 1);
    let all = table
        .rows
        .iter()
        .flat_map(|r| r.differences.iter().flatten());
    assert!(all.clone().count() > 10);
    assert!(
        all.into_iter()
            .all(|d| d.band.is_none() && d.mark.is_none())
    );
}

#[test]
fn options_of_one_person_share_the_drawn_bodies() {
    let here = middling(&sled(0));
    let turned = Settings {
        riser_angle: here.riser_angle + Angle::from_deg(4.0),
        ..here
    };
    let mut options = [
        option(1780.0, 80.0, 0, here),
        option(1780.0, 80.0, 0, turned),
    ];
    let one = compared(&options, 100);
    options[1].rider_name = "another of the same size".to_owned();
    let two = compared(&options, 100);
    let width = |table: &Table| {
        let arm = row(table, &stance("ready"), "hand_to_mass").unwrap();
        arm.differences[0]
            .as_ref()
            .unwrap()
            .band
            .unwrap()
            .width()
            .unwrap()
    };
    assert!(
        width(&one) < 0.5 * width(&two),
        "{} {}",
        width(&one),
        width(&two)
    );
    // The strength of the same body is shared too: a stronger self is surely stronger.
    options[1] = Alternative {
        built: options[0].built.clone().at_level(Level::Trained),
        ..options[0].clone()
    };
    let table = compared(&options, 60);
    let strength = row(&table, &Group::Option, "strength").unwrap();
    assert!((strength.differences[0].as_ref().unwrap().by.unwrap() - 0.3).abs() < 1e-9);
    let hold = row(&table, &stance("ready"), "hold_short_landing_1g").unwrap();
    assert_eq!(
        hold.differences[0].as_ref().unwrap().mark,
        Some(Mark::Clear)
    );
    assert!(hold.differences[0].as_ref().unwrap().burden < 0.0);
}

#[test]
fn two_stances_of_one_rider_are_compared_figure_by_figure() {
    let here = middling(&sled(0));
    let place = |name: &str| STANCES.iter().position(|s| s.name == name);
    let mut options = [option(1780.0, 80.0, 0, here), option(1780.0, 80.0, 0, here)];
    options[0].stance = place("ready");
    options[1].stance = place("seated");
    let table = compared(&options, 30);
    let request = options[0].request();
    let set_up = fit::evaluate(&request, here);
    let knee = row(&table, &Group::Posture, "knee").unwrap();
    let by = knee.differences[0].as_ref().unwrap().by.unwrap();
    let apart = |of: &str| separate(&set_up, "knee", of).unwrap();
    assert!((by - (apart("seated") - apart("ready"))).abs() < 0.3);
    assert!(
        table.rows.iter().all(|r| r.group == Group::Posture),
        "the set-up is one"
    );
    assert!(
        row(&table, &Group::Posture, "leg_travel").is_none(),
        "nobody sinks on a seat"
    );
    assert!(table.titles[0].ends_with("ready") && table.titles[1].ends_with("seated"));
}

#[test]
fn what_cannot_be_compared_is_refused_in_words() {
    let one = option(1780.0, 80.0, 0, middling(&sled(0)));
    let said = |options: &[Alternative]| Comparison::new(options, sampling(0)).err().unwrap();
    assert_eq!(
        said(std::slice::from_ref(&one)),
        CompareError::Count { count: 1 }
    );
    assert_eq!(
        said(&vec![one.clone(); 5]).to_string(),
        "options: 5 given; two to 4 can be compared"
    );
    let posed = Alternative {
        stance: Some(1),
        ..one.clone()
    };
    let mixed = said(&[one.clone(), posed.clone()]);
    assert_eq!(
        mixed,
        CompareError::Mixed {
            with: 'B',
            without: 'A'
        }
    );
    let nowhere = Alternative {
        stance: Some(99),
        ..one
    };
    assert!(matches!(
        said(&[posed, nowhere]),
        CompareError::NoStance { option: 'B', .. }
    ));
}

#[test]
fn the_same_seed_gives_the_same_table_and_another_seed_other_bands() {
    let here = middling(&sled(1));
    let options = [option(1700.0, 70.0, 1, here), option(1850.0, 84.0, 1, here)];
    assert_eq!(compared(&options, 25), compared(&options, 25));
    let mut other = Comparison::new(
        &options,
        Sampling {
            seed: 2,
            ..sampling(25)
        },
    )
    .unwrap();
    while other.step() {}
    assert_ne!(compared(&options, 25), other.table());
}

#[test]
fn the_csv_holds_the_table() {
    let here = middling(&sled(0));
    let mut options = [
        option(1780.0, 80.0, 0, here),
        option(1850.0, 84.0, 1, middling(&sled(1))),
    ];
    options[1].name = "=taller, \"on the other\"".to_owned();
    let table = compared(&options, 25);
    let text = table.csv();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().unwrap().clone();
    assert_eq!(head.len(), 3 + 2 + 4);
    assert_eq!(&head[4], "B, =taller, \"on the other\"");
    let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(lines.len(), table.rows.len());
    for (line, row) in lines.iter().zip(&table.rows) {
        assert_eq!((&line[0], &line[1]), (row.group.name(), row.name.as_str()));
        if let Some(Some(difference)) = row.differences.first()
            && let Some(by) = difference.by
        {
            assert_eq!(line[5].parse::<f64>().unwrap(), by);
        }
    }
}

fn entered(height: &str, mass: &str, pick: &str) -> Entered {
    let mut plan = Plan::default().on_sled(SledPick::from_id(pick).unwrap());
    plan.rider
        .type_in(rider_form::STATURE, Entry::new(height, Units::Metric));
    plan.rider
        .type_in(rider_form::BODY_MASS, Entry::new(mass, Units::Imperial));
    Entered::of(plan)
}

#[test]
fn an_address_brings_the_same_comparison_back() {
    let mut options = Options {
        list: vec![
            entered("1,78 m", "165 lb", "long-lemming"),
            entered("185", "187", "tall-tern"),
        ],
        front: "attack".to_owned(),
        on_hips: true,
    };
    options.list[1].name = "Ørjan & “the tall one”/2".to_owned();
    options.list[1].weights = Map::from([("ready".to_owned(), 0.5)]);
    options.list[0].plan.by_hand = Some(Chosen::from(middling(&sled(0))));
    let address = options.address();
    assert!(address.is_ascii() && address.starts_with("#compare/attack/hips/long-lemming/1;"));
    let read = Address::read(&address);
    assert_eq!(read.write(), address);
    let back = Options::read(&read.inside).unwrap().unwrap();
    assert_eq!(back, options);
    let there = back.alternatives(&STANCES).unwrap();
    assert_eq!(there[1].stances[1].weight, 0.5);
    assert_eq!(
        compared(&there, 20),
        compared(&options.alternatives(&STANCES).unwrap(), 20)
    );
}

#[test]
fn a_damaged_address_and_an_option_that_is_not_whole_say_what_is_wrong() {
    let parts = |list: &[&str]| list.iter().map(|p| (*p).to_owned()).collect::<Vec<_>>();
    assert_eq!(Options::read(&[]), Ok(None));
    for wrong in [
        parts(&["ready", "nose", "long-lemming", "1"]),
        parts(&["ready", "sled", "long-lemming"]),
        parts(&["ready", "sled", "no-such-sled", "1"]),
        parts(&["ready", "sled", "long-lemming", "1;x.w.ready=much"]),
        parts(&["ready", "sled", "long-lemming", "1;x.colour=red"]),
    ] {
        let said = Options::read(&wrong).unwrap_err().to_string();
        assert!(said.contains("damaged"), "{said}");
    }
    let newer = Options::read(&parts(&["-", "sled", "long-lemming", "2;x=1"])).unwrap_err();
    assert!(matches!(newer, code::CodeError::Newer { .. }));
    let mut options = Options {
        list: vec![
            entered("1780", "165", "long-lemming"),
            entered("", "165", "long-lemming"),
        ],
        ..Options::default()
    };
    let said = |o: &Options| o.alternatives(&STANCES).unwrap_err();
    assert_eq!(
        said(&options),
        "Option B: the rider's height and weight are missing"
    );
    options.list[1] = entered("17 km", "165", "long-lemming");
    assert!(
        said(&options).starts_with("Option B: measurements: stature: "),
        "{}",
        said(&options)
    );
    options.list[1] = entered("1780", "165", "long-lemming");
    options.list[1].weights.insert("ready".to_owned(), 99.0);
    assert_eq!(
        said(&options),
        "Option B: weight of ready: 99 is outside 0 to 20"
    );
    options.list[1].weights.clear();
    options.list[1].stance = "flying".to_owned();
    assert_eq!(said(&options), "Option B: no stance is called \"flying\"");
}

proptest! {
    #[test]
    fn whatever_an_address_says_is_read_or_refused(parts in prop::collection::vec(".{0,60}", 0..9)) {
        if let Ok(Some(options)) = Options::read(&parts) {
            let again = Options::read(&options.parts());
            prop_assert_eq!(again, Ok(Some(options)));
        }
    }

    #[test]
    fn every_option_reads_as_it_was_written(
        names in prop::collection::vec(".{0,30}", 1..5),
        stance in "(ready|seated|)",
        weight in -1e6..1e6_f64,
        on_hips: bool,
    ) {
        let list = names.into_iter().map(|name| Entered {
            name,
            stance: stance.clone(),
            weights: Map::from([("braced".to_owned(), libm::round(weight))]),
            ..entered("1780", "80", "bare-bones")
        });
        let options = Options { list: list.collect(), front: String::new(), on_hips };
        let read = Address::read(&options.address());
        prop_assert_eq!(Options::read(&read.inside), Ok(Some(options)));
    }
}

/// The command line, with a rider for options that name none.
fn command(args: &[&str]) -> std::process::Output {
    let rider = ["--stature-mm", "1780", "--mass-kg", "80", "--sex", "m"];
    line::run(&[&["compare"], &rider[..], args].concat())
}

#[test]
fn the_command_line_compares_in_words_json_and_files() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let files = ["both.svg", "both-hold.svg", "both-page.svg", "both.csv"].map(|f| folder.join(f));
    let paths = files.each_ref().map(|f| f.to_str().unwrap());
    let first = "name=here,riser_height=150,riser_angle=10,bar_roll=0,stirrup=-60,seat=soft,clamp=solid,bar=low bend";
    let made = command(&[
        "--sled",
        "long-lemming",
        first,
        "name=back,like=A,stirrup=-100",
        "--draws",
        "30",
        "--json",
        "--svg",
        paths[0],
        "--hold",
        paths[1],
        "--card",
        paths[2],
        "--csv",
        paths[3],
    ]);
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    let document: serde_json::Value = serde_json::from_slice(&made.stdout).unwrap();
    assert_eq!(document["format"], "sledstance-comparison");
    let rows = document["differences"].as_array().unwrap();
    let settings: Vec<_> = rows.iter().filter(|r| r["group"] == "settings").collect();
    let stirrup = settings.iter().find(|r| r["name"] == "stirrup").unwrap();
    assert_eq!(stirrup["values"], serde_json::json!([-60.0, -100.0]));
    assert_eq!(stirrup["differences"][0]["by"], -40.0);
    assert!(
        settings.iter().all(|r| r["name"] != "riser_height"),
        "like=A keeps the rest"
    );
    assert!(rows.iter().any(|r| r["differences"][0]["band"].is_array()));
    assert_eq!(
        document["options"][1]["report"]["settings"]["stirrup_mm"],
        -100.0
    );
    for (file, holds) in files.iter().zip([
        "class=\"option-b\"",
        "class=\"option-b\"",
        "not medical advice",
        "settings,stirrup,mm,-60,-100,-40",
    ]) {
        let text = std::fs::read_to_string(file).unwrap();
        assert!(text.contains(holds), "{}: {holds}", file.display());
    }

    let mut options = Options {
        list: vec![
            entered("1,78 m", "165 lb", "long-lemming"),
            entered("185", "187", "tall-tern"),
        ],
        ..Options::default()
    };
    options.list[1].name = "on the other".to_owned();
    let whole = command(&[&options.address(), "--draws", "20"]);
    let words = String::from_utf8(whole.stdout).unwrap();
    for part in [
        "B, on the other: 1850 mm",
        "Tall Tern",
        "smaller than its band",
        "What is traded",
        "licensed clinician",
    ] {
        assert!(words.contains(part), "{part} is missing in:\n{words}");
    }
}

#[test]
fn the_command_line_writes_leverage_as_numbers_and_as_charts() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let files = ["leverage.csv", "leverage.svg"].map(|f| folder.join(f));
    let paths = files.each_ref().map(|f| f.to_str().unwrap());
    let asked = ["--leverage-csv", paths[0], "--leverage-svg", paths[1]];
    let options = ["sled=bare-bones", "like=A,stirrup=-75", "--draws", "0"];
    let made = command(&[&options[..], &["--leverage", "ready"], &asked[..]].concat());
    let said = String::from_utf8_lossy(&made.stderr);
    assert!(made.status.success(), "{said}");
    let [numbers, charts] = files
        .each_ref()
        .map(|f| std::fs::read_to_string(f).unwrap());
    let lines = |part: &str| numbers.lines().filter(|l| l.starts_with(part)).count();
    for part in [
        "given,",
        "sideways envelope,",
        "hold over stirrup,",
        "front,",
    ] {
        assert!(lines(part) > 3, "{part}: {}", lines(part));
    }
    // Both options' maps, node by node.
    assert!(lines("map,") >= 2 * 30);
    assert!(charts.starts_with("<svg"));
    assert!(charts.contains("class=\"option-b\"") && charts.contains("not medical advice"));

    // Without leverage there is nothing to write, which is said instead of passing over it.
    let refused = command(&[&options[..], &asked[..2]].concat());
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("--leverage <STANCE>"));
}

#[test]
fn the_command_line_refuses_in_words_what_it_cannot_compare() {
    for (args, says) in [
        (
            &["sled=long-lemming"][..],
            "options: 1 given; two to 4 can be compared",
        ),
        (
            &["name=a", "name=b"],
            "the sled is missing: give sled=FILE in it, or --sled FILE for all",
        ),
        (
            &["sled=long-lemming", "like=C"],
            "option B: like=C: there is no such option before this one",
        ),
        (
            &["sled=long-lemming", "like=Q"],
            "like=Q: this takes the letter of an earlier option",
        ),
        (
            &["sled=long-lemming,colour=red", "like=A"],
            "option A: colour=red: no such key; there are name, rider",
        ),
        (
            &["sled=long-lemming,seat=firm,seat=soft", "like=A"],
            "option A: seat=soft: given twice",
        ),
        (
            &["sled=long-lemming,seat=velvet", "like=A"],
            "not in stock; there are soft, standard, firm, tall",
        ),
        (
            &["sled=long-lemming,weight.ready=50", "like=A"],
            "weight.ready=50: allowed is 0 to 20",
        ),
        (
            &["sled=long-lemming,weight.flying=1", "like=A"],
            "no stance is called \"flying\"; there are",
        ),
        (
            &["sled=long-lemming,strength=huge", "like=A"],
            "strength=huge: allowed are weak, average, trained, or a factor from 0.2 to 3",
        ),
        (
            &[
                "sled=long-lemming,stance=ready",
                "like=A,stance=ready",
                "sled=long-lemming",
            ],
            "name a stance for every option, or for none",
        ),
        (
            &["sled=long-lemming", "http://127.0.0.1/#book/x"],
            "this is an address in the book",
        ),
        (
            &["sled=long-lemming", "#start/long-lemming/ready/1;nonsense"],
            "is damaged at \"nonsense\"",
        ),
    ] {
        let made = command(args);
        assert_eq!(made.status.code(), Some(2), "{args:?}");
        let error = String::from_utf8(made.stderr).unwrap();
        assert!(error.contains(says), "{args:?}: {error}");
    }
    let wrong = command(&["sled", "sled=long-lemming"]);
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("\"sled\" is no KEY=VALUE"));
}
