//! Single changes for a run's moments against solving every one of them anew, load by load.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod shipped;

use sledstance::change::what_if;
use sledstance::fit::{self, Request, SetUp};
use sledstance::hold::{Sideways, Statics};
use sledstance::rider::{Rider, RiderProfile, Sex};
use sledstance::run::{Region, held};
use sledstance::sled::{Cockpit, Settings, Sled};
use sledstance::stance::{Pose, Stance};

/// Loads as a run has them: dug in, pulled, dropped, thrown to either side, and mixtures of these.
const LOADS: [[f64; 3]; 12] = [
    [-0.9, 0.0, 1.6],
    [-1.2, 0.6, 1.8],
    [-1.8, -0.9, 2.4],
    [0.45, 0.4, 1.0],
    [0.6, -0.1, 1.1],
    [0.0, 0.6, 1.3],
    [0.0, -0.8, 1.0],
    [-0.3, 1.0, 1.8],
    [-0.5, 1.4, 2.2],
    [-1.6, 0.2, 3.0],
    [0.1, 0.3, 3.4],
    [0.0, 0.0, 4.2],
];

fn rider() -> Rider {
    RiderProfile::of(Sex::Male, 1790.0, 79.0)
        .build()
        .unwrap()
        .rider
}

fn narrow(mut sled: Sled) -> Sled {
    sled.risers.truncate(2);
    sled.seats.truncate(1);
    sled.clamps.truncate(1);
    sled
}

/// The best set-up, and what its stances hold.
fn set_up(request: &Request) -> SetUp {
    fit::fit(request).best
}

fn body(request: &Request, settings: Settings, stance: &Stance) -> (Pose, Sideways) {
    let cockpit = Cockpit::new(request.sled, settings);
    let pose = fit::stance_result(request, &cockpit, stance).posture.pose;
    let options = &request.options;
    let body = Sideways::new(request.rider, &cockpit, stance, &pose, options, 0.0);
    (pose, body.unwrap())
}

/// How far along the way from rest a load is held, as a share of it, by halving: held or not is all that is asked.
fn share(body: &Sideways, f: [f64; 3]) -> f64 {
    let held = |share: f64| {
        let at = [share * f[0], share * f[1].abs(), 1.0 + share * (f[2] - 1.0)];
        body.witness(at).is_some()
    };
    if !held(0.0) {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, 64.0);
    assert!(!held(high));
    while high - low > 1e-9 {
        let middle = 0.5 * (low + high);
        if held(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

fn length(f: [f64; 3]) -> f64 {
    (f[0] * f[0] + f[1] * f[1] + (f[2] - 1.0) * (f[2] - 1.0)).sqrt()
}

#[test]
fn how_far_outside_a_load_lies_is_found_by_halving_too() {
    let (rider, sled) = (rider(), narrow(shipped::sled(1)));
    let request = Request::new(&rider, &sled, &shipped::STANCES);
    let settings = set_up(&request).settings;
    let (mut outside, mut inside) = (0, 0);
    for stance in shipped::STANCES.iter() {
        let (pose, body) = body(&request, settings, stance);
        let cockpit = Cockpit::new(&sled, settings);
        let limits = sledstance::hold::Limits::of(&rider, &cockpit, stance, &pose.angles);
        let symmetric = Statics::new(&rider, &cockpit, &pose, limits, &request.options);
        for f in LOADS {
            let beyond = body.beyond(f);
            let halved = length(f) * (1.0 - share(&body, f));
            assert!(
                (beyond - halved).abs() < 1e-6,
                "{}: {f:?} {beyond} {halved}",
                stance.name
            );
            // The body stands in the middle: either side is as good.
            let other = body.beyond([f[0], -f[1], f[2]]);
            assert!((beyond - other).abs() < 1e-7, "{f:?}");
            outside += usize::from(beyond > 0.0);
            inside += usize::from(beyond < 0.0);
            // Straight ahead it is the symmetric program, of another make.
            let flat = [f[0], 0.0, f[2]];
            let held = symmetric
                .factor_along((0.0, 1.0), (f[0], f[2] - 1.0))
                .unwrap_or(0.0);
            let wanted = length(flat) * (1.0 - held);
            let found = body.beyond(flat);
            assert!(
                (found - wanted).abs() < 1e-6,
                "{}: {flat:?} {found} {wanted}",
                stance.name
            );
        }
    }
    println!("{outside} outside, {inside} inside");
    assert!(outside > 5 && inside > 5);
}

#[test]
fn each_change_holds_what_solving_it_anew_holds() {
    let (rider, sled) = (rider(), narrow(shipped::sled(1)));
    let request = Request::new(&rider, &sled, &shipped::STANCES);
    let set_up = set_up(&request);
    let stances = held::judged(&shipped::STANCES, Some("attack")).unwrap();
    let flat = LOADS.map(|f| [f[0], 0.0, f[2]]);
    let [whole, along, none] = held::changes(&request, &set_up, &stances, [&LOADS, &flat, &[]]);
    assert!(none.is_empty());
    let steps = what_if(&request, &set_up);
    assert!(steps.len() > 3);
    assert_eq!((whole.len(), along.len()), (steps.len(), steps.len()));
    let mut differ = 0;
    for step in &steps {
        let bodies: Vec<Sideways> = stances
            .iter()
            .map(|stance| body(&request, step.settings, stance).1)
            .collect();
        let held = |f: &&[f64; 3]| {
            let folded = [f[0], f[1].abs(), f[2]];
            bodies.iter().any(|body| body.witness(folded).is_some())
        };
        let wanted = LOADS.iter().filter(held).count();
        let found = whole.iter().find(|c| c.says == step.says).unwrap();
        assert_eq!(found.held, wanted, "{}", step.says);
        assert_eq!((found.setting, found.fits), (step.setting, step.fits));
        assert_eq!(found.left <= 0.0, wanted == LOADS.len());
        // In the side view: inside the envelope, traced as a polygon.
        let regions: Vec<Region> = stances
            .iter()
            .map(|stance| {
                let cockpit = Cockpit::new(&sled, step.settings);
                let result = fit::stance_result(&request, &cockpit, stance);
                Region::new(&stance.name, &result.hold.envelope)
            })
            .collect();
        let inside = |f: &&[f64; 3]| regions.iter().any(|r| r.excess([f[0], f[2]]).0 <= 0.0);
        let planar = flat.iter().filter(inside).count();
        let found = along.iter().find(|c| c.says == step.says).unwrap();
        assert_eq!(found.held, planar, "{}", step.says);
        println!(
            "{}: {wanted} of {} held, {planar} in the side view",
            step.says,
            LOADS.len()
        );
        differ += usize::from(wanted != planar);
    }
    assert!(differ > 0, "what is held across decides nothing here");
    // Those first that fit, hold most and ease most.
    for list in [&whole, &along] {
        for pair in list.windows(2) {
            let key = |c: &held::Change| (c.fits, c.held);
            assert!(key(&pair[0]) >= key(&pair[1]));
            assert!(key(&pair[0]) > key(&pair[1]) || pair[0].eased >= pair[1].eased);
        }
    }
}
