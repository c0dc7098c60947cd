//! The projection of a linear program's feasible set onto two of its variables, u and v: a convex polygon.
//!
//! Support function, refined by recursion: maximise along ±u and ±v, then along the outward normal of every edge
//! between neighbouring points found. Either the edge is confirmed, or a new vertex turns up beyond it and the two new
//! edges are tried. Every vertex is a vertex of the set itself, so the result is exact up to the program's tolerance;
//! e edges cost about 2e solves from the last basis.
//!
//! The last solve of an edge proves it: its duals say which ranges make n·(u, v) ≤ support hold on the whole set.

use super::linear::{Binding, Program, Solution, Status};

/// Distances below this share of the polygon's width and height (or of the variables' own size, if it is smaller than
/// that) are none: ten times the program's tolerance.
const RESOLUTION: f64 = 1e-8;

/// Width against the coordinates' magnitude below which rounding, and not the set, would shape the polygon.
const THINNEST: f64 = 1e-4;

/// Depth of the recursion. Each level leaves a sharper corner to look into; 48 halvings reach the resolution.
const DEPTH: usize = 48;

/// A corner, and the edge from it to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Vertex {
    /// First coordinate.
    pub u: f64,
    /// Second coordinate.
    pub v: f64,
    /// Outward normal of the edge to the next vertex, scaled to a length of 1.
    pub normal: [f64; 2],
    /// What makes that edge: each binding range, and how far the edge moves outward per unit by which its end moves up.
    pub edge: Vec<Binding>,
}

/// The outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct Polygon {
    /// Optimal when traced; infeasible when the set is empty; unbounded when the projection is; else what stopped it.
    pub status: Status,
    /// Counter-clockwise (u to the right, v up). One is a point (with no edge), two are the ends of a segment.
    pub vertices: Vec<Vertex>,
}

/// Traces the projection of the program's feasible set onto the variables with indices `u` and `v`.
#[must_use]
pub fn polygon(program: &mut Program, u: usize, v: usize) -> Polygon {
    let variables = program.solution().x.len();
    let mut trace = Trace {
        program,
        u,
        v,
        scale: [1.0; 2],
        objective: vec![0.0; variables],
        vertices: Vec::new(),
    };
    let status = if u < variables && v < variables && u != v {
        trace.run()
    } else {
        Err(Status::Invalid)
    };
    match status {
        Ok(()) => Polygon {
            status: Status::Optimal,
            vertices: trace.vertices,
        },
        Err(status) => Polygon {
            status,
            vertices: Vec::new(),
        },
    }
}

type Point = [f64; 2];

struct Trace<'a> {
    program: &'a mut Program,
    u: usize,
    v: usize,
    /// Width and height of the polygon, or more if it is thin; distances are measured in them.
    scale: Point,
    objective: Vec<f64>,
    vertices: Vec<Vertex>,
}

impl Trace<'_> {
    fn run(&mut self) -> Result<(), Status> {
        let directions = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];
        let mut points: Vec<Point> = Vec::with_capacity(directions.len());
        for (place, direction) in directions.iter().enumerate() {
            let found = self.support(*direction, place == 0)?;
            points.push(found);
        }
        for axis in 0..2 {
            let variable = if axis == 0 { self.u } else { self.v };
            let size = points
                .iter()
                .fold(0.0, |size: f64, p| size.max(p[axis].abs()));
            let extent = points[axis][axis] - points[axis + 2][axis];
            self.scale[axis] = extent.max(self.program.unit(variable)).max(THINNEST * size);
        }
        points.dedup_by(|a, b| self.distance(*a, *b) <= RESOLUTION);
        while points.len() > 1 && self.distance(points[0], points[points.len() - 1]) <= RESOLUTION {
            points.pop();
        }
        if let [only] = points[..] {
            self.vertices.push(Vertex {
                u: only[0],
                v: only[1],
                normal: [0.0; 2],
                edge: Vec::new(),
            });
            return Ok(());
        }
        for place in 0..points.len() {
            self.refine(points[place], points[(place + 1) % points.len()], 0)?;
        }
        self.merge();
        Ok(())
    }

    /// The point farthest along a direction.
    fn support(&mut self, direction: Point, first: bool) -> Result<Point, Status> {
        self.objective[self.u] = direction[0];
        self.objective[self.v] = direction[1];
        let solution = if first {
            self.program.solve(&self.objective)
        } else {
            self.program.resolve(&self.objective)
        };
        match solution.status {
            Status::Optimal => Ok([solution.x[self.u], solution.x[self.v]]),
            status => Err(status),
        }
    }

    /// Confirms the edge from one point to another, or finds what lies beyond it.
    fn refine(&mut self, from: Point, to: Point, depth: usize) -> Result<(), Status> {
        let [width, height] = self.scale;
        // Outward normal where width and height are 1; dividing by them turns it into the caller's units.
        let (across, up) = ((to[0] - from[0]) / width, (to[1] - from[1]) / height);
        let length = (across * across + up * up).sqrt();
        let normal = [up / length, -across / length];
        let direction = [normal[0] / width, normal[1] / height];
        let found = self.support(direction, false)?;
        let beyond = direction[0] * (found[0] - from[0]) + direction[1] * (found[1] - from[1]);
        if beyond > RESOLUTION {
            if depth == DEPTH {
                return Err(Status::Stalled);
            }
            self.refine(from, found, depth + 1)?;
            return self.refine(found, to, depth + 1);
        }
        let size = (direction[0] * direction[0] + direction[1] * direction[1]).sqrt();
        let edge = edge(self.program.solution(), size);
        let normal = direction.map(|n| n / size);
        self.vertices.push(Vertex {
            u: from[0],
            v: from[1],
            normal,
            edge,
        });
        Ok(())
    }

    /// Takes out points in the middle of an edge. Of two edges that become one, the longer keeps its proof.
    fn merge(&mut self) {
        let mut place = 0;
        let mut unchanged = 0;
        while self.vertices.len() > 2 && unchanged < self.vertices.len() {
            let count = self.vertices.len();
            let (before, after) = ((place + count - 1) % count, (place + 1) % count);
            let [a, b, c] =
                [before, place, after].map(|i| [self.vertices[i].u, self.vertices[i].v]);
            let (arrive, leave, whole) = (
                self.distance(a, b),
                self.distance(b, c),
                self.distance(a, c),
            );
            let [width, height] = self.scale;
            let cross =
                ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) / width / height;
            if cross.abs() <= RESOLUTION * whole && whole >= arrive.max(leave) {
                let removed = self.vertices.remove(place);
                let before = if before > place { before - 1 } else { before };
                if leave > arrive {
                    self.vertices[before].normal = removed.normal;
                    self.vertices[before].edge = removed.edge;
                }
                (place, unchanged) = (before, 0);
            } else {
                (place, unchanged) = (after, unchanged + 1);
            }
        }
    }

    fn distance(&self, a: Point, b: Point) -> f64 {
        let [x, y] = [(a[0] - b[0]) / self.scale[0], (a[1] - b[1]) / self.scale[1]];
        (x * x + y * y).sqrt()
    }
}

/// The bindings of an edge whose normal had the given length as objective.
fn edge(solution: &Solution, size: f64) -> Vec<Binding> {
    solution
        .bindings()
        .map(|binding| Binding {
            dual: binding.dual / size,
            ..binding
        })
        .collect()
}
