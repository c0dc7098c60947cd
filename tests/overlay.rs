//! Options drawn over each other: text never over text, each option told apart by letter and line, aligned where it says,
//! and every edge of every hold with what gives first. Writes its pictures beside the build for people to look at.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::*;
use sledstance::compare::letter;
use sledstance::fit::{Request, SetUp, evaluate};
use sledstance::hold::Hold;
use sledstance::rider::{Rider, Sex};
use sledstance::sled::{Cockpit, Settings, Sled};
use sledstance::stance::{Pose, Stance};
use sledstance::units::text::System;
use sledstance::view::envelope::{EnvelopeView, runs};
use sledstance::view::envelopes::envelopes;
use sledstance::view::figure::Wearer;
use sledstance::view::label::Label;
use sledstance::view::machine::LeverView;
use sledstance::view::overlay::{Align, EDGES, Laid, Trace, overlay};
use sledstance::view::palette::Theme;
use sledstance::view::stage::{Shown, Stage, Viewport};
use sledstance::view::svg;

const SIZES: [(&str, Viewport); 3] = [
    (
        "phone",
        Viewport {
            width: 390.0,
            height: 506.0,
        },
    ),
    (
        "tablet",
        Viewport {
            width: 820.0,
            height: 700.0,
        },
    ),
    (
        "laptop",
        Viewport {
            width: 1080.0,
            height: 760.0,
        },
    ),
];

/// An option with all that it is made of.
struct Made {
    rider: Rider,
    sled: Sled,
    set_up: SetUp,
    name: String,
}

fn stances() -> Vec<Stance> {
    ["ready", "attack", "braced", "seated"].map(stance).to_vec()
}

/// A rider on a sled, its riser and stirrups where `step` says.
fn made(sex: Sex, stature: f64, mass: f64, sled: &str, step: usize) -> Made {
    let (rider, sled) = (rider(sex, stature, mass), demo_sled(sled));
    let riser = (sled.risers.len() / 2 + step) % sled.risers.len();
    let positions = &sled.stirrup.positions;
    let settings = Settings {
        riser,
        clamp: 0,
        bar: 0,
        seat: step % sled.seats.len(),
        stirrup: positions[(positions.len() / 2 + 2 * step) % positions.len()],
        riser_angle: sled.risers[riser]
            .angles
            .nearest(deg(8.0 + 3.0 * step as f64)),
        bar_roll: deg(0.0),
    };
    let stances = stances();
    let set_up = evaluate(&Request::new(&rider, &sled, &stances), settings);
    let name = [
        "",
        "firm seat, a position back",
        "a name that is far too long to stand anywhere on a drawing",
        "low",
    ];
    Made {
        rider,
        sled,
        set_up,
        name: name[step % name.len()].to_owned(),
    }
}

fn drawn(options: &[&Made], front: usize, align: Align, trace: Trace, size: Viewport) -> Stage {
    let stances = stances();
    let cockpits: Vec<Cockpit> = options
        .iter()
        .map(|o| Cockpit::new(&o.sled, o.set_up.settings))
        .collect();
    let laid: Vec<Laid> = options
        .iter()
        .zip(&cockpits)
        .map(|(option, cockpit)| Laid {
            name: &option.name,
            body: Wearer::from(&option.rider),
            cockpit,
            levers: LeverView::from(&option.set_up.levers),
            shown: Shown::of(&option.set_up, &stances, front).unwrap(),
        })
        .collect();
    overlay(&laid, align, trace, System::Metric, size).unwrap()
}

fn apart(labels: &[Label], what: &str) {
    for (i, a) in labels.iter().enumerate() {
        for b in &labels[i + 1..] {
            assert!(
                !a.area.overlaps(&b.area),
                "{what}: {:?} over {:?}",
                a.lines,
                b.lines
            );
        }
    }
}

fn options() -> Vec<Made> {
    let sleds = ["long-lemming", "tall-tern", "bare-bones"];
    let people = [
        (Sex::Female, 1500.0, 52.0),
        (Sex::Male, 1780.0, 80.0),
        (Sex::Female, 1680.0, 64.0),
        (Sex::Male, 2000.0, 100.0),
    ];
    let each = people.iter().enumerate();
    each.flat_map(|(i, &(sex, stature, mass))| sleds.map(|sled| made(sex, stature, mass, sled, i)))
        .collect()
}

