//! Parts of a sled in mm, drawn alone: board and stirrup, riser, bar, seat, levers. Small distances are drawn larger than
//! they are.

use super::Ink;
use Ink::{Blob, Both, Curve, Disc, Limbs, Mirrored, Placed, Plate};

/// Quiet parts, the part that is measured, soft parts.
pub(super) const QUIET: &str = "guide-thing";
const MAIN: &str = "guide-body";
pub(super) const SOFT: &str = "guide-wear";

pub(super) const SIDE: &[Ink] = &[Ink::Sled];

/// A board with a stirrup from the side; the bolt at 0.
pub(super) const BOARD_SIDE: &[Ink] = &[
    Plate(
        MAIN,
        &[
            (-330, 0),
            (190, 0),
            (262, 100),
            (286, 84),
            (206, -30),
            (-330, -30),
        ],
    ),
    Disc("hole", (-60, -15), 7),
    Disc("hole", (-120, -15), 7),
    Disc("hole", (-180, -15), 7),
];
pub(super) const STIRRUP_SIDE: &[Ink] = &[
    Limbs(
        QUIET,
        &[&[
            (0, -12, 8),
            (4, 50, 8),
            (20, 105, 8),
            (60, 114, 8),
            (98, 92, 8),
            (106, 40, 8),
            (104, 4, 8),
        ]],
    ),
    Disc("hole", (0, -15), 10),
];
pub(super) const BOOT_SIDE: Ink = Blob(
    SOFT,
    &[
        (-190, 4),
        (-196, 60),
        (-180, 150),
        (-90, 150),
        (-60, 96),
        (50, 66),
        (90, 40),
        (92, 10),
        (60, 3),
        (-60, 3),
    ],
);

/// Boards, tunnel and seat from behind.
pub(super) const BEHIND: &[Ink] = &[
    Plate(QUIET, &[(-165, -25), (-165, 240), (165, 240), (165, -25)]),
    Blob(
        SOFT,
        &[
            (-150, 240),
            (-135, 400),
            (-60, 418),
            (60, 418),
            (135, 400),
            (150, 240),
        ],
    ),
    Both(&[BOARD_BEHIND]),
];
pub(super) const BOARD_BEHIND: Ink = Plate(
    MAIN,
    &[
        (165, 0),
        (330, 0),
        (330, 18),
        (346, 18),
        (346, -22),
        (165, -22),
    ],
);
pub(super) const HOOP: &[Ink] = &[
    Plate(MAIN, &[(-140, 0), (140, 0), (140, -22), (-140, -22)]),
    Limbs(
        QUIET,
        &[&[
            (-78, -4, 8),
            (-78, 70, 8),
            (-70, 104, 8),
            (-40, 117, 8),
            (0, 118, 8),
            (40, 117, 8),
            (70, 104, 8),
            (78, 70, 8),
            (78, -4, 8),
        ]],
    ),
];
/// Both boards from above, forward up.
pub(super) const ABOVE: &[Ink] = &[
    Plate(QUIET, &[(-165, -330), (-165, 270), (165, 270), (165, -330)]),
    Both(&[Plate(
        MAIN,
        &[(165, -330), (165, 190), (335, 190), (335, -330)],
    )]),
];
pub(super) const STIRRUP_ABOVE: Ink = Limbs(SOFT, &[&[(170, 0, 12), (250, 8, 14), (330, 0, 12)]]);

/// A riser on its post, upright, the bar's centre over it.
pub(super) const RISER: &[Ink] = &[
    Plate(MAIN, &[(-24, -14), (24, -14), (18, 150), (-18, 150)]),
    Disc("guide-dial", (0, 0), 17),
];
pub(super) const POST: &[Ink] = &[Limbs(SOFT, &[&[(74, -160, 14), (0, 0, 16)]])];
pub(super) const CLAMP: &[Ink] = &[
    Plate(QUIET, &[(-30, 150), (30, 150), (30, 200), (-30, 200)]),
    Disc("guide-dial", (0, 178), 12),
];
/// The bar from the side, its centre at 0, zero roll: back to the grip.
pub(super) const BAR_SIDE: &[Ink] = &[
    Limbs(QUIET, &[&[(0, 0, 13), (-36, 46, 14)]]),
    Disc(SOFT, (-45, 58), 19),
    Disc("guide-dial", (0, 0), 10),
];

