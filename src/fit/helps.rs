//! What would help where nothing in stock fits: the smallest change of one part that makes the nearest set-up feasible.
//!
//! Each kind of change is tried at the sizes in which parts are sold, from the nearest set-up's postures, over riser,
//! riser angle and bar roll. By how much limits are broken falls ever more slowly as a part changes (the least distance
//! to a convex set is convex along a line; postures are nearly so), which saves trials: where the smallest size breaks
//! more than none, larger ones are not tried; where no size could reach by the slope of the first, the largest alone is,
//! for the sake of knowing which comes nearest. A test holds the answers against trying everything.

use super::objective::Evaluation;
use super::request::Request;
use super::search::nearest;
use super::solve::FEASIBLE;
use crate::order;
use crate::sled::{Riser, RiserAngles, Sled};
use crate::units::Angle;

/// A kind of change of one part.
struct Kind {
    /// In words, with `{}` for its size.
    words: &'static str,
    change: fn(&mut Sled, f64),
    /// Signed sizes, mm or degrees, smallest first.
    sizes: &'static [f64],
    /// What it changes beside the part's own figures.
    part: Part,
}

#[derive(Clone, Copy, PartialEq)]
enum Part {
    Riser,
    Stirrup,
    Other,
}

/// Kinds of changes; sizes are those in which parts come, common practice, no source.
static KINDS: [Kind; 9] = [
    Kind {
        words: "a riser {} mm taller than the tallest",
        change: add_riser,
        sizes: &[25.0, 50.0, 75.0, 100.0],
        part: Part::Riser,
    },
    Kind {
        words: "a riser {} mm shorter than the shortest",
        change: add_riser,
        sizes: &[-25.0, -50.0, -75.0],
        part: Part::Riser,
    },
    Kind {
        words: "a riser that tilts {}° farther each way",
        change: widen_angles,
        sizes: &[5.0, 10.0, 15.0],
        part: Part::Riser,
    },
    Kind {
        words: "stirrups {} mm farther forward",
        change: move_stirrups,
        sizes: &[20.0, 40.0, 80.0],
        part: Part::Stirrup,
    },
    Kind {
        words: "stirrups {} mm farther back",
        change: move_stirrups,
        sizes: &[-20.0, -40.0, -80.0, -120.0],
        part: Part::Stirrup,
    },
    Kind {
        words: "a seat {} mm higher",
        change: raise_seat,
        sizes: &[20.0, 40.0, 60.0, 80.0],
        part: Part::Other,
    },
    Kind {
        words: "a seat {} mm lower",
        change: raise_seat,
        sizes: &[-20.0, -40.0],
        part: Part::Other,
    },
    Kind {
        words: "a bar with {} mm more rise",
        change: raise_bar,
        sizes: &[20.0, 40.0],
        part: Part::Other,
    },
    Kind {
        words: "a bar with {} mm more pullback",
        change: pull_back,
        sizes: &[20.0, 40.0, 60.0],
        part: Part::Other,
    },
];

fn add_riser(sled: &mut Sled, by: f64) {
    let heights = || sled.risers.iter().map(|r| r.height);
    let height = if by > 0.0 {
        heights().fold(0.0, f64::max) + by
    } else {
        (heights().fold(f64::INFINITY, f64::min) + by).max(0.0)
    };
    let angles = sled.risers[0].angles;
    sled.risers = vec![Riser { height, angles }];
}

fn widen_angles(sled: &mut Sled, by: f64) {
    for riser in &mut sled.risers {
        let (low, high) = riser.angles.bounds();
        let by = Angle::from_deg(by);
        riser.angles = RiserAngles::Range(low - by, high + by);
    }
}

fn move_stirrups(sled: &mut Sled, by: f64) {
    for position in &mut sled.stirrup.positions {
        *position += by;
    }
}

fn raise_seat(sled: &mut Sled, by: f64) {
    for seat in &mut sled.seats {
        seat.height_over_line += by;
    }
}

fn raise_bar(sled: &mut Sled, by: f64) {
    for bar in &mut sled.bars {
        bar.rise += by;
    }
}

