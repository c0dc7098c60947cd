//! Recorded runs with known answers: what `tests/reference/run.py` put in, and what SciPy's low-pass makes of it.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

use proptest::prelude::*;
use serde_json::Value;
use sledstance::run::{
    Columns, DEMO_NAME, HEAD, Opening, Options, Region, Role, Survey, Surveyed, Tallied, Tally,
    demo,
};

const ANSWERS: &str = include_str!("cases/run/answers.json");

fn file(name: &str) -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/run/");
    std::fs::read(format!("{folder}{name}.csv")).unwrap()
}

fn answer(name: &str) -> Value {
    let all: Value = serde_json::from_str(ANSWERS).unwrap();
    all["runs"][name].clone()
}

/// The box of the generator.
fn regions() -> Vec<Region> {
    let all: Value = serde_json::from_str(ANSWERS).unwrap();
    let corners: Vec<([f64; 2], String)> = serde_json::from_value(all["box"].clone()).unwrap();
    let corners: Vec<([f64; 2], &str)> = corners.iter().map(|(at, s)| (*at, s.as_str())).collect();
    vec![Region::of("box", &corners)]
}

/// What is held sideways in these tests: half a g across, up to three g up.
fn corners() -> Vec<Region> {
    let box_ = [
        ([0.0, 0.0], "floor"),
        ([0.5, 0.0], "across"),
        ([0.5, 3.0], "roof"),
        ([0.0, 3.0], "axis"),
    ];
    vec![Region::of("corner", &box_)]
}

/// Reads a run twice, its bytes parted at these places.
fn read_parted(bytes: &[u8], parts: &[usize]) -> (Surveyed, Tallied) {
    let opening = Opening::read(&bytes[..bytes.len().min(HEAD)], bytes.len() <= HEAD).unwrap();
    let channels = Columns::guess(&opening).on(&opening).unwrap();
    let options = Options::default();
    let chunks = || {
        let mut from = 0;
        let ends = parts.iter().copied().chain([bytes.len()]);
        ends.map(move |end| {
            let end = end.clamp(from, bytes.len());
            let chunk = &bytes[from..end];
            from = end;
            chunk
        })
    };
    let mut survey = Survey::new(&opening, &channels, &options);
    chunks().for_each(|chunk| survey.push(chunk));
    let surveyed = survey.finish().unwrap();
    let mut tally = Tally::new(
        &opening,
        &channels,
        &surveyed,
        &options,
        regions(),
        corners(),
    );
    chunks().for_each(|chunk| tally.push(chunk));
    (surveyed, tally.finish())
}

fn read(name: &str) -> (Surveyed, Tallied, Value) {
    let (surveyed, tallied) = read_parted(&file(name), &[]);
    (surveyed, tallied, answer(name))
}

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() <= within, "{what}: {a}, wanted {b}");
}

/// What every case must keep: rate, length, and that no time is lost.
fn holds(name: &str) -> (Surveyed, Tallied, Value) {
    let (surveyed, tallied, wanted) = read(name);
    let number = |key: &str| wanted[key].as_f64().unwrap();
    let rate = number("rate_hz");
    // Steps are counted in bins of one percent; uneven ones have no one median.
    let within = if name == "gaps" { 0.1 } else { 0.01 };
    close(surveyed.rate() / rate, 1.0, within, name);
    let times = tallied.times;
    close(times.whole, number("seconds"), 1e-6, name);
    let sum = tallied.hold.density.total() + times.flight + times.gaps;
    close(sum, times.whole, 1e-9 * times.whole, name);
    close(tallied.hold.density.total(), times.ground, 1e-9, name);
    if let Some(side) = &tallied.sideways {
        close(side.density.total(), times.ground, 1e-9, name);
    }
    // SciPy's answer, by the sample: it holds or it does not, so that a sample's time may go either way.
    let seconds = number("outside_s");
    close(tallied.hold.outside, seconds, 0.011, name);
    assert_eq!(
        tallied.hold.events,
        wanted["events"].as_u64().unwrap(),
        "{name}"
    );
    if let Some(excess) = wanted["excess_g"].as_f64() {
        close(tallied.hold.moments[0].excess, excess, 2e-3, name);
        let gives: Vec<&str> = wanted["gives"]
            .as_array()
            .unwrap()
            .iter()
            .map(|g| g.as_str().unwrap())
            .collect();
        let mut found = tallied.hold.moments.clone();
        found.sort_by(|a, b| a.at.total_cmp(&b.at));
        let found: Vec<&str> = found.iter().map(|m| m.gives_first.as_str()).collect();
        assert_eq!(found, gives, "{name}");
    }
    (surveyed, tallied, wanted)
}