#[test]
fn text_never_covers_text_over_a_few_hundred_drawings() {
    let all = options();
    let mut count = 0;
    let mut named = [0; 4];
    for first in 0..all.len() {
        for number in 2..=4 {
            let chosen: Vec<&Made> = (0..number)
                .map(|k| &all[(first + 5 * k) % all.len()])
                .collect();
            let front = (first + number) % 4;
            for (trace, align) in [
                (Trace::Limbs, Align::Sled),
                (Trace::Limbs, Align::Hips),
                (Trace::Arms, Align::Sled),
            ] {
                for (size, viewport) in SIZES {
                    let stage = drawn(&chosen, front, align, trace, viewport);
                    let what = format!("{first} {number} {size} {trace:?} {align:?}");
                    apart(&stage.labels, &what);
                    for label in &stage.labels {
                        assert!(
                            label.area.inside(&stage.view.area),
                            "{what}: {:?} outside",
                            label.lines
                        );
                    }
                    let text = svg::content(&stage);
                    assert!(!text.contains("NaN"), "{what}");
                    for (i, role) in EDGES.iter().enumerate() {
                        let there = text.contains(&format!("class=\"{role}\""));
                        assert_eq!(there, i < number, "{what}: {role}");
                    }
                    if size == "phone" && number > 2 {
                        // Letters alone on the drawing, and one line for each option below it.
                        for label in &stage.labels {
                            let says = label.lines.concat();
                            assert_eq!(says.chars().count(), 1, "{what}: {says}");
                        }
                        for (i, _) in chosen.iter().enumerate() {
                            let letter = format!("{} ", letter(i));
                            let lines = stage.omitted.iter().filter(|o| o.starts_with(&letter));
                            assert!(lines.count() <= 1, "{what}: {:?}", stage.omitted);
                        }
                    }
                    if size != "phone" || number > 2 {
                        // Each option's letter stands on the drawing, or beside it.
                        for (i, seen) in named.iter_mut().enumerate().take(number) {
                            let letter = letter(i).to_string();
                            let said = stage.labels.iter().any(|l| l.lines[0].starts_with(&letter))
                                || stage.omitted.iter().any(|o| o.starts_with(&letter));
                            assert!(said, "{what}: no {letter}");
                            *seen += 1;
                        }
                    }
                    count += 1;
                }
            }
        }
    }
    assert!(count >= 300, "{count} drawings");
    assert!(named.iter().all(|n| *n > 50), "{named:?}");
}

#[test]
fn the_hips_lie_on_each_other_where_the_drawing_is_aligned_on_them() {
    let all = options();
    let pair = [&all[1], &all[10]];
    let place = |made: &Made| -> Pose { made.set_up.stances[0].posture.pose };
    let (a, b) = (place(pair[0]), place(pair[1]));
    let apart = (a.points.hip - b.points.hip).xz().norm();
    assert!(apart > 20.0, "the case shows nothing: {apart}");
    let says = |align| {
        let stage = drawn(&pair, 0, align, Trace::Limbs, SIZES[2].1);
        let labels = stage.labels.iter().flat_map(|l| l.lines.clone());
        labels
            .chain(stage.omitted.clone())
            .collect::<Vec<_>>()
            .join(" | ")
    };
    assert!(
        says(Align::Sled).contains("B hips"),
        "{}",
        says(Align::Sled)
    );
    assert!(
        !says(Align::Hips).contains("B hips"),
        "{}",
        says(Align::Hips)
    );
    assert!(
        says(Align::Hips).contains("B foot"),
        "the feet are apart then"
    );
}

#[test]
fn lever_arms_are_as_long_as_the_pose_says() {
    let all = options();
    let pair = [&all[4], &all[7]];
    let stage = drawn(&pair, 1, Align::Sled, Trace::Arms, SIZES[2].1);
    for (i, made) in pair.iter().enumerate() {
        let pose = made.set_up.stances[1].posture.pose;
        let length = (pose.com - pose.points.ball).xz().norm();
        let line = format!("foot {:.0} mm", length);
        let of = format!("{} lever arms", letter(i));
        let label = stage.labels.iter().find(|l| l.lines[0] == of).unwrap();
        assert_eq!(label.lines[1], line);
    }
}

