//! Body measurements by name, and how each is taken.
//!
//! Names and clauses are those of ISO 7250-1:2017, "Basic human body measurements for technological design", where it
//! has them (clause numbers from memory of the 2008 edition, whose 4.x.y became 6.x.y); definitions as measured in
//! ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), from which the moments come. Lengths in mm, mass in kg.
//! The standard deviation of a helper with a tape is a judgement: no published test of such lengths was found.

use serde::{Deserialize, Serialize};

/// A body measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Measurement {
    /// Height of the body, standing.
    Stature,
    /// Mass of the body.
    BodyMass,
    /// Floor to crotch.
    CrotchHeight,
    /// Floor to the outer point of the hip bone.
    TrochanterionHeight,
    /// Floor to the top of the shin bone.
    TibialHeight,
    /// Floor to the outer ankle bone.
    LateralMalleolusHeight,
    /// Floor to the top of the shoulder.
    ShoulderHeight,
    /// Floor to the bony bump at the base of the neck.
    CervicaleHeight,
    /// Floor to the notch over the breastbone.
    SuprasternaleHeight,
    /// Shoulder bone to elbow bone.
    AcromionRadialeLength,
    /// Elbow bone to wrist bone.
    RadialeStylionLength,
    /// Shoulder to the underside of the bent elbow.
    ShoulderElbowLength,
    /// Back of the bent elbow to the middle of a gripped rod.
    ElbowGripLength,
    /// Back of the bent elbow to the fingertip.
    ForearmFingertipLength,
    /// Wrist bone to the middle fingertip.
    HandLength,
    /// Breadth across the knuckles.
    HandBreadth,
    /// Seat to crown.
    SittingHeight,
    /// Buttocks to the front of the knee, sitting.
    ButtockKneeLength,
    /// Floor to the top of the knee, sitting.
    KneeHeightSitting,
    /// Heel to the longest toe.
    FootLength,
    /// Heel to the ball of the foot.
    BallOfFootLength,
    /// Between the two shoulder bones.
    BiacromialBreadth,
    /// Across the hips, standing.
    HipBreadth,
    /// Front to back of the chest.
    ChestDepth,
    /// Seat to the top of the thigh.
    ThighClearance,
    /// Around the upper thigh.
    ThighCircumference,
    /// Around the calf.
    CalfCircumference,
    /// Fingertip to fingertip, arms stretched sideways.
    Span,
}

/// The unit of a measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Kilograms.
    Kg,
}

/// What the measuring guide says about a measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Entry {
    name: &'static str,
    iso_clause: Option<&'static str>,
    adult: (f64, f64),
    youth: (f64, f64),
    tape_sd: f64,
    how: &'static str,
}

const fn entry(
    name: &'static str,
    iso_clause: Option<&'static str>,
    adult: (f64, f64),
    youth: (f64, f64),
    tape_sd: f64,
    how: &'static str,
) -> Entry {
    Entry {
        name,
        iso_clause,
        adult,
        youth,
        tape_sd,
        how,
    }
}

