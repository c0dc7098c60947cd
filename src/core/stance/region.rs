//! Where the hips can go with boots and grips where they are: inside joint limits, seat and clearances.
//!
//! A grid over the side view is filled from the posture outwards: each node is solved from a neighbour that stands, with
//! the hips held there. The border crosses the way from a node that stands to one that does not where bisection says.
//! What no chain of neighbours reaches is not found, as a rider would not come there either.

use super::pose::Pose;
use super::posture::{Aim, Problem, Settled};
use crate::order;
use crate::program::contour;

/// Distance between nodes, mm: our choice, a hand's breadth has three.
const STEP: f64 = 30.0;

/// Halvings of the way across the border: to 2 mm.
const HALVINGS: usize = 4;

/// Farthest that the hips are looked for, nodes from where they are: 1.2 m, more than any leg gives.
const FARTHEST: usize = 40;

/// Where the hips can go.
#[derive(Clone, Debug, PartialEq)]
pub struct HipRegion {
    /// Its border as (x, z), mm, the outer one first; a hole is a line of its own.
    pub border: Vec<Vec<(f64, f64)>>,
    /// Lowest and highest point on the border, mm.
    pub lowest: (f64, f64),
    /// Highest point on the border, mm.
    pub highest: (f64, f64),
    /// Its area, mm².
    pub area: f64,
}

/// Fills the region from a standing posture; `None` where that posture itself is out of reach.
pub fn hip_region(problem: &Problem, from: &Settled) -> Option<HipRegion> {
    if !from.feasible() {
        return None;
    }
    let hips = |pose: &Pose| (pose.points.hip.x, pose.points.hip.z);
    let middle = hips(&problem.pose(from));
    const SIDE: usize = 2 * FARTHEST + 1;
    let place = |at: (usize, usize)| {
        let off = |k: usize| (k as f64 - FARTHEST as f64) * STEP;
        (middle.0 + off(at.0), middle.1 + off(at.1))
    };
    let solved = |near: &Settled, (x, z): (f64, f64)| {
        let found = problem.solve_near(near, Aim::HipsAt(x, z));
        found.feasible().then_some(found)
    };
    let mut nodes: Vec<Option<Settled>> = vec![None; SIDE * SIDE];
    let index = |at: (usize, usize)| at.1 * SIDE + at.0;
    nodes[index((FARTHEST, FARTHEST))] = Some(*from);
    let mut front = std::collections::VecDeque::from([(FARTHEST, FARTHEST)]);
    // A node that failed from one neighbour may stand from another: it is tried from each.
    while let Some(at) = front.pop_front() {
        let Some(near) = nodes[index(at)] else {
            continue;
        };
        for next in neighbours(at, SIDE) {
            if nodes[index(next)].is_none()
                && let Some(found) = solved(&near, place(next))
            {
                nodes[index(next)] = Some(found);
                front.push_back(next);
            }
        }
    }
    let lines = contour::lines(
        SIDE,
        SIDE,
        |column, row| nodes[index((column, row))].is_some(),
        |way| {
            let [a, b] = way.ends();
            let (stands, falls) = if nodes[index(a)].is_some() {
                (a, b)
            } else {
                (b, a)
            };
            let (from, to) = (place(stands), place(falls));
            let at = |share: f64| {
                (
                    from.0 + share * (to.0 - from.0),
                    from.1 + share * (to.1 - from.1),
                )
            };
            let mut near = nodes[index(stands)];
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                match near.and_then(|near| solved(&near, at(middle))) {
                    Some(found) => (near, low) = (Some(found), middle),
                    None => high = middle,
                }
            }
            at(low)
        },
    );
    let mut border: Vec<Vec<(f64, f64)>> = lines.into_iter().map(|line| line.points).collect();
    order::sort(&mut border, |a, b| area(b).total_cmp(&area(a)));
    let points = || border.iter().flatten().copied();
    Some(HipRegion {
        lowest: points().min_by(|a, b| a.1.total_cmp(&b.1))?,
        highest: points().max_by(|a, b| a.1.total_cmp(&b.1))?,
        area: border
            .iter()
            .enumerate()
            .map(|(k, line)| if k == 0 { area(line) } else { -area(line) })
            .sum(),
        border,
    })
}

fn neighbours((column, row): (usize, usize), side: usize) -> impl Iterator<Item = (usize, usize)> {
    let left = column.checked_sub(1).map(|c| (c, row));
    let below = row.checked_sub(1).map(|r| (column, r));
    let right = (column + 1 < side).then_some((column + 1, row));
    let above = (row + 1 < side).then_some((column, row + 1));
    [left, below, right, above].into_iter().flatten()
}

/// Area inside a closed line (the shoelace formula), mm².
fn area(line: &[(f64, f64)]) -> f64 {
    let ends = line.iter().zip(line.iter().cycle().skip(1));
    let doubled: f64 = ends.map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    doubled.abs() / 2.0
}
