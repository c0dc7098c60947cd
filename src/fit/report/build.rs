//! Fills the report from what the core computed.

use std::collections::BTreeMap;

use super::{
    AnglesReport, ButtonReport, CheckReport, ContactReport, DistancesReport, EdgeReport, FORMAT,
    HoldReport, LeverReport, LeversReport, LimitReport, LoadReport, MeasurementReport,
    MomentReport, ObjectiveReport, PointsReport, Report, RiderReport, SCHEMA, SegmentReport,
    SettingsReport, SledReport, StanceReport, SteeringReport, TaskReport, TermReport,
    VerdictReport, WorkingReport,
};
use crate::fit::cautions::CAUTIONS;
use crate::fit::outcome::{
    Check, Distances, Fit, FitStatus, LeverPlacement, Levers, SetUp, StanceResult, Task,
};
use crate::fit::{checks, work};
use crate::hold::{Contact, Hold, LoadHold, SteeringHold, Working, segment_com};
use crate::rider::{Built, Links, Rider, Unit};
use crate::sled::{Settings, Sled};
use crate::stance::{Angles, LimitUnit, Load, Points, Posture, Status};
use crate::units::Point;

/// The work that goes with a set-up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Work {
    /// Tasks in order.
    pub tasks: Vec<Task>,
    /// What to measure afterwards.
    pub checks: Vec<Check>,
    /// What to try with the rider aboard.
    pub try_on: Vec<Check>,
    /// What to tick off after every change.
    pub tick_off: Vec<Check>,
}

impl Work {
    /// The work that makes a set-up of the one before, or of a sled as it stands, with what checks it.
    pub fn new(before: Option<&Settings>, set_up: &SetUp, sled: &Sled) -> Self {
        Self {
            tasks: work::tasks(before, set_up, sled),
            checks: checks::checks(set_up, sled),
            try_on: checks::try_on(),
            tick_off: checks::safety_checks(sled),
        }
    }
}

impl Report {
    /// The report of a fit.
    pub fn new(built: &Built, sled: &Sled, fit: &Fit, work: &Work) -> Self {
        let rider = &built.rider;
        let set_up = &fit.best;
        let (status, binds, helps) = match &fit.status {
            FitStatus::Fits => ("fits", None, Vec::new()),
            FitStatus::Infeasible { binds, helps } => {
                ("infeasible", Some(binds.clone()), helps.clone())
            }
        };
        Self {
            format: FORMAT,
            schema: SCHEMA,
            status,
            binds,
            helps,
            settings: SettingsReport::new(sled, &set_up.settings),
            objective: objective(set_up),
            rider: rider_report(built),
            sled: SledReport {
                name: sled.name.clone(),
                assumed: sled.assumed.clone(),
                balance_mark_mm: sled.balance_mark.x,
                balance_mark_sd_mm: sled.balance_mark.sd,
            },
            stances: set_up.stances.iter().map(|s| stance(rider, s)).collect(),
            levers: levers(&set_up.levers),
            distances: distances(&set_up.distances),
            verdicts: set_up
                .verdicts
                .iter()
                .map(|v| VerdictReport {
                    name: v.name.clone(),
                    met: v.met,
                    says: v.says.clone(),
                })
                .collect(),
            checks: work.checks.iter().map(check).collect(),
            try_on: work.try_on.iter().map(check).collect(),
            tasks: work
                .tasks
                .iter()
                .map(|t| TaskReport {
                    what: t.what.clone(),
                    minutes: t.minutes,
                    tools: t.tools.clone(),
                })
                .collect(),
            warnings: warnings(built, sled, fit),
            practice: fit.practice.clone(),
            cautions: CAUTIONS.to_vec(),
            tick_off: work.tick_off.iter().map(check).collect(),
        }
    }
}

/// Everything that a reader must know: about the rider, the sled, then the fit.
fn warnings(built: &Built, sled: &Sled, fit: &Fit) -> Vec<String> {
    let mut warnings = built.warnings.clone();
    warnings.extend(sled.unusual.iter().cloned());
    if !sled.assumed.is_empty() {
        warnings.push(format!(
            "not measured on this sled but taken from a typical one (common practice, no source): {}",
            sled.assumed.join(", ")
        ));
    }
    // The fit may repeat what the sled already said.
    for warning in &fit.warnings {
        if !warnings.contains(warning) {
            warnings.push(warning.clone());
        }
    }
    warnings
}

impl SettingsReport {
    /// Settings of a sled.
    pub fn new(sled: &Sled, settings: &Settings) -> Self {
        Self {
            riser_height_mm: sled.risers[settings.riser].height,
            riser_angle_deg: settings.riser_angle.deg(),
            bar_roll_deg: settings.bar_roll.deg(),
            stirrup_mm: settings.stirrup,
            stirrup_position: sled.stirrup.position_number(settings.stirrup),
            stirrup_right_offset_mm: sled.stirrup.right_offset,
            seat: sled.seats[settings.seat].name.clone(),
            clamp: sled.clamps[settings.clamp].name.clone(),
            bar: sled.bars[settings.bar].name.clone(),
        }
    }
}

