//! The fields of a sled's stored form, in the sections in which a mechanic measures.

use serde_json::Value;

use super::draft;
use super::entry::Kind;
use crate::sled::typical::{self as t, Dimension};

/// A field of a section or of a list's rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SledField {
    /// Key in the section's object; for a list of plain numbers empty.
    pub key: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// Where it is measured, beyond what label and section say; empty: they say it all.
    pub says: &'static str,
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
    says: &'static str,
) -> SledField {
    SledField {
        key,
        label,
        says,
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
    says: &'static str,
) -> SledField {
    SledField {
        key,
        label,
        says,
        kind,
        row: Some(row),
        assumed: false,
    }
}

const fn plain(key: &'static str, label: &'static str, kind: Kind) -> SledField {
    SledField {
        key,
        label,
        says: "",
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
                "Level, from the sled's middle to the middle of the boot as it stands in its stirrup: halve the distance between both boots' middles.",
            ),
            field(
                "pitch_deg",
                "Board's pitch, front up positive",
                Angle,
                &t::PITCH,
                "An angle gauge on the board's top, the sled level.",
            ),
            field(
                "edge_height_mm",
                "Outer edge over the board",
                Length,
                &t::EDGE_HEIGHT,
                "From the board's top up to the top of its outer edge.",
            ),
            field(
                "footwell_front_mm",
                "Front end of the footwell",
                Length,
                &t::FOOTWELL_FRONT,
                "Level, from the foremost bolt forward to where the toe would touch.",
            ),
            field(
                "rear_mm",
                "Rear end of the board",
                Length,
                &t::BOARD_REAR,
                "Level, from the foremost bolt back to where a boot can still stand: negative.",
            ),
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
                "Level, from the stirrup's bolt forward to the face that the toe meets.",
            ),
            open(
                "right_offset_mm",
                "Right stirrup ahead of the left by",
                Length,
                &t::RIGHT_OFFSET,
                "From above, forward up: a straightedge square across the sled at the left bolt, then forward to the right one.",
            ),
            field(
                "hoop_height_mm",
                "Hoop's clear height",
                Length,
                &t::HOOP_HEIGHT,
                "Inside, from the board's top to the underside of the bow.",
            ),
            field(
                "hoop_width_mm",
                "Hoop's clear width",
                Length,
                &t::HOOP_WIDTH,
                "Inside, between the two legs at half height.",
            ),
        ],
    },
    SledSection {
        path: "stirrup.positions_mm",
        title: "Stirrup positions",
        says: "From the front: the first is 0, each further one more negative.",
        layout: Layout::List("position"),
        fields: &[field(
            "",
            "Bolt",
            Length,
            &t::STIRRUP_POSITION,
            "Level along the board, middle of the foremost bolt to the middle of this one.",
        )],
    },
    SledSection {
        path: "steering",
        title: "Steering post",
        says: "The riser base point is the middle of the riser's foot on top of the post. Limits of hoses and cables stay empty until they are measured: they are never assumed.",
        layout: Layout::Fields,
        fields: &[
            field(
                "base_x_mm",
                "Riser base, forward",
                Length,
                &t::BASE_X,
                "A plumb line from the riser's foot to the board, then level to the foremost bolt.",
            ),
            field(
                "base_z_mm",
                "Riser base, over the board",
                Length,
                &t::BASE_Z,
                "Upright, from the board's top at the foremost bolt to the riser's foot.",
            ),
            field(
                "post_rake_deg",
                "Post leans back from vertical",
                Angle,
                &t::POST_RAKE,
                "An angle gauge along the post: from upright, top back positive.",
            ),
            field(
                "lock_deg",
                "Steering lock to each side",
                Angle,
                &t::LOCK,
                "From above: from straight ahead to where the bars stop, the smaller of the two sides.",
            ),
            open(
                "hose_limit_mm",
                "Bar's centre from the base, hoses tight",
                Length,
                &t::HOSE_LIMIT,
                "Lift the bar off until the first hose, cable or wire is just not tight: riser's foot to the bar's centre, straight.",
            ),
            open(
                "grip_travel_limit_mm",
                "Grip's travel lock to lock, cables tight",
                Length,
                &t::GRIP_TRAVEL_LIMIT,
                "From above: a grip's middle from one end of its way to the other, straight, with no hose or cable tight.",
            ),
            field(
                "bar_roll_low_deg",
                "Bar roll, least",
                Angle,
                &t::BAR_ROLL_LOW,
                "From where the bar's rise runs along the riser: how far it may turn forward in its clamp, negative.",
            ),
            field(
                "bar_roll_high_deg",
                "Bar roll, greatest",
                Angle,
                &t::BAR_ROLL_HIGH,
                "From where the bar's rise runs along the riser: how far it may turn back and down in its clamp.",
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
            "Upright, from the board's top to the top of the seat with nobody on it.",
        )],
    },
    SledSection {
        path: "seat.line",
        title: "Seat's top line",
        says: "From rear to front: points of the top, each with half its width.",
        layout: Layout::List("point"),
        fields: &[
            field(
                "x_mm",
                "Forward",
                Length,
                &t::LINE_X,
                "Level, from the foremost bolt; behind it negative.",
            ),
            field(
                "z_mm",
                "Height",
                Length,
                &t::LINE_Z,
                "Upright, from the height of the board's top at the foremost bolt.",
            ),
            field(
                "half_width_mm",
                "Half-width",
                Length,
                &t::HALF_WIDTH,
                "Level, from the sled's middle to where the top rounds off.",
            ),
        ],
    },
    SledSection {
        path: "risers",
        title: "Risers in stock",
        says: "Height along the riser, base point to clamp seat. Angles from vertical, top back positive. A step only where it sits on teeth.",
        layout: Layout::List("riser"),
        fields: &[
            field(
                "height_mm",
                "Height",
                Length,
                &t::RISER_HEIGHT,
                "Along the riser, middle of its foot to the face that the clamp sits on.",
            ),
            field(
                "angle_low_deg",
                "Least angle",
                Angle,
                &t::RISER_ANGLE_LOW,
                "The farthest forward it can stand; forward of upright is negative.",
            ),
            field(
                "angle_high_deg",
                "Greatest angle",
                Angle,
                &t::RISER_ANGLE_HIGH,
                "The farthest back it can stand.",
            ),
            open(
                "angle_step_deg",
                "Step",
                Angle,
                &t::RISER_ANGLE_STEP,
                "From one tooth to the next; empty where it can stand anywhere.",
            ),
        ],
    },
    SledSection {
        path: "clamps",
        title: "Clamps in stock",
        says: "Stack: clamp's seat on the riser to the bar's centre.",
        layout: Layout::List("clamp"),
        fields: &[
            NAME,
            field("stack_mm", "Stack", Length, &t::CLAMP_STACK, ""),
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
                "Middle of one grip to the middle of the other, level.",
            ),
            field(
                "rise_mm",
                "Rise",
                Length,
                &t::BAR_RISE,
                "The bar upright on a bench: from the clamped centre up to the middle of the grip.",
            ),
            field(
                "pullback_mm",
                "Pullback",
                Length,
                &t::BAR_PULLBACK,
                "From above, forward up: from the clamped centre back to the middle of the grip.",
            ),
            field(
                "sweep_deg",
                "Sweep",
                Angle,
                &t::BAR_SWEEP,
                "From above, forward up: how far the grip's outer end points back from square.",
            ),
            field(
                "upsweep_deg",
                "Upsweep",
                Angle,
                &t::BAR_UPSWEEP,
                "From behind: how far the grip's outer end points up from level.",
            ),
            field(
                "grip_diameter_mm",
                "Grip diameter",
                Length,
                &t::GRIP_DIAMETER,
                "Across the grip where the palm lies, with its rubber.",
            ),
            field(
                "grip_length_mm",
                "Grip length",
                Length,
                &t::GRIP_LENGTH,
                "From its flange to its outer end.",
            ),
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
                "Where the rider sits, both unloaded: this seat's top over the standard seat's; lower is negative.",
            ),
            field(
                "thickness_mm",
                "Foam thickness",
                Length,
                &t::FOAM_THICKNESS,
                "From the pan to the top where the rider sits: push a thin wire through.",
            ),
            open(
                "f25_n",
                "Force at 25 %, N",
                Number,
                &t::FOAM_F25,
                "From the foam's data sheet: the force that presses a plate of 323 cm² in by a quarter of the thickness.",
            ),
            field(
                "support",
                "Force at 65 % over 25 %",
                Number,
                &t::FOAM_SUPPORT,
                "From the foam's data sheet: the force that presses the same plate in by 65 %, over that at 25 %.",
            ),
            open(
                "known_weight_kg",
                "Known weight",
                Mass,
                &t::KNOWN_WEIGHT,
                "Somebody or something of known weight, sitting as a rider does.",
            ),
            open(
                "known_sink_mm",
                "Sinks in by",
                Length,
                &t::KNOWN_SINK,
                "A straightedge over the unloaded top: how far below it the weight sinks after a minute.",
            ),
        ],
    },
    SledSection {
        path: "outline",
        title: "Cockpit outline",
        says: "From the seat's front forward: console, dash, cowl, screen; each point with half the width there.",
        layout: Layout::List("point"),
        fields: &[
            NAME,
            field(
                "x_mm",
                "Forward",
                Length,
                &t::LINE_X,
                "Level, from the foremost bolt; behind it negative.",
            ),
            field(
                "z_mm",
                "Height",
                Length,
                &t::LINE_Z,
                "Upright, from the height of the board's top at the foremost bolt.",
            ),
            field(
                "half_width_mm",
                "Half-width",
                Length,
                &t::HALF_WIDTH,
                "Level, from the sled's middle to its side at that point.",
            ),
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
                "The clamp band slid as far out as it goes: grip's inner end to the band.",
            ),
            field(
                "along_high_mm",
                "Clamp from the grip's inner end, greatest",
                Length,
                &t::LEVER_ALONG_HIGH,
                "The clamp band slid as far in as it goes: grip's inner end to the band.",
            ),
            field(
                "roll_low_deg",
                "Roll, least",
                Angle,
                &t::BRAKE_ROLL_LOW,
                "Seen along the bar, forward to the right: the highest the lever may stand, above level negative.",
            ),
            field(
                "roll_high_deg",
                "Roll, greatest",
                Angle,
                &t::BRAKE_ROLL_HIGH,
                "Seen along the bar, forward to the right: the lowest the lever may stand before fluid or hose object.",
            ),
            field(
                "reach_low_mm",
                "Lever reach, least",
                Length,
                &t::BRAKE_REACH_LOW,
                "The adjuster all the way in: grip's surface to the near face of the blade, where the finger lies.",
            ),
            field(
                "reach_high_mm",
                "Lever reach, greatest",
                Length,
                &t::BRAKE_REACH_HIGH,
                "The adjuster all the way out: grip's surface to the near face of the blade, where the finger lies.",
            ),
            field(
                "reach_steps",
                "Steps of the adjuster",
                Count,
                &t::REACH_STEPS,
                "Clicks or turns of the adjuster from nearest to farthest; 1 where it has none.",
            ),
            field(
                "free_travel_mm",
                "Travel until it bites",
                Length,
                &t::BRAKE_FREE_TRAVEL,
                "At the finger: from released to where the brake begins to bite.",
            ),
            field(
                "longest_travel_mm",
                "Travel hot and worn",
                Length,
                &t::BRAKE_LONGEST_TRAVEL,
                "At the finger: from released to full braking, hot and with worn pads.",
            ),
            field(
                "blade_mm",
                "Blade length",
                Length,
                &t::BRAKE_BLADE,
                "From the clamp band out to the tip of the blade, along the bar.",
            ),
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
                "The block slid as far out as it goes: grip's inner end to the block.",
            ),
            field(
                "along_high_mm",
                "Block from the grip's inner end, greatest",
                Length,
                &t::LEVER_ALONG_HIGH,
                "The block slid as far in as it goes: grip's inner end to the block.",
            ),
            field(
                "roll_low_deg",
                "Roll, least",
                Angle,
                &t::THROTTLE_ROLL_LOW,
                "Seen along the bar, forward to the right: from level forward down to the paddle; straight below the bar is 90°.",
            ),
            field(
                "roll_high_deg",
                "Roll, greatest",
                Angle,
                &t::THROTTLE_ROLL_HIGH,
                "Seen along the bar, forward to the right: from level forward down and around to the paddle; straight behind is 180°.",
            ),
            field(
                "reach_low_mm",
                "Paddle reach, least",
                Length,
                &t::THROTTLE_REACH_LOW,
                "Adjuster all the way in, throttle closed: grip's surface to the paddle's near face.",
            ),
            field(
                "reach_high_mm",
                "Paddle reach, greatest",
                Length,
                &t::THROTTLE_REACH_HIGH,
                "Adjuster all the way out, throttle closed: grip's surface to the paddle's near face.",
            ),
            field(
                "reach_steps",
                "Steps of the adjuster",
                Count,
                &t::REACH_STEPS,
                "Clicks or turns of the adjuster from nearest to farthest; 1 where it has none.",
            ),
            field(
                "travel_mm",
                "Travel closed to full",
                Length,
                &t::THROTTLE_TRAVEL,
                "The paddle's tip from closed to wide open.",
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
                "Along the bar, from the grip's inner end to the middle of the button.",
            ),
            field(
                "roll_deg",
                "Direction, down positive",
                Angle,
                &t::BUTTON_ROLL,
                "Seen along the bar, forward to the right: from level forward to the button; up is negative.",
            ),
            field(
                "stand_off_mm",
                "Face over the bar's axis",
                Length,
                &t::BUTTON_STAND_OFF,
                "From the middle of the bar out to the button's face.",
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
            "Level, from the front of the grip to the inside of the guard.",
        )],
    },
    SledSection {
        path: "balance_mark",
        title: "Balance mark",
        says: "The fore-aft point over which the rider's weight gives the wanted ski pressure: from a scale under the skis, or from a set-up that works.",
        layout: Layout::Fields,
        fields: &[
            field(
                "x_mm",
                "Mark, forward",
                Length,
                &t::BALANCE_X,
                "Level, from the foremost bolt to the mark; behind the bolt negative.",
            ),
            field(
                "sd_mm",
                "How sure, ±",
                Length,
                &t::BALANCE_SD,
                "How far to each side the mark may well be off.",
            ),
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

/// How many dimensions a sled's document gives, and how many there are: each number of its own, each list as one.
pub fn measured(document: &Value) -> (usize, usize) {
    let mut counts = (0, 0);
    for section in SECTIONS {
        match section.layout {
            Layout::List(_) => {
                counts.0 += usize::from(draft::count(document, section.path) > 0);
                counts.1 += 1;
            }
            Layout::Fields => {
                let numbers = section.fields.iter().filter(|f| f.row.is_some());
                for field in numbers {
                    let given = draft::get(document, &section.path_of(None, field.key));
                    counts.0 += usize::from(given.is_some_and(Value::is_number));
                    counts.1 += 1;
                }
            }
        }
    }
    counts
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

impl SledField {
    /// Where it is measured, in words.
    pub fn words(&self, section: &SledSection) -> &'static str {
        if self.says.is_empty() {
            section.says
        } else {
            self.says
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn numbers_count_one_by_one_and_lists_as_one() {
        let (none, all) = measured(&json!({}));
        assert_eq!(none, 0);
        let lists = SECTIONS.iter().filter(|s| s.layout != Layout::Fields);
        assert!(all > 30 && all > lists.count());
        let document = json!({
            "name": "mine",
            "board": { "foot_lateral_mm": 250, "pitch_deg": null },
            "brake": { "side": "left", "blade_mm": 95 },
            "risers": [{ "height_mm": 100 }, { "height_mm": 150 }],
            "clamps": []
        });
        assert_eq!(measured(&document), (3, all));
    }
}
