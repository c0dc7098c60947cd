//! What of a sled's motion reaches a rider: a second-order Butterworth low-pass, exact for uneven steps.
//!
//! y″ + √2·ω·y′ + ω²·y = ω²·u with ω = 2π·cut-off (Butterworth 1930, Experimental Wireless 7:536; from memory). Between
//! two rows u is taken as a straight line. Then y less its particular solution u − u′·√2/ω rings down as
//! e^(−at)·(A·cos at + B·sin at), a = ω/√2, and a step of any length is exact, whatever the rate: no resampling, and
//! rows keep the weight of the time that they stand for. Slow changes come out √2/ω late ([`LowPass::delay`]).

use core::f64::consts::{PI, SQRT_2};

/// The low-pass of one run; three channels share its coefficients.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowPass {
    omega: f64,
    /// Step for which the coefficients stand, s.
    step: f64,
    ring: Ring,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Ring {
    decay: f64,
    cos: f64,
    sin: f64,
}

/// What the filter remembers of one channel: input, output, slope of the output per second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Memory {
    input: f64,
    /// The filtered value.
    pub output: f64,
    slope: f64,
}

impl Memory {
    /// As if the input had always been this.
    pub const fn at(input: f64) -> Self {
        Self {
            input,
            output: input,
            slope: 0.0,
        }
    }
}

impl LowPass {
    /// A filter of this cut-off, Hz, at which half the power passes.
    pub fn new(cut_off: f64) -> Self {
        Self {
            omega: 2.0 * PI * cut_off,
            step: f64::NAN,
            ring: Ring::default(),
        }
    }

    /// How late slow changes come out, s.
    pub fn delay(&self) -> f64 {
        SQRT_2 / self.omega
    }

    /// Go on by a step of `step` s to a new input.
    pub fn advance<const N: usize>(
        &mut self,
        step: f64,
        memory: &mut [Memory; N],
        input: &[f64; N],
    ) {
        let a = self.omega / SQRT_2;
        if step != self.step {
            let angle = a * step;
            self.step = step;
            self.ring = Ring {
                decay: libm::exp(-angle),
                cos: libm::cos(angle),
                sin: libm::sin(angle),
            };
        }
        let Ring { decay, cos, sin } = self.ring;
        let late = self.delay();
        for (m, u) in memory.iter_mut().zip(input) {
            let rise = (u - m.input) / step;
            let z = m.output - (m.input - rise * late);
            let swing = ((m.slope - rise) + a * z) / a;
            *m = Memory {
                input: *u,
                output: u - rise * late + decay * (z * cos + swing * sin),
                slope: rise + decay * a * ((swing - z) * cos - (swing + z) * sin),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Filters a signal sampled at given times.
    fn run(cut_off: f64, times: &[f64], signal: impl Fn(f64) -> f64) -> Vec<f64> {
        let mut filter = LowPass::new(cut_off);
        let mut memory = [Memory::at(signal(times[0]))];
        let mut out = vec![memory[0].output];
        for pair in times.windows(2) {
            filter.advance(pair[1] - pair[0], &mut memory, &[signal(pair[1])]);
            out.push(memory[0].output);
        }
        out
    }

    #[test]
    fn half_the_power_passes_at_the_cut_off() {
        // |H| = 1/√(1 + (f/f_c)⁴), the definition of the second-order Butterworth response.
        for (f, cut_off) in [(2.0, 10.0), (10.0, 10.0), (20.0, 10.0), (50.0, 10.0)] {
            let times: Vec<f64> = (0..20_000).map(|i| f64::from(i) * 2e-4).collect();
            let out = run(cut_off, &times, |t| libm::sin(2.0 * PI * f * t));
            let peak = out[10_000..].iter().fold(0.0, |m: f64, v| m.max(v.abs()));
            let squared = (f / cut_off) * (f / cut_off);
            let wanted: f64 = 1.0 / (1.0 + squared * squared).sqrt();
            assert!((peak - wanted).abs() < 2e-3, "{f} Hz: {peak} {wanted}");
        }
    }

    #[test]
    fn a_step_overshoots_by_what_theory_says() {
        // e^(−π) = 4.32 % for a damping ratio of 1/√2.
        let times: Vec<f64> = (0..4000).map(|i| f64::from(i) * 1e-4).collect();
        let out = run(10.0, &times, |t| if t > 0.05 { 1.0 } else { 0.0 });
        let peak = out.iter().fold(0.0, |m: f64, v| m.max(*v));
        assert!((peak - 1.0 - 0.0432).abs() < 5e-4, "{peak}");
    }

    #[test]
    fn a_ramp_comes_out_late_and_uneven_steps_do_not_matter() {
        let even: Vec<f64> = (0..=1000).map(|i| f64::from(i) * 1e-3).collect();
        let uneven: Vec<f64> = even
            .iter()
            .enumerate()
            .filter(|(i, _)| i % 7 != 3 && i % 11 != 5)
            .map(|(_, t)| *t)
            .collect();
        let a = run(10.0, &even, |t| 3.0 * t);
        let b = run(10.0, &uneven, |t| 3.0 * t);
        let late = LowPass::new(10.0).delay();
        assert!((a[1000] - 3.0 * (1.0 - late)).abs() < 1e-9);
        assert!((a[1000] - b[b.len() - 1]).abs() < 1e-9);
    }
}
