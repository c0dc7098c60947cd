//! Maximum joint moments and hand forces.
//!
//! Moment = peak × A(angle) × size × age × level, held still: how fast a joint moves is not modelled. Legs follow
//! Anderson, Madigan & Nussbaum (2007), "Maximum voluntary joint torque as a function of joint angle and angular
//! velocity", J Biomech 40:3105-3113, Table 3: A = cos(C2 (θ − C3)). Size is body mass × stature over that of the
//! reference bodies (75 kg and 1.78 m, 62 kg and 1.65 m), with the mass capped at a body mass index of 27: fat is not
//! strength (our choice). People differ by a quarter ([`SPREAD`]): never show a bare number.

use super::gear::Gloves;
use super::sex::{BySex, Sex};
use crate::units::{Angle, MM_PER_M};

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

/// Standard deviation between people, as a share (14 muscle groups, 0.20 to 0.30: Benfica et al. 2018, Braz J Phys Ther
/// 22:355; grip 0.17 to 0.19).
pub const SPREAD: f64 = 0.25;

/// Both limbs together hold this share of twice one (bilateral deficit; our choice).
pub const TWO_LIMBS: f64 = 0.95;

/// Peak holding moments, N·m, one limb, of the reference man and woman. Our choice of the published figures named.
const PEAKS: [(Action, BySex); Action::COUNT] = [
    // Stobbe 1982 in Chaffin et al., Occupational Biomechanics: 126 and 81; Anderson 124 and 104.
    (Action::AnklePlantar, BySex::new(125.0, 85.0)),
    // Anderson 43 and 27; Harbo et al. 2012, Eur J Appl Physiol 112:267: 0.57 N·m/kg.
    (Action::AnkleDorsi, BySex::new(43.0, 27.0)),
    // Sarabon et al. 2021, Front Physiol 12:767941: 219-259 and 129-170; Anderson 213 and 160; Stobbe 168 and 106.
    (Action::KneeExtension, BySex::new(215.0, 155.0)),
    // Sarabon 86-122; Anderson 114 and 80; Stobbe 100 and 62.
    (Action::KneeFlexion, BySex::new(110.0, 75.0)),
    // Anderson 211 and 182; Stobbe 190 and 97.
    (Action::HipExtension, BySex::new(205.0, 145.0)),
    // Anderson 148 and 127; Stobbe 185 and 126 seated. Low side.
    (Action::HipFlexion, BySex::new(150.0, 105.0)),
    // Stobbe 234, women about 0.65 of it; Chaffin et al. 1999, Table 4.5: 288 at 20° of lean (peak × 1.2).
    (Action::TrunkExtension, BySex::new(240.0, 155.0)),
    // Stobbe 143, women about 0.6 of it; extension over flexion 1.3 (Beimborn & Morrissey 1988). Low side.
    (Action::TrunkFlexion, BySex::new(150.0, 95.0)),
    // Dynamic shoulder flexion strength (26 men, 25 women): 89.9 at 0°, women half; textbook 78-92.
    (Action::ShoulderFlexion, BySex::new(85.0, 43.0)),
    // Extension over flexion 5 : 4 (Ivey et al. 1985, Arch Phys Med Rehabil 66:384); 1.25 N·m/kg. Low side.
    (Action::ShoulderExtension, BySex::new(95.0, 48.0)),
    // Stobbe in Chaffin et al., arm 90° abducted; women from memory.
    (Action::ShoulderHorizontalFlexion, BySex::new(92.0, 40.0)),
    (Action::ShoulderHorizontalExtension, BySex::new(67.0, 33.0)),
    // Tsunoda et al. 1993, Eur J Appl Physiol 66:235: 69.5 and 35.4; Stobbe 77 and 41.
    (Action::ElbowFlexion, BySex::new(70.0, 38.0)),
    // Stobbe 46 and 27; Harbo 0.61 N·m/kg.
    (Action::ElbowExtension, BySex::new(50.0, 28.0)),
];

/// A = cos(c2 (θ − c3)), θ in radians, with the least that a joint keeps anywhere.
#[derive(Clone, Copy)]
struct Curve {
    c2: BySex,
    c3: BySex,
    floor: f64,
}

/// Least share of the peak, our choice; hip flexion keeps half, as seated tests (Stobbe) find far more than the curve.
const FLOOR: f64 = 0.10;
const HIP_FLEXION_FLOOR: f64 = 0.50;

