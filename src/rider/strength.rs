//! Maximum joint moments and hand forces.

use crate::units::Angle;

/// A joint and the direction in which it is asked to resist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// Ankle plantarflexion.
    AnklePlantar,
    /// Ankle dorsiflexion.
    AnkleDorsi,
    /// Knee extension.
    KneeExtension,
    /// Knee flexion.
    KneeFlexion,
    /// Hip extension.
    HipExtension,
    /// Hip flexion.
    HipFlexion,
    /// Trunk extension at L5/S1 (whole trunk).
    TrunkExtension,
    /// Trunk flexion at L5/S1 (whole trunk).
    TrunkFlexion,
    /// Shoulder flexion about the lateral axis.
    ShoulderFlexion,
    /// Shoulder extension about the lateral axis.
    ShoulderExtension,
    /// Shoulder horizontal flexion (adduction across the chest) about the trunk's long axis.
    ShoulderHorizontalFlexion,
    /// Shoulder horizontal extension about the trunk's long axis.
    ShoulderHorizontalExtension,
    /// Elbow flexion.
    ElbowFlexion,
    /// Elbow extension.
    ElbowExtension,
}

/// What this rider's joints and hands can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    peaks: Vec<(Action, f64)>,
}

impl Strength {
    /// Greatest moment that one limb (the trunk: the whole) holds in this direction at this joint angle, N·m, positive.
    ///
    /// `angle` is the joint's own angle in the clinical convention of the crate docs; for the trunk it is the trunk lean.
    pub fn at(&self, _action: Action, _angle: Angle) -> f64 {
        todo!()
    }

    /// Pull-off force of one gloved hand with all fingers on the grip, N.
    pub fn pull_off(&self) -> f64 {
        todo!()
    }
}
