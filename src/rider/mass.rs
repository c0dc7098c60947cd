//! Segment masses and where their centres of mass lie.

/// A body segment with its two ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Head with helmet: `neck` to `head`, the latter being its centre of mass.
    Head,
    /// Trunk above L5/S1 with what is worn on it: mid-`hip` to mid-`shoulder` line.
    UpperTrunk,
    /// Trunk below L5/S1: mid-`hip` to mid-`shoulder` line.
    Pelvis,
    /// `shoulder` to `elbow`.
    UpperArm,
    /// `elbow` to `grip`.
    Forearm,
    /// `elbow` to `grip` (its fraction is near 1).
    Hand,
    /// `hip` to `knee`.
    Thigh,
    /// `knee` to `ankle`.
    Shank,
    /// Foot and boot, in the boot's own frame.
    Foot,
}

impl Part {
    /// The name in JSON and on the page.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::UpperTrunk => "upper_trunk",
            Self::Pelvis => "pelvis",
            Self::UpperArm => "upper_arm",
            Self::Forearm => "forearm",
            Self::Hand => "hand",
            Self::Thigh => "thigh",
            Self::Shank => "shank",
            Self::Foot => "foot",
        }
    }
}

/// One segment: its mass and where its centre of mass lies between its ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Which.
    pub part: Part,
    /// How many of them the body has: 1 or 2.
    pub count: u8,
    /// Mass of each with gear, kg.
    pub mass: f64,
    /// Centre of mass from the first end (see [`Part`]) towards the second, as a fraction of their distance.
    /// Unused for [`Part::Foot`].
    pub fraction: f64,
}