const fn curve(c2: BySex, c3: BySex, floor: f64) -> Curve {
    Curve { c2, c3, floor }
}

/// Anderson et al. 2007, Table 3, C2 and C3, 18 to 25 years, as quoted in open code. Angles: hip and knee flexion and
/// ankle dorsiflexion positive.
const ANKLE_PLANTAR: Curve = curve(BySex::new(1.391, 1.399), BySex::new(0.408, 0.424), FLOOR);
const ANKLE_DORSI: Curve = curve(BySex::new(1.510, 1.079), BySex::new(-0.187, -0.302), FLOOR);
const KNEE_EXTENSION: Curve = curve(BySex::new(1.258, 1.187), BySex::new(1.133, 1.274), FLOOR);
const KNEE_FLEXION: Curve = curve(BySex::new(0.869, 0.873), BySex::new(0.522, 0.635), FLOOR);
const HIP_EXTENSION: Curve = curve(BySex::new(0.958, 0.697), BySex::new(0.932, 1.242), FLOOR);
const HIP_FLEXION: Curve = curve(
    BySex::new(0.738, 0.650),
    BySex::new(-0.214, -0.350),
    HIP_FLEXION_FLOOR,
);
/// Our choice; within 0.05 of Tsunoda et al. 1993 for men, on the safe side for women's bent elbows.
const ELBOW_FLEXION: Curve = curve(
    BySex::new(0.80, 0.80),
    BySex::new(65.0_f64.to_radians(), 65.0_f64.to_radians()),
    FLOOR,
);
/// Our choice; best near 80 to 94°.
const ELBOW_EXTENSION: Curve = curve(
    BySex::new(0.70, 0.70),
    BySex::new(80.0_f64.to_radians(), 80.0_f64.to_radians()),
    FLOOR,
);

impl Curve {
    fn at(self, angle: Angle, sex: Sex) -> f64 {
        let quarter = core::f64::consts::FRAC_PI_2;
        let turn = (self.c2.of(sex) * (angle.rad() - self.c3.of(sex))).clamp(-quarter, quarter);
        libm::cos(turn).max(self.floor)
    }
}

/// Trunk extension over lean in degrees: Chaffin et al. 1999, Table 4.5 (288, 232, 171 N·m at 20, 40, 60°) over 240;
/// held beyond, where there are no data.
const TRUNK_EXTENSION: [(f64, f64); 3] = [(20.0, 1.20), (40.0, 0.97), (60.0, 0.71)];

/// Shoulder flexion over its angle in degrees: 89.9 and 68.6 N·m at 0 and 45° (dynamic shoulder flexion strength study),
/// on to 90° our choice; held beyond.
const SHOULDER_FLEXION: [(f64, f64); 3] = [(0.0, 1.0), (45.0, 0.7615), (90.0, 0.649)];

/// Straight lines between points, held beyond the ends.
fn along(points: &[(f64, f64)], at: f64) -> f64 {
    let mut value = points.first().map_or(1.0, |p| p.1);
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if at > x0 {
            value = y0 + (y1 - y0) * ((at - x0) / (x1 - x0)).min(1.0);
        }
    }
    value
}

/// Hand forces of adults, N: grip (median 483 and 288 at 25 to 29 years, 2.4 million adults, J Sport Health Sci 2025
/// 14:101014; NHANES 481 and 304), thumb against the side of the finger (Mathiowetz et al. 1985, 117 and 83), pull of
/// one finger (108 over both sexes, Yun et al. 2024, Arch Hand Microsurg 29(2); the split by sex derived).
const GRIP: BySex = BySex::new(480.0, 295.0);
const THUMB: BySex = BySex::new(115.0, 80.0);
const FINGER: BySex = BySex::new(130.0, 88.0);

/// Pull-off force over grip strength on a horizontal bar of 22 to 32 mm: 1.58 grippy, 1.26 slippery (Young et al. 2009,
/// Hum Factors 51:705); between them is our choice.
const PULL_OFF_OVER_GRIP: f64 = 1.4;

/// Bar diameters, mm, and the factor on the pull-off force (Young et al. 2012, Hum Factors 54:316: 51 mm is 8 to 13 %
/// below 22 to 32 mm).
const PULL_OFF_BY_DIAMETER: [(f64, f64); 2] = [(32.0, 1.0), (51.0, 0.90)];

