//! Joint angle gauges: an arc at the joint with the preferred range on it and a needle at the present value.
//!
//! The needle lies on the drawn limb. Inside its range a value is a plain tick; beyond it an open triangle, at a hard
//! limit a filled square, each with a word in its label: shape and word carry the meaning, colour only repeats it.

use super::Shape;
use super::label::{State, Wish};
use super::path::{Xy, arc, band, flat, line, polygon};
use crate::stance::{JointRange, Pose, StanceRanges};
use crate::units::Angle;
use crate::units::text::{format_angle, format_number, level};

/// How close to a hard limit counts as on it: half of what a digital level shows.
const LIMIT_SLACK_DEG: f64 = 0.25;

/// A gauge before it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Joint, as people call it.
    pub name: &'static str,
    /// Joint centre.
    pub centre: Xy,
    /// Radius of the middle of the band, mm.
    pub radius: f64,
    /// Heading of the needle.
    pub needle: Angle,
    /// +1 where headings grow with the angle, −1 where they fall.
    pub sense: f64,
    /// Present value.
    pub value: Angle,
    /// Its range.
    pub range: JointRange,
}

/// The preferred range: preferred ± tolerance, inside the hard limits.
pub fn comfortable(range: &JointRange) -> (Angle, Angle) {
    (
        (range.preferred - range.tolerance).clamped(range.low, range.high),
        (range.preferred + range.tolerance).clamped(range.low, range.high),
    )
}

/// How a value stands to its range.
pub fn state(value: Angle, range: &JointRange) -> State {
    let slack = Angle::from_deg(LIMIT_SLACK_DEG);
    let (low, high) = comfortable(range);
    if value <= range.low + slack || value >= range.high - slack {
        State::AtLimit
    } else if value < low - slack || value > high + slack {
        State::Beyond
    } else {
        State::Inside
    }
}

/// The word for a state, with the range that it speaks of.
pub fn word(value: Angle, range: &JointRange) -> String {
    let whole = |a: Angle| format_number(a.deg(), 1.0);
    let (low, high) = comfortable(range);
    let span = format!("{} to {}", whole(low), format_angle(high, 1.0));
    match state(value, range) {
        State::Inside => span,
        State::Beyond if value > high => format!("beyond {span}"),
        State::Beyond => format!("below {span}"),
        State::AtLimit if value >= range.high => {
            format!("at limit {}", format_angle(range.high, 1.0))
        }
        State::AtLimit if value > range.preferred => {
            format!("at limit {}", format_angle(range.high, 1.0))
        }
        State::AtLimit => format!("at limit {}", format_angle(range.low, 1.0)),
    }
}

/// The gauges of a pose, the most telling first; `radius` in mm is what the view's scale asks for.
pub fn gauges(pose: &Pose, ranges: &StanceRanges, radius: f64) -> Vec<Gauge> {
    let p = &pose.points;
    let a = &pose.angles;
    let (hip, knee, ankle) = (flat(&p.hip), flat(&p.knee), flat(&p.ankle));
    let (shoulder, elbow, wrist, grip) = (
        flat(&p.shoulder),
        flat(&p.elbow),
        flat(&p.wrist),
        flat(&p.grip),
    );
    let trunk = flat(&p.neck) - hip;
    let gauge = |name, centre, radius, toward: Xy, sense, value, range| Gauge {
        name,
        centre,
        radius,
        needle: toward.heading(),
        sense,
        value,
        range,
    };
    vec![
        gauge(
            "Knee",
            knee,
            radius,
            ankle - knee,
            -1.0,
            a.knee,
            ranges.knee,
        ),
        gauge("Hip", hip, radius, knee - hip, 1.0, a.hip, ranges.hip),
        gauge(
            "Trunk",
            hip,
            (0.55 * trunk.length()).max(1.7 * radius),
            trunk,
            -1.0,
            a.trunk,
            ranges.trunk,
        ),
        gauge(
            "Elbow",
            elbow,
            0.9 * radius,
            grip - elbow,
            1.0,
            a.elbow,
            ranges.elbow,
        ),
        gauge(
            "Wrist",
            wrist,
            (grip - wrist).length() + 95.0,
            Xy::at((grip - wrist).heading() + a.wrist_extension),
            1.0,
            a.wrist_extension,
            ranges.wrist_extension,
        ),
        gauge(
            "Shoulder",
            shoulder,
            0.8 * radius,
            elbow - shoulder,
            1.0,
            a.shoulder,
            ranges.shoulder,
        ),
    ]
}

impl Gauge {
    /// Heading of an angle of the joint.
    fn heading(&self, angle: Angle) -> Angle {
        self.needle + (angle - self.value) * self.sense
    }

    /// Its state.
    pub fn state(&self) -> State {
        state(self.value, &self.range)
    }