/// By [`Measurement`] in order: name; ISO 7250-1:2017 clause (from memory); allowed range of adults and of youths (our
/// choice: about a fifth beyond the extremes of ANSUR II and of Snyder et al. 1977 from 6 years); standard deviation
/// of a helper with a tape (judgement, near twice the allowable observer error of ANSUR); how to take it.
const ENTRIES: [Entry; Measurement::COUNT] = [
    entry(
        "stature",
        Some("6.1.2"),
        (1300.0, 2300.0),
        (950.0, 2150.0),
        6.0,
        "Barefoot, heels and back against a wall, looking level: floor to crown under a book held square to the wall.",
    ),
    entry(
        "body_mass",
        Some("6.1.1"),
        (30.0, 200.0),
        (14.0, 150.0),
        1.0,
        "On a scale in underwear, without gear.",
    ),
    entry(
        "crotch_height",
        Some("6.1.7"),
        (560.0, 1250.0),
        (380.0, 1150.0),
        12.0,
        "Barefoot, back to a wall: a book's spine pulled up firmly into the crotch, level, floor to its top edge.",
    ),
    entry(
        "trochanterion_height",
        None,
        (600.0, 1300.0),
        (430.0, 1200.0),
        12.0,
        "Standing: floor to the uppermost outer point of the hip bone, found by swinging the leg.",
    ),
    entry(
        "tibial_height",
        Some("6.1.8"),
        (300.0, 700.0),
        (210.0, 640.0),
        8.0,
        "Standing: floor to the top edge of the shin bone on the inner side of the knee.",
    ),
    entry(
        "lateral_malleolus_height",
        None,
        (35.0, 115.0),
        (30.0, 100.0),
        5.0,
        "Standing barefoot: floor to the point of the outer ankle bone.",
    ),
    entry(
        "shoulder_height",
        Some("6.1.4"),
        (1000.0, 2000.0),
        (740.0, 1800.0),
        8.0,
        "Standing upright: floor to the outer edge of the bone on top of the shoulder.",
    ),
    entry(
        "cervicale_height",
        None,
        (1050.0, 2060.0),
        (780.0, 1900.0),
        8.0,
        "Standing, looking level: floor to the bony bump at the base of the neck that moves when nodding.",
    ),
    entry(
        "suprasternale_height",
        None,
        (1000.0, 1970.0),
        (740.0, 1800.0),
        8.0,
        "Standing: floor to the bottom of the notch at the top of the breastbone.",
    ),
    entry(
        "acromion_radiale_length",
        None,
        (220.0, 470.0),
        (160.0, 430.0),
        8.0,
        "Arm hanging: bone on top of the shoulder to the gap of the elbow joint on the outer side.",
    ),
    entry(
        "radiale_stylion_length",
        None,
        (145.0, 400.0),
        (120.0, 360.0),
        8.0,
        "Arm hanging, palm inward: gap of the elbow joint on the outer side to the wrist bone on the thumb's side.",
    ),
    entry(
        "shoulder_elbow_length",
        Some("6.2.6"),
        (240.0, 510.0),
        (180.0, 460.0),
        8.0,
        "Elbow bent square: bone on top of the shoulder to the underside of the elbow.",
    ),
    entry(
        "elbow_grip_length",
        Some("6.4.3"),
        (220.0, 500.0),
        (160.0, 450.0),
        8.0,
        "Elbow bent square, fist around an upright rod: back of the elbow to the middle of the rod.",
    ),
    entry(
        "forearm_fingertip_length",
        Some("6.4.5"),
        (300.0, 690.0),
        (230.0, 620.0),
        8.0,
        "Elbow bent square, hand flat: back of the elbow to the tip of the middle finger.",
    ),
    entry(
        "hand_length",
        Some("6.3.1"),
        (125.0, 285.0),
        (95.0, 260.0),
        3.0,
        "Hand flat, palm up: crease of the wrist at the thumb's side to the tip of the middle finger.",
    ),
    entry(
        "hand_breadth",
        Some("6.3.3"),
        (55.0, 125.0),
        (40.0, 115.0),
        2.0,
        "Fingers closed: across the knuckles of the four fingers.",
    ),
    entry(
        "sitting_height",
        Some("6.2.1"),
        (640.0, 1200.0),
        (510.0, 1120.0),
        10.0,
        "On a hard stool, back stretched, looking level: seat to crown.",
    ),
    entry(
        "buttock_knee_length",
        Some("6.4.7"),
        (400.0, 860.0),
        (280.0, 770.0),
        8.0,
        "Sitting with the buttocks against a wall, knee square: wall to the front of the kneecap.",
    ),
    entry(
        "knee_height_sitting",
        Some("6.2.14"),
        (350.0, 780.0),
        (260.0, 700.0),
        6.0,
        "Sitting barefoot, knee square: floor to the top of the knee.",
    ),
    entry(
        "foot_length",
        Some("6.3.7"),
        (175.0, 380.0),
        (135.0, 350.0),
        3.0,
        "Standing on paper, weight on both feet, heel to a wall: wall to the longest toe.",
    ),
    entry(
        "ball_of_foot_length",
        None,
        (125.0, 290.0),
        (95.0, 260.0),
        4.0,
        "Standing, heel to a wall: wall to the joint at the base of the big toe.",
    ),
    entry(
        "biacromial_breadth",
        Some("6.2.8"),
        (240.0, 580.0),
        (190.0, 500.0),
        12.0,
        "Sitting upright, from behind: between the outer edges of the two shoulder bones, tape straight.",
    ),
    entry(
        "hip_breadth",
        Some("6.1.12"),
        (220.0, 560.0),
        (150.0, 500.0),
        10.0,
        "Standing, feet together: greatest breadth across the hips, between two boards.",
    ),
    entry(
        "chest_depth",
        None,
        (140.0, 460.0),
        (90.0, 380.0),
        10.0,
        "Standing: front to back of the chest at nipple height, between two boards.",
    ),
    entry(
        "thigh_clearance",
        Some("6.2.13"),
        (95.0, 310.0),
        (60.0, 270.0),
        6.0,
        "Sitting: seat to the highest point of the thigh.",
    ),
    entry(
        "thigh_circumference",
        Some("6.4.13"),
        (320.0, 1000.0),
        (220.0, 850.0),
        12.0,
        "Standing: around the thigh just under the buttock, tape level.",
    ),
    entry(
        "calf_circumference",
        Some("6.4.14"),
        (210.0, 630.0),
        (150.0, 540.0),
        8.0,
        "Standing: around the thickest part of the calf, tape level.",
    ),
    entry(
        "span",
        None,
        (1150.0, 2500.0),
        (870.0, 2250.0),
        12.0,
        "Back to a wall, arms stretched level to both sides: fingertip to fingertip.",
    ),
];

