//! What is worn, as far as it changes lengths, clearances, masses, joint limits and grip.
//!
//! Allowances do not depend on the wearer's size, sex or age (Szkudlarek 2023, 200 people, 3-D scans). Most figures are
//! from memory or common practice: each is a default to be replaced by a measurement of the rider's own gear.
//! Lengths in mm, masses in kg.

use crate::units::Angle;

/// How the boot's shaft holds the ankle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Shaft {
    /// Soft winter boot: the ankle's own range binds first.
    Soft,
    /// Laced boot with a firm shaft.
    #[default]
    Firm,
    /// Boot with a plastic shell or hinge stop.
    Stiff,
}

impl Shaft {
    /// Dorsiflexion at which the shaft stops the ankle.
    ///
    /// Common practice, no source: a shank travels 15 to 20° past the boot's neutral, which leans 5 to 10° forward in
    /// a firm boot; no range of motion in such boots was found published.
    const fn dorsiflexion_stop(self) -> Option<Angle> {
        match self {
            Self::Soft => None,
            Self::Firm => Some(Angle::from_deg(28.0)),
            Self::Stiff => Some(Angle::from_deg(20.0)),
        }
    }
}

/// A glove's make, as far as strength differs by it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum GloveKind {
    /// Thin race glove.
    Thin,
    /// Insulated glove.
    #[default]
    Thick,
}

impl GloveKind {
    /// Share of bare grip strength left: −10 to −29 % in three studies (McDowell et al., NIOSHTIC 20037316; Appl Sci
    /// 2021, 11:8294).
    pub(super) const fn grip_factor(self) -> f64 {
        match self {
            Self::Thin => 0.90,
            Self::Thick => 0.75,
        }
    }
}

/// Boots. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boots {
    /// Sole, board and liner under the ball.
    pub sole_at_ball: f64,
    /// Sole, board and liner under the heel.
    pub sole_at_heel: f64,
    /// Boot length beyond the foot's.
    pub longer: f64,
    /// Boot width beyond the foot's.
    pub wider: f64,
    /// Height over the underside of the sole at the instep.
    pub instep_height: f64,
    /// The shaft.
    pub shaft: Shaft,
    /// Dorsiflexion stop, where measured; else by the shaft.
    pub dorsiflexion_stop: Option<Angle>,
    /// Mass of each, kg.
    pub mass: f64,
}

/// Gloves. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gloves {
    /// Thickness in the palm.
    pub palm_thickness: f64,
    /// Breadth beyond the hand's.
    pub wider: f64,
    /// Make.
    pub kind: GloveKind,
    /// Factor on the pull-off force by the grip of its coating.
    pub pull_off_factor: f64,
    /// Mass of each, kg.
    pub mass: f64,
}

/// Helmet with goggles. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Helmet {
    /// Shell above the crown.
    pub crown: f64,
    /// Mass, kg.
    pub mass: f64,
}

/// Knee guard or brace. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KneeWear {
    /// Thickness ahead of the knee.
    pub thickness: f64,
    /// Knee flexion at which a brace stops; `None` for a guard without stop.
    pub flexion_stop: Option<Angle>,
    /// Mass on each leg, kg.
    pub mass: f64,
}

/// Chest and back protector. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Protector {
    /// Thickness on the chest.
    pub chest: f64,
    /// Mass, kg.
    pub mass: f64,
}

/// Jacket and trousers. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clothing {
    /// Thickness on each side.
    pub thickness: f64,
    /// Mass of all, kg.
    pub mass: f64,
}

/// All that is worn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gear {
    /// Boots.
    pub boots: Boots,
    /// Gloves.
    pub gloves: Gloves,
    /// Helmet.
    pub helmet: Helmet,
    /// Neck extension at which a neck brace stops the helmet; `None` without brace.
    pub neck_brace_stop: Option<Angle>,
    /// Knee guards or braces.
    pub knees: KneeWear,
    /// Chest and back protector.
    pub protector: Protector,
    /// Jacket and trousers.
    pub clothing: Clothing,
}

impl Default for Boots {
    /// Insulated winter boot: sole 20 to 30 at the ball, 30 to 40 at the heel, 25 to 35 longer, 15 to 25 wider (from
    /// memory); instep and mass common practice, no source.
    fn default() -> Self {
        Self {
            sole_at_ball: 25.0,
            sole_at_heel: 35.0,
            longer: 30.0,
            wider: 20.0,
            instep_height: 110.0,
            shaft: Shaft::Firm,
            dorsiflexion_stop: None,
            mass: 1.3,
        }
    }
}

impl Default for Gloves {
    /// Palm layer 3 to 6, breadth 10 to 20 more (from memory); pull-off 0.8 to 1.0 by coating (Young et al. 2012,
    /// Hum Factors 54:316, show that it turns on friction; the figure is our choice); mass common practice, no source.
    fn default() -> Self {
        Self {
            palm_thickness: 4.0,
            wider: 15.0,
            kind: GloveKind::Thick,
            pull_off_factor: 0.9,
            mass: 0.12,
        }
    }
}

impl Default for Helmet {
    /// Full-face helmet: crown 40 to 60, 1.2 to 1.7 kg (from memory); goggles within.
    fn default() -> Self {
        Self {
            crown: 50.0,
            mass: 1.5,
        }
    }
}

impl Default for KneeWear {
    /// A plain guard (common practice, no source).
    fn default() -> Self {
        Self {
            thickness: 15.0,
            flexion_stop: None,
            mass: 0.4,
        }
    }
}

impl Default for Protector {
    /// Common practice, no source.
    fn default() -> Self {
        Self {
            chest: 25.0,
            mass: 1.4,
        }
    }
}

impl Default for Clothing {
    /// Heavy clothing 8 to 10 on lengths and breadths (KAN after Handbuch der Ergonomie); mass common practice, no
    /// source.
    fn default() -> Self {
        Self {
            thickness: 8.0,
            mass: 3.0,
        }
    }
}

impl Gear {
    /// Mass of everything, kg.
    pub fn mass(&self) -> f64 {
        2.0 * (self.boots.mass + self.gloves.mass + self.knees.mass)
            + self.helmet.mass
            + self.protector.mass
            + self.clothing.mass
    }

    /// The joint limits that it imposes.
    pub fn limits(&self) -> GearLimits {
        GearLimits {
            knee_flexion: self.knees.flexion_stop,
            dorsiflexion: self
                .boots
                .dorsiflexion_stop
                .or(self.boots.shaft.dorsiflexion_stop()),
            neck_extension: self.neck_brace_stop,
        }
    }
}

/// Hard joint limits that gear imposes; `None` where it imposes none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GearLimits {
    /// Greatest knee flexion with a knee brace.
    pub knee_flexion: Option<Angle>,
    /// Greatest ankle dorsiflexion in the boot.
    pub dorsiflexion: Option<Angle>,
    /// Greatest neck extension with helmet and brace.
    pub neck_extension: Option<Angle>,
}
