//! How the sensor is mounted, from gravity while the sled stands still.
//!
//! At rest an accelerometer reads 1 g straight up. If it reads g = (g_x, g_y, g_z) instead, every reading is turned by
//! the least rotation that takes g to the vertical: R = I + [v]× + [v]×²/(1 + c) with v = ĝ × ẑ, c = ĝ·ẑ (Rodrigues'
//! formula for a rotation between two unit vectors; from memory). Gravity says nothing of a turn about the vertical: a
//! sensor must be mounted with its forward axis ahead. Where the sled stood on a slope, the slope is taken for tilt.
//!
//! Only the direction is corrected, never the size: a size off 1 g is told.

use super::length;
use crate::units::Angle;

/// A turn of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tilt {
    turn: [[f64; 3]; 3],
    /// Nose of the sensor up.
    pub pitch: Angle,
    /// Left side of the sensor up.
    pub roll: Angle,
}

impl Tilt {
    /// No turn.
    pub const NONE: Self = Self {
        turn: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        pitch: Angle::ZERO,
        roll: Angle::ZERO,
    };

    /// The tilt under which the sensor reads this at rest; none where it reads nothing, or gravity points down.
    pub fn of(still: [f64; 3]) -> Self {
        let size = length(still);
        if !(size > 0.0 && size.is_finite() && still[2] > 0.0) {
            return Self::NONE;
        }
        let [x, y, z] = still.map(|v| v / size);
        // v = ĝ × ẑ = (y, −x, 0).
        let k = 1.0 / (1.0 + z);
        Self {
            turn: [
                [1.0 - x * x * k, -x * y * k, -x],
                [-x * y * k, 1.0 - y * y * k, -y],
                [x, y, z],
            ],
            pitch: Angle::from_rad(libm::atan2(x, z)),
            roll: Angle::from_rad(libm::atan2(y, z)),
        }
    }

    /// A reading as a level sensor would have had it.
    pub fn level(&self, f: [f64; 3]) -> [f64; 3] {
        self.turn
            .map(|row| row[0] * f[0] + row[1] * f[1] + row[2] * f[2])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gravity_comes_out_straight_up_and_sizes_stay() {
        for still in [[0.2, -0.1, 0.97], [0.0, 0.0, 1.02], [-0.5, 0.3, 0.8]] {
            let tilt = Tilt::of(still);
            let up = tilt.level(still);
            assert!(up[0].abs() < 1e-15 && up[1].abs() < 1e-15);
            assert!((up[2] - length(still)).abs() < 1e-15);
            let other = [1.5, -0.4, 2.2];
            assert!((length(tilt.level(other)) - length(other)).abs() < 1e-14);
        }
        assert_eq!(Tilt::of([f64::NAN, 0.0, 1.0]), Tilt::NONE);
        assert_eq!(Tilt::of([0.0, 0.0, -1.0]), Tilt::NONE);
    }

    #[test]
    fn the_worked_example_of_the_module() {
        // A sensor whose nose points up by 10°; the sled brakes at 0.5 g on the level: f = (−0.5, 0, 1).
        let (s, c) = (
            libm::sin(10.0_f64.to_radians()),
            libm::cos(10.0_f64.to_radians()),
        );
        let read = |x: f64, z: f64| [x * c + z * s, 0.0, z * c - x * s];
        let tilt = Tilt::of(read(0.0, 1.0));
        assert!((tilt.pitch.deg() - 10.0).abs() < 1e-9);
        let level = tilt.level(read(-0.5, 1.0));
        assert!((level[0] + 0.5).abs() < 1e-12 && (level[2] - 1.0).abs() < 1e-12);
    }
}
