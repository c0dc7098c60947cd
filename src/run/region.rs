//! A hold envelope as a run is held against it: how far outside a load lies, and what gives there.

use crate::hold::Edge;

/// A convex polygon in a plane of specific force, g.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Whose: the stance's name.
    pub name: String,
    edges: Vec<Side>,
}

#[derive(Clone, Debug, PartialEq)]
struct Side {
    normal: [f64; 2],
    reach: f64,
    gives: String,
}

/// Edges shorter than this have no direction, g.
const SHORTEST: f64 = 1e-9;

impl Region {
    /// From a hold envelope's vertices, counter-clockwise. Fewer than three make a region that holds nothing.
    pub fn new(name: &str, envelope: &[Edge]) -> Self {
        let corners = envelope
            .iter()
            .map(|e| ([e.f_x, e.f_z], e.gives_first.as_str()));
        Self::of(name, &corners.collect::<Vec<_>>())
    }

    /// From corners in any plane, counter-clockwise, each with what gives along the edge to the next.
    pub fn of(name: &str, corners: &[([f64; 2], &str)]) -> Self {
        let n = corners.len();
        let side = |i: usize| {
            let ([u, v], gives) = corners[i];
            let [to_u, to_v] = corners[(i + 1) % n].0;
            let (across, up) = (to_u - u, to_v - v);
            let length = (across * across + up * up).sqrt();
            (length > SHORTEST).then(|| {
                let normal = [up / length, -across / length];
                Side {
                    normal,
                    reach: normal[0] * u + normal[1] * v,
                    gives: gives.to_owned(),
                }
            })
        };
        let edges = if n < 3 {
            Vec::new()
        } else {
            (0..n).filter_map(side).collect()
        };
        Self {
            name: name.to_owned(),
            edges,
        }
    }

    /// Whether it holds anything at all.
    pub fn holds(&self) -> bool {
        self.edges.len() >= 3
    }

    /// How far outside a load lies, g, and over which edge: by how much the edge that is exceeded most would have to move
    /// outward. Negative inside; the load's own size where the region holds nothing.
    pub fn excess(&self, f: [f64; 2]) -> (f64, usize) {
        if !self.holds() {
            return ((f[0] * f[0] + f[1] * f[1]).sqrt(), 0);
        }
        let mut most = (f64::NEG_INFINITY, 0);
        for (i, side) in self.edges.iter().enumerate() {
            let by = side.normal[0] * f[0] + side.normal[1] * f[1] - side.reach;
            if by > most.0 {
                most = (by, i);
            }
        }
        most
    }

    /// What gives over an edge, in words.
    pub fn gives(&self, edge: usize) -> &str {
        let side = self.edges.get(edge);
        side.map_or("nothing is held at all", |side| &side.gives)
    }

    /// Number of edges.
    pub(super) fn sides(&self) -> usize {
        self.edges.len().max(1)
    }
}

/// The region that holds a load best, its excess and edge. Nothing where there is no region.
pub(super) fn best(regions: &[Region], f: [f64; 2]) -> Option<(usize, f64, usize)> {
    let mut best: Option<(usize, f64, usize)> = None;
    for (k, region) in regions.iter().enumerate() {
        let (excess, edge) = region.excess(f);
        if best.is_none_or(|(_, least, _)| excess < least) {
            best = Some((k, excess, edge));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Region {
        let corners = [
            ([-1.0, 0.0], "floor"),
            ([1.0, 0.0], "right"),
            ([1.0, 2.0], "roof"),
            ([-1.0, 2.0], "left"),
        ];
        Region::of("box", &corners)
    }

    #[test]
    fn excess_is_the_distance_over_the_edge_that_is_exceeded_most() {
        let region = square();
        for (f, by, gives) in [
            ([1.5, 1.0], 0.5, "right"),
            ([0.0, 2.25], 0.25, "roof"),
            ([-1.5, 2.25], 0.5, "left"),
            ([0.0, 1.5], -0.5, "roof"),
            ([0.9, 1.0], -0.1, "right"),
        ] {
            let (excess, edge) = region.excess(f);
            assert!((excess - by).abs() < 1e-12, "{f:?}: {excess}");
            assert_eq!(region.gives(edge), gives, "{f:?}");
        }
    }

    #[test]
    fn the_best_of_several_is_taken_and_an_empty_one_holds_nothing() {
        let nothing = Region::of("none", &[([0.0, 0.0], "x")]);
        assert!(!nothing.holds());
        assert_eq!(nothing.excess([0.0, 1.0]), (1.0, 0));
        let both = [nothing, square()];
        let (which, excess, _) = best(&both, [1.5, 1.0]).unwrap_or_default();
        assert_eq!(which, 1);
        assert!((excess - 0.5).abs() < 1e-12);
        assert_eq!(best(&[], [0.0, 1.0]), None);
    }
}
