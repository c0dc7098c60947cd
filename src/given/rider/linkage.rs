//! Lengths between joint centres, from landmarks and gear.
//!
//! Joint centres lie at published offsets from landmarks; a link is the distance of two of them on a body that stands
//! upright. Arms do not depend on where the elbow's centre is put (its place along the forearm is uncertain by about
//! 20 mm, the straight arm is not); legs and trunk trade length with the height of the hip's centre, which is uncertain
//! by ±15 mm and therefore a parameter ([`ModelError`]). Heights in mm above the bare foot's floor.

use super::estimate::Body;
use super::gear::Gear;
use super::measurement::Measurement as M;
use super::sex::{BySex, Sex};

/// The rider's linkage and body sizes in gear, all in mm.
///
/// The foot lies in the boot's own frame: origin at the boot's toe tip on the underside of the sole, distances counted
/// rearward along the sole and up from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Links {
    /// Boot toe tip to the ball of the foot, along the sole.
    pub toe_to_ball: f64,
    /// Boot toe tip to the rear contact (pressure centre of the heel), along the sole.
    pub toe_to_heel: f64,
    /// Boot toe tip to the ankle joint centre, along the sole.
    pub toe_to_ankle: f64,
    /// Ankle joint centre above the underside of the sole, boot flat.
    pub ankle_height: f64,
    /// Centre of mass of foot and boot: behind the toe tip, along the sole.
    pub toe_to_foot_com: f64,
    /// Centre of mass of foot and boot: above the underside of the sole.
    pub foot_com_height: f64,
    /// Bare foot length, for the pressure-centre range.
    pub foot_length: f64,
    /// Boot overall length.
    pub boot_length: f64,
    /// Boot height over the sole at the instep, to clear the hoop.
    pub boot_instep_height: f64,
    /// Half the boot's width at the ball.
    pub boot_half_width: f64,
    /// Ankle to knee joint centre.
    pub shank: f64,
    /// Knee to hip joint centre.
    pub thigh: f64,
    /// Half the distance between the hip joint centres.
    pub hip_half: f64,
    /// Mid-hip to the lumbosacral joint (L5/S1), along the trunk line.
    pub lower_trunk: f64,
    /// Mid-hip to mid-shoulder.
    pub trunk: f64,
    /// Half the distance between the shoulder joint centres.
    pub shoulder_half: f64,
    /// Forward offset of the shoulder joints from the trunk line, square to it.
    pub protraction: f64,
    /// Shoulder to elbow joint centre.
    pub upper_arm: f64,
    /// Elbow joint centre to grip centre, glove included.
    pub forearm: f64,
    /// Wrist joint centre to grip centre, glove included.
    pub wrist_to_grip: f64,
    /// Mid-shoulder to the base of the neck (C7/T1), along the trunk line.
    pub neck_base: f64,
    /// Base of the neck to the centre of mass of head and helmet.
    pub neck: f64,
    /// Outer radius of the helmet about the head's centre.
    pub helmet_radius: f64,
    /// Hip joint centre above an unloaded flat seat, clothing included.
    pub hip_over_seat: f64,
    /// Radius of the knee with knee guard.
    pub knee_radius: f64,
    /// Radius of the thigh at mid-length.
    pub thigh_radius: f64,
    /// Radius of the shank at the calf.
    pub shank_radius: f64,
    /// Front of chest with protector, ahead of the trunk line, at two thirds of the trunk.
    pub chest_front: f64,
}

/// Errors of the model itself, apart from measuring: all zero for the best guess. The full band varies them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ModelError {
    /// Hip joint centre higher than assumed, mm.
    pub hip_height: f64,
    /// Shoulder joint centre higher than assumed, mm.
    pub shoulder_height: f64,
    /// Shoulders further forward than assumed, mm.
    pub protraction: f64,
    /// Strength above what is assumed, as a share of it.
    pub strength: f64,
}

