//! Seat foam: force against deflection.
//!
//! With e = deflection over thickness and K the contact area over the standard disk's (323 cm²), F/K runs in straight
//! lines through (0, 0), (0.05, 0.6 F25), (0.25, F25), (0.65, S·F25); beyond 0.65 it stiffens as
//! S·F25·(0.35/(1 − e))^2.3. The shape is our choice: monotone, from the three figures that foam is sold by (indentation
//! force at 25 %, support factor, thickness; ASTM D3574 test B1). A static, relaxed force: at landing speed foam is stiffer.

use super::geometry::Foam;

/// Contact area of a rider on a narrow bench over the standard disk's area; our choice.
pub const CONTACT_AREA_RATIO: f64 = 1.6;

/// Compression at which the bottoming curve ends: foam cannot be pressed to nothing.
pub(super) const FULLY_COMPRESSED: f64 = 0.97;

/// Corners of the force curve: compression, and force as multiples of F25 (the last times the support factor).
const CORNERS: [(f64, f64); 3] = [(0.0, 0.0), (0.05, 0.6), (0.25, 1.0)];

/// Compression at which bottoming begins.
pub(super) const BOTTOMING: f64 = 0.65;

/// Exponent by which foam stiffens beyond it.
const STIFFENING: f64 = 2.3;

impl Foam {
    /// Force on the foam at a deflection, N; both at least 0.
    pub fn force(&self, deflection: f64) -> f64 {
        let e = (deflection / self.thickness).clamp(0.0, FULLY_COMPRESSED);
        let unit = self.f25 * CONTACT_AREA_RATIO;
        if e > BOTTOMING {
            return unit * self.support * libm::pow((1.0 - BOTTOMING) / (1.0 - e), STIFFENING);
        }
        let mut corners = CORNERS.to_vec();
        corners.push((BOTTOMING, self.support));
        for w in corners.windows(2) {
            if e <= w[1].0 {
                return unit * (w[0].1 + (w[1].1 - w[0].1) * (e - w[0].0) / (w[1].0 - w[0].0));
            }
        }
        unit * self.support
    }

    /// Area under the force over compression up to e, at most [`BOTTOMING`], N.
    pub(super) fn area_linear(&self, e: f64) -> f64 {
        let unit = self.f25 * CONTACT_AREA_RATIO;
        let mut low = CORNERS[0];
        let mut area = 0.0;
        for corner in [CORNERS[1], CORNERS[2], (BOTTOMING, self.support)] {
            let to = e.min(corner.0);
            let slope = (corner.1 - low.1) / (corner.0 - low.0);
            area += (to - low.0) * (low.1 + 0.5 * slope * (to - low.0));
            if e <= corner.0 {
                break;
            }
            low = corner;
        }
        unit * area
    }

    /// Area under the force over compression from [`BOTTOMING`] up to e, N; 0 below.
    pub(super) fn area_bottoming(&self, e: f64) -> f64 {
        if e <= BOTTOMING {
            return 0.0;
        }
        let room = 1.0 - BOTTOMING;
        let left = (1.0 - e) / room;
        self.f25
            * CONTACT_AREA_RATIO
            * self.support
            * room
            * (libm::pow(left, 1.0 - STIFFENING) - 1.0)
            / (STIFFENING - 1.0)
    }

    /// Deflection under a static force, mm; at most nearly the thickness.
    pub fn deflection(&self, force: f64) -> f64 {
        let unit = self.f25 * CONTACT_AREA_RATIO;
        let f = (force / unit).max(0.0);
        let mut low = CORNERS[0];
        for corner in [CORNERS[1], CORNERS[2], (BOTTOMING, self.support)] {
            if f <= corner.1 {
                let e = low.0 + (corner.0 - low.0) * (f - low.1) / (corner.1 - low.1);
                return e * self.thickness;
            }
            low = corner;
        }
        let e = 1.0 - (1.0 - BOTTOMING) * libm::pow(self.support / f, 1.0 / STIFFENING);
        e.min(FULLY_COMPRESSED) * self.thickness
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOFT: Foam = Foam {
        f25: 150.0,
        support: 2.0,
        thickness: 100.0,
    };
    const STANDARD: Foam = Foam {
        f25: 250.0,
        support: 2.2,
        thickness: 100.0,
    };
    const FIRM: Foam = Foam {
        f25: 400.0,
        support: 2.4,
        thickness: 100.0,
    };

    #[test]
    fn static_sag_of_three_foams_under_540_n() {
        // Worked by hand from the curve in the module's documentation: 67, 37 and 17 mm.
        for (foam, sag) in [(SOFT, 67.0), (STANDARD, 37.0), (FIRM, 17.0)] {
            let got = foam.deflection(540.0);
            assert!((got - sag).abs() < 1.0, "{foam:?}: {got}");
        }
    }

    #[test]
    fn force_undoes_deflection_and_rises() {
        for foam in [SOFT, STANDARD, FIRM] {
            let mut before = -1.0;
            for i in 0..=96 {
                let force = foam.force(f64::from(i));
                assert!(force > before);
                before = force;
                assert!((foam.deflection(force) - f64::from(i)).abs() < 1e-6);
            }
        }
    }
}
