//! Segment masses and where their centres of mass lie, gear included.
//!
//! Fractions of body mass and of segment length by de Leva, P. (1996), "Adjustments to Zatsiorsky-Seluyanov's segment
//! inertia parameters", J Biomech 29(9):1223-1230, Table 4, carried over to this project's links: hand and forearm lie
//! along elbow to grip, the trunk's two parts along mid-hip to mid-shoulder. Gear is added where it is worn.

use super::gear::Gear;
use super::linkage::Links;
use super::sex::{BySex, Sex};

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

/// de Leva 1996, Table 4: mass over body mass (limbs: one side), men and women.
mod share {
    use super::BySex;

    pub(super) const HEAD: BySex = BySex::new(0.0694, 0.0668);
    pub(super) const TRUNK: BySex = BySex::new(0.4346, 0.4257);
    /// The trunk's lowest third, omphalion to mid-hip.
    pub(super) const PELVIS: BySex = BySex::new(0.1117, 0.1247);
    pub(super) const UPPER_ARM: BySex = BySex::new(0.0271, 0.0255);
    pub(super) const FOREARM: BySex = BySex::new(0.0162, 0.0138);
    pub(super) const HAND: BySex = BySex::new(0.0061, 0.0056);
    pub(super) const THIGH: BySex = BySex::new(0.1416, 0.1478);
    pub(super) const SHANK: BySex = BySex::new(0.0433, 0.0481);
    pub(super) const FOOT: BySex = BySex::new(0.0137, 0.0129);
}

/// de Leva 1996, Table 4: centre of mass from the proximal end, share of the segment; men and women.
mod centre {
    use super::BySex;

    /// Whole trunk, from mid-shoulder to mid-hip ("Trunk 3").
    pub(super) const TRUNK: BySex = BySex::new(0.4310, 0.3782);
    /// Lowest third of the trunk, from omphalion to mid-hip.
    pub(super) const PELVIS: BySex = BySex::new(0.6115, 0.4920);
    pub(super) const UPPER_ARM: BySex = BySex::new(0.5772, 0.5754);
    /// From elbow to wrist.
    pub(super) const FOREARM: BySex = BySex::new(0.4574, 0.4559);
    pub(super) const THIGH: BySex = BySex::new(0.4095, 0.3612);
    pub(super) const SHANK: BySex = BySex::new(0.4395, 0.4352);
}

/// Omphalion to mid-hip over mid-shoulder to mid-hip: 145.7 of 515.5 mm for men, 181.5 of 497.9 mm for women (segment
/// lengths of the same paper, from memory).
const PELVIS_SHARE: BySex = BySex::new(145.7 / 515.5, 181.5 / 497.9);

/// Where clothing hangs, shares of its mass: upper trunk, pelvis, and one upper arm, forearm, thigh, shank (our choice).
const CLOTHES: [f64; 6] = [0.40, 0.10, 0.05, 0.03, 0.09, 0.08];

/// Centre of mass of a closed hand on the grip: the grip's centre (our choice; the open hand's lies 0.36 of the hand
/// beyond the wrist, the grip's centre 0.32).
const HAND_AT_GRIP: f64 = 1.0;

