//! Single steps that a sled allows from where it stands: one part, one position or one turn at a time.

use std::borrow::Cow;

use crate::fit::Levers;
use crate::fit::work::{SWAP_MINUTES, Step as Task, bar_roll_words, riser_lean, roll_words};
use crate::sled::{RiserAngles, Settings, Sled};
use crate::units::Angle;
use crate::units::text::{System, tape};

/// Turn of riser or bar in one step: what a rider notices and a mechanic sets without trying twice. Our choice.
pub const TURN: Angle = Angle::from_deg(2.0);

/// Turn of a lever in one step; our choice.
pub const LEVER_TURN: Angle = Angle::from_deg(5.0);

/// Shift of a lever along the bar in one step, mm; our choice.
pub const LEVER_SHIFT: f64 = 8.0;

/// Least part of a step that is worth the tools, where a range ends within it.
const WORTH: f64 = 0.25;

/// Which lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lever {
    /// The finger lever.
    Brake,
    /// The thumb lever.
    Throttle,
}

/// What a step changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// Both stirrups along the board.
    Stirrups,
    /// The riser for the next in height.
    Riser,
    /// The riser's angle.
    RiserAngle,
    /// The bar's roll in its clamp.
    BarRoll,
    /// The seat.
    Seat,
    /// The clamp.
    Clamp,
    /// The clamp for a damping one, with the riser and its angle set anew under it.
    DampingClamp,
    /// The bar.
    Bar,
    /// The right stirrup alone.
    RightStirrup,
    /// A lever's roll.
    LeverRoll(Lever),
    /// A lever's place along the bar.
    LeverAlong(Lever),
    /// A lever's reach adjuster.
    LeverReach(Lever),
}

impl Subject {
    /// Name in JSON.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stirrups => "stirrup",
            Self::Riser => "riser_height",
            Self::RiserAngle => "riser_angle",
            Self::BarRoll => "bar_roll",
            Self::Seat => "seat",
            Self::Clamp => "clamp",
            Self::DampingClamp => "damping_clamp",
            Self::Bar => "bar",
            Self::RightStirrup => "stirrup_right_offset",
            Self::LeverRoll(Lever::Brake) => "brake_roll",
            Self::LeverRoll(Lever::Throttle) => "throttle_roll",
            Self::LeverAlong(Lever::Brake) => "brake_along",
            Self::LeverAlong(Lever::Throttle) => "throttle_along",
            Self::LeverReach(Lever::Brake) => "brake_reach",
            Self::LeverReach(Lever::Throttle) => "throttle_reach",
        }
    }

    /// Whether only a lever moves: the body stays as it is.
    pub const fn is_lever(self) -> bool {
        matches!(
            self,
            Self::LeverRoll(_) | Self::LeverAlong(_) | Self::LeverReach(_)
        )
    }

    /// Minutes of the step and of the lock-to-lock check after it, and the tools. Common practice, no source.
    pub fn work(self) -> (f64, Vec<&'static str>) {
        let (minutes, tools) = match self {
            Self::Stirrups | Self::RightStirrup => Task::Stirrups.effort(),
            Self::RiserAngle => Task::Riser.effort(),
            Self::Riser | Self::Clamp | Self::Bar | Self::DampingClamp => {
                (SWAP_MINUTES, Task::Riser.effort().1)
            }
            Self::BarRoll => Task::BarRoll.effort(),
            Self::Seat => Task::Seat.effort(),
            // One lever of the two.
            Self::LeverRoll(_) | Self::LeverAlong(_) => {
                let (both, tools) = Task::Levers.effort();
                (both / 2.0, tools)
            }
            Self::LeverReach(_) => (LEVER_REACH_MINUTES, &[][..]),
        };
        (minutes + Task::LockToLock.effort().0, tools.to_vec())
    }
}

/// Minutes to turn a reach adjuster by hand. Common practice, no source.
const LEVER_REACH_MINUTES: f64 = 1.0;

/// A step from where a sled stands.
#[derive(Clone, Debug)]
pub(super) struct Step<'a> {
    pub subject: Subject,
    /// What to do, in words, as an order: "Stirrups one position back, to position 4".
    pub says: String,
    /// The sled, with another part or another offset where the step needs it.
    pub sled: Cow<'a, Sled>,
    pub settings: Settings,
    pub levers: Levers,
    /// Name of the part to fit, and whether it is in stock.
    pub part: Option<(String, bool)>,
}