impl ModelError {
    /// One standard deviation of each: hip ±15 mm systematic (the routes below span 35 mm); shoulder ±15 mm (0.104 of
    /// acromion-radiale against 0.42 of C7-suprasternale); protraction 25 mm (what is left of thumbtip reach in
    /// ANSUR II with the own arm measured); strength 0.25 (spread between people of 14 muscle groups, Benfica et al.
    /// 2018, Braz J Phys Ther 22:355).
    pub const SD: Self = Self {
        hip_height: 15.0,
        shoulder_height: 15.0,
        protraction: 25.0,
        strength: super::strength::SPREAD,
    };
}

/// Offsets of joint centres from landmarks, shares and mm; men, women.
///
/// | offset | source |
/// |---|---|
/// | shoulder, elbow, wrist, knee | de Leva 1996, J Biomech 29:1231-1233, Table 2 |
/// | ankle | de Leva 1996, J Biomech 29:1223-1230, Table 4: centres of mass with both ends |
/// | hip | our choice between five routes from −7 to +30 mm: CT of 519 femurs, de Leva 1996 (+3), ASIS of Snyder 1977 (+29), Drillis & Contini 1966 on ANSUR II (+18 to +30), de Leva's male thigh (+25) |
/// | hip spacing, lumbosacral joint | Reed, Manary & Schneider 1999, SAE 1999-01-0959, shares of the width between the ASIS; that width over stature from Snyder et al. 1977, 14 to 20 years, our arithmetic |
/// | C7/T1 | Reed, Manary & Schneider 1999; women's row after Dumas et al. 2007, second hand |
/// | shoulder spacing | biacromial less 15 to 20 mm a side, from memory |
/// | elbow to grip | ANSUR II means of forearm-hand length less radiale-stylion and hand length, our arithmetic |
/// | foot | shares of foot length, from memory, our choice |
mod offset {
    use super::BySex;

    /// Shoulder centre below acromion, share of acromion-radiale length.
    pub(super) const SHOULDER: f64 = 0.104;
    /// Upper arm, share of acromion-radiale length (0.957 − 0.104).
    pub(super) const UPPER_ARM: f64 = 0.853;
    /// Elbow centre above radiale, share of acromion-radiale length.
    pub(super) const ELBOW: f64 = 0.043;
    /// Wrist centre below radiale, share of radiale-stylion length.
    pub(super) const WRIST: f64 = 1.006;
    /// Knee centre above tibiale, share of trochanterion-tibiale distance.
    pub(super) const KNEE: f64 = 0.074;
    /// Ankle centre below the lateral malleolus, share of malleolus to knee centre.
    pub(super) const ANKLE: f64 = 0.0145;
    /// Hip centre above trochanterion, mm.
    pub(super) const HIP: f64 = 15.0;
    /// Width between the ASIS over stature.
    pub(super) const PELVIS_WIDTH: BySex = BySex::new(0.133, 0.145);
    /// Half the hip spacing over the width between the ASIS.
    pub(super) const HIP_HALF: BySex = BySex::new(0.361, 0.372);
    /// Hip centre to L5/S1 over the width between the ASIS.
    pub(super) const LUMBOSACRAL: BySex = BySex::new(0.41, 0.45);
    /// C7 to suprasternale over stature (130 mm for a man, from memory).
    pub(super) const NECK_DEPTH: f64 = 0.074;
    /// C7 to C7/T1 over C7 to suprasternale, and its angle above that line, degrees.
    pub(super) const CERVICAL: BySex = BySex::new(0.55, 0.53);
    pub(super) const CERVICAL_ANGLE: BySex = BySex::new(8.0, 14.0);
    /// Shoulder centre inward of the acromion, mm.
    pub(super) const SHOULDER_INWARD: f64 = 17.5;
    /// Back of the bent elbow beyond radiale, mm.
    pub(super) const ELBOW_BACK: BySex = BySex::new(19.1, 17.4);
    /// Vertex to the head's centre of mass over vertex to C7 (de Leva 1996, Table 4, "Head 2").
    pub(super) const HEAD: BySex = BySex::new(0.5002, 0.4841);
    /// Mid-thigh girth over that under the buttock (from memory).
    pub(super) const MID_THIGH: f64 = 0.88;
    /// Foot breadth over its length (ANSUR II means, from memory).
    pub(super) const FOOT_BREADTH: f64 = 0.377;
    /// Ankle centre, and pressure centre of the heel, ahead of the heel's back, shares of foot length.
    pub(super) const ANKLE_AHEAD: f64 = 0.25;
    pub(super) const HEEL_AHEAD: f64 = 0.13;
    /// Centre of mass of the foot ahead of the heel, share of its length (de Leva 1996, Table 4), and its height as a
    /// share of the ankle's; the boot's is taken to lie there too (our choice).
    pub(super) const FOOT_COM: BySex = BySex::new(0.4415, 0.4014);
    pub(super) const FOOT_COM_HEIGHT: f64 = 0.5;
    /// Share of the boot's extra length that lies ahead of the toes.
    pub(super) const TOE_ROOM: f64 = 0.6;
    /// Share of the glove's palm layer that lengthens elbow to grip: the bar moves away from the palm, mostly square
    /// to the forearm.
    pub(super) const PALM: f64 = 0.5;
}

