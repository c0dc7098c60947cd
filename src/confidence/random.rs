//! Numbers drawn from a seed: SplitMix64, and from it standard-normal numbers.
//!
//! A generator by counter (Steele, Lea and Flood 2014, OOPSLA, "Fast splittable pseudorandom number generators"): number
//! k of a stream needs no other, so that a draw is the same whatever was asked before it, on every target. Independent
//! draws rather than a low-discrepancy sequence: the error of a percentile then follows from the binomial law, without
//! an assumption on the thirty dimensions, and any number of draws is a whole sample. Normal numbers by Box and Muller
//! 1958 (Ann. Math. Stat. 29:610) with `libm`.

use core::f64::consts::TAU;

/// A stream of numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stream(u64);

/// The golden ratio in 64 bits, SplitMix64's step.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

impl Stream {
    /// The stream of one draw under one seed.
    pub(crate) fn new(seed: u64, draw: u64) -> Self {
        // Mixed apart, or neighbouring seeds would share draws.
        Self(mixed(
            mixed(seed.wrapping_add(STEP)).wrapping_add(draw.wrapping_mul(STEP)),
        ))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(STEP);
        mixed(self.0)
    }

    /// Uniform in (0, 1): the middle of one of 2⁵³ equal parts, never an end.
    pub(crate) fn uniform(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Standard normal.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        radius * libm::cos(TAU * self.uniform())
    }
}

/// SplitMix64's output function.
fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_those_published() {
        // First outputs of SplitMix64 from the state 1234567.
        let mut stream = Stream(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| stream.next()).collect();
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423
            ]
        );
    }

    #[test]
    fn normal_numbers_have_the_moments_of_the_normal_law() {
        const COUNT: u64 = 40_000;
        let (mut sum, mut squares, mut fourth, mut beyond, mut lag) = (0.0, 0.0, 0.0, 0, 0.0);
        let mut last = 0.0;
        for draw in 0..COUNT {
            // The first number of each stream: streams must not depend on one another.
            let z = Stream::new(3, draw).normal();
            sum += z;
            squares += z * z;
            fourth += z * z * z * z;
            beyond += usize::from(z.abs() > 1.644_853_6);
            lag += z * last;
            last = z;
        }
        let n = COUNT as f64;
        // Four standard errors each.
        assert!((sum / n).abs() < 4.0 / n.sqrt());
        assert!((lag / n).abs() < 4.0 / n.sqrt());
        assert!((squares / n - 1.0).abs() < 4.0 * (2.0 / n).sqrt());
        assert!((fourth / n - 3.0).abs() < 4.0 * (96.0 / n).sqrt());
        assert!((beyond as f64 / n - 0.1).abs() < 4.0 * (0.09 / n).sqrt());
    }
}
