//! Hold envelope: all specific forces (f_x, f_z) that the pose can hold, a convex polygon.
//!
//! f_x and f_z are two more unknowns of the linear program; its projection on their plane is traced exactly (see
//! [`crate::program::polygon`]), and each edge is named by the duals of the optimum along its outward normal, as the
//! named loads are.

use super::outcome::Edge;
use super::statics::Statics;
use crate::program::linear::Range;
use crate::program::polygon::polygon;

impl Statics {
    /// The envelope, counter-clockwise; empty where nothing can be held.
    pub fn envelope(&self) -> Vec<Edge> {
        let n = self.forces.len();
        let plane = self.along((0.0, 0.0), [(1.0, 0.0), (0.0, 1.0)], Range::FREE);
        let mut program = plane.program();
        let traced = polygon(&mut program, n, n + 1);
        let mut objective = vec![0.0; n + 2];
        let edge = |vertex: &crate::program::polygon::Vertex| {
            objective[n..].copy_from_slice(&vertex.normal);
            let gives = self.gives_first(program.resolve(&objective));
            Edge {
                f_x: vertex.u,
                f_z: vertex.v,
                gives_first: gives.words(),
            }
        };
        traced.vertices.iter().map(edge).collect()
    }
}
