//! What a seat's foam does under a rider: sag, margin to bottoming, stored and returned energy, and a drop onto it.
//!
//! The drop is that of a rigid mass m that meets the unloaded foam at speed v: m·ẍ = m·g − F(x), integrated with a fixed
//! step (Runge and Kutta's fourth order) until the mass stands still. It gives nothing back on the way down, and neither
//! legs nor buttocks nor the sled's suspension soften it: its peaks are upper bounds, good for comparing seats alone.
//! "Passes force sooner" means: less time until the foam presses as hard as it does when the rider sits still.
//!
//! Force over deflection is [`Foam::force`], static and relaxed; energy is its area.

use super::foam::{BOTTOMING, FULLY_COMPRESSED};
use super::geometry::Foam;
use crate::units::STANDARD_GRAVITY;

/// Speed at which the rider meets the seat where nobody says otherwise, m/s: a sit-down from 50 mm; our choice.
pub const DROP_SPEED: f64 = 1.0;

/// Share of the stored energy that foam turns to heat over a loading and unloading, by its force at 25 % (N), linear
/// between. The range 21 to 40 % from light to heavy foam is published (a note of the foam industry on density and
/// hysteresis loss, from public records); which firmness has which is our choice.
const LOSS: [(f64, f64); 3] = [(150.0, 0.35), (250.0, 0.30), (400.0, 0.25)];

/// Step of the drop, s: a hundredth of the shortest rise seen.
const STEP: f64 = 1e-4;

/// Longest drop that is followed, s: any foam that holds the mass at all has stopped it by then.
const LONGEST: f64 = 2.0;

/// A seat under a rider who sits still, and under one who drops onto it. Lengths mm, forces N, energies J.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounce {
    /// Static deflection under the seated weight.
    pub sag: f64,
    /// Force at which bottoming begins.
    pub bottoming_force: f64,
    /// The same over the seated weight: the quasi-static load factor that bottoms the seat; below 1 it has already.
    pub bottoming_factor: f64,
    /// Energy stored up to bottoming.
    pub stored: f64,
    /// What of that comes back.
    pub returned: f64,
    /// A drop onto it.
    pub drop: Drop,
}

/// A rigid mass dropped onto foam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// From touch until the force equals the seated weight, s.
    pub one_weight_after: f64,
    /// From touch until the greatest force, s.
    pub peak_after: f64,
    /// Greatest force, N; where the foam is pressed solid, at least this much.
    pub peak_force: f64,
    /// Greatest deflection, mm.
    pub depth: f64,
    /// Whether the foam is pressed solid, so that the base under it takes the rest.
    pub solid: bool,
}

impl Foam {
    /// Energy stored up to a deflection, J: the area under the force.
    pub fn energy(&self, deflection: f64) -> f64 {
        let e = (deflection / self.thickness).clamp(0.0, FULLY_COMPRESSED);
        let linear = e.min(BOTTOMING);
        // N·mm are mJ.
        (self.area_linear(linear) + self.area_bottoming(e)) * self.thickness * 1e-3
    }

    /// Deflection at which bottoming begins, mm.
    pub fn bottoming(&self) -> f64 {
        BOTTOMING * self.thickness
    }

    /// Share of the stored energy that does not come back.
    pub fn loss(&self) -> f64 {
        let mut low = LOSS[0];
        for corner in LOSS {
            if self.f25 <= corner.0 {
                if corner.0 <= low.0 {
                    return corner.1;
                }
                return low.1 + (corner.1 - low.1) * (self.f25 - low.0) / (corner.0 - low.0);
            }
            low = corner;
        }
        low.1
    }

    /// What the foam does under a seated weight, N, above 0, and when that weight meets it at a speed, m/s, not negative.
    pub fn bounce(&self, weight: f64, speed: f64) -> Bounce {
        let bottomed = self.bottoming();
        let bottoming_force = self.force(bottomed);
        let stored = self.energy(bottomed);
        Bounce {
            sag: self.deflection(weight),
            bottoming_force,
            bottoming_factor: bottoming_force / weight,
            stored,
            returned: (1.0 - self.loss()) * stored,
            drop: self.drop_onto(weight, speed),
        }
    }

    fn drop_onto(&self, weight: f64, speed: f64) -> Drop {
        let mass = weight / STANDARD_GRAVITY;
        // mm/s²; the foam does not pull.
        let acceleration = |x: f64| (STANDARD_GRAVITY - self.force(x) / mass) * 1e3;
        let solid_at = FULLY_COMPRESSED * self.thickness;
        let still = self.deflection(weight);
        let (mut x, mut v, mut t) = (0.0, speed * 1e3, 0.0);
        let mut one_weight_after = None;
        let mut solid = false;
        while t < LONGEST {
            let (x1, v1) = runge_kutta(x, v, STEP, acceleration);
            if one_weight_after.is_none() && x1 >= still {
                one_weight_after = Some(t + STEP * (still - x) / (x1 - x));
            }
            if v1 <= 0.0 {
                // The mass stands still inside this step: where the speed, linear over so short a time, is 0.
                let share = v / (v - v1);
                t += STEP * share;
                x += 0.5 * v * STEP * share;
                break;
            }
            (x, v, t) = (x1, v1, t + STEP);
            if x >= solid_at {
                (x, solid) = (solid_at, true);
                break;
            }
        }
        Drop {
            one_weight_after: one_weight_after.unwrap_or(t),
            peak_after: t,
            peak_force: self.force(x),
            depth: x,
            solid,
        }
    }
}

