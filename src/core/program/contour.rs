//! Lines on a grid between the nodes that are inside something and those that are not: marching squares (Lorensen and
//! Cline 1987, Comput. Graph. 21:163, in two dimensions).
//!
//! What inside means, and where exactly a line crosses the way between two neighbouring nodes, is the caller's: an isoline
//! of values interpolates, a region's border bisects.

/// The way between two neighbouring nodes of a grid, from (`column`, `row`) to the next column or the next row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Way {
    /// Column of its first node.
    pub column: usize,
    /// Row of its first node.
    pub row: usize,
    /// Whether it goes to the next column; else to the next row.
    pub to_next_column: bool,
}

impl Way {
    /// Its nodes as (column, row).
    pub const fn ends(self) -> [(usize, usize); 2] {
        let to = if self.to_next_column {
            (self.column + 1, self.row)
        } else {
            (self.column, self.row + 1)
        };
        [(self.column, self.row), to]
    }
}

/// A line, from crossing to crossing.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its points, as the caller placed them.
    pub points: Vec<(f64, f64)>,
    /// Whether the last is joined to the first; else it ends at the grid's border.
    pub closed: bool,
}

/// Every line on a grid of `columns` by `rows` nodes, in a fixed order.
///
/// Where two inside corners face each other across a cell, they count as apart.
pub fn lines(
    columns: usize,
    rows: usize,
    inside: impl Fn(usize, usize) -> bool,
    mut crossing: impl FnMut(Way) -> (f64, f64),
) -> Vec<Line> {
    // For each way that is crossed, the ways to which a line goes on from it: at most one through each cell beside it.
    let mut joined: Vec<(Way, [Option<Way>; 2])> = Vec::new();
    let mut join = |a: Way, b: Way| {
        for (from, to) in [(a, b), (b, a)] {
            let at = joined.binary_search_by_key(&from, |(way, _)| *way);
            let place = at.unwrap_or_else(|free| {
                joined.insert(free, (from, [None; 2]));
                free
            });
            if let Some(open) = joined[place].1.iter_mut().find(|to| to.is_none()) {
                *open = Some(to);
            }
        }
    };
    for row in 0..rows.saturating_sub(1) {
        for column in 0..columns.saturating_sub(1) {
            let way = |column, row, to_next_column| Way {
                column,
                row,
                to_next_column,
            };
            // Corners round the cell, and the way from each to the next.
            let corners = [
                (column, row),
                (column + 1, row),
                (column + 1, row + 1),
                (column, row + 1),
            ];
            let ways = [
                way(column, row, true),
                way(column + 1, row, false),
                way(column, row + 1, true),
                way(column, row, false),
            ];
            let within = corners.map(|(c, r)| inside(c, r));
            let crossed: Vec<usize> = (0..4)
                .filter(|k| within[*k] != within[(k + 1) % 4])
                .collect();
            match crossed[..] {
                [a, b] => join(ways[a], ways[b]),
                [_, _, _, _] => {
                    // Around each inside corner: the ways before and after it.
                    for k in (0..4).filter(|k| within[*k]) {
                        join(ways[(k + 3) % 4], ways[k]);
                    }
                }
                _ => {}
            }
        }
    }
    let find = |way: Way| joined.binary_search_by_key(&way, |(way, _)| *way).ok();
    let mut used = vec![false; joined.len()];
    let mut found = Vec::new();
    // Open lines first, from their ends.
    for ends_only in [true, false] {
        for first in 0..joined.len() {
            let is_end = joined[first].1[1].is_none();
            if used[first] || is_end != ends_only {
                continue;
            }
            let mut points = Vec::new();
            let mut at = Some(first);
            while let Some(here) = at {
                used[here] = true;
                points.push(crossing(joined[here].0));
                let next = joined[here].1.iter().flatten().filter_map(|way| find(*way));
                at = next.into_iter().find(|next| !used[*next]);
            }
            found.push(Line {
                points,
                closed: !ends_only,
            });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn middle(way: Way) -> (f64, f64) {
        let [a, b] = way.ends();
        ((a.0 + b.0) as f64 / 2.0, (a.1 + b.1) as f64 / 2.0)
    }

    #[test]
    fn one_node_is_ringed_and_a_half_plane_cut() {
        let ring = lines(5, 5, |c, r| (c, r) == (2, 2), middle);
        assert_eq!(ring.len(), 1);
        assert!(ring[0].closed && ring[0].points.len() == 4);
        let cut = lines(5, 4, |c, _| c < 2, middle);
        assert_eq!(cut.len(), 1);
        assert!(!cut[0].closed);
        assert!(cut[0].points.iter().all(|p| p.0 == 1.5));
        assert_eq!(cut[0].points.len(), 4);
        assert!(lines(5, 5, |_, _| true, middle).is_empty());
        assert!(lines(0, 1, |_, _| true, middle).is_empty());
    }

    #[test]
    fn corners_across_a_cell_are_apart() {
        let rings = lines(4, 4, |c, r| (c, r) == (1, 1) || (c, r) == (2, 2), middle);
        assert_eq!(rings.len(), 2);
        assert!(rings.iter().all(|r| r.closed && r.points.len() == 4));
    }

    #[test]
    fn a_circle_comes_out_round() {
        let value = |c: f64, r: f64| libm::hypot(c - 10.0, r - 10.0) - 6.3;
        let ring = lines(
            21,
            21,
            |c, r| value(c as f64, r as f64) < 0.0,
            |way| {
                let [a, b] = way.ends().map(|(c, r)| (c as f64, r as f64));
                let (va, vb) = (value(a.0, a.1), value(b.0, b.1));
                let t = va / (va - vb);
                (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))
            },
        );
        assert_eq!(ring.len(), 1);
        let points = &ring[0].points;
        assert!(points.iter().all(|p| value(p.0, p.1).abs() < 0.02));
        // Its area, by the shoelace formula.
        let area: f64 = points
            .iter()
            .zip(points.iter().cycle().skip(1))
            .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
            .sum::<f64>()
            / 2.0;
        assert!((area.abs() / (core::f64::consts::PI * 6.3 * 6.3) - 1.0).abs() < 0.01);
    }
}
