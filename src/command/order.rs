//! The report in words: a work order to tick off, with tape checks, what each stance can hold, and the cautions.

use std::fmt::{self, Display, Formatter};

use super::list::{bullets, heading};
use super::sure::Sure;
use crate::confidence::report::ConfidenceReport;
use crate::fit::report::{CheckReport, LeverReport, LoadReport, Report, StanceReport};
use crate::hold::HOLDING_LIMITS;

/// A report as a work order, with how sure it is where that was asked for.
pub struct WorkOrder<'a> {
    /// The report.
    pub report: &'a Report,
    /// How sure it is.
    pub confidence: Option<&'a ConfidenceReport>,
}

impl Display for WorkOrder<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let report = self.report;
        let sure = &Sure(self.confidence);
        heading(f, &format!("Work order: {}", report.sled.name))?;
        writeln!(
            f,
            "Rider {:.0} mm, {:.1} kg ({:.1} kg with gear).",
            stature(report),
            report.rider.body_mass_kg,
            report.rider.mass_kg
        )?;
        if report.status != "fits" {
            writeln!(f, "\nNOTHING IN STOCK FITS. The nearest set-up is below.")?;
            if let Some(binds) = &report.binds {
                writeln!(f, "  what stops it: {binds}")?;
            }
            for help in &report.helps {
                writeln!(f, "  would help: {help}")?;
            }
        }
        settings(f, report, sure)?;
        f.write_str(&sure.summary())?;
        work(f, report)?;
        check_list(f, "Check with tape and level", &report.checks)?;
        check_list(f, "Try on: engine off, full gear", &report.try_on)?;
        check_list(f, "Tick off after every change", &report.tick_off)?;
        stances(f, report, sure)?;
        verdicts(f, report)?;
        bullets(f, "To know", &report.warnings)?;
        bullets(f, "What practice says otherwise", &report.practice)?;
        bullets(f, "Cautions", &report.cautions)
    }
}

fn stature(report: &Report) -> f64 {
    let found = report
        .rider
        .measurements
        .iter()
        .find(|m| m.name == "stature");
    found.and_then(|m| m.value_mm).unwrap_or(f64::NAN)
}

/// "rolled back" or "forward" said beside a signed angle.
fn leaning(angle: f64, back: &str, forward: &str) -> String {
    match angle {
        a if a >= 0.05 => format!("{a:.1}° {back}"),
        a if a <= -0.05 => format!("{:.1}° {forward}", -a),
        _ => "0.0°".to_owned(),
    }
}

fn settings(f: &mut Formatter<'_>, report: &Report, sure: &Sure) -> fmt::Result {
    let s = &report.settings;
    heading(f, "Settings")?;
    let mut row = |name: &str, value: String| writeln!(f, "  {name:<15} {value}");
    row(
        "riser",
        format!("{:.0} mm{}", s.riser_height_mm, sure.riser_odds()),
    )?;
    row(
        "riser angle",
        format!(
            "{} from vertical{} ({} from the steering post)",
            leaning(s.riser_angle_deg, "rolled back", "forward"),
            sure.band("riser_angle_deg"),
            leaning(report.distances.riser_to_post_deg, "back", "forward"),
        ),
    )?;
    row(
        "bar roll",
        format!(
            "{} in the clamp{}",
            leaning(s.bar_roll_deg, "back and down", "forward and up"),
            sure.band("bar_roll_deg"),
        ),
    )?;
    let place = match s.stirrup_position {
        Some(number) => format!("position {number} from the front, "),
        None => String::new(),
    };
    row(
        "stirrups",
        format!(
            "{place}{:.0} mm behind the foremost{}",
            s.stirrup_mm.abs(),
            sure.stirrup_odds()
        ),
    )?;
    if s.stirrup_right_offset_mm != 0.0 {
        row(
            "right stirrup",
            format!("{:+.0} mm ahead of the left", s.stirrup_right_offset_mm),
        )?;
    }
    for (part, name) in [("seat", &s.seat), ("clamp", &s.clamp), ("bar", &s.bar)] {
        row(part, format!("{name}{}", sure.part_odds(part)))?;
    }
    row("brake lever", lever(&report.levers.brake))?;
    row("throttle lever", lever(&report.levers.throttle))?;
    for button in &report.levers.buttons {
        let says = if button.reached {
            format!("in the thumb's reach, {:.0} mm to spare", button.margin_mm)
        } else {
            format!(
                "OUT OF THE THUMB'S REACH by {:.0} mm without leaving the grip",
                -button.margin_mm
            )
        };
        row(&button.name, says)?;
    }
    let lever_notes = [&report.levers.brake, &report.levers.throttle];
    for note in lever_notes.into_iter().flat_map(|l| &l.notes) {
        writeln!(f, "  - {note}")?;
    }
    Ok(())
}

fn lever(l: &LeverReport) -> String {
    format!(
        "{:.0} mm from the grip's inner end, {} from horizontal, lever reach {:.0} mm (adjuster step {})",
        l.along_mm,
        leaning(l.roll_deg, "down", "up"),
        l.lever_reach_mm,
        l.reach_step,
    )
}

