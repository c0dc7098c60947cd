//! Hold over stirrup and riser angle against single solves; comfort against hold against brute force; the hips' region
//! against the leg travel; standing up.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use std::sync::LazyLock;

use rayon::prelude::*;
use sledstance::compare::front::{Choice, Fronting};
use sledstance::compare::map::Mapping;
use sledstance::compare::{Alternative, Comparison};
use sledstance::confidence::Sampling;
use sledstance::fit::{self, Keep, Request, stance_hold};
use sledstance::hold::{FORCE_CAP, Limits, Statics, standing_up};
use sledstance::plan::Units;
use sledstance::plan::leverage::{self, Known, Leveraged, charts};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::sled::profile::SHIPPED as SLEDS;
use sledstance::sled::{Cockpit, Settings, Sled, SledProfile};
use sledstance::stance::{Aim, Load, Problem, Stance, between, hip_region};
use sledstance::units::Angle;
use sledstance::view::card::{Paper, bare_charted, charted};

static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

fn sled(index: usize) -> Sled {
    let mut sled = SledProfile::read(SLEDS[index].text)
        .unwrap()
        .resolve()
        .unwrap();
    sled.bars.truncate(1);
    sled.clamps.truncate(1);
    sled.seats.truncate(2);
    sled
}

fn rider(sex: Sex, stature: f64, mass: f64) -> Rider {
    RiderProfile::of(sex, stature, mass).build().unwrap().rider
}

fn best(request: &Request) -> Settings {
    fit::fit(request).best.settings
}

#[test]
fn a_map_shows_what_single_solves_find() {
    for (index, stature) in [(0, 1780.0), (1, 1640.0)] {
        let (sled, rider) = (sled(index), rider(Sex::Male, stature, 75.0));
        let request = Request::new(&rider, &sled, &STANCES);
        let base = best(&request);
        for stance in STANCES.iter() {
            let rear = *sled.stirrup.positions.last().unwrap();
            let (low, high) = sled.risers[base.riser].angles.bounds();
            let stirrups: Vec<f64> = (0..6).map(|k| rear * (1.0 - f64::from(k) / 5.0)).collect();
            let angles: Vec<Angle> = (0..5)
                .map(|k| low + (high - low) * (f64::from(k) / 4.0))
                .collect();
            let mut mapping =
                Mapping::new(&request, base, stance, stirrups.clone(), angles.clone());
            while mapping.step() {}
            assert_eq!(mapping.progress(), (30, 30));
            let map = mapping.map();
            let mut reached = 0;
            for (j, &riser_angle) in angles.iter().enumerate() {
                for (i, &stirrup) in stirrups.iter().enumerate() {
                    let settings = Settings {
                        stirrup,
                        riser_angle,
                        ..base
                    };
                    let cockpit = Cockpit::new(&sled, settings);
                    let (alone, _) = stance_hold(&request, &cockpit, stance, None);
                    let node = map.nodes[j * stirrups.len() + i];
                    assert_eq!(node.in_reach, alone.in_reach(), "{} {i} {j}", stance.name);
                    if !alone.in_reach() {
                        continue;
                    }
                    reached += 1;
                    for load in Load::ALL {
                        match (map.hold(i, j, load), alone.load(load)) {
                            (Some(a), Some(b)) => {
                                assert!(
                                    (a - b).abs() < 5e-3 * (1.0 + b),
                                    "{} {a} {b}",
                                    stance.name
                                );
                            }
                            (a, b) => assert_eq!(a, b),
                        }
                    }
                }
            }
            println!("{}: {reached} of 30 in reach", stance.name);
            if let Some((.., g)) = map.best(Load::ShortLanding1g) {
                let below = map.contour(Load::ShortLanding1g, 0.98 * g);
                assert!(!below.is_empty() || reached == 30);
                assert!(map.contour(Load::ShortLanding1g, g + 0.01).is_empty());
            }
        }
    }
}

