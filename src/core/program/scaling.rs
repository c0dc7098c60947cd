//! Scaling of a linear program by powers of two, which adds no rounding.
//!
//! Rows and columns in turn are divided by the geometric mean of their coefficients (Tomlin, 1975, Mathematical
//! Programming Study 4:146-166), so that millimetres beside newtons end up near 1; values are divided by the geometric
//! mean of the ranges' ends, where one generous limit of 10⁶ weighs no more than it should.

use super::linear::Range;

/// Rounds over rows and columns; further ones change little.
const ROUNDS: usize = 2;

/// Coefficients smaller than the row's largest by more than this power of two (1e-11) are the remainder of a
/// cancellation, and say nothing about the row's size.
const NEGLIGIBLE: i32 = 37;

/// Exponent that stands for 0.
const ZERO: i32 = -1023;

/// x = column · size · scaled x, row value = size · scaled row value / row, for powers of two.
#[derive(Clone, Debug)]
pub(super) struct Scaling {
    pub(super) columns: Vec<f64>,
    pub(super) rows: Vec<f64>,
    pub(super) size: f64,
    unlimited: f64,
}

impl Scaling {
    /// Scaling for rows of one length; ends of ranges beyond `unlimited` are open.
    pub(super) fn new<R: AsRef<[f64]>>(
        variables: &[Range],
        rows: &[(R, Range)],
        unlimited: f64,
    ) -> Self {
        let (column_shift, row_shift) = shifts(variables.len(), rows);
        let columns: Vec<f64> = column_shift.into_iter().map(power_of_two).collect();
        let row_scale: Vec<f64> = row_shift.into_iter().map(power_of_two).collect();
        let (mut sum, mut count) = (0, 0);
        let mut ends = |range: &Range, scale: f64| {
            for end in [range.low * scale, range.high * scale] {
                if end != 0.0 && end.abs() < unlimited {
                    sum += i64::from(exponent(end));
                    count += 1;
                }
            }
        };
        for (range, column) in variables.iter().zip(&columns) {
            ends(range, 1.0 / column);
        }
        for ((_, range), row) in rows.iter().zip(&row_scale) {
            ends(range, *row);
        }
        let size = if count > 0 {
            power_of_two((sum / count) as i32)
        } else {
            1.0
        };
        Self {
            columns,
            rows: row_scale,
            size,
            unlimited,
        }
    }

    /// The range of a variable, scaled.
    pub(super) fn variable(&self, index: usize, range: Range) -> Range {
        self.range(range, 1.0 / self.columns[index])
    }

    /// The range of a row, scaled.
    pub(super) fn row(&self, index: usize, range: Range) -> Range {
        self.range(range, self.rows[index])
    }

    fn range(&self, range: Range, scale: f64) -> Range {
        let end = |end: f64, open: f64| {
            if end.abs() < self.unlimited {
                end * scale / self.size
            } else {
                open
            }
        };
        Range {
            low: end(range.low, f64::NEG_INFINITY),
            high: end(range.high, f64::INFINITY),
        }
    }
}

/// Power of two near 1 / value; 1 for 0 and what is not finite.
pub(super) fn reciprocal_size(value: f64) -> f64 {
    if value > 0.0 && value.is_finite() {
        power_of_two(-exponent(value))
    } else {
        1.0
    }
}

/// Exponents by which columns and rows are to be multiplied.
fn shifts<R: AsRef<[f64]>>(n: usize, rows: &[(R, Range)]) -> (Vec<i32>, Vec<i32>) {
    let (mut column_shift, mut row_shift) = (vec![0; n], vec![0; rows.len()]);
    if n == 0 {
        return (column_shift, row_shift);
    }
    // Masks (all bits where a coefficient counts, else none) in place of branches.
    let mut exponents = Vec::with_capacity(n * rows.len());
    let mut masks = Vec::with_capacity(n * rows.len());
    for (row, _) in rows {
        let start = exponents.len();
        exponents.extend(row.as_ref().iter().take(n).map(|&a| exponent(a)));
        exponents.resize(start + n, ZERO);
        let largest = exponents[start..].iter().fold(ZERO, |a, b| a.max(*b));
        let least = (largest - NEGLIGIBLE).max(ZERO + 1);
        masks.extend(exponents[start..].iter().map(|e| -i32::from(*e >= least)));
    }
    let mut column_count = vec![0; n];
    for row in masks.chunks_exact(n) {
        column_count
            .iter_mut()
            .zip(row)
            .for_each(|(count, mask)| *count -= mask);
    }
    let mut totals = vec![0; n];
    for _ in 0..ROUNDS {
        totals.fill(0);
        let lines = exponents.chunks_exact(n).zip(masks.chunks_exact(n));
        for (shift, (row, mask)) in row_shift.iter_mut().zip(lines) {
            let (mut sum, mut count) = (0, 0);
            for j in 0..n {
                sum += (row[j] + column_shift[j]) & mask[j];
                count -= mask[j];
            }
            *shift = -sum / count.max(1);
            for j in 0..n {
                totals[j] += (row[j] + *shift) & mask[j];
            }
        }
        for ((shift, sum), count) in column_shift.iter_mut().zip(&totals).zip(&column_count) {
            *shift = -sum / (*count).max(1);
        }
    }
    (column_shift, row_shift)
}

/// Binary exponent of a finite number; −1023 for 0 and subnormal ones.
fn exponent(value: f64) -> i32 {
    ((value.to_bits() >> 52) & 0x7ff) as i32 + ZERO
}

/// 2 to a power, held inside ±1000.
fn power_of_two(exponent: i32) -> f64 {
    f64::from_bits(((exponent.clamp(-1000, 1000) + 1023) as u64) << 52)
}