/// One step of position and speed.
fn runge_kutta(x: f64, v: f64, h: f64, a: impl Fn(f64) -> f64) -> (f64, f64) {
    let (x1, v1) = (v, a(x));
    let (x2, v2) = (v + 0.5 * h * v1, a(x + 0.5 * h * x1));
    let (x3, v3) = (v + 0.5 * h * v2, a(x + 0.5 * h * x2));
    let (x4, v4) = (v + h * v3, a(x + h * x3));
    (
        x + h / 6.0 * (x1 + 2.0 * x2 + 2.0 * x3 + x4),
        v + h / 6.0 * (v1 + 2.0 * v2 + 2.0 * v3 + v4),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOFT: Foam = foam(150.0, 2.0, 100.0);
    const STANDARD: Foam = foam(250.0, 2.2, 100.0);
    const FIRM: Foam = foam(400.0, 2.4, 100.0);

    /// Weight of 55 kg, N.
    const WEIGHT: f64 = 55.0 * STANDARD_GRAVITY;

    const fn foam(f25: f64, support: f64, thickness: f64) -> Foam {
        Foam {
            f25,
            support,
            thickness,
        }
    }

    fn near(got: f64, wanted: f64, within: f64, what: &str) {
        assert!(
            (got - wanted).abs() <= within,
            "{what}: {got}, not {wanted}"
        );
    }

    /// Worked out apart from this program, with the same force curve: 55 kg, rigid, 1.0 m/s, no loss on the way down.
    /// Sag mm; J to 65 % and to 85 %; J back from 85 %; ms to one weight and to the peak; peak in weights.
    const WORKED: [(Foam, [f64; 7]); 6] = [
        (SOFT, [67.0, 19.0, 45.0, 29.0, 57.0, 81.0, 18.0]),
        (STANDARD, [37.0, 33.0, 80.0, 56.0, 33.0, 85.0, 9.4]),
        (FIRM, [17.0, 55.0, 138.0, 103.0, 16.0, 90.0, 4.3]),
        (
            foam(150.0, 2.0, 60.0),
            [40.0, 11.0, 27.0, 17.0, 36.0, f64::NAN, 28.0],
        ),
        (
            foam(250.0, 2.2, 60.0),
            [22.0, 20.0, 48.0, 34.0, 20.0, f64::NAN, 15.0],
        ),
        (
            foam(400.0, 2.4, 60.0),
            [10.0, 33.0, 83.0, 62.0, 10.0, f64::NAN, 8.0],
        ),
    ];

    #[test]
    fn six_foams_behave_as_worked_out_apart() {
        for (foam, [sag, to_65, to_85, back, one, peak_after, peak]) in WORKED {
            let b = foam.bounce(WEIGHT, DROP_SPEED);
            let at_85 = foam.energy(0.85 * foam.thickness);
            let name = |what: &str| format!("{foam:?} {what}");
            near(b.sag, sag, 0.6, &name("sag"));
            near(b.stored, to_65, 0.6, &name("energy to 65 %"));
            near(at_85, to_85, 0.6, &name("energy to 85 %"));
            near((1.0 - foam.loss()) * at_85, back, 0.8, &name("returned"));
            near(b.drop.one_weight_after * 1e3, one, 1.0, &name("one weight"));
            if peak_after.is_finite() {
                near(
                    b.drop.peak_after * 1e3,
                    peak_after,
                    1.0,
                    &name("peak after"),
                );
            }
            near(b.drop.peak_force / WEIGHT, peak, 0.03 * peak, &name("peak"));
        }
    }

    #[test]
    fn the_drop_keeps_energy() {
        for (foam, _) in WORKED {
            for speed in [0.0, 0.4, 1.0] {
                let drop = foam.bounce(WEIGHT, speed).drop;
                assert!(!drop.solid);
                let given = 0.5 * 55.0 * speed * speed + WEIGHT * drop.depth * 1e-3;
                near(foam.energy(drop.depth), given, 1e-3 * given, "energy");
            }
        }
    }

    #[test]
    fn energy_is_the_area_under_the_force() {
        for (foam, _) in WORKED {
            let mut area = 0.0;
            let steps = 9_600;
            let dx = 0.96 * foam.thickness / f64::from(steps);
            for i in 0..steps {
                area += foam.force((f64::from(i) + 0.5) * dx) * dx * 1e-3;
            }
            near(
                foam.energy(0.96 * foam.thickness),
                area,
                1e-4 * area,
                "area",
            );
        }
    }

    #[test]
    fn a_firmer_seat_passes_force_sooner_and_stores_more() {
        // Trade fact, common practice, no source.
        for pair in [SOFT, STANDARD, FIRM].windows(2) {
            let (a, b) = (
                pair[0].bounce(WEIGHT, DROP_SPEED),
                pair[1].bounce(WEIGHT, DROP_SPEED),
            );
            assert!(b.sag < a.sag);
            assert!(b.drop.one_weight_after < a.drop.one_weight_after);
            assert!(b.stored > a.stored && b.returned > a.returned);
            assert!(b.drop.peak_force < a.drop.peak_force);
        }
    }

    #[test]
    fn less_comes_back_than_went_in_and_a_hard_drop_presses_foam_solid() {
        for f25 in [60.0, 150.0, 200.0, 330.0, 900.0] {
            let b = foam(f25, 2.2, 80.0).bounce(WEIGHT, DROP_SPEED);
            assert!(b.returned > 0.0 && b.returned < b.stored);
        }
        let drop = SOFT.bounce(WEIGHT, 6.0).drop;
        assert!(drop.solid && drop.depth < SOFT.thickness);
        assert!(drop.peak_after > drop.one_weight_after);
    }
}