/// Brute force: every part and position, and both angles on a grid of its own.
fn brute(request: &Request, steps: u32) -> Vec<Choice> {
    let sled = request.sled;
    let mut all = Vec::new();
    for riser in 0..sled.risers.len() {
        let (low, high) = sled.risers[riser].angles.bounds();
        for seat in 0..sled.seats.len() {
            for &stirrup in &sled.stirrup.positions {
                for a in 0..=steps {
                    for b in 0..=steps {
                        let part = |k: u32| f64::from(k) / f64::from(steps);
                        all.push(Settings {
                            riser,
                            clamp: 0,
                            bar: 0,
                            seat,
                            stirrup,
                            riser_angle: low + (high - low) * part(a),
                            bar_roll: sled.bar_roll.0
                                + (sled.bar_roll.1 - sled.bar_roll.0) * part(b),
                        });
                    }
                }
            }
        }
    }
    let choice = |settings: &Settings| {
        let cockpit = Cockpit::new(sled, *settings);
        let (mut discomfort, mut hold) = (0.0, f64::INFINITY);
        for stance in request.stances {
            let (found, _) = stance_hold(request, &cockpit, stance, None);
            if !found.in_reach() {
                return None;
            }
            discomfort += stance.weight * found.cost;
            for goal in &stance.goals {
                hold = hold.min(found.load(goal.load).unwrap_or(0.0) / goal.g);
            }
        }
        Some(Choice {
            settings: *settings,
            discomfort,
            hold,
        })
    };
    all.par_iter().filter_map(choice).collect()
}

#[test]
fn nothing_found_by_brute_force_beats_the_front_clearly() {
    let mut sled = sled(0);
    sled.risers.truncate(3);
    sled.stirrup.positions.truncate(3);
    sled.seats.truncate(1);
    let rider = rider(Sex::Male, 1780.0, 79.0);
    let request = Request::new(&rider, &sled, &STANCES);
    let mut fronting = Fronting::new(&request);
    while fronting.step() {}
    let (done, all) = fronting.progress();
    assert_eq!(done, all);
    let front = fronting.front();
    let brute = brute(&request, 10);
    println!(
        "{} points of {done} solved; brute force {}",
        front.len(),
        brute.len()
    );
    assert!(front.len() > 3);
    // Sorted, and none beats another.
    for pair in front.windows(2) {
        assert!(pair[0].discomfort <= pair[1].discomfort && pair[0].hold < pair[1].hold);
    }
    // What brute force finds beats the front by no more than the last step is worth.
    let mut worst = (0.0_f64, 0.0_f64);
    for other in &brute {
        // The front's hold at no more discomfort, and what is missing to the other's.
        let at = front
            .iter()
            .filter(|c| c.discomfort <= other.discomfort * 1.02);
        let held = at.map(|c| c.hold).fold(f64::NEG_INFINITY, f64::max);
        worst.0 = worst.0.max(other.hold - held);
        let at = front.iter().filter(|c| c.hold >= other.hold - 0.005);
        let cost = at.map(|c| c.discomfort).fold(f64::INFINITY, f64::min);
        worst.1 = worst.1.max(cost / other.discomfort - 1.0);
    }
    println!(
        "missed at most: hold {:.4} at 2 % more discomfort, discomfort {:.1} % at 0.005 less hold",
        worst.0,
        100.0 * worst.1
    );
    assert!(worst.0 < 0.02, "{worst:?}");
    assert!(worst.1 < 0.03, "{worst:?}");
}

#[test]
fn kept_settings_stay_on_the_front() {
    let (sled, rider) = (sled(1), rider(Sex::Female, 1680.0, 62.0));
    let mut request = Request::new(&rider, &sled, &STANCES);
    request.keep = Keep {
        riser: Some(1),
        seat: Some(0),
        stirrup: Some(sled.stirrup.positions[1]),
        bar_roll: Some(sled.bar_roll.0),
        ..Keep::default()
    };
    let mut fronting = Fronting::new(&request);
    while fronting.step() {}
    for choice in fronting.front() {
        let s = choice.settings;
        assert_eq!(
            (s.riser, s.seat, s.stirrup, s.bar_roll),
            (1, 0, sled.stirrup.positions[1], sled.bar_roll.0)
        );
    }
}