/// The right half of a bar from behind; rise and upsweep larger than they are.
const HALF_BAR_FRONT: &[Ink] = &[
    Limbs(
        MAIN,
        &[&[
            (0, 0, 11),
            (60, 0, 11),
            (120, 34, 11),
            (170, 50, 11),
            (240, 56, 11),
        ]],
    ),
    Placed(GRIP, (240, 56), 7),
];
pub(super) const BAR_FRONT: &[Ink] = &[
    Both(HALF_BAR_FRONT),
    Plate(QUIET, &[(-34, -22), (34, -22), (34, 22), (-34, 22)]),
    Disc("guide-dial", (0, 0), 6),
];
/// The right half of a bar from above, forward up; pullback and sweep larger than they are.
const HALF_BAR_ABOVE: &[Ink] = &[
    Limbs(
        MAIN,
        &[&[
            (0, 0, 11),
            (60, 0, 11),
            (120, -26, 11),
            (180, -46, 11),
            (240, -60, 11),
        ]],
    ),
    Placed(GRIP, (240, -60), -12),
];
pub(super) const BAR_ABOVE: &[Ink] = &[
    Both(HALF_BAR_ABOVE),
    Plate(QUIET, &[(-34, -22), (34, -22), (34, 22), (-34, 22)]),
    Disc("guide-dial", (0, 0), 6),
];
/// A grip to the right of its inner end.
const GRIP: &[Ink] = &[
    Limbs(SOFT, &[&[(4, 0, 16), (60, 0, 15), (122, 0, 16)]]),
    Plate(SOFT, &[(-2, 22), (6, 22), (6, -22), (-2, -22)]),
];

/// A seat's foam on its pan, cut lengthwise.
pub(super) const FOAM: &[Ink] = &[
    PAN,
    Blob(
        SOFT,
        &[
            (-196, 4),
            (-204, 60),
            (-180, 98),
            (0, 100),
            (180, 98),
            (204, 60),
            (196, 4),
            (0, 2),
        ],
    ),
];
pub(super) const PAN: Ink = Plate(QUIET, &[(-200, 0), (200, 0), (190, -18), (-190, -18)]);
/// The same, pressed in.
pub(super) const PRESSED: &[Ink] = &[
    PAN,
    Blob(
        SOFT,
        &[
            (-196, 4),
            (-204, 60),
            (-180, 98),
            (-120, 92),
            (-84, 60),
            (0, 56),
            (84, 60),
            (120, 92),
            (180, 98),
            (204, 60),
            (196, 4),
            (0, 2),
        ],
    ),
    Curve("unloaded", &[(-180, 98), (0, 101), (180, 98)]),
];
pub(super) const DISK: Ink = Plate(MAIN, &[(-80, 60), (80, 60), (80, 76), (-80, 76)]);
pub(super) const WEIGHT: &[Ink] = &[
    Plate(MAIN, &[(-70, 60), (70, 60), (52, 170), (-52, 170)]),
    Limbs(
        MAIN,
        &[&[(-26, 176, 8), (-22, 206, 8), (22, 206, 8), (26, 176, 8)]],
    ),
];

/// A bar's end seen along its axis, forward to the right: the grip, its axis at 0.
pub(super) const ROUND: &[Ink] = &[Disc(SOFT, (0, 0), 16), Disc("guide-dial", (0, 0), 9)];
pub(super) const LEVEL_AHEAD: Ink = Curve("datum", &[(0, 0), (122, 0)]);
/// A lever straight ahead; its blade 42 mm from the grip's surface.
pub(super) const BLADE: &[Ink] = &[
    Limbs(QUIET, &[&[(0, 0, 13), (40, 6, 6), (58, 8, 5)]]),
    Limbs(MAIN, &[&[(66, -12, 7), (66, 12, 7)]]),
];
/// The same, farther out.
pub(super) const BLADE_FAR: &[Ink] = &[
    Limbs(QUIET, &[&[(0, 0, 13), (60, 6, 6), (92, 8, 5)]]),
    Limbs(MAIN, &[&[(100, -12, 7), (100, 12, 7)]]),
];
pub(super) const PADDLE_FAR: &[Ink] = &[
    Limbs(QUIET, &[&[(0, 0, 13), (54, 0, 6), (76, 0, 5)]]),
    Limbs(MAIN, &[&[(80, -16, 6), (80, 16, 6)]]),
];
/// A paddle straight ahead, as far from the grip.
pub(super) const PADDLE: &[Ink] = &[
    Limbs(QUIET, &[&[(0, 0, 13), (34, 0, 6), (50, 0, 5)]]),
    Limbs(MAIN, &[&[(54, -16, 6), (54, 16, 6)]]),
];

