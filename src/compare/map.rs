//! Hold over stirrup position and riser angle, all other settings as they are: a map, and curves as its thinnest case.
//!
//! Every node is solved from scratch: a seated posture that starts from its neighbour's can end a hair elsewhere on a crease
//! of its cost, which is nothing to sit on and a hundredth of its hold.

use crate::fit::{Request, stance_hold};
use crate::program::contour::{self, Line};
use crate::sled::{Cockpit, Settings};
use crate::stance::{Load, Stance};
use crate::units::Angle;

/// Nodes along each axis of a map: a step of stirrups and of angle is finer than what anyone sets. Our choice.
pub const NODES: usize = 21;

/// One pair of stirrup and riser angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// How far each load of [`Load::ALL`] is held, g; `None` where its start is not.
    pub loads: [Option<f64>; Load::ALL.len()],
    /// Whether the posture keeps every limit.
    pub in_reach: bool,
}

/// Hold over both settings.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldMap {
    /// Stirrup bolts' x, mm, ascending.
    pub stirrups: Vec<f64>,
    /// Riser angles, ascending.
    pub angles: Vec<Angle>,
    /// Nodes, angle by angle: (stirrup i, angle j) is number j·stirrups + i.
    pub nodes: Vec<Node>,
}

/// Makes a map, one angle a step.
#[derive(Clone, Debug)]
pub struct Mapping<'a> {
    request: Request<'a>,
    base: Settings,
    stance: &'a Stance,
    map: HoldMap,
}

impl<'a> Mapping<'a> {
    /// Over all stirrup positions and riser angles of the sled.
    pub fn whole(request: &Request<'a>, base: Settings, stance: &'a Stance) -> Self {
        let sled = request.sled;
        let (low, high) = sled.risers[base.riser].angles.bounds();
        let rear = sled.stirrup.positions.last().copied().unwrap_or(0.0);
        let even = |low: f64, high: f64| -> Vec<f64> {
            if high - low < 1e-9 {
                return vec![low];
            }
            let last = (NODES - 1) as f64;
            (0..NODES)
                .map(|k| low + (high - low) * k as f64 / last)
                .collect()
        };
        let angles = even(low.rad(), high.rad())
            .into_iter()
            .map(Angle::from_rad)
            .collect();
        Self::new(request, base, stance, even(rear, 0.0), angles)
    }

    /// Over these stirrups and angles.
    pub fn new(
        request: &Request<'a>,
        base: Settings,
        stance: &'a Stance,
        stirrups: Vec<f64>,
        angles: Vec<Angle>,
    ) -> Self {
        let map = HoldMap {
            nodes: Vec::with_capacity(stirrups.len() * angles.len()),
            stirrups,
            angles,
        };
        Self {
            request: *request,
            base,
            stance,
            map,
        }
    }

    /// Nodes done, and nodes in all.
    pub fn progress(&self) -> (usize, usize) {
        let map = &self.map;
        (map.nodes.len(), map.stirrups.len() * map.angles.len())
    }

    /// Solves the nodes of the next angle; false where all are done.
    pub fn step(&mut self) -> bool {
        let map = &mut self.map;
        let row = map.nodes.len() / map.stirrups.len().max(1);
        let Some(&riser_angle) = map.angles.get(row) else {
            return false;
        };
        for &stirrup in &map.stirrups {
            let settings = Settings {
                stirrup,
                riser_angle,
                ..self.base
            };
            let cockpit = Cockpit::new(self.request.sled, settings);
            let (held, _) = stance_hold(&self.request, &cockpit, self.stance, None);
            map.nodes.push(Node {
                in_reach: held.in_reach(),
                loads: held.loads,
            });
        }
        true
    }

    /// What is done so far.
    pub fn map(self) -> HoldMap {
        self.map
    }
}

impl HoldMap {
    /// The hold under a load at a node, g, where the posture is in reach and the start is held.
    pub fn hold(&self, stirrup: usize, angle: usize, load: Load) -> Option<f64> {
        let node = self.nodes.get(angle * self.stirrups.len() + stirrup)?;
        let place = Load::ALL.iter().position(|l| *l == load)?;
        node.loads[place].filter(|_| node.in_reach)
    }

    /// The node of greatest hold under a load as (stirrup, angle, g).
    pub fn best(&self, load: Load) -> Option<(f64, Angle, f64)> {
        let nodes =
            (0..self.angles.len()).flat_map(|j| (0..self.stirrups.len()).map(move |i| (i, j)));
        nodes
            .filter_map(|(i, j)| Some((self.stirrups[i], self.angles[j], self.hold(i, j, load)?)))
            .max_by(|a, b| a.2.total_cmp(&b.2))
    }

    /// Lines of equal hold at a level, g, as (stirrup mm, angle deg).
    pub fn contour(&self, load: Load, level: f64) -> Vec<Line> {
        let hold = |(i, j): (usize, usize)| self.hold(i, j, load);
        self.lines(
            |at| hold(at).is_some_and(|g| g >= level),
            |a, b| match (hold(a), hold(b)) {
                (Some(a), Some(b)) => (level - a) / (b - a),
                _ => 0.5,
            },
        )
    }

    /// The border of what is in reach, as (stirrup mm, angle deg), to half a node.
    pub fn reach(&self) -> Vec<Line> {
        let reach = |(i, j): (usize, usize)| {
            let node = self.nodes.get(j * self.stirrups.len() + i);
            node.is_some_and(|node| node.in_reach)
        };
        self.lines(reach, |_, _| 0.5)
    }

    fn lines(
        &self,
        inside: impl Fn((usize, usize)) -> bool,
        share: impl Fn((usize, usize), (usize, usize)) -> f64,
    ) -> Vec<Line> {
        let place = |at: (usize, usize)| (self.stirrups[at.0], self.angles[at.1].deg());
        contour::lines(
            self.stirrups.len(),
            self.angles.len(),
            |i, j| inside((i, j)),
            |way| {
                let [a, b] = way.ends();
                let (from, to, share) = (place(a), place(b), share(a, b));
                (
                    from.0 + share * (to.0 - from.0),
                    from.1 + share * (to.1 - from.1),
                )
            },
        )
    }
}