/// Least length of a link, mm: contradictory measurements are questioned by name, and must not turn a limb over.
const LEAST: f64 = 20.0;

impl Links {
    /// The linkage of a body in gear; `protraction` in mm is the rider's own, apart from the model's error.
    pub fn new(body: &Body, sex: Sex, gear: &Gear, protraction: f64, error: &ModelError) -> Self {
        let get = |m| body.get(m);
        let cloth = gear.clothing.thickness;
        let stature = get(M::Stature);
        let upper = get(M::AcromionRadialeLength);

        let knee = get(M::TibialHeight)
            + offset::KNEE * (get(M::TrochanterionHeight) - get(M::TibialHeight));
        let malleolus = get(M::LateralMalleolusHeight);
        let ankle = malleolus - offset::ANKLE * (knee - malleolus);
        let hip = get(M::TrochanterionHeight) + offset::HIP + error.hip_height;
        let shoulder = get(M::ShoulderHeight) - offset::SHOULDER * upper + error.shoulder_height;
        let neck_base = {
            let depth = offset::NECK_DEPTH * stature;
            let drop = (get(M::CervicaleHeight) - get(M::SuprasternaleHeight)) / depth;
            let below =
                libm::asin(drop.clamp(-1.0, 1.0)) - offset::CERVICAL_ANGLE.of(sex).to_radians();
            get(M::CervicaleHeight) - offset::CERVICAL.of(sex) * depth * libm::sin(below)
        };
        let head_below_vertex = offset::HEAD.of(sex) * (stature - get(M::CervicaleHeight));
        let pelvis = offset::PELVIS_WIDTH.of(sex) * stature;
        let elbow_to_grip =
            get(M::ElbowGripLength) - offset::ELBOW_BACK.of(sex) + offset::ELBOW * upper;
        let elbow_to_wrist = offset::ELBOW * upper + offset::WRIST * get(M::RadialeStylionLength);
        let palm = offset::PALM * gear.gloves.palm_thickness;
        let foot = Foot::new(get(M::FootLength), get(M::BallOfFootLength), gear);
        let foot_com_ahead = offset::FOOT_COM.of(sex) * foot.length;
        let girth = |m| get(m) / core::f64::consts::TAU;
        let least = |length: f64| length.max(LEAST);

        Self {
            toe_to_ball: foot.toe_to(foot.ball_ahead),
            toe_to_heel: foot.toe_to(foot.heel_ahead()),
            toe_to_ankle: foot.toe_to(foot.ankle_ahead()),
            ankle_height: least(ankle) + foot.sole_at(foot.ankle_ahead(), gear),
            toe_to_foot_com: foot.toe_to(foot_com_ahead),
            foot_com_height: offset::FOOT_COM_HEIGHT * least(ankle)
                + foot.sole_at(foot_com_ahead, gear),
            foot_length: foot.length,
            boot_length: foot.length + gear.boots.longer,
            boot_instep_height: gear.boots.instep_height,
            boot_half_width: 0.5 * (offset::FOOT_BREADTH * foot.length + gear.boots.wider),
            shank: least(knee - ankle),
            thigh: least(hip - knee),
            hip_half: offset::HIP_HALF.of(sex) * pelvis,
            lower_trunk: offset::LUMBOSACRAL.of(sex) * pelvis,
            trunk: least(shoulder - hip),
            shoulder_half: least(0.5 * get(M::BiacromialBreadth) - offset::SHOULDER_INWARD),
            protraction: protraction + error.protraction,
            upper_arm: least(offset::UPPER_ARM * upper),
            forearm: least(elbow_to_grip) + palm,
            wrist_to_grip: least(elbow_to_grip - elbow_to_wrist) + palm,
            neck_base: least(neck_base - shoulder),
            neck: least(stature - head_below_vertex - neck_base),
            helmet_radius: least(head_below_vertex) + gear.helmet.crown,
            hip_over_seat: least(get(M::SittingHeight) - stature + hip) + cloth,
            knee_radius: least(get(M::KneeHeightSitting) - knee) + gear.knees.thickness,
            thigh_radius: offset::MID_THIGH * girth(M::ThighCircumference) + cloth,
            shank_radius: girth(M::CalfCircumference) + cloth,
            chest_front: 0.5 * get(M::ChestDepth) + gear.protector.chest + cloth,
        }
    }