fn pull_back(sled: &mut Sled, by: f64) {
    for bar in &mut sled.bars {
        bar.pullback += by;
    }
}

impl Kind {
    fn told(&self, by: f64) -> String {
        self.words.replace("{}", &format!("{:.0}", by.abs()))
    }

    /// Asks of the request with this change where the nearest set-up stands: that decides whether a part helps; the
    /// search over all comes when it is bought.
    fn with<T>(
        &self,
        request: &Request,
        best: &Evaluation,
        by: f64,
        ask: impl FnOnce(&Request) -> T,
    ) -> T {
        let mut sled = request.sled.clone();
        (self.change)(&mut sled, by);
        let settings = best.settings;
        let mut keep = request.keep;
        if self.part == Part::Riser {
            keep.riser = None;
            keep.riser_angle = None;
        }
        let moved = if self.part == Part::Stirrup { by } else { 0.0 };
        keep.stirrup = Some(settings.stirrup + moved);
        keep.seat = keep.seat.or(Some(settings.seat));
        keep.clamp = keep.clamp.or(Some(settings.clamp));
        keep.bar = keep.bar.or(Some(settings.bar));
        ask(&Request {
            sled: &sled,
            keep,
            ..*request
        })
    }

    /// The nearest set-up with this change.
    fn nearest(&self, request: &Request, best: &Evaluation, by: f64) -> Evaluation {
        self.with(request, best, by, |request| {
            nearest(request, best, FEASIBLE)
        })
    }

    /// The least size that helps; and whatever size comes nearest, with what it still breaks.
    fn tried(&self, request: &Request, best: &Evaluation) -> (Option<f64>, (f64, f64)) {
        let mut comes_nearest = (best.broken, 0.0);
        let mut before = (0.0, best.broken);
        let largest = self.sizes.len() - 1;
        let mut i = 0;
        while i <= largest {
            let by = self.sizes[i];
            let broken = self.nearest(request, best, by).broken;
            if broken <= FEASIBLE {
                return (Some(by), (broken, by));
            }
            if broken < comes_nearest.0 {
                comes_nearest = (broken, by);
            }
            // A limit on what larger sizes can do, as long as breaking is convex; half as much again for where it is not.
            let slope = (before.1 - broken) / (by - before.0).abs();
            before = (by, broken);
            if slope <= 0.0 {
                break;
            }
            let reached = broken - 1.5 * slope * (self.sizes[largest] - by).abs();
            i = if reached > FEASIBLE {
                largest.max(i + 1)
            } else {
                i + 1
            };
        }
        (None, comes_nearest)
    }
}

