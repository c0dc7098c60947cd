//! The way from stance to stance: limbs keep their length in every frame, and the ends are the stances themselves.
#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod drawing;

use drawing::demo_sled;
use sledstance::fit::{Request, fit};
use sledstance::rider::RiderProfile;
use sledstance::sled::Cockpit;
use sledstance::stance::{Stance, between};

#[test]
fn limbs_keep_their_length_on_every_way_for_every_rider_and_sled() {
    let stances = Stance::shipped().unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/rider-profiles/riders");
    let mut frames = 0;
    let mut worst: f64 = 0.0;
    for (i, file) in std::fs::read_dir(folder).unwrap().enumerate() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let built = RiderProfile::read(&text).unwrap().build().unwrap();
        let sled = demo_sled(["long-lemming", "tall-tern", "bare-bones"][i % 3]);
        let best = fit(&Request::new(&built.rider, &sled, &stances)).best;
        let cockpit = Cockpit::new(&sled, best.settings);
        let links = &built.rider.links;
        for from in 0..stances.len() {
            for to in 0..stances.len() {
                let end = |i: usize| (&stances[i], &best.stances[i].posture.pose);
                let mut before = end(from).1.points.hip;
                for step in 0..=50 {
                    let share = f64::from(step) / 50.0;
                    let (_, pose) = between(&built.rider, &cockpit, end(from), end(to), share);
                    let p = &pose.points;
                    for (a, b, length) in [
                        (p.ankle, p.knee, links.shank),
                        (p.knee, p.hip, links.thigh),
                        (p.shoulder, p.elbow, links.upper_arm),
                        (p.elbow, p.grip, links.forearm),
                    ] {
                        worst = worst.max(((a - b).norm() - length).abs());
                    }
                    // No leap from frame to frame.
                    let moved = (p.hip - before).norm();
                    assert!(moved < 40.0, "{from} to {to} at {share}: {moved:.1} mm");
                    before = p.hip;
                    frames += 1;
                }
                for (share, i) in [(0.0, from), (1.0, to)] {
                    let (_, pose) = between(&built.rider, &cockpit, end(from), end(to), share);
                    let wanted = &best.stances[i].posture.pose.points;
                    for (a, b) in [
                        (pose.points.hip, wanted.hip),
                        (pose.points.knee, wanted.knee),
                        (pose.points.elbow, wanted.elbow),
                        (pose.points.ankle, wanted.ankle),
                    ] {
                        assert!((a - b).norm() < 2.0, "{from} to {to} at {share}");
                    }
                }
            }
        }
    }
    assert!(frames > 4000);
    assert!(worst < 0.5, "a limb is off by {worst:.3} mm");
}