/// What little, ring, middle and index finger hold of a full hand: single fingers 108, 111 and 84 N for index, middle
/// and ring (Yun et al. 2024); the little finger at 0.6 of the ring finger is our choice.
const FINGER_SHARES: [f64; 4] = [50.4 / 353.4, 84.0 / 353.4, 111.0 / 353.4, 108.0 / 353.4];

/// Strength over age: from 40 years, −1 % a year for legs and trunk, −0.7 % for arms and grip, to 70 years (our choice;
/// within 0.1 of Danneskiold-Samsøe et al. 2009 and the grip norms).
const AGE_FROM: f64 = 40.0;
const AGE_TO: f64 = 70.0;
const LEGS_PER_YEAR: f64 = 0.010;
const ARMS_PER_YEAR: f64 = 0.007;

/// Youths: what strength over mass and stature has reached, from 0.75 at 10 years to 1 at 16 (common practice, no
/// source). A youth's hands are scaled by size as well, an adult's are not.
const YOUTH: [(f64, f64); 2] = [(10.0, 0.75), (16.0, 1.0)];

/// Body mass index beyond which mass adds no strength, kg/m² (our choice).
const STRONGEST_INDEX: f64 = 27.0;

/// How strong for size, sex and age.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Level {
    /// 0.75 of the average: the weakest sixth.
    Weak,
    /// The average of the published samples.
    #[default]
    Average,
    /// 1.3 of the average (elbows of trained men 1.34, women 1.61; grip of women athletes 1.35).
    Trained,
    /// A factor of one's own.
    Factor(f64),
}

impl Level {
    /// The factor on all moments and forces.
    pub const fn factor(self) -> f64 {
        match self {
            Self::Weak => 0.75,
            Self::Average => 1.0,
            Self::Trained => 1.3,
            Self::Factor(factor) => factor,
        }
    }
}

/// What sets a rider's strength.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constitution {
    /// Sex.
    pub sex: Sex,
    /// Body mass, kg.
    pub mass: f64,
    /// Stature, mm.
    pub stature: f64,
    /// Age, years; the best age where not known.
    pub age: Option<f64>,
    /// Strength level.
    pub level: Level,
    /// Grip of the bare hand measured with a dynamometer, N.
    pub measured_grip: Option<f64>,
}

/// What this rider's joints and hands can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    sex: Sex,
    /// By [`Action`] in order, N·m.
    peaks: [f64; Action::COUNT],
    /// Bare and gloved grip, pull-off, thumb and finger, N.
    bare_grip: f64,
    grip: f64,
    pull_off: f64,
    thumb: f64,
    finger: f64,
}

impl Action {
    /// How many there are.
    pub const COUNT: usize = 14;

    /// All, in order.
    pub const ALL: [Self; Self::COUNT] = [
        Self::AnklePlantar,
        Self::AnkleDorsi,
        Self::KneeExtension,
        Self::KneeFlexion,
        Self::HipExtension,
        Self::HipFlexion,
        Self::TrunkExtension,
        Self::TrunkFlexion,
        Self::ShoulderFlexion,
        Self::ShoulderExtension,
        Self::ShoulderHorizontalFlexion,
        Self::ShoulderHorizontalExtension,
        Self::ElbowFlexion,
        Self::ElbowExtension,
    ];

    const fn is_arm(self) -> bool {
        matches!(
            self,
            Self::ShoulderFlexion
                | Self::ShoulderExtension
                | Self::ShoulderHorizontalFlexion
                | Self::ShoulderHorizontalExtension
                | Self::ElbowFlexion
                | Self::ElbowExtension
        )
    }

    /// Share of the peak at an angle.
    fn share(self, angle: Angle, sex: Sex) -> f64 {
        match self {
            Self::AnklePlantar => ANKLE_PLANTAR.at(angle, sex),
            Self::AnkleDorsi => ANKLE_DORSI.at(angle, sex),
            Self::KneeExtension => KNEE_EXTENSION.at(angle, sex),
            Self::KneeFlexion => KNEE_FLEXION.at(angle, sex),
            Self::HipExtension => HIP_EXTENSION.at(angle, sex),
            Self::HipFlexion => HIP_FLEXION.at(angle, sex),
            Self::ElbowFlexion => ELBOW_FLEXION.at(angle, sex),
            Self::ElbowExtension => ELBOW_EXTENSION.at(angle, sex),
            Self::TrunkExtension => along(&TRUNK_EXTENSION, angle.deg()),
            Self::ShoulderFlexion => along(&SHOULDER_FLEXION, angle.deg()),
            // Flat: shoulder extension in the textbook form, the others for want of data.
            Self::TrunkFlexion
            | Self::ShoulderExtension
            | Self::ShoulderHorizontalFlexion
            | Self::ShoulderHorizontalExtension => 1.0,
        }
    }
}

