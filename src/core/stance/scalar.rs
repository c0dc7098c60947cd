//! Numbers that carry their derivatives, so that one kinematics serves both the pose and its exact Jacobian.
//!
//! Forward-mode differentiation with a fixed number of independent variables (Wengert 1964, Communications of the ACM
//! 7(8):463-464). Written here rather than taken from a library because the bits must not depend on the target: only
//! the four operations, square roots and `libm`.

use core::ops::{Add, Div, Mul, Neg, Sub};

/// Independent variables of a posture.
pub const VARIABLES: usize = 6;

/// What the kinematics needs of a number.
pub trait Scalar:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
{
    /// A number that does not vary.
    fn constant(value: f64) -> Self;
    /// Its value.
    fn value(self) -> f64;
    /// A function of this number, from the function's value and slope at it.
    fn chain(self, value: f64, slope: f64) -> Self;

    /// Square root; of nothing or less it is nothing and does not vary.
    fn sqrt(self) -> Self {
        let v = self.value();
        if v > 0.0 {
            let root = v.sqrt();
            self.chain(root, 0.5 / root)
        } else {
            Self::constant(0.0)
        }
    }

    /// Sine and cosine.
    fn sin_cos(self) -> (Self, Self) {
        let (s, c) = libm::sincos(self.value());
        (self.chain(s, c), self.chain(c, -s))
    }

    /// Angle of the direction (`x`, `self`), as `atan2(self, x)`.
    fn atan2(self, x: Self) -> Self {
        let (yv, xv) = (self.value(), x.value());
        let r2 = yv * yv + xv * xv;
        if r2 > 0.0 {
            // d atan2(y, x) = (x dy − y dx) / r²
            let angle = libm::atan2(yv, xv);
            self.chain(angle, xv / r2) + x.chain(0.0, -yv / r2)
        } else {
            Self::constant(0.0)
        }
    }

    /// Larger of this and a constant; does not vary where the constant wins.
    fn at_least(self, floor: f64) -> Self {
        if self.value() > floor {
            self
        } else {
            Self::constant(floor)
        }
    }
}

impl Scalar for f64 {
    #[inline(always)]
    fn constant(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn value(self) -> f64 {
        self
    }
    #[inline(always)]
    fn chain(self, value: f64, _slope: f64) -> Self {
        value
    }
}

/// A value with its gradient over the independent variables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dual {
    /// Value.
    pub v: f64,
    /// Gradient.
    pub d: [f64; VARIABLES],
}

impl Dual {
    /// The independent variable number `index`.
    pub fn variable(value: f64, index: usize) -> Self {
        let mut d = [0.0; VARIABLES];
        d[index] = 1.0;
        Self { v: value, d }
    }

    /// Written out: where a program is built for size, a loop would stay one, and half of a fit is spent here.
    fn combine(v: f64, a: &[f64; VARIABLES], fa: f64, b: &[f64; VARIABLES], fb: f64) -> Self {
        let d = |i: usize| a[i] * fa + b[i] * fb;
        Self {
            v,
            d: [d(0), d(1), d(2), d(3), d(4), d(5)],
        }
    }
}

impl Dual {
    #[inline(always)]
    fn scaled(&self, by: f64) -> [f64; VARIABLES] {
        let d = |i: usize| self.d[i] * by;
        [d(0), d(1), d(2), d(3), d(4), d(5)]
    }
}

impl Scalar for Dual {
    #[inline(always)]
    fn constant(value: f64) -> Self {
        Self {
            v: value,
            d: [0.0; VARIABLES],
        }
    }
    #[inline(always)]
    fn value(self) -> f64 {
        self.v
    }
    #[inline(always)]
    fn chain(self, value: f64, slope: f64) -> Self {
        Self {
            v: value,
            d: self.scaled(slope),
        }
    }
}

impl Add for Dual {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: Self) -> Self {
        Self::combine(self.v + o.v, &self.d, 1.0, &o.d, 1.0)
    }
}

impl Sub for Dual {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: Self) -> Self {
        Self::combine(self.v - o.v, &self.d, 1.0, &o.d, -1.0)
    }
}

impl Mul for Dual {
    type Output = Self;
    #[inline(always)]
    fn mul(self, o: Self) -> Self {
        Self::combine(self.v * o.v, &self.d, o.v, &o.d, self.v)
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        // The value as plain numbers have it, so that both run alike to the last bit.
        let (inverse, v) = (1.0 / o.v, self.v / o.v);
        Self::combine(v, &self.d, inverse, &o.d, -v * inverse)
    }
}

impl Add<f64> for Dual {
    type Output = Self;
    #[inline(always)]
    fn add(self, o: f64) -> Self {
        Self {
            v: self.v + o,
            ..self
        }
    }
}

impl Sub<f64> for Dual {
    type Output = Self;
    #[inline(always)]
    fn sub(self, o: f64) -> Self {
        Self {
            v: self.v - o,
            ..self
        }
    }
}

impl Mul<f64> for Dual {
    type Output = Self;
    #[inline(always)]
    fn mul(self, o: f64) -> Self {
        self.chain(self.v * o, o)
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        self.chain(-self.v, -1.0)
    }
}

/// Three numbers: x forward, y left, z up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Triple<T> {
    /// Forward.
    pub x: T,
    /// Left.
    pub y: T,
    /// Up.
    pub z: T,
}

impl<T: Scalar> Triple<T> {
    /// From its parts.
    pub fn new(x: T, y: T, z: T) -> Self {
        Self { x, y, z }
    }

    /// A point that does not vary.
    pub fn fixed(p: crate::units::Point) -> Self {
        Self::new(T::constant(p.x), T::constant(p.y), T::constant(p.z))
    }

    /// Its value.
    pub fn value(self) -> crate::units::Point {
        crate::units::Point::new(self.x.value(), self.y.value(), self.z.value())
    }

    /// Sum.
    pub fn plus(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y, self.z + o.z)
    }

    /// Difference.
    pub fn minus(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y, self.z - o.z)
    }

    /// Multiple by a number that does not vary.
    pub fn scaled(self, f: f64) -> Self {
        Self::new(self.x * f, self.y * f, self.z * f)
    }

    /// Scalar product with a direction that does not vary.
    pub fn along(self, o: crate::units::Point) -> T {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    /// Multiple.
    pub fn times(self, f: T) -> Self {
        Self::new(self.x * f, self.y * f, self.z * f)
    }

    /// Scalar product.
    pub fn dot(self, o: Self) -> T {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    /// Vector product.
    pub fn cross(self, o: Self) -> Self {
        Self::new(
            self.y * o.z - self.z * o.y,
            self.z * o.x - self.x * o.z,
            self.x * o.y - self.y * o.x,
        )
    }

    /// Part of the way to another point.
    pub fn toward(self, o: Self, fraction: f64) -> Self {
        self.plus(o.minus(self).scaled(fraction))
    }
}