#[test]
fn the_hips_region_holds_the_leg_travel() {
    let mut seen = 0;
    for (index, stature) in [(0, 1780.0), (1, 1600.0), (2, 1900.0)] {
        let (sled, rider) = (
            sled(index),
            rider(Sex::Male, stature, 24.0 * stature * stature * 1e-6),
        );
        let request = Request::new(&rider, &sled, &STANCES);
        let set_up = fit::fit(&request).best;
        let cockpit = Cockpit::new(&sled, set_up.settings);
        for (stance, result) in STANCES.iter().zip(&set_up.stances) {
            if stance.contacts.seated {
                continue;
            }
            let problem = Problem::new(&rider, &cockpit, stance, 0.0);
            let from = problem.from_pose(&result.posture.pose);
            let region = hip_region(&problem, &from).unwrap();
            let hip = result.posture.pose.points.hip;
            let travel = result.hold.travel.as_ref().unwrap().leg_travel;
            let sink = hip.z - region.lowest.1;
            println!(
                "{} on {}: travel {travel:.0} mm, region {sink:.0} down, {:.0} up, {:.0} cm²",
                stance.name,
                sled.name,
                region.highest.1 - hip.z,
                region.area / 100.0
            );
            // The deepest point of the region is no higher than the path of greatest sink, but for what lies between two
            // columns of nodes and the border's 3 mm; it may lie deeper, where the path stops in a corner.
            assert!(sink > travel - 15.0, "{sink} {travel}");
            assert!(region.area > 0.0 && region.border[0].len() > 8);
            // The hips are inside: a ray to the right crosses the outer border an odd number of times.
            let line = &region.border[0];
            let crossings = line
                .iter()
                .zip(line.iter().cycle().skip(1))
                .filter(|(a, b)| (a.1 > hip.z) != (b.1 > hip.z))
                .filter(|(a, b)| a.0 + (hip.z - a.1) / (b.1 - a.1) * (b.0 - a.0) > hip.x)
                .count();
            assert_eq!(crossings % 2, 1);
            // A node inside stands, and one just outside the lowest point does not.
            let below =
                problem.solve_near(&from, Aim::HipsAt(region.lowest.0, region.lowest.1 - 40.0));
            assert!(!below.feasible());
            seen += 1;
        }
    }
    assert_eq!(seen, 9);
}

#[test]
fn a_stronger_rider_stands_up_sooner() {
    let (sled, rider) = (sled(0), rider(Sex::Male, 1780.0, 79.0));
    let request = Request::new(&rider, &sled, &STANCES);
    let set_up = fit::fit(&request).best;
    let cockpit = Cockpit::new(&sled, set_up.settings);
    let named = |name: &str| {
        let at = STANCES.iter().position(|s| s.name == name).unwrap();
        (&STANCES[at], &set_up.stances[at].posture.pose)
    };
    let (from, to) = (named("seated"), named("ready"));
    let way: Vec<_> = (0..=24)
        .map(|k| between(&rider, &cockpit, from, to, f64::from(k) / 24.0))
        .collect();
    let poses: Vec<_> = way.iter().map(|(_, pose)| *pose).collect();
    let rise = |strength: f64| {
        standing_up(
            &poses,
            |pose| {
                let mut limits = Limits::of(&rider, &cockpit, to.0, &pose.angles);
                limits.joints = limits
                    .joints
                    .map(|(low, high)| (strength * low, strength * high));
                Statics::new(&rider, &cockpit, pose, limits, &request.options).vertical_capacity()
            },
            FORCE_CAP,
        )
        .unwrap()
    };
    let (weak, middle, strong) = (rise(0.2), rise(1.0), rise(1.4));
    println!("{middle:?}");
    println!("weak: {:?} at {}", weak.weakest, weak.weakest_at);
    assert!(middle.weakest > weak.weakest);
    let (middle_time, strong_time) = (middle.time.unwrap(), strong.time.unwrap());
    assert!(strong_time < middle_time, "{strong_time} {middle_time}");
    assert!((0.1..1.5).contains(&middle_time));
    assert!(middle.hip_travel >= poses[24].points.hip.z - poses[0].points.hip.z);
    assert!(weak.time.is_none_or(|t| t > middle_time));
}

