//! Working load: how a rider who stands or sits still shares the weight among hands, boots and seat.
//!
//! Least effort: minimise Σ eᵢ² + ε·Σ (xⱼ/W)² over contact forces x and efforts e, where eᵢ is the moment of joint i
//! over its limit in the direction in which it acts: eᵢ ≥ Mᵢ/flexionᵢ, eᵢ ≥ −Mᵢ/extensionᵢ, eᵢ ≤ 1 (a quadratic program;
//! the square of the effort goes back to Crowninshield and Brand 1981, J. Biomech. 14:793, from memory, who used its
//! cube). Subject to balance, friction and contact limits at f = (0, 1). The regularisation ε settles what the efforts
//! leave open (how ball and heel share) without showing in them.
//!
//! Inside, forces are in units of the weight W and moments in units of their limits.

use super::joints::{JOINTS, Joint};
use super::outcome::{Effort, Working};
use super::statics::{BALANCE, FORCES, Statics};
use crate::program::quadratic::{Constraint, QuadraticProgram, Status};

/// Unknowns: contact forces and efforts.
const UNKNOWNS: usize = FORCES + JOINTS;

/// ε: a contact that carries the whole weight costs as much as an effort of a thousandth.
const REGULARISATION: f64 = 1e-6;

/// Least limit, N·m, so that a joint without strength is still a row: a millionth of any real one.
const LEAST_LIMIT: f64 = 1e-4;

/// Specific force at rest.
const REST: (f64, f64) = (0.0, 1.0);

impl Statics {
    /// Least-effort sharing at rest; `None` where rest cannot be held.
    pub fn working(&self) -> Option<Working> {
        working(self)
    }
}

/// Least-effort sharing at rest; `None` where rest cannot be held.
pub(super) fn working(statics: &Statics) -> Option<Working> {
    let (hessian, gradient, rows) = program(statics);
    let solution = QuadraticProgram {
        hessian: &hessian,
        gradient: &gradient,
        equalities: BALANCE,
        constraints: &rows,
    }
    .solve();
    if solution.status != Status::Optimal {
        return None;
    }
    let weight = statics.weight();
    let x: Vec<f64> = solution.x[..statics.forces.len()]
        .iter()
        .map(|share| share * weight)
        .collect();
    let moments = statics.joint_moments(&x, REST);
    let forces = statics.contact_forces(&x);
    let of = |name: &str| {
        forces
            .iter()
            .find(|(n, _)| *n == name)
            .map(|(_, force)| *force)
    };
    let hand = of("grip").map_or(0.0, |g| {
        (g.x * g.x / 4.0 + g.y * g.y + g.z * g.z / 4.0).sqrt()
    });
    let efforts = Joint::ALL.iter().zip(moments).map(|(joint, moment)| {
        let (low, high) = statics.limits.of_joint(*joint);
        let limit = if moment < 0.0 { -low } else { high };
        Effort {
            name: joint.name(),
            fraction: moment.abs() / limit.max(LEAST_LIMIT),
        }
    });
    Some(Working {
        hand,
        seat_share: of("seat").map_or(0.0, |seat| seat.z / weight),
        efforts: efforts.collect(),
        forces,
    })
}

type Rows = Vec<Constraint<UNKNOWNS>>;

/// The quadratic program: Hessian, gradient, and rows with the balance first.
pub(super) fn program(statics: &Statics) -> ([[f64; UNKNOWNS]; UNKNOWNS], [f64; UNKNOWNS], Rows) {
    let weight = statics.weight();
    let mut hessian = [[0.0; UNKNOWNS]; UNKNOWNS];
    for (i, row) in hessian.iter_mut().enumerate() {
        row[i] = if i < FORCES {
            2.0 * REGULARISATION
        } else {
            2.0
        };
    }
    let mut rows = Vec::with_capacity(BALANCE + 3 * JOINTS + 2 * FORCES + 4);
    let from_forces = |share: &dyn Fn(usize) -> f64| {
        let mut row = [0.0; UNKNOWNS];
        for (j, entry) in row.iter_mut().take(statics.forces.len()).enumerate() {
            *entry = share(j);
        }
        row
    };
    for (i, wanted) in [REST.0, REST.1, 0.0].into_iter().enumerate() {
        rows.push(Constraint::new(
            from_forces(&|j| statics.forces[j].balance[i]),
            wanted,
        ));
    }
    for joint in Joint::ALL {
        let i = joint as usize;
        let own = statics.weights[i][0] * REST.0 + statics.weights[i][1] * REST.1;
        let (low, high) = statics.limits.of_joint(joint);
        for limit in [high.max(LEAST_LIMIT), low.min(-LEAST_LIMIT)] {
            let mut row = from_forces(&|j| -statics.forces[j].moments[i] * weight / limit);
            row[FORCES + i] = 1.0;
            rows.push(Constraint::new(row, own / limit));
        }
        let mut most = [0.0; UNKNOWNS];
        most[FORCES + i] = -1.0;
        rows.push(Constraint::new(most, -1.0));
    }
    let mut between = |share: &dyn Fn(usize) -> f64, low: f64, high: f64| {
        if low.is_finite() {
            rows.push(Constraint::new(from_forces(share), low / weight));
        }
        if high.is_finite() {
            rows.push(Constraint::new(from_forces(&|j| -share(j)), -high / weight));
        }
    };
    for (k, force) in statics.forces.iter().enumerate() {
        between(&|j| if j == k { 1.0 } else { 0.0 }, force.low, force.high);
    }
    for (k, sum) in statics.sums.iter().enumerate() {
        between(&|j| statics.forces[j].sums[k], sum.bounds.0, sum.bounds.1);
    }
    (hessian, [0.0; UNKNOWNS], rows)
}