#[test]
fn a_tilted_sensor_is_levelled() {
    let (surveyed, tallied, wanted) = holds("tilt");
    close(
        surveyed.tilt.pitch.deg(),
        wanted["pitch_deg"].as_f64().unwrap(),
        1e-3,
        "pitch",
    );
    close(
        surveyed.tilt.roll.deg(),
        wanted["roll_deg"].as_f64().unwrap(),
        1e-3,
        "roll",
    );
    let still = surveyed.still.unwrap();
    assert!(
        still.spread.deg() < 0.1 && still.seconds >= 4.0,
        "{still:?}"
    );
    for plateau in wanted["plateaus"].as_array().unwrap() {
        let at: [f64; 2] = serde_json::from_value(plateau[0].clone()).unwrap();
        let seconds = plateau[1].as_f64().unwrap();
        let near = |a: f64, b: f64| (a - b).abs() < 0.051;
        let found: f64 = tallied
            .hold
            .density
            .cells()
            .filter(|c| near(c.at[0], at[0]) && near(c.at[1], at[1]))
            .map(|c| c.seconds)
            .sum();
        // The filter takes a moment to settle on a plateau, and lingers as long behind it.
        close(found, seconds, 0.12, "plateau");
    }
}

#[test]
fn spikes_are_no_loads() {
    let (_, tallied, wanted) = holds("spikes");
    close(
        tallied.hold.outside,
        wanted["clean_outside_s"].as_f64().unwrap(),
        0.006,
        "spikes",
    );
    assert!(tallied.hold.spikes > 0.05, "{}", tallied.hold.spikes);
    assert_eq!(tallied.hold.brief, 0);
    let moment = &tallied.hold.moments[0];
    assert!((3.2..4.1).contains(&moment.at), "{}", moment.at);
}

#[test]
fn flights_are_set_apart_and_their_landings_known() {
    let (surveyed, tallied, wanted) = holds("flight");
    let flights: Vec<f64> = serde_json::from_value(wanted["flights"].clone()).unwrap();
    assert_eq!(tallied.times.flights, 3);
    // A flight as put in, and what of its half cosine waves lies under 0.35 g: down from 1 g along z, and up to the
    // landing at (-1.6, 2.4), a share of 0.316 and of 0.111 of their heights.
    let under = |share: f64| 0.2 * libm::acos(1.0 - 2.0 * share) / std::f64::consts::PI;
    let ramps = under(0.316) + under(0.111);
    let sum: f64 = flights.iter().map(|seconds| seconds + ramps).sum();
    close(tallied.times.flight, sum, 3.0 * 0.02, "time in flight");
    let mut moments = tallied.hold.moments.clone();
    moments.sort_by(|a, b| a.at.total_cmp(&b.at));
    for (moment, seconds) in moments.iter().zip(flights) {
        close(
            moment.flight.unwrap(),
            seconds + ramps,
            0.02,
            "flight before the landing",
        );
        assert!(moment.f[0] < -1.0, "{:?}", moment.f);
    }
    assert!(!surveyed.is_too_slow(&Options::default()));
}

