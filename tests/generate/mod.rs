//! Generated cases, the same in every run.

use proptest::prelude::*;

/// Numerical Recipes' 64-bit linear congruential generator: cases are the same in every run.
pub struct Generator(pub u64);

impl Generator {
    pub fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn symmetric(&mut self) -> f64 {
        2.0 * self.unit() - 1.0
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }
}

/// Mostly plain numbers, with zeros, extremes and what is no number among them.
pub fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -10.0..10.0f64,
        1 => Just(0.0),
        1 => prop_oneof![Just(1e300), Just(-1e300), Just(1e-300), Just(f64::NAN), Just(f64::INFINITY), Just(f64::MIN)],
    ]
}