impl Strength {
    /// Strength of a rider in gloves.
    pub fn new(rider: &Constitution, gloves: &Gloves) -> Self {
        let sex = rider.sex;
        let metres = rider.stature / MM_PER_M;
        let lean = rider.mass.min(STRONGEST_INDEX * metres * metres);
        let reference = BySex::new(75.0 * 1.78, 62.0 * 1.65);
        // Sex unknown: both sexes' peaks at this size, then their mean.
        let sized = |peak: BySex| {
            BySex::new(
                peak.male * lean * metres / reference.male,
                peak.female * lean * metres / reference.female,
            )
            .of(sex)
        };
        let age = rider.age.unwrap_or(AGE_FROM);
        let years = (age.min(AGE_TO) - AGE_FROM).max(0.0);
        let young = along(&YOUTH, age);
        let level = rider.level.factor();
        let legs = level * young * (1.0 - LEGS_PER_YEAR * years);
        let arms = level * young * (1.0 - ARMS_PER_YEAR * years);
        let hand_size = if age < YOUTH[1].0 {
            (sized(BySex::new(1.0, 1.0))).min(1.0)
        } else {
            1.0
        };
        let hand = arms * hand_size;
        let bare_grip = rider.measured_grip.unwrap_or(GRIP.of(sex) * hand);
        let mut peaks = [0.0; Action::COUNT];
        for (action, peak) in PEAKS {
            let by_age = if action.is_arm() { arms } else { legs };
            peaks[action as usize] = sized(peak) * by_age;
        }
        let glove = gloves.kind.grip_factor();
        Self {
            sex,
            peaks,
            bare_grip,
            grip: bare_grip * glove,
            pull_off: PULL_OFF_OVER_GRIP * bare_grip * gloves.pull_off_factor,
            thumb: THUMB.of(sex) * hand * glove,
            finger: FINGER.of(sex) * hand * glove,
        }
    }

    /// Greatest moment that one limb (the trunk: the whole) holds in this direction at this joint angle, N·m, positive.
    ///
    /// `angle` is the joint's own angle in the clinical convention of the crate docs; for the trunk it is the trunk lean.
    /// For two limbs together take twice this times [`TWO_LIMBS`].
    pub fn at(&self, action: Action, angle: Angle) -> f64 {
        self.peaks[action as usize] * action.share(angle, self.sex)
    }

    /// Greatest moment of one limb at the reference of its angle factor (the best angle; for the trunk see the lean), N·m.
    pub fn peak(&self, action: Action) -> f64 {
        self.peaks[action as usize]
    }

    /// Grip strength of the bare hand, N.
    pub fn bare_grip(&self) -> f64 {
        self.bare_grip
    }

    /// Grip strength of one gloved hand, N.
    pub fn grip(&self) -> f64 {
        self.grip
    }

    /// Pull-off force of one gloved hand with all fingers on the grip, N.
    pub fn pull_off(&self) -> f64 {
        self.pull_off
    }

    /// Pull-off force of one gloved hand with only `fingers` on the grip, counted from the little finger, N.
    pub fn pull_off_with_fingers(&self, fingers: usize) -> f64 {
        let share: f64 = FINGER_SHARES.iter().take(fingers).sum();
        self.pull_off * share.min(1.0)
    }

    /// Factor on the pull-off force for a grip of this outside diameter in mm, 1 up to 32 mm.
    pub fn pull_off_by_diameter(diameter: f64) -> f64 {
        along(&PULL_OFF_BY_DIAMETER, diameter)
    }

    /// Force of the thumb against a paddle, N.
    pub fn thumb(&self) -> f64 {
        self.thumb
    }

    /// The same rider, stronger or weaker by a factor; for sensitivity.
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            sex: self.sex,
            peaks: self.peaks.map(|peak| peak * factor),
            bare_grip: self.bare_grip * factor,
            grip: self.grip * factor,
            pull_off: self.pull_off * factor,
            thumb: self.thumb * factor,
            finger: self.finger * factor,
        }
    }
}