    /// Draws it; `px` is the mm of one px.
    pub fn shapes(&self, px: f64) -> Vec<Shape> {
        let half = 3.2 * px;
        let (low, high) = comfortable(&self.range);
        // Hard limits far from the value would wind the arc around the joint: what is drawn stays within 75°.
        let far = Angle::from_deg(75.0);
        let kept = |angle: Angle| self.heading(angle.clamped(self.value - far, self.value + far));
        let whole = arc(
            self.centre,
            self.radius,
            kept(self.range.low),
            kept(self.range.high),
        );
        let comfort = band(
            self.centre,
            self.radius - half,
            self.radius + half,
            kept(low),
            kept(high),
        );
        let out = Xy::at(self.needle);
        let side = out.left();
        let at = |radius: f64, aside: f64| self.centre + out * radius + side * aside;
        let r = self.radius;
        let mut shapes = vec![
            Shape::new("gauge-halo", whole.clone()),
            Shape::new("gauge-ground", comfort.clone()),
            Shape::new("gauge-whole", whole),
            Shape::new("gauge-comfort", comfort),
        ];
        let tick = line(&[at(r - 9.0 * px, 0.0), at(r + 9.0 * px, 0.0)]);
        shapes.push(Shape::new("needle-halo", tick.clone()));
        let (role, mark) = match self.state() {
            State::Inside => ("needle", String::new()),
            State::Beyond => (
                "needle-beyond",
                polygon(&[
                    at(r + 6.0 * px, 0.0),
                    at(r + 17.0 * px, 6.5 * px),
                    at(r + 17.0 * px, -6.5 * px),
                ]),
            ),
            State::AtLimit => (
                "needle-limit",
                polygon(&[
                    at(r + 6.0 * px, 5.0 * px),
                    at(r + 16.0 * px, 5.0 * px),
                    at(r + 16.0 * px, -5.0 * px),
                    at(r + 6.0 * px, -5.0 * px),
                ]),
            ),
        };
        shapes.push(Shape::new("needle", tick));
        if !mark.is_empty() {
            shapes.push(Shape::new(role, mark));
        }
        shapes
    }

    /// Its label: value, then range; on a narrow view the range only where the value is outside it.
    pub fn wish(&self, narrow: bool, px: f64) -> Wish {
        let state = self.state();
        let mut lines = vec![format!("{} {}", self.name, level(self.value))];
        if !narrow {
            lines.push(word(self.value, &self.range));
        } else if state != State::Inside {
            let word = match state {
                State::AtLimit => "at limit",
                _ if self.value > self.range.preferred => "beyond",
                _ => "below",
            };
            lines.push(word.to_owned());
        }
        Wish {
            role: "joint",
            lines,
            anchor: self.centre + Xy::at(self.needle) * (self.radius - 11.0 * px),
            state,
            worth: f64::INFINITY,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::path::xy;
    use super::*;

    fn range() -> JointRange {
        JointRange {
            preferred: Angle::from_deg(5.0),
            tolerance: Angle::from_deg(10.0),
            low: Angle::from_deg(-20.0),
            high: Angle::from_deg(40.0),
        }
    }

    #[test]
    fn every_value_has_a_state_and_a_word() {
        for (value, expected, words) in [
            (5.0, State::Inside, "\u{2212}5 to 15°"),
            (15.2, State::Inside, "\u{2212}5 to 15°"),
            (16.0, State::Beyond, "beyond \u{2212}5 to 15°"),
            (-9.0, State::Beyond, "below \u{2212}5 to 15°"),
            (39.9, State::AtLimit, "at limit 40°"),
            (55.0, State::AtLimit, "at limit 40°"),
            (-20.0, State::AtLimit, "at limit \u{2212}20°"),
        ] {
            let angle = Angle::from_deg(value);
            assert_eq!(state(angle, &range()), expected, "{value}");
            assert_eq!(word(angle, &range()), words, "{value}");
        }
    }

    #[test]
    fn shape_and_word_tell_the_states_apart_without_colour() {
        let at = |value: f64| Gauge {
            name: "Wrist",
            centre: xy(0.0, 0.0),
            radius: 100.0,
            needle: Angle::ZERO,
            sense: 1.0,
            value: Angle::from_deg(value),
            range: range(),
        };
        let roles =
            |value: f64| -> Vec<&str> { at(value).shapes(1.0).iter().map(|s| s.role).collect() };
        assert!(
            !roles(5.0)
                .iter()
                .any(|r| r.starts_with("needle-b") || *r == "needle-limit")
        );
        assert!(roles(20.0).contains(&"needle-beyond"));
        assert!(roles(40.0).contains(&"needle-limit"));
        assert_eq!(
            at(-9.0).wish(true, 1.0).lines,
            ["Wrist \u{2212}9°", "below"]
        );
        assert_eq!(at(20.0).wish(true, 1.0).lines, ["Wrist 20°", "beyond"]);
        assert_eq!(at(5.0).wish(true, 1.0).lines, ["Wrist 5°"]);
    }

    #[test]
    fn the_preferred_angle_lies_on_the_arc_where_the_joint_would_turn_to() {
        let gauge = Gauge {
            name: "Knee",
            centre: xy(0.0, 0.0),
            radius: 100.0,
            needle: Angle::from_deg(-100.0),
            sense: -1.0,
            value: Angle::from_deg(35.0),
            range: range(),
        };
        let turned = gauge.heading(Angle::from_deg(50.0));
        assert!((turned.deg() + 115.0).abs() < 1e-9);
    }
}