/// The smallest changes of parts, one kind at a time, that make the nearest set-up feasible; if none does, the one that
/// comes nearest.
pub(super) fn what_helps(request: &Request, best: &Evaluation) -> Vec<String> {
    let mut helps: Vec<(f64, String)> = Vec::new();
    let mut least = (best.broken - FEASIBLE, None);
    for kind in &KINDS {
        let (size, (broken, by)) = kind.tried(request, best);
        if let Some(by) = size {
            helps.push((by.abs(), kind.told(by)));
        } else if broken < least.0 {
            least = (broken, Some(kind.told(by)));
        }
    }
    order::sort(&mut helps, |a, b| a.0.total_cmp(&b.0));
    match (helps.is_empty(), least.1) {
        (false, _) => helps.into_iter().map(|(_, told)| told).collect(),
        (true, Some(told)) => vec![format!("no single part is enough; {told} comes nearest")],
        (true, None) => vec!["no change of a single part in the usual sizes helps".to_owned()],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::search::search;
    use crate::rider::{Rider, RiderProfile, Sex};
    use crate::sled::{SledProfile, profile::SHIPPED};
    use crate::stance::Stance;

    /// Every size of every kind, each by a whole search.
    fn exhaustive(request: &Request, best: &Evaluation) -> Vec<(f64, String, f64)> {
        let mut all = Vec::new();
        for kind in &KINDS {
            for &by in kind.sizes {
                let found = kind.with(request, best, by, |request| {
                    search(request).first().map(|e| e.broken)
                });
                all.push((by, kind.told(by), found.unwrap()));
            }
        }
        all
    }

    fn sled(which: usize) -> Sled {
        let mut sled = SledProfile::read(SHIPPED[which].text)
            .unwrap()
            .resolve()
            .unwrap();
        sled.clamps.truncate(1);
        sled.bars.truncate(1);
        sled.seats.truncate(1);
        sled.risers.truncate(1);
        sled.stirrup.positions = sled.stirrup.positions[3..5].to_vec();
        sled.steering.hose_limit = None;
        sled
    }

    fn rider(stature: f64, mass: f64) -> Rider {
        let profile = RiderProfile::of(Sex::Male, stature, mass);
        profile.build().unwrap().rider
    }

    /// The kind and size that are told in such words.
    fn kind_of(is: impl Fn(&str) -> bool) -> (&'static Kind, f64) {
        let sizes = |kind: &'static Kind| kind.sizes.iter().map(move |by| (kind, *by));
        let mut all = KINDS.iter().flat_map(sizes);
        all.find(|(kind, by)| is(&kind.told(*by))).unwrap()
    }

    #[test]
    fn answers_are_those_of_trying_everything() {
        let stances = Stance::shipped().unwrap();
        // The post goes away by steps until nothing fits any more, then by so much on top.
        type Spoil = fn(&mut Sled, f64);
        let cases: [(Spoil, f64, f64, f64); 5] = [
            (|s, by| s.steering.base_z -= by, 0.0, 1900.0, 90.0),
            (|s, by| s.steering.base_z += by, 0.0, 1600.0, 60.0),
            (|s, by| s.steering.base_x += by, 60.0, 1780.0, 79.0),
            (|s, by| s.steering.base_x += by, 600.0, 1780.0, 79.0),
            (|s, by| s.steering.base_x -= by, 0.0, 1850.0, 85.0),
        ];
        let (mut helped, mut not) = (0, 0);
        for (case, (spoil, on_top, stature, mass)) in cases.into_iter().enumerate() {
            let mut sled = sled(0);
            let rider = rider(stature, mass);
            let breaks = |sled: &Sled| search(&Request::new(&rider, sled, &stances))[0].broken;
            let steps = (0..60).find(|_| {
                spoil(&mut sled, 15.0);
                breaks(&sled) > FEASIBLE
            });
            assert!(steps.is_some(), "case {case} fits");
            spoil(&mut sled, on_top);
            let request = Request::new(&rider, &sled, &stances);
            let best = &search(&request)[0];
            let got = what_helps(&request, best);
            let all = exhaustive(&request, best);
            println!("case {case}, broken by {:.2}: {got:?}", best.broken);
            let mut wanted: Vec<(f64, String)> = Vec::new();
            for kind in &KINDS {
                let least = kind.sizes.iter().find(|by| {
                    let tried = all.iter().find(|(_, told, _)| *told == kind.told(**by));
                    tried.is_some_and(|(_, _, broken)| *broken <= FEASIBLE)
                });
                wanted.extend(least.map(|by| (by.abs(), kind.told(*by))));
            }
            if wanted.is_empty() {
                not += 1;
                let least = all
                    .iter()
                    .map(|tried| tried.2)
                    .fold(f64::INFINITY, f64::min);
                // So far out a whole search ends at a near posture, not surely the nearest: ours must come as near.
                let (kind, by) = kind_of(|told| got[0].contains(told));
                let ours = kind.nearest(&request, best, by).broken;
                println!("  breaks {ours:.2}, by trying everything {least:.2}");
                assert!(got[0].starts_with("no single part is enough"));
                assert!(ours <= least + FEASIBLE, "case {case}: {got:?}");
            } else {
                helped += 1;
                wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
                let wanted: Vec<String> = wanted.into_iter().map(|(_, told)| told).collect();
                assert_eq!(got, wanted, "case {case}: {all:?}");
            }
        }
        assert!(helped >= 2 && not >= 1, "{helped} helped, {not} not");
    }
}
