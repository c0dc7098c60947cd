//! Order: the one sort of the crate, and the map of few entries.
//!
//! The standard library's sort is some five kilobytes of the page for every type and every comparison that it is used
//! with, and `collect` into its maps and sets sorts too. Here places are sorted, whatever stands in them.

mod map;

use core::cmp::Ordering;
use std::collections::BTreeSet;

pub use map::Map;

/// Sort, and keep the order of what compares as equal.
pub fn sort<T>(all: &mut [T], compare: impl Fn(&T, &T) -> Ordering) {
    let mut from = sorted(all.len(), &|a, b| compare(&all[a], &all[b]));
    arrange(&mut from, &mut |a, b| all.swap(a, b));
}

/// Sort by a key, and keep the order of what has the same.
pub fn sort_by_key<T, K: Ord>(all: &mut [T], key: impl Fn(&T) -> K) {
    sort(all, |a, b| key(a).cmp(&key(b)));
}

/// Sort numbers, the least first.
pub fn ascend(numbers: &mut [f64]) {
    numbers.sort_unstable_by(f64::total_cmp);
}

/// A set of all that comes.
pub fn set<T: Ord>(all: impl IntoIterator<Item = T>) -> BTreeSet<T> {
    let mut set = BTreeSet::new();
    set.extend(all);
    set
}

/// The places from 0 in their order.
fn sorted(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<usize> = (0..count).collect();
    places.sort_by(|a, b| compare(*a, *b));
    places
}

/// Bring to each place what stands at the place it is to come `from`, cycle by cycle.
fn arrange(from: &mut [usize], swap: &mut dyn FnMut(usize, usize)) {
    for start in 0..from.len() {
        let mut at = start;
        while from[at] != start {
            let next = from[at];
            swap(at, next);
            from[at] = at;
            at = next;
        }
        from[at] = at;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn sorts_as_the_standard_library_does(keys in prop::collection::vec(0_u8..9, 0..80)) {
            let mut ours: Vec<(u8, usize)> = keys.into_iter().zip(0..).collect();
            let mut theirs = ours.clone();
            sort_by_key(&mut ours, |(key, _)| *key);
            theirs.sort_by_key(|(key, _)| *key);
            prop_assert_eq!(ours, theirs);
        }

        #[test]
        fn numbers_ascend(numbers in prop::collection::vec(any::<f64>(), 0..80)) {
            let (mut ours, mut theirs) = (numbers.clone(), numbers);
            ascend(&mut ours);
            theirs.sort_by(f64::total_cmp);
            let bits = |all: &[f64]| all.iter().map(|x| x.to_bits()).collect::<Vec<_>>();
            prop_assert_eq!(bits(&ours), bits(&theirs));
        }
    }
}