impl Measurement {
    /// How many there are.
    pub const COUNT: usize = 28;

    /// All, in the order of the tables.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Stature,
        Self::BodyMass,
        Self::CrotchHeight,
        Self::TrochanterionHeight,
        Self::TibialHeight,
        Self::LateralMalleolusHeight,
        Self::ShoulderHeight,
        Self::CervicaleHeight,
        Self::SuprasternaleHeight,
        Self::AcromionRadialeLength,
        Self::RadialeStylionLength,
        Self::ShoulderElbowLength,
        Self::ElbowGripLength,
        Self::ForearmFingertipLength,
        Self::HandLength,
        Self::HandBreadth,
        Self::SittingHeight,
        Self::ButtockKneeLength,
        Self::KneeHeightSitting,
        Self::FootLength,
        Self::BallOfFootLength,
        Self::BiacromialBreadth,
        Self::HipBreadth,
        Self::ChestDepth,
        Self::ThighClearance,
        Self::ThighCircumference,
        Self::CalfCircumference,
        Self::Span,
    ];

    /// Position in [`Self::ALL`].
    pub const fn index(self) -> usize {
        self as usize
    }

    const fn entry(self) -> &'static Entry {
        &ENTRIES[self as usize]
    }

    /// The name in documents, on the command line and on the page.
    pub const fn name(self) -> &'static str {
        self.entry().name
    }

    /// The measurement of this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.name() == name)
    }

    /// Clause of ISO 7250-1:2017 that defines it (from memory); `None` where the standard does not have it.
    pub const fn iso_clause(self) -> Option<&'static str> {
        self.entry().iso_clause
    }

    /// Its unit.
    pub const fn unit(self) -> Unit {
        match self {
            Self::BodyMass => Unit::Kg,
            _ => Unit::Mm,
        }
    }

    /// The range in which a value is believed at all, in its unit, for an adult or a youth under 16.
    pub const fn allowed(self, youth: bool) -> (f64, f64) {
        if youth {
            self.entry().youth
        } else {
            self.entry().adult
        }
    }

    /// Standard deviation of a helper with a tape (the scale: 1 kg), in its unit. A judgement.
    pub const fn tape_sd(self) -> f64 {
        self.entry().tape_sd
    }

    /// How to take it, in a sentence.
    pub const fn how(self) -> &'static str {
        self.entry().how
    }
}

impl Unit {
    /// The unit as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Kg => "kg",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_order_names_and_ranges_agree() {
        for (i, m) in Measurement::ALL.into_iter().enumerate() {
            assert_eq!(m.index(), i);
            let stored = serde_json::to_string(&m).unwrap();
            assert_eq!(stored, format!("\"{}\"", m.name()));
            assert_eq!(Measurement::from_name(m.name()), Some(m));
            for (low, high) in [m.allowed(false), m.allowed(true)] {
                assert!(0.0 < low && low < high, "{}", m.name());
                assert!(m.tape_sd() > 0.0 && m.tape_sd() < low);
            }
            assert!(m.how().ends_with('.'));
        }
        assert_eq!(Measurement::from_name("inseam"), None);
    }
}