fn objective(set_up: &SetUp) -> ObjectiveReport {
    ObjectiveReport {
        value: set_up.objective,
        terms: set_up
            .terms
            .iter()
            .map(|t| TermReport {
                name: t.name.clone(),
                value: t.value,
            })
            .collect(),
    }
}

fn rider_report(built: &Built) -> RiderReport {
    RiderReport {
        mass_kg: built.rider.mass(),
        body_mass_kg: built.estimate.mean(crate::rider::Measurement::BodyMass),
        measurements: built
            .reported()
            .into_iter()
            .map(|m| {
                let unit = m.measurement.unit();
                MeasurementReport {
                    name: m.measurement.name(),
                    value_mm: (unit == Unit::Mm).then_some(m.value),
                    value_kg: (unit == Unit::Kg).then_some(m.value),
                    sd: m.sd,
                    given: m.given,
                }
            })
            .collect(),
        links_mm: links(&built.rider.links),
    }
}

/// Names the lengths as the fields are named; a new field does not compile until it is listed.
macro_rules! by_name {
    ($links:expr; $($name:ident),* $(,)?) => {{
        let Links { $($name),* } = *$links;
        BTreeMap::from([$((stringify!($name), $name)),*])
    }};
}

fn links(links: &Links) -> BTreeMap<&'static str, f64> {
    by_name!(links;
        toe_to_ball, toe_to_heel, toe_to_ankle, ankle_height, toe_to_foot_com, foot_com_height, foot_length,
        boot_length, boot_instep_height, boot_half_width, shank, thigh, hip_half, lower_trunk, trunk, shoulder_half,
        protraction, upper_arm, forearm, wrist_to_grip, neck_base, neck, helmet_radius, hip_over_seat, knee_radius,
        thigh_radius, shank_radius, chest_front,
    )
}

fn stance(rider: &Rider, result: &StanceResult) -> StanceReport {
    let Posture {
        pose,
        status,
        cost,
        terms,
        clearances,
    } = &result.posture;
    let (status, limits) = match status {
        Status::Solved => ("solved", &[][..]),
        Status::AtLimit(limits) => ("at limit", &limits[..]),
        Status::OutOfReach(limits) => ("out of reach", &limits[..]),
    };
    let hold = &result.hold;
    StanceReport {
        name: result.name.clone(),
        status,
        limits: limits
            .iter()
            .map(|l| LimitReport {
                name: l.name.clone(),
                broken_by: l.broken_by,
                unit: match l.unit {
                    LimitUnit::Degrees => "deg",
                    LimitUnit::Millimetres => "mm",
                },
            })
            .collect(),
        cost: *cost,
        terms: terms
            .iter()
            .map(|t| TermReport {
                name: t.name.to_owned(),
                value: t.value,
            })
            .collect(),
        points_mm: points(&pose.points),
        angles_deg: angles(&pose.angles),
        com_mm: xyz(&pose.com),
        clearances_mm: clearances
            .iter()
            .map(|(name, gap)| ((*name).to_owned(), *gap))
            .collect(),
        segments: rider
            .segments
            .iter()
            .map(|s| SegmentReport {
                name: s.part.name(),
                count: s.count,
                mass_kg: s.mass,
                com_mm: xyz(&segment_com(s, &pose.points, rider.links.trunk)),
            })
            .collect(),
        contacts: hold.contacts.iter().map(contact).collect(),
        hold: hold_report(hold),
        envelope: hold
            .envelope
            .iter()
            .map(|e| EdgeReport {
                f_x: e.f_x,
                f_z: e.f_z,
                gives_first: e.gives_first.clone(),
            })
            .collect(),
        steering_hold_nm: steering(&hold.steering),
        working: hold.working.as_ref().map(working),
        leg_travel_mm: hold.travel.as_ref().map(|t| t.leg_travel),
        drop_mm: hold.travel.as_ref().map(|t| t.drop),
        travel_stops_at: hold.travel.as_ref().map(|t| t.stops_at.clone()),
    }
}

fn xyz(p: &Point) -> [f64; 3] {
    [p.x, p.y, p.z]
}

fn points(p: &Points) -> PointsReport {
    PointsReport {
        ball: xyz(&p.ball),
        heel: xyz(&p.heel),
        toe: xyz(&p.toe),
        toe_stop: xyz(&p.toe_stop),
        ankle: xyz(&p.ankle),
        knee: xyz(&p.knee),
        hip: xyz(&p.hip),
        lower_trunk: xyz(&p.lower_trunk),
        shoulder: xyz(&p.shoulder),
        elbow: xyz(&p.elbow),
        wrist: xyz(&p.wrist),
        grip: xyz(&p.grip),
        seat: xyz(&p.seat),
        neck: xyz(&p.neck),
        head: xyz(&p.head),
    }
}

