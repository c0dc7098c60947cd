//! Hold envelopes of several options over each other, told apart by line pattern and letter as well as by colour. A dot
//! parts two runs of one envelope; the binding limit of each run stands beside it after the option's letter.

use super::Shape;
use super::envelope::{EnvelopeView, Plane, Run, runs};
use super::label::Wish;
use super::overlay::{EDGES, LABELS};
use super::path::{Xy, circle, line};
use crate::compare::letter;
use crate::hold::Hold;
use crate::order;

/// Runs shorter than this, px, are named in the table alone: a label of theirs would say more than the eye sees.
const SHORT: f64 = 12.0;

/// Draws the envelopes at a size in px, that of the first option last and so on top.
pub fn envelopes(holds: &[&Hold], width: f64, height: f64) -> EnvelopeView {
    let all: Vec<Vec<Run>> = holds.iter().map(|hold| runs(&hold.envelope)).collect();
    let points = all.iter().flatten().flat_map(|r| r.points.iter().copied());
    let plane = Plane::new(points, width, height);
    let mut shapes = plane.ground();
    let mut corners: Vec<Xy> = Vec::new();
    // The longest runs speak first, whosever they are.
    let mut named: Vec<(f64, Wish)> = Vec::new();
    for (i, runs) in all.iter().enumerate().rev() {
        let role = EDGES[i % EDGES.len()];
        for run in runs {
            let points: Vec<Xy> = run.points.iter().map(|&p| plane.at(p)).collect();
            shapes.push(Shape::new("option-halo", line(&points)));
            shapes.push(Shape::new(role, line(&points)));
            corners.extend(&points);
            let length = plane.length(run);
            if length >= SHORT {
                let says = format!("{} {}", letter(i), run.cause);
                named.push((length, plane.cause(run, LABELS[i % LABELS.len()], &says)));
            }
        }
        if runs.len() > 1 {
            let ends = runs.iter().filter_map(|run| run.points.first());
            let dots = ends.map(|&p| circle(plane.at(p), 3.2)).collect();
            shapes.push(Shape::new("option-corner", dots));
        }
    }
    shapes.push(plane.rest());
    order::sort(&mut named, |a, b| b.0.total_cmp(&a.0));
    let wishes = named.into_iter().map(|(_, wish)| wish).collect();
    let (labels, omitted) = plane.label(wishes, &[], &corners);
    let title = if all.iter().all(Vec::is_empty) {
        "None of them can hold anything"
    } else {
        "What each option can hold, by direction, in g, and what gives first"
    };
    EnvelopeView {
        size: plane.size(),
        shapes,
        labels,
        omitted,
        title: title.to_owned(),
    }
}