#[test]
fn laps_and_places_come_from_positions() {
    let (surveyed, tallied, wanted) = holds("laps");
    let laps = tallied.track.laps();
    assert_eq!(laps.len() as u64, wanted["laps"].as_u64().unwrap());
    for lap in &laps[1..3] {
        close(lap.lasts, wanted["lap_s"].as_f64().unwrap(), 0.7, "lap");
        assert!(lap.outside > 0.2);
    }
    assert_eq!(laps[0].outside, 0.0);
    let place: [f64; 2] = serde_json::from_value(wanted["place_m"].clone()).unwrap();
    let mut hard: Vec<u64> = Vec::new();
    for moment in &tallied.hold.moments {
        let at = moment.place.unwrap();
        // The sample is late by the filter's delay and a step at 22 m/s.
        close(at[0], place[0], 2.5, "east");
        close(at[1], place[1], 2.5, "north");
        close(moment.speed.unwrap(), 40.0 / 3.6, 1e-9, "speed");
        hard.push(u64::from(laps[moment.lap].number));
    }
    hard.sort_unstable();
    assert_eq!(Value::from(hard), wanted["hard_laps"]);
    assert!(tallied.track.points().len() > 100);
    let notes = surveyed
        .notes(&Options::default(), Default::default())
        .join(" ");
    assert!(
        notes.contains("too few to judge landings: 50 are needed"),
        "{notes}"
    );
}

#[test]
fn gaps_and_half_rows_are_counted() {
    let (surveyed, tallied, wanted) = holds("gaps");
    assert_eq!(tallied.times.gap_count, wanted["gaps"].as_u64().unwrap());
    close(
        tallied.times.gaps,
        wanted["gaps_s"].as_f64().unwrap(),
        1e-6,
        "gaps",
    );
    assert_eq!(
        surveyed.rows.incomplete,
        wanted["incomplete"].as_u64().unwrap()
    );
    assert_eq!(surveyed.faults.total(), 0);
}

const DEMO: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/rider-profiles/runs/invented-loop.csv"
);

/// Writes the demo run anew: run it by name.
#[test]
#[ignore = "writes rider-profiles/runs/invented-loop.csv"]
fn write_the_demo_run() {
    std::fs::write(DEMO, demo()).unwrap();
}