/// A grip from above, forward up, its inner end at 0, with the bar that comes from the right.
pub(super) const GRIP_ABOVE: &[Ink] =
    &[Limbs(QUIET, &[&[(130, 0, 11), (0, 0, 11)]]), Mirrored(GRIP)];
/// A brake lever from above; its clamp band's middle at 0.
pub(super) const LEVER_ABOVE: &[Ink] = &[
    Plate(QUIET, &[(-11, 19), (11, 19), (11, -19), (-11, -19)]),
    Plate(QUIET, &[(-11, 19), (34, 19), (34, 52), (-11, 52)]),
    LEVER_BLADE,
];
const LEVER_BLADE: Ink = Placed(
    &[Limbs(
        MAIN,
        &[&[
            (0, 0, 9),
            (-30, 16, 6),
            (-60, 20, 6),
            (-100, 20, 7),
            (-112, 22, 8),
        ]],
    )],
    (0, 46),
    0,
);
pub(super) const BLADE_ONLY: &[Ink] = &[Limbs(
    MAIN,
    &[&[
        (0, 0, 9),
        (-30, 16, 6),
        (-60, 20, 6),
        (-100, 20, 7),
        (-112, 22, 8),
    ]],
)];
/// A throttle block with its paddle behind the grip, from above, on the left as drawn.
const THUMB_ABOVE: &[Ink] = &[Plate(QUIET, &[(-18, 21), (18, 21), (18, -24), (-18, -24)])];
const PADDLE_ABOVE: &[Ink] = &[Limbs(MAIN, &[&[(4, -22, 7), (-6, -44, 7), (-28, -54, 8)]])];

pub(super) const BOOT_BEHIND: Ink =
    Limbs(SOFT, &[&[(250, 30, 46), (250, 120, 44), (252, 240, 54)]]);
pub(super) const UPRIGHT: Ink = Curve("datum", &[(0, 0), (0, 225)]);
/// Where the bar stands without roll.
pub(super) const BAR_ZERO: Ink = Curve("datum", &[(-46, 172), (-158, 256)]);
/// A riser 15° back.
pub(super) const ROLL: &[Ink] = &[
    Placed(POST, (0, 0), 0),
    Placed(RISER, (0, 0), 15),
    Placed(
        &[Plate(
            QUIET,
            &[(-28, 150), (28, 150), (28, 200), (-28, 200)],
        )],
        (0, 0),
        15,
    ),
];
pub(super) const THROTTLE_ABOVE: &[Ink] = &[
    Placed(PADDLE_ABOVE, (0, 0), 0),
    Placed(THUMB_ABOVE, (0, 0), 0),
];
pub(super) const BUTTON: &[Ink] = &[
    Plate(QUIET, &[(0, -20), (24, -20), (24, 20), (0, 20)]),
    Plate(MAIN, &[(24, -10), (40, -10), (40, 10), (24, 10)]),
];
pub(super) const BUTTON_ABOVE: Ink = Placed(
    &[
        Plate(QUIET, &[(-24, 20), (24, 20), (24, -20), (-24, -20)]),
        Plate(MAIN, &[(-10, 36), (10, 36), (10, 20), (-10, 20)]),
    ],
    (68, 0),
    0,
);
pub(super) const GUARD: Ink = Limbs(
    MAIN,
    &[&[
        (40, 104, 6),
        (110, 70, 6),
        (132, 0, 6),
        (116, -70, 6),
        (80, -104, 6),
    ]],
);
pub(super) const BALANCE: Ink = Placed(
    &[
        Curve("datum", &[(0, 520), (0, -30)]),
        Plate("guide-dial", &[(0, -30), (24, -74), (-24, -74)]),
    ],
    (-115, 0),
    0,
);