fn work(f: &mut Formatter<'_>, report: &Report) -> fmt::Result {
    if report.tasks.is_empty() {
        return Ok(());
    }
    let minutes: f64 = report.tasks.iter().map(|t| t.minutes).sum();
    heading(f, &format!("Work, in this order ({minutes:.0} min)"))?;
    for (i, task) in report.tasks.iter().enumerate() {
        write!(
            f,
            "  [ ] {:>2}. {} ({:.0} min",
            i + 1,
            task.what,
            task.minutes
        )?;
        if !task.tools.is_empty() {
            write!(f, "; {}", task.tools.join(", "))?;
        }
        writeln!(f, ")")?;
    }
    Ok(())
}

fn check_list(f: &mut Formatter<'_>, title: &str, checks: &[CheckReport]) -> fmt::Result {
    if checks.is_empty() {
        return Ok(());
    }
    heading(f, title)?;
    for check in checks {
        match &check.expect {
            Some(expect) => writeln!(f, "  [ ] {}: {expect}", check.what)?,
            None => writeln!(f, "  [ ] {}", check.what)?,
        }
    }
    Ok(())
}

fn stances(f: &mut Formatter<'_>, report: &Report, sure: &Sure) -> fmt::Result {
    heading(f, "Stances")?;
    for stance in &report.stances {
        let a = &stance.angles_deg;
        writeln!(
            f,
            "  {}: {}; knee {:.0}°{}, hip {:.0}°{}, trunk {:.0}°{}, elbow {:.0}°{}, neck {:.0}°",
            stance.name,
            stance.status,
            a.knee,
            sure.figure(&stance.name, "knee_deg"),
            a.hip,
            sure.figure(&stance.name, "hip_deg"),
            a.trunk,
            sure.figure(&stance.name, "trunk_deg"),
            a.elbow,
            sure.figure(&stance.name, "elbow_deg"),
            a.neck
        )?;
        for limit in &stance.limits {
            if limit.broken_by > 0.0 {
                writeln!(
                    f,
                    "    {}: broken by {:.0} {}",
                    limit.name, limit.broken_by, limit.unit
                )?;
            } else {
                writeln!(f, "    at its limit: {}", limit.name)?;
            }
        }
        holds(f, stance, sure)?;
        if let (Some(travel), Some(drop)) = (stance.leg_travel_mm, stance.drop_mm) {
            writeln!(
                f,
                "    leg travel {travel:.0} mm{}, takes up a drop of {drop:.0} mm{}",
                sure.figure(&stance.name, "leg_travel_mm"),
                sure.figure(&stance.name, "drop_mm"),
            )?;
        }
        if let Some(working) = &stance.working {
            let tires = working.tires_first.and_then(|joint| {
                let time = (*working.holding_time_s.get(joint)?)?;
                Some((joint.replace('_', " "), time))
            });
            let tires = match tires {
                Some((joint, 0.0)) => format!("{joint} cannot be held"),
                Some((joint, time)) => {
                    format!("{joint} tires first, held still after {}", spell(time))
                }
                None => "no effort reaches 15 % of its limit".to_owned(),
            };
            writeln!(
                f,
                "    at rest {:.0} N{} on each hand; {tires}",
                working.hand_n,
                sure.figure(&stance.name, "hand_n")
            )?;
        }
    }
    writeln!(f, "  {HOLDING_LIMITS}")
}

/// A holding time: no one holds still to the second.
fn spell(seconds: f64) -> String {
    if seconds < 60.0 {
        format!("{seconds:.0} s")
    } else {
        format!("{:.0} min", seconds / 60.0)
    }
}

fn holds(f: &mut Formatter<'_>, stance: &StanceReport, sure: &Sure) -> fmt::Result {
    let h = &stance.hold;
    for (name, load, figure) in [
        (
            "short landing from 1 g",
            &h.short_landing_1g,
            "short_landing_1g_g",
        ),
        (
            "short landing from 2 g",
            &h.short_landing_2g,
            "short_landing_2g_g",
        ),
        ("start", &h.start, "start_g"),
        ("straight drop", &h.straight_drop, "straight_drop_g"),
    ] {
        let band = sure.figure(&stance.name, figure);
        writeln!(f, "    {name:<22} {}{band}", held(load))?;
    }
    Ok(())
}

fn held(load: &LoadReport) -> String {
    match (load.g, &load.gives_first, &load.because) {
        (Some(g), Some(gives), _) => format!("holds {g:.2} g, then {gives} gives"),
        (_, _, Some(because)) => format!("cannot be held: {because}"),
        _ => "cannot be held".to_owned(),
    }
}

fn verdicts(f: &mut Formatter<'_>, report: &Report) -> fmt::Result {
    if report.verdicts.is_empty() {
        return Ok(());
    }
    heading(f, "Must hold")?;
    for verdict in &report.verdicts {
        let mark = match verdict.met {
            Some(true) => "met",
            Some(false) => "NOT MET",
            None => "tick off by hand",
        };
        writeln!(f, "  {}: {mark}; {}", verdict.name, verdict.says)?;
    }
    Ok(())
}