    /// Every length by the name it has in output, in mm.
    pub fn named(&self) -> [(&'static str, f64); 28] {
        [
            ("toe_to_ball", self.toe_to_ball),
            ("toe_to_heel", self.toe_to_heel),
            ("toe_to_ankle", self.toe_to_ankle),
            ("ankle_height", self.ankle_height),
            ("toe_to_foot_com", self.toe_to_foot_com),
            ("foot_com_height", self.foot_com_height),
            ("foot_length", self.foot_length),
            ("boot_length", self.boot_length),
            ("boot_instep_height", self.boot_instep_height),
            ("boot_half_width", self.boot_half_width),
            ("shank", self.shank),
            ("thigh", self.thigh),
            ("hip_half", self.hip_half),
            ("lower_trunk", self.lower_trunk),
            ("trunk", self.trunk),
            ("shoulder_half", self.shoulder_half),
            ("protraction", self.protraction),
            ("upper_arm", self.upper_arm),
            ("forearm", self.forearm),
            ("wrist_to_grip", self.wrist_to_grip),
            ("neck_base", self.neck_base),
            ("neck", self.neck),
            ("helmet_radius", self.helmet_radius),
            ("hip_over_seat", self.hip_over_seat),
            ("knee_radius", self.knee_radius),
            ("thigh_radius", self.thigh_radius),
            ("shank_radius", self.shank_radius),
            ("chest_front", self.chest_front),
        ]
    }
}

/// The foot in its boot, measured ahead of the bare heel's back.
struct Foot {
    length: f64,
    ball_ahead: f64,
    toe_room: f64,
}

impl Foot {
    fn new(length: f64, ball_ahead: f64, gear: &Gear) -> Self {
        Self {
            length,
            // The ball lies between mid-foot and toes, whatever was measured.
            ball_ahead: ball_ahead.clamp(0.5 * length, 0.95 * length),
            toe_room: offset::TOE_ROOM * gear.boots.longer,
        }
    }

    fn heel_ahead(&self) -> f64 {
        offset::HEEL_AHEAD * self.length
    }

    fn ankle_ahead(&self) -> f64 {
        offset::ANKLE_AHEAD * self.length
    }

    fn toe_to(&self, ahead: f64) -> f64 {
        self.toe_room + self.length - ahead
    }

    /// Thickness of the sole, straight between heel and ball.
    fn sole_at(&self, ahead: f64, gear: &Gear) -> f64 {
        let share =
            ((ahead - self.heel_ahead()) / (self.ball_ahead - self.heel_ahead())).clamp(0.0, 1.0);
        gear.boots.sole_at_heel + share * (gear.boots.sole_at_ball - gear.boots.sole_at_heel)
    }
}
