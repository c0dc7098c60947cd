use sledstance::rider::*;
use sledstance::sled::*;
use sledstance::stance::*;
use sledstance::units::Angle;
#[test]
fn scratch() {
    for shipped in &profile::SHIPPED {
        let sled = SledProfile::read(shipped.text).unwrap().resolve().unwrap();
        println!(
            "== {} base {:.0},{:.0} stirrups {:?} seat {:?} mark {:?}",
            shipped.id,
            sled.steering.base_x,
            sled.steering.base_z,
            sled.stirrup.positions,
            sled.seat_line.points()[sled.seat_line.points().len() - 1],
            sled.balance_mark
        );
        for (sex, st, m) in [
            (Sex::Female, 1520., 52.),
            (Sex::Male, 1780., 80.),
            (Sex::Male, 1950., 95.),
        ] {
            let rider = RiderProfile::of(sex, st, m).build().unwrap().rider;
            for stance in Stance::shipped().unwrap() {
                let settings = Settings {
                    riser: sled.risers.len() / 2,
                    clamp: 0,
                    bar: 0,
                    seat: 0,
                    stirrup: sled.stirrup.positions[4.min(sled.stirrup.positions.len() - 1)],
                    riser_angle: sled.risers[sled.risers.len() / 2]
                        .angles
                        .nearest(Angle::from_deg(12.)),
                    bar_roll: Angle::ZERO,
                };
                let c = Cockpit::new(&sled, settings);
                let pr = Problem::new(&rider, &c, &stance, 0.7);
                let t = std::time::Instant::now();
                let s = pr.solve(Aim::Comfort);
                let t1 = t.elapsed();
                let t = std::time::Instant::now();
                let _ = pr.solve_near(&s, Aim::Comfort);
                let t2 = t.elapsed();
                let p = pr.posture(&s);
                let a = p.pose.angles;
                let sink = pr.solve_near(&s, Aim::Sink);
                println!(
                    "{st} {:8} cost {:7.3} knee {:5.1} hip {:5.1} trunk {:5.1} sh {:5.1} elb {:5.1} sw {:5.1} uln {:5.1} ank {:5.1} heel {:.1} com {:.0} grip {:.0},{:.0} hip {:.0},{:.0} {t1:?} {t2:?} sink {:.0}/{:.2} {:?}",
                    stance.name,
                    p.cost,
                    a.knee.deg(),
                    a.hip.deg(),
                    a.trunk.deg(),
                    a.shoulder.deg(),
                    a.elbow.deg(),
                    a.elbow_swing.deg(),
                    a.wrist_ulnar.deg(),
                    a.ankle.deg(),
                    a.heel_lift.deg(),
                    p.pose.com.x,
                    c.grip.x,
                    c.grip.z,
                    p.pose.points.hip.x,
                    p.pose.points.hip.z,
                    p.pose.points.hip.z - pr.pose(&sink).points.hip.z,
                    sink.broken,
                    match p.status {
                        Status::Solved => "solved".to_owned(),
                        Status::AtLimit(l) => format!(
                            "AT {:?}",
                            l.iter().map(|l| l.name.clone()).collect::<Vec<_>>()
                        ),
                        Status::OutOfReach(l) => format!(
                            "OUT {:?}",
                            l.iter()
                                .map(|l| format!("{} {:.1}", l.name, l.broken_by))
                                .collect::<Vec<_>>()
                        ),
                    }
                );
            }
        }
    }
}