/// Three options as they stand, of two riders on two sleds.
fn three() -> [Alternative; 3] {
    let option = |stature: f64, index: usize, back: usize| {
        let sled = sled(index);
        let riser = sled.risers.len() / 2;
        let settings = Settings {
            riser,
            clamp: 0,
            bar: 0,
            seat: 0,
            stirrup: sled.stirrup.positions[back],
            riser_angle: sled.risers[riser].angles.nearest(Angle::from_deg(10.0)),
            bar_roll: Angle::ZERO,
        };
        Alternative {
            name: String::new(),
            rider_name: String::new(),
            built: RiderProfile::of(Sex::Male, stature, 24.0 * stature * stature * 1e-6)
                .build()
                .unwrap(),
            sled,
            stances: STANCES.clone(),
            keep: Keep::all(settings),
            levers: (None, None),
            stance: None,
        }
    };
    [
        option(1780.0, 0, 1),
        option(1780.0, 0, 3),
        option(1650.0, 1, 2),
    ]
}

#[test]
fn charts_of_real_options_keep_their_text_apart() {
    let options = three();
    let nobody = Sampling {
        draws: 0,
        ..Sampling::default()
    };
    let comparison = Comparison::new(&options, nobody).unwrap();
    let each = || {
        let columns = comparison.columns().iter().enumerate();
        columns.map(|(place, column)| Known {
            alternative: column.alternative,
            place,
            set_up: &column.fit.best,
        })
    };
    let mut drawn = 0;
    for stance in STANCES.iter() {
        let all: Vec<_> = each()
            .map(|option| leverage::levered(option, &stance.name, Load::Start, Units::Imperial))
            .collect();
        assert!(all.iter().all(|o| o.rows.len() >= 5));
        // Both curves pass through what single solves hold; a stance out of reach has none.
        let mut charts = vec![
            charts::side(&all),
            charts::room(&all),
            charts::over_stirrup(&all),
            charts::over_angle(&all),
        ];
        charts.extend(each().map(|option| {
            charts::map(&leverage::mapped(option, &stance.name, Load::StraightDrop))
        }));
        for chart in &charts {
            for width in [300.0, 460.0, 620.0] {
                let view = chart.draw(width, 0.8 * width);
                for (i, a) in view.labels.iter().enumerate() {
                    for b in &view.labels[..i] {
                        assert!(
                            !a.area.overlaps(&b.area),
                            "{}: {:?} over {:?}",
                            chart.title,
                            a.lines,
                            b.lines
                        );
                    }
                }
                assert!(
                    view.shapes
                        .iter()
                        .all(|s| !s.d.contains("NaN") && !s.d.contains("inf"))
                );
                drawn += 1;
            }
        }
    }
    assert_eq!(drawn, STANCES.len() * 7 * 3);
}

/// The text of a page as it is read: all that stands in it, in order.
fn read(svg: &str) -> String {
    let parts = svg.split("<text").skip(1);
    let words = parts.filter_map(|p| p.split_once('>')?.1.split_once("</text>"));
    let words: Vec<&str> = words.map(|(text, _)| text).collect();
    words
        .join(" ")
        .replace("&amp;", "&")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&#39;", "'")
        .replace("&quot;", "\"")
}

