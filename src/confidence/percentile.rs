//! Bands and odds of what was drawn.

use crate::order;
use crate::sled::{Settings, Sled};

/// From the 5th to the 95th percentile; an end is `None` where it is no number (not held, not in reach).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// The 5th percentile.
    pub low: Option<f64>,
    /// The 95th.
    pub high: Option<f64>,
}

/// Share of the draws below a band.
const BELOW: f64 = 0.05;

impl Band {
    /// The band of drawn values.
    pub(crate) fn of(mut values: Vec<f64>) -> Self {
        order::ascend(&mut values);
        let number = |value: f64| value.is_finite().then_some(value);
        Self {
            low: percentile(&values, BELOW).and_then(number),
            high: percentile(&values, 1.0 - BELOW).and_then(number),
        }
    }

    /// Its width, where both ends are numbers.
    pub fn width(&self) -> Option<f64> {
        Some(self.high? - self.low?)
    }

    /// Whether a value lies inside; beyond an end that is no number lies everything.
    pub fn holds(&self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }
}

/// The (n + 1) p percentile of sorted values, the least or the greatest where n is too small for it.
fn percentile(sorted: &[f64], p: f64) -> Option<f64> {
    let (first, last) = (*sorted.first()?, *sorted.last()?);
    let at = (sorted.len() as f64 + 1.0) * p;
    let below = libm::floor(at);
    let (i, share) = (below as usize, at - below);
    Some(match (i, sorted.get(i)) {
        (0, _) => first,
        (_, None) => last,
        // An infinite end times a share of nothing is no number.
        (_, Some(_)) if share == 0.0 => sorted[i - 1],
        (_, Some(above)) => sorted[i - 1] + share * (above - sorted[i - 1]),
    })
}

/// Shares of the draws in which a part or position is the best, most likely first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Odds {
    /// By height of the riser, mm.
    pub riser_height_mm: Vec<(f64, f64)>,
    /// By the stirrup bolt's x, mm.
    pub stirrup_mm: Vec<(f64, f64)>,
    /// By name of the seat.
    pub seat: Vec<(String, f64)>,
    /// By name of the clamp.
    pub clamp: Vec<(String, f64)>,
    /// By name of the bar.
    pub bar: Vec<(String, f64)>,
}

impl Odds {
    pub(super) fn of(sled: &Sled, drawn: &[Settings]) -> Self {
        Self {
            riser_height_mm: shares(drawn, |s| sled.risers[s.riser].height),
            stirrup_mm: shares(drawn, |s| s.stirrup),
            seat: shares(drawn, |s| sled.seats[s.seat].name.clone()),
            clamp: shares(drawn, |s| sled.clamps[s.clamp].name.clone()),
            bar: shares(drawn, |s| sled.bars[s.bar].name.clone()),
        }
    }
}

fn shares<T: PartialEq>(drawn: &[Settings], value: impl Fn(&Settings) -> T) -> Vec<(T, f64)> {
    let one = 1.0 / drawn.len().max(1) as f64;
    let mut counts: Vec<(T, usize)> = Vec::new();
    for settings in drawn {
        let value = value(settings);
        match counts.iter_mut().find(|(known, _)| *known == value) {
            Some((_, count)) => *count += 1,
            None => counts.push((value, 1)),
        }
    }
    order::sort_by_key(&mut counts, |(_, count)| core::cmp::Reverse(*count));
    counts
        .into_iter()
        .map(|(value, count)| (value, count as f64 * one))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_those_of_the_definition() {
        let to = |n: usize| (1..=n).map(|i| i as f64).collect::<Vec<_>>();
        // (n + 1) p: 0.05 × 100 = 5, 0.05 × 20 = 1, 0.05 × 31 = 1.55.
        assert_eq!(Band::of(to(99)).low, Some(5.0));
        assert_eq!(Band::of(to(19)).low, Some(1.0));
        assert!((Band::of(to(30)).low.unwrap() - 1.55).abs() < 1e-12);
        assert!((Band::of(to(30)).high.unwrap() - 29.45).abs() < 1e-12);
        assert_eq!(
            Band::of(to(3)),
            Band {
                low: Some(1.0),
                high: Some(3.0)
            }
        );
        assert_eq!(Band::of(Vec::new()), Band::default());
    }

    #[test]
    fn what_is_not_held_lies_below_every_number() {
        let mut values: Vec<f64> = (0..100).map(f64::from).collect();
        values[..10].fill(f64::NEG_INFINITY);
        let band = Band::of(values);
        assert_eq!(band.low, None);
        assert!(band.high.is_some() && band.holds(-1e9) && !band.holds(99.5));
    }
}
