//! Lengths between joint centres.

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
