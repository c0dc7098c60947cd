//! Where the tape goes on a sled, and on the parts in stock.

use std::sync::LazyLock;

use super::sled_parts::{
    ABOVE, BALANCE, BAR_ABOVE, BAR_FRONT, BAR_SIDE, BAR_ZERO, BEHIND, BLADE, BLADE_FAR, BLADE_ONLY,
    BOARD_BEHIND, BOARD_SIDE, BOOT_BEHIND, BOOT_SIDE, BUTTON, BUTTON_ABOVE, CLAMP, DISK, FOAM,
    GRIP_ABOVE, GUARD, HOOP, LEVEL_AHEAD, LEVER_ABOVE, PADDLE, PADDLE_FAR, PAN, POST, PRESSED,
    QUIET, RISER, ROLL, ROUND, SIDE, SOFT, STIRRUP_ABOVE, STIRRUP_SIDE, THROTTLE_ABOVE, UPRIGHT,
    WEIGHT,
};
use super::{Ink, P, Picture, picture};
use crate::sled::{Cockpit, Settings, Sled, SledProfile, profile::SHIPPED};
use crate::units::Angle;
use crate::view::machine::{LeverView, Machine, machine};
use Ink::{
    Ahead, Blob, Both, Curve, Disc, Level, Mirrored, Other, Placed, Plus, Push, Sled as Whole,
    Tape, Turn, Upright,
};

/// The picture of a sled's dimension, by its section's path and its key there; none where there is no such number.
pub fn sled(section: &str, key: &str) -> Option<Picture> {
    let (_, _, window, part, marks) = ROWS.iter().find(|row| row.0 == section && row.1 == key)?;
    let needed = part.iter().any(|ink| matches!(ink, Whole));
    let machine = if needed { TYPICAL.as_ref() } else { None };
    Some(picture(*window, machine, &[part, marks]))
}

/// A sled of which nearly all is typical, drawn once.
static TYPICAL: LazyLock<Option<Machine>> = LazyLock::new(|| {
    let shipped = SHIPPED.iter().find(|s| s.id == "bare-bones")?;
    let sled: Sled = SledProfile::read(shipped.text).ok()?.resolve().ok()?;
    let settings = Settings {
        riser: sled.risers.len() / 2,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: 0.0,
        riser_angle: Angle::from_deg(12.0),
        bar_roll: Angle::ZERO,
    };
    let cockpit = Cockpit::new(&sled, settings);
    Some(machine(&cockpit, &LeverView::middle(&cockpit), None))
});

/// Section, key, window, part, marks.
type Row = (
    &'static str,
    &'static str,
    (i16, i16, i16),
    &'static [Ink],
    &'static [Ink],
);

const FROM_ZERO: P = (0, -15);
const LOW_LINE: i16 = -190;

const BRAKE: &str = "brake";
const THROTTLE: &str = "throttle";
const BARS: &str = "bars";
const RISERS: &str = "risers";
const SEATS: &str = "seats";
const STEERING: &str = "steering";
const BOARD: &str = "board";
const STIRRUP: &str = "stirrup";

const ROUND_VIEW: (i16, i16, i16) = (45, 0, 220);
const GRIP_VIEW: (i16, i16, i16) = (-10, 15, 310);
const RISER_VIEW: (i16, i16, i16) = (0, 70, 460);
const SEAT_VIEW: (i16, i16, i16) = (0, 80, 480);

const ROLL_VIEW: (i16, i16, i16) = (-50, 120, 480);
const THUMB_NEAR: (i16, i16, i16) = (-34, -24, 170);
const THUMB_VIEW: (i16, i16, i16) = (0, -15, 250);

