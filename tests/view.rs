//! The drawing: figure, sled, stage, labels, handles. Writes its pictures beside the build for people to look at.

mod drawing;

use drawing::*;
use sledstance::sled::Cockpit;
use sledstance::units::text::System;
use sledstance::view::figure::Wearer;
use sledstance::view::machine::LeverView;
use sledstance::view::palette::Theme;
use sledstance::view::stage::{Ghost, Scene, Shown, Stage, Viewport, stage};
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

fn picture(name: &str, stage: &Stage, theme: Theme) {
    let path = format!("{}/{name}.svg", env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(path, svg::document(stage, "", theme)).unwrap();
}

#[test]
fn pictures_for_people() {
    let sled = sled();
    let stances = [
        ("ready", READY),
        ("attack", ATTACK),
        ("braced", BRACED),
        ("seated", SEATED),
    ];
    let defined: Vec<_> = stances.iter().map(|(n, b)| stance(n, b)).collect();
    let hand = hand();
    let cockpit = Cockpit::new(&sled, settings(2, -100.0, 14.0, -2.0));
    for (stature, tag) in [(1500.0, "small"), (1780.0, "mid"), (2000.0, "tall")] {
        let links = links(stature);
        let poses: Vec<_> = stances
            .iter()
            .map(|(_, b)| pose(&links, &cockpit, b))
            .collect();
        for front in 0..4 {
            let others: Vec<Shown> = (0..4)
                .filter(|&i| i != front && tag == "mid" && front == 0)
                .map(|i| Shown {
                    stance: &defined[i],
                    pose: &poses[i],
                })
                .collect();
            let former = Cockpit::new(&sled, settings(3, -50.0, 5.0, 0.0));
            let before = pose(&links, &former, &stances[front].1);
            let scene = Scene {
                body: Wearer {
                    links: &links,
                    hand: &hand,
                },
                cockpit: &cockpit,
                levers: LeverView::middle(&cockpit),
                front: Shown {
                    stance: &defined[front],
                    pose: &poses[front],
                },
                others: &others,
                ghost: (front == 1 && tag == "mid").then_some(Ghost {
                    name: "as found",
                    cockpit: &former,
                    pose: &before,
                }),
                system: if front == 2 {
                    System::Imperial
                } else {
                    System::Metric
                },
                handles: front == 1,
            };
            for (view, size) in [("phone", PHONE), ("tablet", TABLET), ("laptop", LAPTOP)] {
                let theme = if front == 3 {
                    Theme::Dark
                } else {
                    Theme::Light
                };
                let made = stage(&scene, size);
                println!(
                    "{tag} {} {view}: {} labels, omitted {:?}",
                    stances[front].0,
                    made.labels.len(),
                    made.omitted
                );
                picture(&format!("{tag}-{}-{view}", stances[front].0), &made, theme);
            }
        }
    }
}

/// A small generator of evenly spread numbers in 0..1 (Weyl sequence), so that every run sees the same poses.
struct Spread(f64);

impl Spread {
    fn next(&mut self, low: f64, high: f64) -> f64 {
        self.0 = (self.0 + 0.618_033_988_749_895) % 1.0;
        low + (high - low) * self.0
    }
}

/// Every hard rule of the placer, checked on the finished stage.
fn check_labels(made: &Stage, what: &str) {
    let view = made.view.area;
    for (i, a) in made.labels.iter().enumerate() {
        assert!(
            a.area.inside(&view),
            "{what}: {:?} outside the view",
            a.lines
        );
        for b in &made.labels[i + 1..] {
            assert!(
                !a.area.overlaps(&b.area),
                "{what}: {:?} over {:?}",
                a.lines,
                b.lines
            );
        }
        for b in &made.labels {
            if let Some((from, to)) = b.leader
                && !std::ptr::eq(a, b)
            {
                assert!(
                    !a.area.crossed(from, to),
                    "{what}: leader of {:?} through {:?}",
                    b.lines,
                    a.lines
                );
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
    let sled = sled();
    let hand = hand();
    let mut s = Spread(0.1);
    let (mut labels, mut omitted, mut stages) = (0, 0, 0);
    for case in 0..150 {
        let links = links(s.next(1480.0, 2050.0));
        let bend = Bend {
            ankle: s.next(-5.0, 25.0),
            knee: s.next(12.0, 105.0),
            trunk: s.next(0.0, 65.0),
            swing: s.next(0.0, 85.0),
            heel_lift: s.next(0.0, 20.0),
            seated: case % 4 == 0,
        };
        let position = (s.next(0.0, 8.99)) as usize;
        let cockpit = Cockpit::new(
            &sled,
            settings(
                (s.next(0.0, 4.99)) as usize,
                sled.stirrup.positions[position],
                s.next(-5.0, 30.0),
                s.next(-10.0, 10.0),
            ),
        );
        let placed = pose(&links, &cockpit, &bend);
        let defined = stance("trial", &READY);
        let former = Cockpit::new(&sled, settings(0, 0.0, 0.0, 0.0));
        let before = pose(&links, &former, &ATTACK);
        for width in [360.0, 390.0, 430.0, 700.0, 820.0, 1080.0, 1440.0] {
            let scene = Scene {
                body: Wearer {
                    links: &links,
                    hand: &hand,
                },
                cockpit: &cockpit,
                levers: LeverView::middle(&cockpit),
                front: Shown {
                    stance: &defined,
                    pose: &placed,
                },
                others: &[Shown {
                    stance: &defined,
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
            check_labels(&made, &format!("case {case}, {width} px"));
            labels += made.labels.len();
            omitted += made.omitted.len();
            stages += 1;
        }
    }
    println!("{stages} stages, {labels} labels placed, {omitted} without room");
    assert!(
        stages == 1050 && labels > 9 * stages,
        "{labels} labels on {stages} stages"
    );
    assert!(
        omitted * 20 < labels,
        "{omitted} of {labels} labels found no room"
    );
}