#[test]
fn nothing_to_draw_is_no_drawing() {
    assert!(overlay(&[], Align::Sled, Trace::Limbs, System::Metric, SIZES[0].1).is_none());
}

#[test]
fn every_class_over_each_other_has_a_rule() {
    let css = svg::stylesheet(svg::Colours::Variables);
    let all = options();
    for trace in [Trace::Limbs, Trace::Arms] {
        let stage = drawn(
            &[&all[0], &all[4], &all[8], &all[11]],
            3,
            Align::Sled,
            trace,
            SIZES[2].1,
        );
        for shape in stage.layers.iter().flat_map(|l| &l.shapes) {
            assert!(
                css.contains(&format!(".stage .{}{{", shape.role)),
                "{}",
                shape.role
            );
        }
    }
}

fn holds(of: &[&Made], front: usize) -> Vec<Hold> {
    of.iter()
        .map(|o| o.set_up.stances[front].hold.clone())
        .collect()
}

#[test]
fn holds_over_each_other_name_every_limit_once_and_cover_no_text() {
    let all = options();
    let mut edges = 0;
    for first in 0..all.len() {
        for number in 2..=4 {
            let chosen: Vec<&Made> = (0..number)
                .map(|k| &all[(first + 5 * k) % all.len()])
                .collect();
            let holds = holds(&chosen, first % 4);
            let holds: Vec<&Hold> = holds.iter().collect();
            for (width, height) in [(340.0, 300.0), (620.0, 508.0)] {
                let view: EnvelopeView = envelopes(&holds, width, height);
                apart(&view.labels, &format!("{first} {number} {width}"));
                let said: Vec<String> = view
                    .labels
                    .iter()
                    .filter(|l| l.role.starts_with("of-"))
                    .map(|l| l.lines.join(" "))
                    .chain(view.omitted.clone())
                    .collect();
                for (i, hold) in holds.iter().enumerate() {
                    let mut runs = runs(&hold.envelope);
                    runs.sort_by_key(|r| std::cmp::Reverse(r.points.len()));
                    edges += runs.len();
                    let letter = format!("{} ", letter(i));
                    let mine: Vec<&String> =
                        said.iter().filter(|s| s.starts_with(&letter)).collect();
                    assert!(mine.len() <= runs.len());
                    assert_eq!(
                        mine.is_empty(),
                        runs.is_empty(),
                        "{first} {number}: {letter}"
                    );
                    for words in mine {
                        let cause = words.trim_start_matches(&letter);
                        assert!(runs.iter().any(|r| r.cause == *cause), "{words}");
                    }
                }
            }
        }
    }
    assert!(edges > 300, "{edges}");
}

#[test]
fn pictures_for_people() {
    let write = |name: &str, text: &str| {
        let path = format!("{}/{name}.svg", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(path, text).unwrap();
    };
    let one = made(Sex::Male, 1780.0, 80.0, "long-lemming", 0);
    let back = made(Sex::Male, 1780.0, 80.0, "long-lemming", 1);
    let tall = made(Sex::Male, 1930.0, 92.0, "tall-tern", 2);
    let small = made(Sex::Female, 1580.0, 55.0, "long-lemming", 3);
    for (name, chosen) in [
        ("two", vec![&one, &back]),
        ("four", vec![&one, &back, &tall, &small]),
    ] {
        for (size, viewport) in SIZES {
            for (look, trace, align) in [
                ("limbs", Trace::Limbs, Align::Sled),
                ("hips", Trace::Limbs, Align::Hips),
                ("arms", Trace::Arms, Align::Sled),
            ] {
                let stage = drawn(&chosen, 0, align, trace, viewport);
                let theme = if look == "arms" {
                    Theme::Dark
                } else {
                    Theme::Light
                };
                let text = svg::document(&stage, "", theme);
                assert!(text.contains("class=\"option-a\""));
                write(&format!("over-{name}-{look}-{size}"), &text);
            }
        }
        let holds = holds(&chosen, 0);
        let holds: Vec<&Hold> = holds.iter().collect();
        let view = envelopes(&holds, 620.0, 508.0);
        assert!(view.labels.len() > 4);
        write(
            &format!("over-{name}-hold"),
            &svg::envelope_document(&view, Theme::Light),
        );
    }
}