#[test]
fn what_is_taken_along_holds_all_of_it() {
    let options = three();
    let nobody = Sampling {
        draws: 0,
        ..Sampling::default()
    };
    let comparison = Comparison::new(&options, nobody).unwrap();
    let mut found = Leveraged::default();
    assert_eq!(found.page(), None);
    for (place, column) in comparison.columns().iter().enumerate() {
        let option = Known {
            alternative: column.alternative,
            place,
            set_up: &column.fit.best,
        };
        found.levered.push(leverage::levered(
            option,
            "ready",
            Load::Start,
            Units::Metric,
        ));
        found
            .mapped
            .push(leverage::mapped(option, "ready", Load::Start));
        if place == 0 {
            let mut search = leverage::fronting(option);
            for _ in 0..60 {
                search.step();
            }
            found.front = Some(leverage::fronted(option, &search, true, Units::Metric));
        }
    }
    // Every number of every part has its line, and comes back as it was.
    let text = found.csv();
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let heads = rows.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|h| h == name).unwrap();
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let part = |name: &str| rows.iter().filter(|r| &r[0] == name).collect::<Vec<_>>();
    let number = |row: &csv::StringRecord, name: &str| row[at(name)].parse::<f64>().ok();
    let nodes = found.mapped.iter().flat_map(|m| &m.holds);
    let held: Vec<Option<f64>> = part("map").iter().map(|r| number(r, "hold_g")).collect();
    assert_eq!(held, nodes.copied().collect::<Vec<_>>());
    let first = &found.mapped[0];
    let row = part("map")[first.stirrups.len() + 2];
    assert_eq!(number(row, "stirrup_mm"), Some(first.stirrups[2]));
    assert_eq!(number(row, "riser_angle_deg"), Some(first.angles[1]));
    let curve = part("hold over stirrup");
    assert_eq!(
        curve.len(),
        found
            .levered
            .iter()
            .map(|o| o.over_stirrup.len())
            .sum::<usize>()
    );
    assert_eq!(
        number(curve[0], "stirrup_mm"),
        Some(found.levered[0].over_stirrup[0].0)
    );
    let points = &found.front.as_ref().unwrap().points;
    assert!(!points.is_empty());
    assert_eq!(part("front").len(), points.len());
    assert_eq!(number(part("front")[0], "hold_share"), Some(points[0].hold));
    assert_eq!(
        part("given").len(),
        found.levered.iter().map(|o| o.rows.len()).sum::<usize>()
    );
    // On paper every word of it stands whole, inside the page, in one piece or in two.
    let page = found.page().unwrap();
    assert_eq!(page.charts.len(), 4 + 3 + 1);
    let two = Leveraged {
        levered: found.levered[..2].to_vec(),
        mapped: found.mapped[..2].to_vec(),
        front: None,
    };
    for (page, most) in [(two.page().unwrap(), 1), (page, 2)] {
        for paper in [Paper::A4, Paper::Letter] {
            let (width, height) = paper.size();
            let text = bare_charted(&page, paper);
            let sheets = text.matches("class=\"card\"").count();
            assert!(sheets <= most, "{sheets}");
            let size = format!("viewBox=\"0 0 {width:.2} {height:.2}\" width=\"{width:.2}mm\"");
            assert_eq!(text.matches(&size).count(), sheets, "as large as the paper");
            let mut rows = 0;
            for row in text.split("<text class=\"").skip(1) {
                if !["head", "plain", "value"]
                    .iter()
                    .any(|c| row.starts_with(c))
                {
                    continue;
                }
                let (_, y) = row.split_once(" y=\"").unwrap();
                let y: f64 = y.split_once('"').unwrap().0.parse().unwrap();
                assert!(y > 9.0 && y < height - 9.0, "{row}");
                rows += 1;
            }
            assert!(rows > 20);
            let file = charted(&page, paper);
            assert!(file.contains("<style>"));
            assert_eq!(file.matches("<svg").count(), 1 + page.charts.len());
            for said in [read(&text), read(&file)] {
                let items = page.blocks.iter().flat_map(|b| &b.items);
                let words = items.flat_map(|i| [format!("{}:", i.what), i.value.clone()]);
                let heads = page.blocks.iter().map(|b| b.title.clone());
                let charts = page.charts.iter().map(|c| c.title.clone());
                let all = words
                    .chain(heads)
                    .chain(charts)
                    .chain(page.cautions.clone());
                for words in all {
                    for word in words.split(' ') {
                        assert!(said.contains(word), "{word} of {words}");
                    }
                }
            }
        }
    }
}