/// Where a sled stands.
pub(super) struct Standing<'a> {
    pub sled: &'a Sled,
    pub settings: Settings,
    pub levers: &'a Levers,
}

impl<'a> Standing<'a> {
    fn step(&self, subject: Subject, says: String, settings: Settings) -> Step<'a> {
        Step {
            subject,
            says,
            sled: Cow::Borrowed(self.sled),
            settings,
            levers: self.levers.clone(),
            part: None,
        }
    }

    /// Steps of settings and parts in stock: what a what-if tries.
    pub fn settings_steps(&self) -> Vec<Step<'a>> {
        let mut all = self.stirrups();
        all.extend(self.risers());
        all.extend(self.turns());
        all.extend(self.parts());
        all
    }

    fn stirrups(&self) -> Vec<Step<'a>> {
        let here = self.settings.stirrup;
        let positions = &self.sled.stirrup.positions;
        let ahead = positions.iter().rev().find(|x| **x > here + SAME);
        let behind = positions.iter().find(|x| **x < here - SAME);
        let to = |x: &f64, way: &str| {
            let number = self.sled.stirrup.position_number(*x).unwrap_or(1);
            let says = format!("Stirrups one position {way}, to position {number}");
            let settings = Settings {
                stirrup: *x,
                ..self.settings
            };
            self.step(Subject::Stirrups, says, settings)
        };
        let steps = [
            ahead.map(|x| to(x, "forward")),
            behind.map(|x| to(x, "back")),
        ];
        steps.into_iter().flatten().collect()
    }

    fn risers(&self) -> Vec<Step<'a>> {
        let risers = &self.sled.risers;
        let here = risers[self.settings.riser].height;
        let taller = (0..risers.len())
            .filter(|i| risers[*i].height > here + SAME)
            .min_by(|a, b| risers[*a].height.total_cmp(&risers[*b].height));
        let shorter = (0..risers.len())
            .filter(|i| risers[*i].height < here - SAME)
            .max_by(|a, b| risers[*a].height.total_cmp(&risers[*b].height));
        let to = |i: usize, way: &str| {
            let riser = &risers[i];
            let angle = riser.angles.nearest(self.settings.riser_angle);
            let part = format!("{} riser", mm(riser.height));
            let step = self.step(
                Subject::Riser,
                format!("Riser one step {way}: the {part}"),
                Settings {
                    riser: i,
                    riser_angle: angle,
                    ..self.settings
                },
            );
            Step {
                part: Some((part, true)),
                ..step
            }
        };
        let steps = [
            taller.map(|i| to(i, "taller")),
            shorter.map(|i| to(i, "shorter")),
        ];
        steps.into_iter().flatten().collect()
    }

    fn turns(&self) -> Vec<Step<'a>> {
        let mut all = Vec::new();
        let angles = self.sled.risers[self.settings.riser].angles;
        for (sign, way) in [(1.0, "back"), (-1.0, "forward")] {
            let here = self.settings.riser_angle;
            let by = match angles {
                RiserAngles::Teeth { step, .. } if step > TURN => step,
                _ => TURN,
            };
            let there = angles.nearest(here + by * sign);
            if (there - here).abs() >= TURN * WORTH {
                all.push(self.step(
                    Subject::RiserAngle,
                    format!(
                        "Riser {} {way}, to {}",
                        deg((there - here).abs()),
                        riser_lean(there)
                    ),
                    Settings {
                        riser_angle: there,
                        ..self.settings
                    },
                ));
            }
        }
        for (sign, way) in [(1.0, "back and down"), (-1.0, "forward and up")] {
            let here = self.settings.bar_roll;
            let (low, high) = self.sled.bar_roll;
            let there = (here + TURN * sign).clamped(low, high);
            if (there - here).abs() >= TURN * WORTH {
                all.push(self.step(
                    Subject::BarRoll,
                    format!(
                        "Bar rolled {} {way}, to {}",
                        deg((there - here).abs()),
                        bar_roll_words(there)
                    ),
                    Settings {
                        bar_roll: there,
                        ..self.settings
                    },
                ));
            }
        }
        all
    }

    fn parts(&self) -> Vec<Step<'a>> {
        let here = self.settings;
        let mut all = Vec::new();
        let mut offer = |subject, part: String, settings| {
            let step = self.step(subject, format!("Fit the {part}"), settings);
            all.push(Step {
                part: Some((part, true)),
                ..step
            });
        };
        for (i, seat) in self.sled.seats.iter().enumerate() {
            if i != here.seat {
                let part = format!("{} seat", seat.name);
                offer(Subject::Seat, part, Settings { seat: i, ..here });
            }
        }
        for (i, clamp) in self.sled.clamps.iter().enumerate() {
            if i != here.clamp {
                let part = format!("{} clamp", clamp.name);
                offer(Subject::Clamp, part, Settings { clamp: i, ..here });
            }
        }
        for (i, bar) in self.sled.bars.iter().enumerate() {
            if i != here.bar {
                let part = format!("{} bar", bar.name);
                offer(Subject::Bar, part, Settings { bar: i, ..here });
            }
        }
        all
    }

    /// Steps of the levers, which leave the body where it is.
    pub fn lever_steps(&self) -> Vec<Step<'a>> {
        let (brake, throttle) = (&self.sled.brake, &self.sled.throttle);
        let mut all = Vec::new();
        for (which, name, roll, along, steps) in [
            (
                Lever::Brake,
                "Brake lever",
                brake.roll,
                brake.along,
                brake.reach_steps,
            ),
            (
                Lever::Throttle,
                "Throttle paddle",
                throttle.roll,
                throttle.along,
                throttle.reach_steps,
            ),
        ] {
            let here = match which {
                Lever::Brake => &self.levers.brake,
                Lever::Throttle => &self.levers.throttle,
            };
            let mut offer =
                |subject, says: String, change: &dyn Fn(&mut crate::fit::LeverPlacement)| {
                    let mut step = self.step(subject, says, self.settings);
                    change(match which {
                        Lever::Brake => &mut step.levers.brake,
                        Lever::Throttle => &mut step.levers.throttle,
                    });
                    all.push(step);
                };
            for (sign, way) in [(1.0, "down"), (-1.0, "up")] {
                let there = (here.roll + LEVER_TURN * sign).clamped(roll.0, roll.1);
                let by = there - here.roll;
                if by.abs() >= LEVER_TURN * WORTH {
                    offer(
                        Subject::LeverRoll(which),
                        format!(
                            "{name} rolled {} {way}, to {}",
                            deg(by.abs()),
                            roll_words(there)
                        ),
                        &|l| l.roll_to_bar = l.roll_to_bar + by,
                    );
                }
            }
            for (sign, way) in [(1.0, "inward"), (-1.0, "outward")] {
                let there = (here.along + LEVER_SHIFT * sign).max(along.0).min(along.1);
                if (there - here.along).abs() >= LEVER_SHIFT * WORTH {
                    offer(
                        Subject::LeverAlong(which),
                        format!(
                            "{name} {} {way}, to {} from the grip",
                            mm((there - here.along).abs()),
                            mm(there)
                        ),
                        &|l| l.along = there,
                    );
                }
            }
            let last = steps.max(1) - 1;
            let nearer = here.reach_step.checked_sub(1);
            let farther = Some(here.reach_step + 1).filter(|s| *s <= last);
            for (step, way) in [(nearer, "nearer"), (farther, "farther")] {
                if let Some(step) = step {
                    offer(
                        Subject::LeverReach(which),
                        format!("{name}'s reach adjuster one step {way}, to step {step}"),
                        &|l| l.reach_step = step,
                    );
                }
            }
        }
        all
    }

    /// The right stirrup alone, one position either way.
    pub fn right_stirrup_steps(&self) -> Vec<Step<'a>> {
        let stirrup = &self.sled.stirrup;
        let right = self.settings.stirrup + stirrup.right_offset;
        let ahead = stirrup.positions.iter().rev().find(|x| **x > right + SAME);
        let behind = stirrup.positions.iter().find(|x| **x < right - SAME);
        let to = |x: &f64, way: &str| {
            let number = stirrup.position_number(*x).unwrap_or(1);
            let mut sled = self.sled.clone();
            sled.stirrup.right_offset = *x - self.settings.stirrup;
            let says = format!("Right stirrup alone one position {way}, to its position {number}");
            Step {
                sled: Cow::Owned(sled),
                ..self.step(Subject::RightStirrup, says, self.settings)
            }
        };
        let steps = [
            ahead.map(|x| to(x, "forward")),
            behind.map(|x| to(x, "back")),
        ];
        steps.into_iter().flatten().collect()
    }
}

/// Positions and heights closer than this are one, mm: no tape tells them apart.
pub(super) const SAME: f64 = 0.5;

fn mm(length: f64) -> String {
    tape(length, System::Metric)
}

fn deg(angle: Angle) -> String {
    crate::units::text::level(angle)
}