fn angles(a: &Angles) -> AnglesReport {
    AnglesReport {
        ankle: a.ankle.deg(),
        knee: a.knee.deg(),
        knee_splay: a.knee_splay.deg(),
        hip: a.hip.deg(),
        trunk: a.trunk.deg(),
        shoulder: a.shoulder.deg(),
        elbow: a.elbow.deg(),
        elbow_swing: a.elbow_swing.deg(),
        wrist_extension: a.wrist_extension.deg(),
        wrist_ulnar: a.wrist_ulnar.deg(),
        neck: a.neck.deg(),
        heel_lift: a.heel_lift.deg(),
    }
}

/// A bound that JSON can say.
fn bound(force: f64) -> Option<f64> {
    force.is_finite().then_some(force)
}

fn contact(c: &Contact) -> ContactReport {
    ContactReport {
        name: c.name,
        point_mm: xyz(&c.point),
        normal: xyz(&c.normal),
        friction: c.friction,
        low_n: bound(c.low),
        high_n: bound(c.high),
        assumed: c.assumed,
    }
}

fn hold_report(hold: &Hold) -> HoldReport {
    let named = |load: Load| load_report(load, hold.loads.iter().find(|l| l.load == load));
    HoldReport {
        short_landing_1g: named(Load::ShortLanding1g),
        short_landing_2g: named(Load::ShortLanding2g),
        start: named(Load::Start),
        straight_drop: named(Load::StraightDrop),
    }
}

fn forces(list: &[(&'static str, Point)]) -> BTreeMap<&'static str, [f64; 3]> {
    list.iter().map(|(name, f)| (*name, xyz(f))).collect()
}

fn load_report(load: Load, found: Option<&LoadHold>) -> LoadReport {
    let blank = LoadReport {
        g: None,
        start_load: load.start().into(),
        direction: load.direction().into(),
        because: None,
        gives_first: None,
        assumed: None,
        forces_n: None,
        moments_nm: None,
    };
    match found.map(|l| &l.hold) {
        None => LoadReport {
            because: Some("not computed".to_owned()),
            ..blank
        },
        Some(Err(not_held)) => LoadReport {
            because: Some(not_held.because.clone()),
            ..blank
        },
        Some(Ok(held)) => LoadReport {
            g: Some(held.g),
            gives_first: Some(held.gives_first.clone()),
            assumed: Some(held.assumed),
            forces_n: Some(forces(&held.forces)),
            moments_nm: Some(
                held.moments
                    .iter()
                    .map(|m| {
                        (
                            m.name,
                            MomentReport {
                                value: m.value,
                                low: m.low,
                                high: m.high,
                            },
                        )
                    })
                    .collect(),
            ),
            ..blank
        },
    }
}

fn steering(s: &SteeringHold) -> SteeringReport {
    SteeringReport {
        straight: s.straight,
        left_lock: s.left_lock,
        right_lock: s.right_lock,
    }
}

fn working(w: &Working) -> WorkingReport {
    WorkingReport {
        hand_n: w.hand,
        seat_share: w.seat_share,
        effort: w.efforts.iter().map(|e| (e.name, e.fraction)).collect(),
        holding_time_s: w
            .holding()
            .map(|(joint, holding)| (joint.name(), holding.seconds()))
            .collect(),
        tires_first: w.tires_first().map(|(joint, _)| joint.name()),
        forces_n: forces(&w.forces),
    }
}

fn levers(l: &Levers) -> LeversReport {
    LeversReport {
        brake: lever(&l.brake),
        throttle: lever(&l.throttle),
        buttons: l
            .buttons
            .iter()
            .map(|b| ButtonReport {
                name: b.name.clone(),
                reached: b.reached,
                margin_mm: b.margin,
            })
            .collect(),
        guard_gap_mm: l.guard_gap,
    }
}

fn lever(l: &LeverPlacement) -> LeverReport {
    LeverReport {
        along_mm: l.along,
        roll_deg: l.roll.deg(),
        roll_to_bar_deg: l.roll_to_bar.deg(),
        lever_reach_mm: l.lever_reach,
        reach_step: l.reach_step,
        wrist_extension_deg: l
            .wrist_extension
            .iter()
            .map(|(stance, angle)| (stance.clone(), angle.deg()))
            .collect(),
        notes: l.notes.clone(),
    }
}

fn distances(d: &Distances) -> DistancesReport {
    DistancesReport {
        stirrup_to_grip_mm: d.stirrup_to_grip,
        stirrup_to_grip_forward_mm: d.stirrup_to_grip_forward,
        grip_height_mm: d.grip_height,
        seat_to_grip_mm: d.seat_to_grip,
        riser_to_post_deg: d.riser_to_post.deg(),
        brake_tip_to_grip_mm: d.brake_tip_to_grip,
    }
}

fn check(c: &Check) -> CheckReport {
    CheckReport {
        what: c.what.clone(),
        expect: c.expect.clone(),
    }
}
