//! The fields of a sled's stored form, in the sections in which a mechanic measures.

use super::entry::Kind;
use crate::sled::typical::{self as t, Dimension};

/// A field of a section or of a list's rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SledField {
    /// Key in the section's object; for a list of plain numbers empty.
    pub key: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Typical value and allowed range, where it is a number.
    pub row: Option<&'static Dimension>,
    /// Whether the typical value is taken where nothing is given; otherwise nothing is.
    pub assumed: bool,
}

/// How a section is made up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// One object with the fields.
    Fields,
    /// A list of objects or numbers; the word is what one of them is called.
    List(&'static str),
}

/// Fields that are measured together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SledSection {
    /// Path in the sled's document.
    pub path: &'static str,
    /// Heading.
    pub title: &'static str,
    /// What to measure, from where.
    pub says: &'static str,
    /// How it is made up.
    pub layout: Layout,
    /// Its fields.
    pub fields: &'static [SledField],
}

const fn field(
    key: &'static str,
    label: &'static str,
    kind: Kind,
    row: &'static Dimension,
) -> SledField {
    SledField {
        key,
        label,
        kind,
        row: Some(row),
        assumed: true,
    }
}

/// A field that stays empty where nobody measured it.
const fn open(
    key: &'static str,
    label: &'static str,
    kind: Kind,
    row: &'static Dimension,
) -> SledField {
    SledField {
        key,
        label,
        kind,
        row: Some(row),
        assumed: false,
    }
}

const fn plain(key: &'static str, label: &'static str, kind: Kind) -> SledField {
    SledField {
        key,
        label,
        kind,
        row: None,
        assumed: false,
    }
}

use Kind::{Angle, Count, Flag, Length, Mass, Number, Text};

const SIDES: Kind = Kind::Choice(&[("left", "left"), ("right", "right")]);
const NAME: SledField = plain("name", "Name", Text);