/// The segments of a rider of this body mass (kg, without gear); they sum to it and the gear.
pub(super) fn segments(body_mass: f64, sex: Sex, gear: &Gear, links: &Links) -> Vec<Segment> {
    let whole = share::HEAD.of(sex)
        + share::TRUNK.of(sex)
        + 2.0
            * (share::UPPER_ARM.of(sex)
                + share::FOREARM.of(sex)
                + share::HAND.of(sex)
                + share::THIGH.of(sex)
                + share::SHANK.of(sex)
                + share::FOOT.of(sex));
    // The printed fractions sum to 1 but for rounding; the rest is shared out.
    let of = |share: BySex| body_mass * share.of(sex) / whole;
    let cloth = |k: usize| gear.clothing.mass * CLOTHES[k];
    let trunk = of(share::TRUNK);
    let pelvis = of(share::PELVIS);
    let trunk_centre = 1.0 - centre::TRUNK.of(sex);
    let pelvis_centre = (1.0 - centre::PELVIS.of(sex)) * PELVIS_SHARE.of(sex);
    let upper_centre = (trunk * trunk_centre - pelvis * pelvis_centre) / (trunk - pelvis);
    let wrist = (links.forearm - links.wrist_to_grip) / links.forearm;
    let segment = |part, count, mass, fraction| Segment {
        part,
        count,
        mass,
        fraction,
    };
    vec![
        segment(Part::Head, 1, of(share::HEAD) + gear.helmet.mass, 1.0),
        segment(
            Part::UpperTrunk,
            1,
            trunk - pelvis + cloth(0) + gear.protector.mass,
            upper_centre,
        ),
        segment(Part::Pelvis, 1, pelvis + cloth(1), pelvis_centre),
        segment(
            Part::UpperArm,
            2,
            of(share::UPPER_ARM) + cloth(2),
            centre::UPPER_ARM.of(sex),
        ),
        segment(
            Part::Forearm,
            2,
            of(share::FOREARM) + cloth(3),
            centre::FOREARM.of(sex) * wrist,
        ),
        segment(
            Part::Hand,
            2,
            of(share::HAND) + gear.gloves.mass,
            HAND_AT_GRIP,
        ),
        // A knee guard or brace hangs half on the thigh, half on the shank.
        segment(
            Part::Thigh,
            2,
            of(share::THIGH) + cloth(4) + 0.5 * gear.knees.mass,
            centre::THIGH.of(sex),
        ),
        segment(
            Part::Shank,
            2,
            of(share::SHANK) + cloth(5) + 0.5 * gear.knees.mass,
            centre::SHANK.of(sex),
        ),
        segment(Part::Foot, 2, of(share::FOOT) + gear.boots.mass, 0.0),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_fractions_sum_to_one() {
        // De Leva's own rounding leaves 0.9999 for women.
        for (sex, total) in [(Sex::Male, 1.0), (Sex::Female, 0.9999)] {
            let limbs = [
                share::UPPER_ARM,
                share::FOREARM,
                share::HAND,
                share::THIGH,
                share::SHANK,
                share::FOOT,
            ];
            let sum = share::HEAD.of(sex)
                + share::TRUNK.of(sex)
                + 2.0 * limbs.iter().map(|m| m.of(sex)).sum::<f64>();
            assert!((sum - total).abs() < 1e-9, "{sex:?}: {sum}");
        }
        let hung = CLOTHES[0] + CLOTHES[1] + 2.0 * CLOTHES[2..].iter().sum::<f64>();
        assert!((hung - 1.0).abs() < 1e-12);
    }

    #[test]
    fn trunk_parts_have_the_trunk_centre_of_mass() {
        let links = crate::rider::tests::links();
        let gear = Gear {
            protector: crate::rider::gear::Protector {
                chest: 0.0,
                mass: 0.0,
            },
            clothing: crate::rider::gear::Clothing {
                thickness: 0.0,
                mass: 0.0,
            },
            ..Gear::default()
        };
        for (sex, centre) in [(Sex::Male, 0.5690), (Sex::Female, 0.6218)] {
            let parts = segments(80.0, sex, &gear, &links);
            let of = |part| parts.iter().find(|s| s.part == part).unwrap();
            let (upper, pelvis) = (of(Part::UpperTrunk), of(Part::Pelvis));
            let found = (upper.mass * upper.fraction + pelvis.mass * pelvis.fraction)
                / (upper.mass + pelvis.mass);
            assert!((found - centre).abs() < 1e-9);
            assert!(upper.fraction < 0.85 && pelvis.fraction > 0.05);
        }
    }
}
