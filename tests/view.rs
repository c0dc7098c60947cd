//! The drawing: figure, sled, stage, labels, words. Writes its pictures beside the build for people to look at.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::*;
use sledstance::fit::{Request, fit, stance_result};
use sledstance::hold::{Edge, Held, Hold, LoadHold, NotHeld, SteeringHold};
use sledstance::rider::Sex;
use sledstance::sled::{Cockpit, Settings, Sled};
use sledstance::stance::{Goal, Load, Posture, Status};
use sledstance::units::Angle;
use sledstance::units::text::System;
use sledstance::view::describe::describe;
use sledstance::view::envelope::envelope;
use sledstance::view::figure::Wearer;
use sledstance::view::label::{Area, Label};
use sledstance::view::machine::LeverView;
use sledstance::view::palette::Theme;
use sledstance::view::path::Xy;
use sledstance::view::stage::{Ghost, Scene, Shown, Stage, View, Viewport, stage, stage_held};
use sledstance::view::svg;

const PHONE: Viewport = Viewport {
    width: 390.0,
    height: 430.0,
};
const TABLET: Viewport = Viewport {
    width: 820.0,
    height: 640.0,
};
const LAPTOP: Viewport = Viewport {
    width: 1080.0,
    height: 760.0,
};

fn write(name: &str, svg: &str) {
    let path = format!("{}/{name}.svg", env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(path, svg).unwrap();
}

#[test]
fn pictures_for_people() {
    let css = svg::stylesheet(svg::Colours::Fixed(Theme::Light));
    let stances = ["ready", "attack", "braced", "seated"].map(stance);
    for (tag, sex, stature, mass, sled) in [
        ("small", Sex::Female, 1500.0, 52.0, "tall-tern"),
        ("mid", Sex::Male, 1780.0, 80.0, "long-lemming"),
        ("tall", Sex::Male, 2000.0, 100.0, "bare-bones"),
    ] {
        let sled = demo_sled(sled);
        let rider = rider(sex, stature, mass);
        let request = Request::new(&rider, &sled, &stances);
        let best = fit(&request).best;
        let cockpit = Cockpit::new(&sled, best.settings);
        let mut as_found = best.settings;
        as_found.stirrup = sled.stirrup.positions[0];
        as_found.riser_angle = sled.risers[as_found.riser].angles.nearest(deg(2.0));
        let former = Cockpit::new(&sled, as_found);
        let shown = |i: usize| Shown {
            stance: &stances[i],
            pose: &best.stances[i].posture.pose,
        };
        for (front, front_stance) in stances.iter().enumerate() {
            let others: Vec<Shown> = (0..4)
                .filter(|&i| i != front && tag == "mid" && front == 0)
                .map(shown)
                .collect();
            let before = stance_result(&request, &former, front_stance).posture.pose;
            let ghost = Ghost {
                name: "as found",
                cockpit: &former,
                pose: &before,
            };
            let scene = Scene {
                body: Wearer::from(&rider),
                cockpit: &cockpit,
                levers: LeverView::from(&best.levers),
                front: shown(front),
                others: &others,
                ghost: (front == 1 && tag == "mid").then_some(ghost),
                system: if front == 2 {
                    System::Imperial
                } else {
                    System::Metric
                },
                handles: front == 1,
            };
            let result = &best.stances[front];
            let words = describe(
                front_stance,
                &result.posture,
                &cockpit,
                Some(&result.hold),
                System::Metric,
            );
            let theme = if front == 3 {
                Theme::Dark
            } else {
                Theme::Light
            };
            for (view, size) in [("phone", PHONE), ("tablet", TABLET), ("laptop", LAPTOP)] {
                let made = stage(&scene, size);
                let name = format!("{tag}-{}-{view}", result.name);
                check_labels(&made.labels, &made, &name);
                let svg = svg::document(&made, &words.plain(), theme);
                assert!(svg.contains("class=\"jacket\"") && svg.contains("class=\"helmet\""));
                assert!(!svg.contains("NaN"), "{name}");
                for class in svg.split("<path class=\"").skip(1) {
                    let class = class.split('"').next().unwrap();
                    assert!(css.contains(&format!(".stage .{class}{{")), "{class}");
                }
                write(&name, &svg);
            }
            let made = envelope(&result.hold, &stances[front].goals, 460.0, 400.0);
            let svg = svg::envelope_document(&made, theme);
            write(&format!("{tag}-{}-hold", result.name), &svg);
        }
    }
}

/// A small generator of evenly spread numbers (Weyl sequence), so that every run sees the same poses.
struct Spread(f64);

impl Spread {
    fn next(&mut self, low: f64, high: f64) -> f64 {
        self.0 = (self.0 + 0.618_033_988_749_895) % 1.0;
        low + (high - low) * self.0
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[(self.next(0.0, 1.0) * from.len() as f64) as usize]
    }
}

/// Every hard rule of the placer, checked on the finished stage.
fn check_labels(labels: &[Label], made: &Stage, what: &str) {
    let view = made.view.area;
    for (i, a) in labels.iter().enumerate() {
        assert!(a.area.inside(&view), "{what}: {:?} outside", a.lines);
        for b in &labels[i + 1..] {
            let apart = !a.area.overlaps(&b.area);
            assert!(apart, "{what}: {:?} over {:?}", a.lines, b.lines);
        }
        for (_, b) in labels.iter().enumerate().filter(|(j, _)| *j != i) {
            if let Some((from, to)) = b.leader {
                let clear = !a.area.crossed(from, to);
                assert!(clear, "{what}: {:?} through {:?}", b.lines, a.lines);
            }
        }
        for zone in &made.kept_free {
            assert!(
                !a.area.meets(zone),
                "{what}: {:?} over head or hand",
                a.lines
            );
        }
    }
}

#[test]
fn labels_never_cover_each_other_nor_head_nor_hand() {
    let sleds: [Sled; 3] = ["long-lemming", "tall-tern", "bare-bones"].map(demo_sled);
    let riders: Vec<_> = [1480.0, 1650.0, 1800.0, 2030.0]
        .map(|stature| {
            rider(
                Sex::Male,
                stature,
                25.0 * (stature / 1000.0) * (stature / 1000.0),
            )
        })
        .to_vec();
    let stances = ["ready", "attack", "braced", "seated"].map(stance);
    let mut s = Spread(0.1);
    let (mut labels, mut omitted, mut missed, mut stages) = (0, 0, 0, 0);
    for case in 0..120 {
        let rider = s.pick(&riders);
        let sled = s.pick(&sleds);
        let bend = Bend {
            ankle: s.next(-5.0, 25.0),
            knee: s.next(12.0, 105.0),
            trunk: s.next(0.0, 65.0),
            swing: s.next(0.0, 85.0),
            heel_lift: s.next(0.0, 20.0),
            seated: case % 4 == 0,
        };
        let riser = (s.next(0.0, sled.risers.len() as f64 - 0.01)) as usize;
        let stirrup = *s.pick(&sled.stirrup.positions);
        let set = settings(riser, stirrup, s.next(-5.0, 30.0), s.next(-10.0, 10.0));
        let cockpit = Cockpit::new(sled, set);
        let placed = pose(&rider.links, &cockpit, &bend);
        let former = Cockpit::new(sled, settings(0, 0.0, 0.0, 0.0));
        let before = pose(&rider.links, &former, &ATTACK);
        for width in [360.0, 390.0, 430.0, 700.0, 820.0, 1080.0, 1440.0] {
            let scene = Scene {
                body: Wearer::from(rider),
                cockpit: &cockpit,
                levers: LeverView::middle(&cockpit),
                front: Shown {
                    stance: &stances[case % 4],
                    pose: &placed,
                },
                others: &[Shown {
                    stance: &stances[1],
                    pose: &before,
                }],
                ghost: (case % 3 == 0).then_some(Ghost {
                    name: "as found",
                    cockpit: &former,
                    pose: &before,
                }),
                system: if case % 2 == 0 {
                    System::Metric
                } else {
                    System::Imperial
                },
                handles: case % 5 == 0,
            };
            let height = if width < 600.0 { 420.0 } else { 0.72 * width };
            let made = stage(&scene, Viewport { width, height });
            check_labels(&made.labels, &made, &format!("case {case}, {width} px"));
            labels += made.labels.len();
            omitted += made.omitted.len();
            missed += made.missed;
            stages += 1;
        }
    }
    println!(
        "{stages} stages, {labels} labels placed, {omitted} without room, {missed} of these no side notes"
    );
    assert!(stages == 840 && labels > 9 * stages, "{labels} labels");
    // Side notes (bar roll, centre of mass, names of other stances) give way to a crowd by design; the others may not.
    assert!(missed * 50 < labels, "{missed} of {labels} were missed");
    assert!(omitted * 10 < labels, "{omitted} of {labels} found no room");
}

#[test]
fn what_is_dragged_is_seen_from_one_place_until_it_would_run_out() {
    let stances = ["ready", "attack", "braced", "seated"].map(stance);
    let sled = demo_sled("long-lemming");
    let rider = rider(Sex::Male, 1780.0, 80.0);
    let best = fit(&Request::new(&rider, &sled, &stances)).best;
    let (mut held, mut moved) = (0, 0);
    let (mut stayed, mut left) = (0, 0);
    for size in [PHONE, TABLET, LAPTOP] {
        let drawn = |riser_angle: f64, before: Option<&Stage>| {
            let turned = Settings {
                riser_angle: Angle::from_deg(riser_angle),
                ..best.settings
            };
            let cockpit = Cockpit::new(&sled, turned);
            let scene = Scene {
                body: Wearer::from(&rider),
                cockpit: &cockpit,
                levers: LeverView::middle(&cockpit),
                front: Shown::of(&best, &stances, 0).unwrap(),
                others: &[],
                ghost: None,
                system: System::Metric,
                handles: true,
            };
            stage_held(&scene, size, before)
        };
        let begun = drawn(best.settings.riser_angle.deg(), None);
        let mut last = begun.clone();
        for step in (0..=12).chain((-12..12).rev()) {
            let angle = best.settings.riser_angle.deg() + f64::from(step);
            let made = drawn(angle, Some(&last));
            let what = format!("{angle:.0}°, {} px", size.width);
            check_labels(&made.labels, &made, &what);
            assert_eq!(made.view, begun.view, "{what}");
            let alone = drawn(angle, None);
            held += usize::from(alone.view != begun.view);
            // What is missed afresh may be missed; nothing that was written gets lost on the way.
            assert!(
                made.missed <= alone.missed.max(last.missed),
                "{what}: {:?}",
                made.omitted
            );
            for label in &made.labels {
                let words = |l: &Label| l.lines[0].replace(|c: char| !c.is_alphabetic(), "");
                let before = last.labels.iter().find(|l| words(l) == words(label));
                let Some(before) = before.filter(|l| l.leader.is_some()) else {
                    continue;
                };
                let edge = |l: &Label| {
                    if l.ends_right {
                        l.area.right()
                    } else {
                        l.area.left
                    }
                };
                let stood = edge(before) == edge(label) && before.area.top == label.area.top;
                if stood {
                    stayed += 1;
                } else {
                    left += 1;
                }
            }
            last = made;
        }
        // Seen from too near, or for a window of another size, it is looked at afresh.
        let near = Area {
            top: begun.view.area.top + 0.2 * begun.view.area.height,
            ..begun.view.area
        };
        let wide = Area {
            width: 1.1 * begun.view.area.width,
            ..begun.view.area
        };
        for area in [near, wide] {
            let other = Stage {
                view: View { area, ..begun.view },
                ..begun.clone()
            };
            let made = drawn(best.settings.riser_angle.deg(), Some(&other));
            assert_eq!(made.view, begun.view);
            moved += 1;
        }
    }
    assert!(held > 30 && moved == 6, "{held}, {moved}");
    println!("{stayed} labels stayed where they were, {left} did not");
    assert!(left * 20 < stayed, "{stayed}, {left}");
}

#[test]
fn a_low_drawing_on_a_phone_keeps_what_is_set_and_what_is_outside() {
    let stances = ["ready", "attack", "braced", "seated"].map(stance);
    for (stature, mass, sled) in [
        (1650.0, 60.0, "long-lemming"),
        (1780.0, 80.0, "long-lemming"),
        (1950.0, 100.0, "tall-tern"),
    ] {
        let sled = demo_sled(sled);
        let rider = rider(Sex::Male, stature, mass);
        let best = fit(&Request::new(&rider, &sled, &stances)).best;
        let cockpit = Cockpit::new(&sled, best.settings);
        let shown = |i: usize| Shown {
            stance: &stances[i],
            pose: &best.stances[i].posture.pose,
        };
        for (front, chosen) in stances.iter().enumerate() {
            for height in [272.0, 287.0, 300.0] {
                let scene = Scene {
                    body: Wearer::from(&rider),
                    cockpit: &cockpit,
                    levers: LeverView::from(&best.levers),
                    front: shown(front),
                    others: &[],
                    ghost: None,
                    system: System::Metric,
                    handles: true,
                };
                let width = 390.0;
                let made = stage(&scene, Viewport { width, height });
                let what = format!("{stature} mm, {}, {height} px", chosen.name);
                check_labels(&made.labels, &made, &what);
                for wanted in ["Riser", "Stirrup"] {
                    let placed = made
                        .labels
                        .iter()
                        .any(|l| l.role == "setting" && l.lines[0].starts_with(wanted));
                    assert!(placed, "{what}: {wanted}, without room {:?}", made.omitted);
                }
                let marked = ["beyond", "below", "at limit"];
                let lost = made
                    .omitted
                    .iter()
                    .find(|o| marked.iter().any(|m| o.contains(m)));
                assert_eq!(lost, None, "{what}");
            }
        }
    }
}

fn demo_hold() -> Hold {
    let corners = [
        (1.3, 0.2, "grip, pulling"),
        (1.5, 1.2, "grip, pulling"),
        (1.1, 2.3, "knee extension"),
        (0.2, 2.9, "knee extension"),
        (-0.7, 2.4, "elbow extension"),
        (-1.2, 1.2, "elbow extension"),
        (-0.9, 0.1, "toe stop (assumed limit)"),
        (0.3, -0.6, "hoop"),
    ];
    let held = |load, g, why: &str| LoadHold {
        load,
        hold: Ok(Held {
            g,
            gives_first: why.to_owned(),
            assumed: false,
            forces: Vec::new(),
            moments: Vec::new(),
        }),
    };
    Hold {
        contacts: Vec::new(),
        loads: vec![
            held(Load::ShortLanding1g, 1.2, "elbow extension"),
            LoadHold {
                load: Load::ShortLanding2g,
                hold: Err(NotHeld {
                    because: "2 g cannot be stood on these knees".to_owned(),
                }),
            },
            held(Load::Start, 1.5, "grip, pulling"),
            held(Load::StraightDrop, 1.8, "knee extension"),
        ],
        envelope: corners
            .map(|(f_x, f_z, why)| Edge {
                f_x,
                f_z,
                gives_first: why.to_owned(),
            })
            .to_vec(),
        steering: SteeringHold {
            straight: 140.0,
            left_lock: None,
            right_lock: None,
        },
        working: None,
        travel: None,
    }
}

fn goals() -> Vec<Goal> {
    [
        (Load::ShortLanding1g, 1.5),
        (Load::Start, 0.6),
        (Load::StraightDrop, 1.0),
    ]
    .map(|(load, g)| Goal {
        load,
        g,
        weight: 1.0,
    })
    .to_vec()
}

#[test]
fn the_envelope_names_what_gives_first_and_which_loads_are_held() {
    for (name, width, height) in [("phone", 350.0, 300.0), ("laptop", 460.0, 400.0)] {
        let made = envelope(&demo_hold(), &goals(), width, height);
        let mut text: Vec<String> = made.labels.iter().map(|l| l.lines.join(" ")).collect();
        text.extend(made.omitted.iter().cloned());
        for wanted in ["grip, pulling", "knee extension", "elbow extension"] {
            assert!(
                text.iter().any(|t| t.contains(wanted)),
                "{name}: {wanted} in {text:?}"
            );
        }
        let held = text.iter().filter(|t| t.ends_with("g held")).count();
        let lost = text.iter().filter(|t| t.ends_with("g not held")).count();
        assert_eq!((held, lost), (2, 1), "{text:?}");
        for (i, a) in made.labels.iter().enumerate() {
            for b in &made.labels[i + 1..] {
                assert!(
                    !a.area.overlaps(&b.area),
                    "{:?} over {:?}",
                    a.lines,
                    b.lines
                );
            }
        }
        write(
            &format!("hold-{name}"),
            &svg::envelope_document(&made, Theme::Light),
        );
    }
}

#[test]
fn an_envelope_of_nothing_says_why() {
    let mut hold = demo_hold();
    hold.envelope.clear();
    let made = envelope(&hold, &goals(), 300.0, 300.0);
    assert!(made.title.contains("2 g cannot be stood"), "{}", made.title);
    assert!(svg::envelope_document(&made, Theme::Light).contains("2 g cannot be stood"));
}

#[test]
fn the_words_say_what_the_drawing_shows() {
    let sled = demo_sled("tall-tern");
    let rider = rider(Sex::Female, 1650.0, 60.0);
    let cockpit = Cockpit::new(&sled, settings(2, -60.0, 12.5, -1.0));
    let mut bend = READY;
    bend.knee = 80.0;
    let posture = Posture {
        pose: pose(&rider.links, &cockpit, &bend),
        status: Status::Solved,
        cost: 1.0,
        terms: Vec::new(),
        clearances: Vec::new(),
    };
    let ready = stance("ready");
    let words = describe(
        &ready,
        &posture,
        &cockpit,
        Some(&demo_hold()),
        System::Metric,
    );
    assert!(
        words.summary.contains("knee 7") || words.summary.contains("knee 8"),
        "{}",
        words.summary
    );
    assert!(
        words.summary.contains("beyond 23 to 47°"),
        "{}",
        words.summary
    );
    let plain = words.plain();
    for wanted in [
        "position 4 of 9",
        "12.5° back from vertical",
        "1° forward from the riser",
        "elbow extension gives first",
        "2 g cannot be stood",
        "140 N·m",
    ] {
        assert!(plain.contains(wanted), "{wanted} in\n{plain}");
    }
    for table in &words.tables {
        assert!(table.rows.iter().all(|r| r.len() == table.head.len()));
    }
    let scene = Scene {
        body: Wearer::from(&rider),
        cockpit: &cockpit,
        levers: LeverView::middle(&cockpit),
        front: Shown {
            stance: &ready,
            pose: &posture.pose,
        },
        others: &[],
        ghost: None,
        system: System::Metric,
        handles: false,
    };
    let made = stage(&scene, LAPTOP);
    let written: String = made
        .labels
        .iter()
        .map(|l| l.lines.join(" ") + "\n")
        .collect();
    // The same words and figures on the drawing.
    let rows: Vec<&Vec<String>> = words.tables.iter().flat_map(|t| &t.rows).collect();
    let row = |name: &str| rows.iter().find(|r| r[0] == name).unwrap()[1].clone();
    for (label, name) in [
        ("Knee", "Knee"),
        ("Hip", "Hip"),
        ("Elbow", "Elbow"),
        ("Stirrup to grip", "Stirrup to grip, straight"),
        ("Grip height", "Grip height over the board"),
    ] {
        let wanted = format!("{label} {}", row(name));
        assert!(written.contains(&wanted), "{wanted} in\n{written}");
    }
}

#[test]
fn text_from_people_cannot_break_the_picture() {
    let mut sled = demo_sled("tall-tern");
    sled.name = "</svg><script>".to_owned();
    let mut ready = stance("ready");
    ready.name = "<b>\"R&D\u{1}'".to_owned();
    ready.says = "]]> & <script>alert(1)</script>".to_owned();
    let rider = rider(Sex::Male, 1780.0, 80.0);
    let cockpit = Cockpit::new(&sled, settings(1, 0.0, 10.0, 0.0));
    let placed = pose(&rider.links, &cockpit, &READY);
    let scene = Scene {
        body: Wearer::from(&rider),
        cockpit: &cockpit,
        levers: LeverView::middle(&cockpit),
        front: Shown {
            stance: &ready,
            pose: &placed,
        },
        others: &[],
        ghost: None,
        system: System::Metric,
        handles: true,
    };
    let svg = svg::document(&stage(&scene, PHONE), "a < b & c", Theme::Light);
    assert!(!svg.contains("<script") && !svg.contains("<b>") && !svg.contains('\u{1}'));
    assert!(svg.contains("a &lt; b &amp; c") && svg.contains("&lt;b&gt;&quot;R&amp;D"));
}

#[test]
fn the_stylesheet_of_a_file_names_colours_and_that_of_the_page_variables() {
    let css = svg::stylesheet(svg::Colours::Fixed(Theme::Light));
    let variables = svg::stylesheet(svg::Colours::Variables);
    assert!(variables.contains("var(--ink)") && !css.contains("var("));
}

#[test]
fn a_far_away_or_broken_pose_still_draws() {
    let sled = demo_sled("bare-bones");
    let rider = rider(Sex::Male, 1780.0, 80.0);
    let cockpit = Cockpit::new(&sled, settings(0, 0.0, 0.0, 0.0));
    let ready = stance("ready");
    for bad in [f64::NAN, f64::INFINITY, 1e300, -1e9] {
        let mut placed = pose(&rider.links, &cockpit, &READY);
        placed.points.head.x = bad;
        placed.points.knee.z = bad;
        placed.com.x = bad;
        for (width, height) in [(390.0, 400.0), (bad, 400.0), (0.0, bad)] {
            let scene = Scene {
                body: Wearer::from(&rider),
                cockpit: &cockpit,
                levers: LeverView::middle(&cockpit),
                front: Shown {
                    stance: &ready,
                    pose: &placed,
                },
                others: &[],
                ghost: None,
                system: System::Metric,
                handles: true,
            };
            let made = stage(&scene, Viewport { width, height });
            let svg = svg::document(&made, "", Theme::Dark);
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{bad}");
        }
    }
}

#[test]
fn the_hand_is_on_the_grip_and_the_boots_are_on_the_board() {
    let sled = demo_sled("long-lemming");
    let rider = rider(Sex::Male, 1780.0, 80.0);
    let cockpit = Cockpit::new(&sled, settings(2, -100.0, 12.0, 0.0));
    let placed = pose(&rider.links, &cockpit, &READY);
    let bearing = sledstance::view::figure::Bearing {
        head_pitch: deg(5.0),
        blade: Some(Xy { x: 0.0, y: 0.0 }),
        grip_radius: 16.0,
    };
    let person = sledstance::view::figure::figure(&placed, Wearer::from(&rider), &bearing);
    let grip = Xy {
        x: cockpit.grip.x,
        y: -cockpit.grip.z,
    };
    assert!((person.hand_zone.centre - grip).length() < 1e-9);
    let lowest = |role: &str| {
        let all = person.near.iter().filter(|s| s.role == role);
        all.flat_map(|s| ordinates(&s.d))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let highest = |role: &str| {
        let all = person.near.iter().filter(|s| s.role == role);
        all.flat_map(|s| ordinates(&s.d))
            .fold(f64::INFINITY, f64::min)
    };
    // The sole ends on the board (y = 0 on this level board), the helmet is the highest but for the peak.
    assert!(lowest("sole").abs() < 3.0, "{}", lowest("sole"));
    let head = -placed.points.head.z;
    assert!(highest("helmet") < head - 0.8 * rider.links.helmet_radius);
    assert!(highest("jacket") > head && highest("boot") > highest("jacket"));
}

/// The y values of path data.
fn ordinates(d: &str) -> Vec<f64> {
    let numbers: Vec<f64> = d
        .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter_map(|n| n.parse().ok())
        .collect();
    numbers.iter().skip(1).step_by(2).copied().collect()
}