/// One row a picture.
#[rustfmt::skip]
const ROWS: &[Row] = &[
    (BOARD, "foot_lateral_mm", (0, 180, 860), BEHIND, &[
        Both(&[BOOT_BEHIND]),
        Curve("datum", &[(0, 500), (0, -130)]),
        Level((0, 330), (-250, 250), 330),
    ]),
    (BOARD, "pitch_deg", (-70, 60, 740), &[Placed(BOARD_SIDE, (0, 0), 10), Placed(STIRRUP_SIDE, (0, 0), 10)], &[
        Curve("datum", &[(-325, -57), (270, -57)]),
        Turn((-325, -57), 500, 0, 10),
    ]),
    (BOARD, "edge_height_mm", (290, 0, 170), &[BOARD_BEHIND], &[
        Upright((300, 0), (338, 18), 290),
    ]),
    (BOARD, "footwell_front_mm", (110, 60, 620), &[Placed(BOARD_SIDE, (0, 0), 0), Placed(STIRRUP_SIDE, (0, 0), 0)], &[
        Level(FROM_ZERO, (192, 0), -110),
        Plus((20, -180), (120, -180)),
    ]),
    (BOARD, "rear_mm", (-420, 300, 1500), SIDE, &[
        Level(FROM_ZERO, (-1000, -15), LOW_LINE),
        Plus((50, LOW_LINE), (180, LOW_LINE)),
    ]),
    (STIRRUP, "toe_stop_offset_mm", (10, 40, 460), &[Placed(BOARD_SIDE, (0, 0), 0), BOOT_SIDE, Placed(STIRRUP_SIDE, (0, 0), 0)], &[
        Level(FROM_ZERO, (96, 20), -80),
        Plus((20, -140), (90, -140)),
    ]),
    (STIRRUP, "right_offset_mm", (0, -30, 800), ABOVE, &[
        Placed(&[STIRRUP_ABOVE], (0, 80), 0),
        Mirrored(&[STIRRUP_ABOVE]),
        Upright((-250, 8), (250, 88), 0),
        Plus((0, 170), (0, 270)),
    ]),
    (STIRRUP, "hoop_height_mm", (0, 50, 330), HOOP, &[Tape((0, 0), (0, 110))]),
    (STIRRUP, "hoop_width_mm", (0, 50, 330), HOOP, &[Tape((-70, 50), (70, 50))]),
    ("stirrup.positions_mm", "", (-70, 20, 560), BOARD_SIDE, &[
        Disc("hole-chosen", FROM_ZERO, 10),
        Level(FROM_ZERO, (-120, -15), -100),
        Plus((30, -100), (110, -100)),
    ]),
    (STEERING, "base_x_mm", (60, 380, 1240), SIDE, &[
        Level(FROM_ZERO, (320, 695), -150),
        Plus((380, -150), (500, -150)),
    ]),
    (STEERING, "base_z_mm", (60, 380, 1240), SIDE, &[Upright((0, 0), (320, 695), -120)]),
    (STEERING, "post_rake_deg", (330, 600, 860), SIDE, &[
        Curve("datum", &[(497, 314), (497, 900)]),
        Curve("datum", &[(497, 314), (250, 845)]),
        Turn((497, 314), 460, 90, 115),
    ]),
    (STEERING, "lock_deg", (0, 0, 860), &[Other(BAR_ABOVE, (0, 0), 0), Placed(BAR_ABOVE, (0, 0), 35)], &[
        Turn((0, 0), 330, 0, 33),
        Ahead((0, 150), (0, 260)),
    ]),
    (STEERING, "hose_limit_mm", RISER_VIEW, POST, &[
        Placed(&[
            Placed(RISER, (0, 0), 0),
            Placed(CLAMP, (0, 0), 0),
            Curve("guide-hose", &[(130, -150), (110, 0), (66, 120), (0, 178)]),
            Tape((0, 0), (0, 178)),
        ], (0, 0), 14),
    ]),
    (STEERING, "grip_travel_limit_mm", (0, 0, 860), &[Other(BAR_ABOVE, (0, 0), -35), Placed(BAR_ABOVE, (0, 0), 35)], &[
        Tape((-288, 112), (-204, -232)),
        Ahead((0, 150), (0, 260)),
    ]),
    (STEERING, "bar_roll_low_deg", ROLL_VIEW, ROLL, &[
        Other(BAR_SIDE, (-46, 172), 15),
        Placed(BAR_SIDE, (-46, 172), -25),
        BAR_ZERO,
        Turn((-46, 172), 115, 143, 103),
    ]),
    (STEERING, "bar_roll_high_deg", ROLL_VIEW, ROLL, &[
        Other(BAR_SIDE, (-46, 172), 15),
        Placed(BAR_SIDE, (-46, 172), 55),
        BAR_ZERO,
        Turn((-46, 172), 115, 143, 183),
    ]),
    ("seat", "height_mm", (-330, 300, 1000), SIDE, &[Upright((-360, 0), (-360, 420), -360)]),
    ("seat.line", "x_mm", (-270, 260, 1000), SIDE, &[
        Level(FROM_ZERO, (-580, 424), LOW_LINE + 20),
        Plus((40, LOW_LINE + 20), (120, LOW_LINE + 20)),
    ]),
    ("seat.line", "z_mm", (-330, 300, 1000), SIDE, &[Upright((-580, 0), (-580, 424), -580)]),
    ("seat.line", "half_width_mm", (0, 240, 620), BEHIND, &[
        Curve("datum", &[(0, 540), (0, 20)]),
        Level((0, 410), (138, 396), 470),
    ]),
    (RISERS, "height_mm", RISER_VIEW, POST, &[
        Placed(&[
            Placed(RISER, (0, 0), 0),
            Placed(CLAMP, (0, 0), 0),
            Upright((0, 0), (-18, 150), -90),
        ], (0, 0), 14),
    ]),
    (RISERS, "angle_low_deg", RISER_VIEW, POST, &[
        UPRIGHT,
        Other(RISER, (0, 0), 35),
        Placed(RISER, (0, 0), -14),
        Turn((0, 0), 190, 90, 76),
    ]),
    (RISERS, "angle_high_deg", RISER_VIEW, POST, &[
        UPRIGHT,
        Other(RISER, (0, 0), -14),
        Placed(RISER, (0, 0), 35),
        Turn((0, 0), 190, 90, 125),
    ]),
    (RISERS, "angle_step_deg", RISER_VIEW, POST, &[
        Other(RISER, (0, 0), 32),
        Placed(RISER, (0, 0), 8),
        Curve("datum", &[(0, 0), (-29, 210)]),
        Curve("datum", &[(0, 0), (-112, 180)]),
        Turn((0, 0), 190, 98, 122),
    ]),
    ("clamps", "stack_mm", (0, 150, 220), RISER, &[
        Placed(CLAMP, (0, 0), 0),
        Upright((0, 150), (0, 178), -56),
    ]),
    (BARS, "grip_to_grip_mm", (0, 0, 800), BAR_FRONT, &[Level((-301, 63), (301, 63), 180)]),
    (BARS, "rise_mm", (190, 40, 460), BAR_FRONT, &[Upright((0, 0), (301, 63), 190)]),
    (BARS, "pullback_mm", (190, -40, 460), BAR_ABOVE, &[
        Upright((0, 0), (300, -73), 190),
        Ahead((300, 40), (300, 110)),
    ]),
    (BARS, "sweep_deg", (270, -50, 330), BAR_ABOVE, &[
        Curve("datum", &[(240, -60), (400, -60)]),
        Turn((240, -60), 140, 0, -12),
        Ahead((300, 0), (300, 60)),
    ]),
    (BARS, "upsweep_deg", (270, 70, 330), BAR_FRONT, &[
        Curve("datum", &[(240, 56), (400, 56)]),
        Turn((240, 56), 140, 0, 7),
    ]),
    (BARS, "grip_diameter_mm", (-50, 0, 220), GRIP_ABOVE, &[Upright((-60, -15), (-60, 15), -60)]),
    (BARS, "grip_length_mm", (-50, 0, 260), GRIP_ABOVE, &[Level((2, -22), (-133, 0), -60)]),
    (SEATS, "height_over_line_mm", SEAT_VIEW, &[Other(FOAM, (0, 0), 0)], &[
        PAN,
        Blob(SOFT, &[(-196, 4), (-206, 90), (-180, 148), (0, 150), (180, 148), (206, 90), (196, 4), (0, 2)]),
        Curve("ghost-edge", &[(-203, 70), (-180, 98), (0, 100), (180, 98), (203, 70)]),
        Upright((0, 100), (0, 150), 0),
    ]),
    (SEATS, "thickness_mm", SEAT_VIEW, FOAM, &[Tape((0, 2), (0, 100))]),
    (SEATS, "f25_n", SEAT_VIEW, PRESSED, &[DISK, Push((0, 230), (0, 84)), Upright((-150, 98), (-80, 60), -150)]),
    (SEATS, "support", SEAT_VIEW, FOAM, &[
        Other(&[DISK], (0, 15), 0),
        Other(&[DISK], (0, -25), 0),
        Push((-36, 230), (-36, 96)),
        Push((36, 230), (36, 56)),
    ]),
    (SEATS, "known_weight_kg", SEAT_VIEW, PRESSED, &[
        Placed(WEIGHT, (0, 0), 0),
        Push((0, 150), (0, 84)),
    ]),
    (SEATS, "known_sink_mm", SEAT_VIEW, PRESSED, &[
        Placed(WEIGHT, (0, 0), 0),
        Upright((-130, 99), (-84, 60), -130),
    ]),
    ("outline", "x_mm", (60, 330, 1240), SIDE, &[
        Level(FROM_ZERO, (140, 535), LOW_LINE),
        Plus((220, LOW_LINE), (340, LOW_LINE)),
    ]),
    ("outline", "z_mm", (60, 380, 1240), SIDE, &[Upright((0, 0), (140, 535), -80)]),
    ("outline", "half_width_mm", (0, 360, 860), &[
        Both(&[BOARD_BEHIND]),
        Blob(QUIET, &[(-330, -20), (-300, 300), (-200, 520), (-90, 600), (90, 600), (200, 520), (300, 300), (330, -20)]),
    ], &[
        Curve("datum", &[(0, 740), (0, 20)]),
        Level((0, 520), (200, 520), 520),
    ]),
    (BRAKE, "along_low_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Other(LEVER_ABOVE, (86, 0), 0),
        Placed(LEVER_ABOVE, (24, 0), 0),
        Level((0, -20), (13, -19), -70),
    ]),
    (BRAKE, "along_high_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Other(LEVER_ABOVE, (24, 0), 0),
        Placed(LEVER_ABOVE, (86, 0), 0),
        Level((0, -20), (75, -19), -70),
    ]),
    (BRAKE, "roll_low_deg", ROUND_VIEW, &[Other(BLADE, (0, 0), -60), Placed(BLADE, (0, 0), 18), Placed(ROUND, (0, 0), 0)], &[
        LEVEL_AHEAD,
        Turn((0, 0), 100, 0, 18),
        Plus((118, -20), (118, -60)),
    ]),
    (BRAKE, "roll_high_deg", ROUND_VIEW, &[Other(BLADE, (0, 0), 18), Placed(BLADE, (0, 0), -60), Placed(ROUND, (0, 0), 0)], &[
        LEVEL_AHEAD,
        Turn((0, 0), 100, 0, -60),
    ]),
    (BRAKE, "reach_low_mm", ROUND_VIEW, &[Other(BLADE_FAR, (0, 0), 0), Placed(BLADE, (0, 0), 0), Placed(ROUND, (0, 0), 0)], &[
        Level((16, 0), (59, -4), -50),
    ]),
    (BRAKE, "reach_high_mm", ROUND_VIEW, &[Other(BLADE, (0, 0), 0), Placed(BLADE_FAR, (0, 0), 0), Placed(ROUND, (0, 0), 0)], &[
        Level((16, 0), (93, -4), -50),
    ]),
    (BRAKE, "reach_steps", GRIP_VIEW, GRIP_ABOVE, &[
        Other(BLADE_ONLY, (24, 46), 20),
        Other(BLADE_ONLY, (24, 46), -8),
        Other(BLADE_ONLY, (24, 46), -20),
        Placed(LEVER_ABOVE, (24, 0), 0),
        Turn((24, 46), 130, 150, 186),
    ]),
    (BRAKE, "free_travel_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Placed(LEVER_ABOVE, (24, 0), 0),
        Other(BLADE_ONLY, (24, 46), 12),
        Upright((-80, 66), (-80, 42), -130),
    ]),
    (BRAKE, "longest_travel_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Placed(LEVER_ABOVE, (24, 0), 0),
        Other(BLADE_ONLY, (24, 46), 22),
        Upright((-80, 66), (-74, 24), -130),
    ]),
    (BRAKE, "blade_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Placed(LEVER_ABOVE, (24, 0), 0),
        Level((13, 40), (-94, 70), 110),
    ]),
    (THROTTLE, "along_low_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Other(THROTTLE_ABOVE, (90, 0), 0),
        Placed(THROTTLE_ABOVE, (32, 0), 0),
        Level((0, 20), (14, 21), 70),
    ]),
    (THROTTLE, "along_high_mm", GRIP_VIEW, GRIP_ABOVE, &[
        Other(THROTTLE_ABOVE, (32, 0), 0),
        Placed(THROTTLE_ABOVE, (90, 0), 0),
        Level((0, 20), (72, 21), 70),
    ]),
    (THROTTLE, "roll_low_deg", THUMB_VIEW, &[Other(PADDLE, (0, 0), -160), Placed(PADDLE, (0, 0), -80), Placed(ROUND, (0, 0), 0)], &[
        LEVEL_AHEAD,
        Turn((0, 0), 80, 0, -80),
    ]),
    (THROTTLE, "roll_high_deg", THUMB_VIEW, &[Other(PADDLE, (0, 0), -80), Placed(PADDLE, (0, 0), -160), Placed(ROUND, (0, 0), 0)], &[
        LEVEL_AHEAD,
        Turn((0, 0), 80, 0, -160),
    ]),
    (THROTTLE, "reach_low_mm", THUMB_NEAR, &[Other(PADDLE_FAR, (0, 0), -140), Placed(PADDLE, (0, 0), -140), Placed(ROUND, (0, 0), 0)], &[
        Placed(&[Level((16, 0), (48, 0), 40)], (0, 0), -140),
    ]),
    (THROTTLE, "reach_high_mm", THUMB_NEAR, &[Other(PADDLE, (0, 0), -140), Placed(PADDLE_FAR, (0, 0), -140), Placed(ROUND, (0, 0), 0)], &[
        Placed(&[Level((16, 0), (74, 0), 40)], (0, 0), -140),
    ]),
    (THROTTLE, "reach_steps", THUMB_NEAR, &[
        Other(PADDLE, (-12, -10), -140),
        Other(PADDLE_FAR, (0, 0), -140),
        Placed(PADDLE, (0, 0), -140),
        Placed(ROUND, (0, 0), 0),
    ], &[Push((-70, -24), (-104, -52))]),
    (THROTTLE, "travel_mm", THUMB_NEAR, &[
        Other(PADDLE, (0, 0), -140),
        Placed(PADDLE, (0, 0), -175),
        Placed(ROUND, (0, 0), 0),
    ], &[Tape((-62, -8), (-49, -40))]),
    ("buttons", "inward_mm", GRIP_VIEW, GRIP_ABOVE, &[
        BUTTON_ABOVE,
        Level((0, 20), (44, 26), 80),
    ]),
    ("buttons", "roll_deg", ROUND_VIEW, &[Placed(BUTTON, (0, 0), 40), Placed(ROUND, (0, 0), 0)], &[
        LEVEL_AHEAD,
        Turn((0, 0), 90, 0, 40),
        Plus((110, -20), (110, -60)),
    ]),
    ("buttons", "stand_off_mm", ROUND_VIEW, &[Placed(BUTTON, (0, 0), 40), Placed(ROUND, (0, 0), 0)], &[
        Placed(&[Level((0, 0), (40, 0), -46)], (0, 0), 40),
    ]),
    ("guard", "clear_depth_mm", (60, 0, 300), &[GUARD, Placed(BLADE, (0, 0), -30), Placed(ROUND, (0, 0), 0)], &[
        Tape((16, 0), (126, 0)),
    ]),
    ("balance_mark", "x_mm", (-270, 260, 1000), SIDE, &[
        BALANCE,
        Level(FROM_ZERO, (-115, -60), LOW_LINE + 10),
        Plus((40, LOW_LINE + 10), (120, LOW_LINE + 10)),
    ]),
    ("balance_mark", "sd_mm", (-120, 100, 620), SIDE, &[
        BALANCE,
        Level((-165, -30), (-65, -30), -150),
    ]),
];