/// Every section, what is measured first coming first.
pub const SECTIONS: &[SledSection] = &[
    SledSection {
        path: "board",
        title: "Running boards",
        says: "Level the sled on its stand. Fore-aft counts from the foremost stirrup position's bolt, forward positive; heights from the board's top there.",
        layout: Layout::Fields,
        fields: &[
            field(
                "foot_lateral_mm",
                "Mid-plane to the boot's centre line",
                Length,
                &t::FOOT_LATERAL,
            ),
            field(
                "pitch_deg",
                "Board's pitch, front up positive",
                Angle,
                &t::PITCH,
            ),
            field(
                "edge_height_mm",
                "Outer edge over the board",
                Length,
                &t::EDGE_HEIGHT,
            ),
            field(
                "footwell_front_mm",
                "Front end of the footwell",
                Length,
                &t::FOOTWELL_FRONT,
            ),
            field("rear_mm", "Rear end of the board", Length, &t::BOARD_REAR),
        ],
    },
    SledSection {
        path: "stirrup",
        title: "Stirrups",
        says: "Toe stop: the face that the boot's toe meets. Hoop: the clear opening, measured over the board.",
        layout: Layout::Fields,
        fields: &[
            field(
                "toe_stop_offset_mm",
                "Bolt to toe stop, forward positive",
                Length,
                &t::TOE_STOP_OFFSET,
            ),
            open(
                "right_offset_mm",
                "Right stirrup ahead of the left by",
                Length,
                &t::RIGHT_OFFSET,
            ),
            field(
                "hoop_height_mm",
                "Hoop's clear height",
                Length,
                &t::HOOP_HEIGHT,
            ),
            field(
                "hoop_width_mm",
                "Hoop's clear width",
                Length,
                &t::HOOP_WIDTH,
            ),
        ],
    },
    SledSection {
        path: "stirrup.positions_mm",
        title: "Stirrup positions",
        says: "From the front: the first is 0, each further one more negative.",
        layout: Layout::List("position"),
        fields: &[field("", "Bolt", Length, &t::STIRRUP_POSITION)],
    },
    SledSection {
        path: "steering",
        title: "Steering post",
        says: "The riser base point is the middle of the riser's foot on top of the post. Limits of hoses and cables stay empty until they are measured: they are never assumed.",
        layout: Layout::Fields,
        fields: &[
            field("base_x_mm", "Riser base, forward", Length, &t::BASE_X),
            field(
                "base_z_mm",
                "Riser base, over the board",
                Length,
                &t::BASE_Z,
            ),
            field(
                "post_rake_deg",
                "Post leans back from vertical",
                Angle,
                &t::POST_RAKE,
            ),
            field("lock_deg", "Steering lock to each side", Angle, &t::LOCK),
            open(
                "hose_limit_mm",
                "Bar's centre from the base, hoses tight",
                Length,
                &t::HOSE_LIMIT,
            ),
            open(
                "grip_travel_limit_mm",
                "Grip's travel lock to lock, cables tight",
                Length,
                &t::GRIP_TRAVEL_LIMIT,
            ),
            field(
                "bar_roll_low_deg",
                "Bar roll, least",
                Angle,
                &t::BAR_ROLL_LOW,
            ),
            field(
                "bar_roll_high_deg",
                "Bar roll, greatest",
                Angle,
                &t::BAR_ROLL_HIGH,
            ),
        ],
    },
    SledSection {
        path: "seat",
        title: "Seat height",
        says: "The unloaded standard seat's top over the board, where the rider sits.",
        layout: Layout::Fields,
        fields: &[open(
            "height_mm",
            "Seat over the board",
            Length,
            &t::SEAT_HEIGHT,
        )],
    },
    SledSection {
        path: "seat.line",
        title: "Seat's top line",
        says: "From rear to front: points of the top, each with half its width.",
        layout: Layout::List("point"),
        fields: &[
            field("x_mm", "Forward", Length, &t::LINE_X),
            field("z_mm", "Height", Length, &t::LINE_Z),
            field("half_width_mm", "Half-width", Length, &t::HALF_WIDTH),
        ],
    },
    SledSection {
        path: "risers",
        title: "Risers in stock",
        says: "Height along the riser, base point to clamp seat. Angles from vertical, top back positive. A step only where it sits on teeth.",
        layout: Layout::List("riser"),
        fields: &[
            field("height_mm", "Height", Length, &t::RISER_HEIGHT),
            field("angle_low_deg", "Least angle", Angle, &t::RISER_ANGLE_LOW),
            field(
                "angle_high_deg",
                "Greatest angle",
                Angle,
                &t::RISER_ANGLE_HIGH,
            ),
            open("angle_step_deg", "Step", Angle, &t::RISER_ANGLE_STEP),
        ],
    },
    SledSection {
        path: "clamps",
        title: "Clamps in stock",
        says: "Stack: clamp's seat on the riser to the bar's centre.",
        layout: Layout::List("clamp"),
        fields: &[
            NAME,
            field("stack_mm", "Stack", Length, &t::CLAMP_STACK),
            plain("damping", "Damping inserts", Flag),
        ],
    },
    SledSection {
        path: "bars",
        title: "Bars in stock",
        says: "Measured upright, from the clamped centre.",
        layout: Layout::List("bar"),
        fields: &[
            NAME,
            field(
                "grip_to_grip_mm",
                "Grip centre to grip centre",
                Length,
                &t::GRIP_TO_GRIP,
            ),
            field("rise_mm", "Rise", Length, &t::BAR_RISE),
            field("pullback_mm", "Pullback", Length, &t::BAR_PULLBACK),
            field("sweep_deg", "Sweep", Angle, &t::BAR_SWEEP),
            field("upsweep_deg", "Upsweep", Angle, &t::BAR_UPSWEEP),
            field(
                "grip_diameter_mm",
                "Grip diameter",
                Length,
                &t::GRIP_DIAMETER,
            ),
            field("grip_length_mm", "Grip length", Length, &t::GRIP_LENGTH),
        ],
    },
    SledSection {
        path: "seats",
        title: "Seats in stock",
        says: "Foam: by the test's force at 25 %, or by a known weight and how far it sinks in, not both.",
        layout: Layout::List("seat"),
        fields: &[
            NAME,
            open(
                "height_over_line_mm",
                "Higher than standard by",
                Length,
                &t::SEAT_RAISE,
            ),
            field("thickness_mm", "Foam thickness", Length, &t::FOAM_THICKNESS),
            open("f25_n", "Force at 25 %, N", Number, &t::FOAM_F25),
            field(
                "support",
                "Force at 65 % over 25 %",
                Number,
                &t::FOAM_SUPPORT,
            ),
            open("known_weight_kg", "Known weight", Mass, &t::KNOWN_WEIGHT),
            open("known_sink_mm", "Sinks in by", Length, &t::KNOWN_SINK),
        ],
    },
    SledSection {
        path: "outline",
        title: "Cockpit outline",
        says: "From the seat's front forward: console, dash, cowl, screen; each point with half the width there.",
        layout: Layout::List("point"),
        fields: &[
            NAME,
            field("x_mm", "Forward", Length, &t::LINE_X),
            field("z_mm", "Height", Length, &t::LINE_Z),
            field("half_width_mm", "Half-width", Length, &t::HALF_WIDTH),
        ],
    },
    SledSection {
        path: "brake",
        title: "Brake lever",
        says: "Roll from level forward, down positive. Reach from the grip's surface to the blade.",
        layout: Layout::Fields,
        fields: &[
            plain("side", "Side", SIDES),
            field(
                "along_low_mm",
                "Clamp from the grip's inner end, least",
                Length,
                &t::LEVER_ALONG_LOW,
            ),
            field(
                "along_high_mm",
                "Clamp from the grip's inner end, greatest",
                Length,
                &t::LEVER_ALONG_HIGH,
            ),
            field("roll_low_deg", "Roll, least", Angle, &t::BRAKE_ROLL_LOW),
            field(
                "roll_high_deg",
                "Roll, greatest",
                Angle,
                &t::BRAKE_ROLL_HIGH,
            ),
            field(
                "reach_low_mm",
                "Lever reach, least",
                Length,
                &t::BRAKE_REACH_LOW,
            ),
            field(
                "reach_high_mm",
                "Lever reach, greatest",
                Length,
                &t::BRAKE_REACH_HIGH,
            ),
            field(
                "reach_steps",
                "Steps of the adjuster",
                Count,
                &t::REACH_STEPS,
            ),
            field(
                "free_travel_mm",
                "Travel until it bites",
                Length,
                &t::BRAKE_FREE_TRAVEL,
            ),
            field(
                "longest_travel_mm",
                "Travel hot and worn",
                Length,
                &t::BRAKE_LONGEST_TRAVEL,
            ),
            field("blade_mm", "Blade length", Length, &t::BRAKE_BLADE),
        ],
    },
    SledSection {
        path: "throttle",
        title: "Throttle lever",
        says: "Reach from the grip's surface to the closed paddle.",
        layout: Layout::Fields,
        fields: &[
            plain("side", "Side", SIDES),
            field(
                "along_low_mm",
                "Block from the grip's inner end, least",
                Length,
                &t::LEVER_ALONG_LOW,
            ),
            field(
                "along_high_mm",
                "Block from the grip's inner end, greatest",
                Length,
                &t::LEVER_ALONG_HIGH,
            ),
            field("roll_low_deg", "Roll, least", Angle, &t::THROTTLE_ROLL_LOW),
            field(
                "roll_high_deg",
                "Roll, greatest",
                Angle,
                &t::THROTTLE_ROLL_HIGH,
            ),
            field(
                "reach_low_mm",
                "Paddle reach, least",
                Length,
                &t::THROTTLE_REACH_LOW,
            ),
            field(
                "reach_high_mm",
                "Paddle reach, greatest",
                Length,
                &t::THROTTLE_REACH_HIGH,
            ),
            field(
                "reach_steps",
                "Steps of the adjuster",
                Count,
                &t::REACH_STEPS,
            ),
            field(
                "travel_mm",
                "Travel closed to full",
                Length,
                &t::THROTTLE_TRAVEL,
            ),
        ],
    },
    SledSection {
        path: "buttons",
        title: "Buttons and stop switch",
        says: "From the grip's inner end inward to the button's face.",
        layout: Layout::List("button"),
        fields: &[
            NAME,
            plain("side", "Side", SIDES),
            field(
                "inward_mm",
                "Inward from the grip",
                Length,
                &t::BUTTON_INWARD,
            ),
            field(
                "roll_deg",
                "Direction, down positive",
                Angle,
                &t::BUTTON_ROLL,
            ),
            field(
                "stand_off_mm",
                "Face over the bar's axis",
                Length,
                &t::BUTTON_STAND_OFF,
            ),
        ],
    },
    SledSection {
        path: "guard",
        title: "Hand guards",
        says: "Empty where none are fitted.",
        layout: Layout::Fields,
        fields: &[open(
            "clear_depth_mm",
            "Clear depth ahead of the grip",
            Length,
            &t::GUARD_DEPTH,
        )],
    },
    SledSection {
        path: "balance_mark",
        title: "Balance mark",
        says: "The fore-aft point over which the rider's weight gives the wanted ski pressure: from a scale under the skis, or from a set-up that works.",
        layout: Layout::Fields,
        fields: &[
            field("x_mm", "Mark, forward", Length, &t::BALANCE_X),
            field("sd_mm", "How sure, ±", Length, &t::BALANCE_SD),
        ],
    },
];

/// The section and field at a path, list places aside: `risers[2].height_mm`, `stirrup.positions_mm[0]`.
pub fn find(path: &str) -> Option<(&'static SledSection, &'static SledField)> {
    let bare: String = bare(path);
    SECTIONS.iter().find_map(|section| {
        let key = match bare.strip_prefix(section.path)? {
            "" => "",
            rest => rest.strip_prefix('.')?,
        };
        let field = section.fields.iter().find(|f| f.key == key)?;
        Some((section, field))
    })
}

/// A path without its list places.
fn bare(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    let mut inside = false;
    for c in path.chars() {
        match c {
            '[' => inside = true,
            ']' => inside = false,
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

impl SledSection {
    /// Path of a field, in a list's row where one is given.
    pub fn path_of(&self, row: Option<usize>, key: &str) -> String {
        let mut path = self.path.to_owned();
        if let Some(row) = row {
            path.push_str(&format!("[{row}]"));
        }
        if !key.is_empty() {
            path.push('.');
            path.push_str(key);
        }
        path
    }
}