#[test]
fn the_demo_run_reads_and_says_that_it_is_invented() {
    assert!(DEMO.ends_with(DEMO_NAME));
    let bytes = std::fs::read(DEMO).unwrap();
    assert!(
        bytes == demo().as_bytes(),
        "the file is what the model makes"
    );
    assert!(bytes.starts_with(b"# INVENTED"));
    let opening = Opening::read(&bytes[..HEAD], false).unwrap();
    let columns = Columns::guess(&opening);
    assert_eq!(columns.all().len(), 9, "{columns:?}");
    assert_eq!(columns.of(Role::Brake).unwrap().unit.name(), "bar");
    let (surveyed, tallied) = read_parted(&bytes, &[]);
    assert_eq!(surveyed.faults.total(), 0);
    assert!(
        (5..=6).contains(&tallied.times.flights),
        "{:?}",
        tallied.times
    );
    assert!(tallied.hold.spikes > 0.0);
    assert!(tallied.hold.moments.iter().any(|m| m.flight.is_some()));
    close(surveyed.tilt.pitch.deg(), 4.0, 0.1, "pitch");
    close(surveyed.tilt.roll.deg(), 1.5, 0.1, "roll");
    close(surveyed.rate(), 100.0, 1.0, "rate");
    assert_eq!(tallied.track.laps().len(), 2);
    close(
        tallied.times.flight,
        2.0 * (0.55 + 0.7 + 0.45),
        0.3,
        "time in flight",
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_answer_does_not_depend_on_the_chunks(
        which in 0..5_usize,
        mut parts in prop::collection::vec(0..120_000_usize, 0..60),
    ) {
        let name = ["tilt", "spikes", "flight", "laps", "gaps"][which];
        parts.sort_unstable();
        let bytes = file(name);
        let whole = read_parted(&bytes, &[]);
        let parted = read_parted(&bytes, &parts);
        prop_assert_eq!(format!("{whole:?}"), format!("{parted:?}"));
    }

    #[test]
    fn nothing_panics_on_any_bytes(
        mut bytes in prop::collection::vec(any::<u8>(), 0..2000),
        mix in 0..4_usize,
    ) {
        // Pure noise hardly gets past the opening: mixed into a run it reaches every part.
        let run = file("tilt");
        bytes = match mix {
            0 => bytes,
            1 => [&run[..6000], &bytes].concat(),
            2 => [&run[..6000], &bytes, &run[6000..12_000]].concat(),
            _ => {
                let mut run = run[..12_000].to_vec();
                for (i, b) in bytes.iter().enumerate() {
                    let at = (i * 7919 + usize::from(*b) * 31) % run.len();
                    run[at] = b"0123456789.,;-e\n\r\"x"[usize::from(*b) % 19];
                }
                run
            }
        };
        let options = Options::default();
        let Ok(opening) = Opening::read(&bytes, true) else { return Ok(()) };
        let Ok(channels) = Columns::guess(&opening).on(&opening) else { return Ok(()) };
        let mut survey = Survey::new(&opening, &channels, &options);
        survey.push(&bytes);
        let Ok(surveyed) = survey.finish() else { return Ok(()) };
        let mut tally = Tally::new(&opening, &channels, &surveyed, &options, regions(), corners());
        tally.push(&bytes);
        let tallied = tally.finish();
        prop_assert!(tallied.hold.outside.is_finite() && tallied.hold.outside >= 0.0);
        let sum = tallied.times.ground + tallied.times.flight + tallied.times.gaps;
        prop_assert!((sum - tallied.times.whole).abs() <= 1e-6 * tallied.times.whole.max(1.0));
        for moment in &tallied.hold.moments {
            prop_assert!(moment.excess.is_finite() && moment.excess > 0.0);
        }
    }
}

/// Corners to the left and to the right, 0.8 g for two seconds each, and one of 0.4 g: four seconds lie outside half a g,
/// but for what the low-pass takes off each end. Its answer to a step overshoots by e^−π, 4.3 %, as that of any Butterworth
/// filter of second order does (damping 1/√2; any textbook of control).
#[test]
fn corners_are_judged_sideways_to_both_sides() {
    let mut text = String::from("time [s],longitudinal [g],lateral [g],vertical [g]\n");
    for k in 0..2000 {
        let t = f64::from(k) / 100.0;
        let across = match t {
            t if (4.0..6.0).contains(&t) => 0.8,
            t if (9.0..11.0).contains(&t) => -0.8,
            t if (14.0..16.0).contains(&t) => 0.4,
            _ => 0.0,
        };
        text.push_str(&format!("{t:.2},0.0,{across},1.0\n"));
    }
    let (_, tallied) = read_parted(text.as_bytes(), &[]);
    let side = tallied.sideways.unwrap();
    close(side.outside, 4.0, 0.1, "time outside");
    assert_eq!(side.events, 2);
    assert_eq!(side.moments.len(), 2);
    for moment in &side.moments {
        let overshot = 0.8 * (1.0 + libm::exp(-core::f64::consts::PI));
        close(moment.f[0], overshot, 0.003, "across");
        close(moment.excess, overshot - 0.5, 0.003, "outside");
        assert_eq!(moment.gives_first, "across");
    }
    // Without a lateral channel nothing is said of corners.
    let alone: String = text
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            format!("{},{},{}\n", cells[0], cells[1], cells[3])
        })
        .collect();
    let (_, tallied) = read_parted(alone.as_bytes(), &[]);
    assert!(tallied.sideways.is_none());
}
