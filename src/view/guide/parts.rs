//! A person of 1750 mm as tapered limbs, from the front, from the side, sitting; hand and foot. Heights over the floor.
//!
//! Proportions are those of a middling adult, from memory; drawn by eye.

use super::{Ink, Station};
use Ink::{Blob, Both, Curve, Disc, Limbs, Placed, Plate};

/// Skin, and what is worn over it.
const BODY: &str = "guide-body";
const WEAR: &str = "guide-wear";

const LEG_FRONT: &[Station] = &[
    (96, 880, 88),
    (102, 790, 90),
    (106, 690, 78),
    (106, 560, 60),
    (106, 490, 56),
    (110, 400, 55),
    (112, 340, 56),
    (108, 200, 38),
    (106, 110, 33),
    (108, 60, 36),
];
const FOOT_FRONT: &[Station] = &[(108, 80, 34), (118, 40, 42), (124, 24, 46)];
const TRUNK_FRONT: &[Station] = &[
    (0, 880, 172),
    (0, 940, 172),
    (0, 1010, 158),
    (0, 1090, 142),
    (0, 1190, 152),
    (0, 1290, 168),
    (0, 1360, 176),
    (0, 1405, 168),
    (0, 1440, 118),
    (0, 1462, 66),
];
const NECK_FRONT: &[Station] = &[(0, 1430, 66), (0, 1490, 54), (0, 1560, 52)];
const HEAD_FRONT: &[Station] = &[
    (0, 1556, 34),
    (0, 1590, 62),
    (0, 1640, 75),
    (0, 1690, 76),
    (0, 1720, 58),
];
const ARM_FRONT: &[Station] = &[
    (192, 1390, 52),
    (210, 1320, 50),
    (226, 1220, 45),
    (236, 1120, 39),
    (250, 1050, 41),
    (270, 950, 32),
    (282, 880, 25),
];
const HAND_FRONT: &[Station] = &[
    (282, 880, 24),
    (294, 810, 36),
    (298, 750, 32),
    (298, 695, 16),
];
const ARM_LEVEL: &[Station] = &[
    (178, 1385, 56),
    (300, 1398, 48),
    (430, 1400, 41),
    (500, 1400, 39),
    (570, 1400, 40),
    (680, 1400, 30),
    (745, 1400, 24),
];
const HAND_LEVEL: &[Station] = &[
    (745, 1400, 23),
    (800, 1400, 36),
    (850, 1398, 32),
    (905, 1396, 13),
];

const LEGS_AND_TRUNK: &[Ink] = &[
    Both(&[Limbs(BODY, &[FOOT_FRONT, LEG_FRONT])]),
    Limbs(BODY, &[TRUNK_FRONT, NECK_FRONT]),
    Limbs(BODY, &[HEAD_FRONT]),
    Limbs(
        WEAR,
        &[
            &[
                (100, 840, 86),
                (104, 770, 87),
                (106, 690, 78),
                (106, 660, 74),
            ],
            &[
                (-100, 840, 86),
                (-104, 770, 87),
                (-106, 690, 78),
                (-106, 660, 74),
            ],
            &[(0, 870, 171), (0, 940, 172), (0, 1010, 158), (0, 1030, 154)],
        ],
    ),
];
const HAIR: Ink = Blob(
    WEAR,
    &[
        (-77, 1676),
        (-60, 1728),
        (0, 1750),
        (60, 1728),
        (77, 1676),
        (52, 1704),
        (0, 1712),
        (-52, 1704),
    ],
);
/// Arms hanging.
pub(super) const FRONT: &[Ink] = &[
    Placed(LEGS_AND_TRUNK, (0, 0), 0),
    HAIR,
    Both(&[Limbs(BODY, &[ARM_FRONT, HAND_FRONT])]),
];
/// From behind.
pub(super) const BACK: &[Ink] = &[
    Placed(FRONT, (0, 0), 0),
    Limbs(
        WEAR,
        &[&[(0, 1606, 62), (0, 1640, 75), (0, 1690, 76), (0, 1720, 58)]],
    ),
];
/// Arms stretched sideways.
pub(super) const SPREAD: &[Ink] = &[
    Both(&[Limbs(BODY, &[ARM_LEVEL, HAND_LEVEL])]),
    Placed(LEGS_AND_TRUNK, (0, 0), 0),
    HAIR,
];

const TRUNK_SIDE: &[Station] = &[
    (-10, 880, 106),
    (-16, 940, 114),
    (-4, 1020, 100),
    (4, 1100, 98),
    (6, 1200, 110),
    (2, 1290, 118),
    (-10, 1380, 98),
    (-22, 1440, 68),
    (-18, 1470, 56),
];
const NECK_SIDE: &[Station] = &[(-20, 1440, 62), (-8, 1510, 52), (8, 1590, 56)];
const HEAD_SIDE: Ink = Blob(
    BODY,
    &[
        (-62, 1568),
        (-90, 1640),
        (-72, 1715),
        (0, 1750),
        (72, 1722),
        (98, 1662),
        (104, 1630),
        (122, 1600),
        (104, 1590),
        (106, 1562),
        (94, 1536),
        (56, 1536),
        (20, 1560),
    ],
);
const HAIR_SIDE: Ink = Blob(
    WEAR,
    &[
        (-64, 1576),
        (-90, 1640),
        (-72, 1715),
        (0, 1750),
        (72, 1722),
        (86, 1694),
        (30, 1690),
        (0, 1650),
        (-24, 1612),
    ],
);
const LEG_SIDE: &[Station] = &[
    (-8, 890, 106),
    (0, 800, 94),
    (8, 690, 80),
    (12, 570, 62),
    (12, 490, 58),
    (2, 420, 55),
    (-12, 345, 60),
    (-18, 250, 47),
    (-24, 130, 35),
    (-24, 90, 37),
];
const FOOT_SIDE: Ink = Blob(
    BODY,
    &[
        (-84, 34),
        (-74, 3),
        (20, 2),
        (160, 0),
        (188, 14),
        (180, 36),
        (110, 62),
        (46, 92),
        (8, 130),
        (-56, 116),
        (-72, 70),
    ],
);
const UPPER_ARM: &[Station] = &[
    (-14, 1392, 54),
    (-16, 1300, 50),
    (-14, 1200, 44),
    (-10, 1128, 42),
];
const FOREARM_DOWN: &[Station] = &[
    (-10, 1128, 42),
    (0, 1050, 43),
    (18, 950, 33),
    (30, 880, 26),
    (38, 810, 38),
    (42, 750, 34),
    (44, 695, 16),
];
const FOREARM_AHEAD: &[Station] = &[
    (-12, 1130, 43),
    (70, 1134, 42),
    (170, 1136, 32),
    (240, 1136, 26),
];
const FLAT_HAND: &[Station] = &[
    (240, 1136, 25),
    (300, 1138, 30),
    (360, 1138, 22),
    (418, 1138, 11),
];
const TORSO_SIDE: &[Ink] = &[
    Limbs(BODY, &[NECK_SIDE]),
    HEAD_SIDE,
    HAIR_SIDE,
    Disc(BODY, (4, 1628), 13),
];
const SHORTS_SIDE: Ink = Limbs(
    WEAR,
    &[
        &[
            (-10, 880, 106),
            (-16, 940, 114),
            (-6, 1010, 101),
            (-2, 1030, 99),
        ],
        &[(-8, 890, 106), (0, 800, 94), (8, 690, 80), (10, 650, 73)],
    ],
);
/// Without arms.
const TRUNK_LEG_SIDE: &[Ink] = &[
    Placed(TORSO_SIDE, (0, 0), 0),
    FOOT_SIDE,
    Limbs(BODY, &[LEG_SIDE, TRUNK_SIDE, NECK_SIDE]),
    SHORTS_SIDE,
];
/// Arms hanging.
pub(super) const SIDE: &[Ink] = &[
    Placed(TRUNK_LEG_SIDE, (0, 0), 0),
    Limbs(BODY, &[FOREARM_DOWN, UPPER_ARM]),
];
/// The elbow bent square, the hand flat.
pub(super) const BENT: &[Ink] = &[
    Placed(TRUNK_LEG_SIDE, (0, 0), 0),
    Limbs(BODY, &[FLAT_HAND, FOREARM_AHEAD, UPPER_ARM]),
];
/// The elbow bent square, a fist around an upright rod.
pub(super) const GRIPPING: &[Ink] = &[
    Placed(TRUNK_LEG_SIDE, (0, 0), 0),
    Plate(
        "guide-thing",
        &[(288, 1010), (312, 1010), (312, 1300), (288, 1300)],
    ),
    Limbs(
        BODY,
        &[
            FOREARM_AHEAD,
            UPPER_ARM,
            &[(240, 1136, 25), (274, 1138, 42), (306, 1140, 44)],
        ],
    ),
    Curve("fold", &[(318, 1165), (284, 1163)]),
    Curve("fold", &[(324, 1142), (286, 1140)]),
    Curve("fold", &[(318, 1118), (284, 1118)]),
];
/// Arms stretched ahead, out of the chest's way.
pub(super) const AHEAD: &[Ink] = &[
    Placed(TRUNK_LEG_SIDE, (0, 0), 0),
    Limbs(
        BODY,
        &[&[
            (-14, 1392, 52),
            (110, 1420, 46),
            (240, 1446, 38),
            (340, 1466, 38),
            (470, 1490, 26),
            (560, 1504, 30),
            (660, 1516, 12),
        ]],
    ),
];

/// How much lower the trunk is when sitting.
const SUNK: i16 = -405;
/// Sitting with the elbow bent, on a stool of 430 mm.
pub(super) const SITTING: &[Ink] = &[
    Plate(
        "guide-thing",
        &[(-165, 430), (300, 430), (300, 396), (-165, 396)],
    ),
    Plate(
        "guide-thing",
        &[(-130, 396), (-100, 396), (-110, 0), (-140, 0)],
    ),
    Plate("guide-thing", &[(240, 396), (270, 396), (280, 0), (250, 0)]),
    Placed(TORSO_SIDE, (0, SUNK), 0),
    Placed(&[FOOT_SIDE], (424, 0), 0),
    Limbs(
        BODY,
        &[&[
            (434, 488, 56),
            (428, 420, 54),
            (412, 345, 58),
            (404, 250, 46),
            (400, 130, 35),
            (400, 90, 37),
        ]],
    ),
    Placed(&[Limbs(BODY, &[TRUNK_SIDE, NECK_SIDE])], (0, SUNK), 0),
    Limbs(BODY, &[THIGH]),
    Limbs(
        WEAR,
        &[
            &[
                (-14, 505, 102),
                (-16, 535, 114),
                (-6, 605, 101),
                (-2, 620, 100),
            ],
            &[
                (-30, 524, 90),
                (60, 516, 84),
                (200, 508, 76),
                (260, 504, 71),
            ],
        ],
    ),
    Placed(
        &[Limbs(BODY, &[FLAT_HAND, FOREARM_AHEAD, UPPER_ARM])],
        (0, SUNK),
        0,
    ),
];
const THIGH: &[Station] = &[
    (-30, 524, 90),
    (60, 516, 84),
    (200, 508, 76),
    (340, 498, 64),
    (434, 490, 58),
];

/// The hand, palm up, fingers up; the crease of the wrist at 0.
pub(super) const HAND: &[Ink] = &[
    Limbs(BODY, &[&[(40, 70, 11), (42, 110, 10), (42, 142, 8)]]),
    Limbs(BODY, &[&[(19, 80, 12), (20, 130, 11), (20, 172, 9)]]),
    Limbs(BODY, &[&[(-4, 80, 12), (-4, 130, 11), (-4, 184, 9)]]),
    Limbs(BODY, &[&[(-27, 80, 12), (-28, 130, 11), (-28, 168, 9)]]),
    Limbs(
        BODY,
        &[
            &[(-30, 30, 22), (-56, 66, 15), (-72, 100, 12), (-80, 122, 9)],
            &[
                (2, -90, 33),
                (2, -40, 29),
                (2, 0, 28),
                (0, 36, 38),
                (4, 66, 45),
                (6, 84, 45),
            ],
        ],
    ),
    Curve("fold", &[(-24, 0), (2, -3), (29, 0)]),
    Curve("fold", &[(-36, 66), (-8, 48), (-4, 12)]),
    Curve("fold", &[(-40, 78), (0, 62), (48, 66)]),
];

/// The foot from above, heel at 0, toes to the right, the big toe up.
pub(super) const FOOT: &[Ink] = &[
    Limbs(BODY, &[&[(190, -33, 11), (212, -34, 10)]]),
    Limbs(BODY, &[&[(200, -17, 11), (230, -18, 10)]]),
    Limbs(BODY, &[&[(206, -1, 11), (241, -2, 10)]]),
    Limbs(BODY, &[&[(208, 15, 12), (250, 14, 10)]]),
    Limbs(BODY, &[&[(206, 38, 16), (230, 38, 17), (251, 35, 14)]]),
    Blob(
        BODY,
        &[
            (0, 2),
            (16, 28),
            (70, 32),
            (130, 38),
            (184, 55),
            (212, 46),
            (221, 14),
            (212, -18),
            (196, -40),
            (165, -45),
            (120, -40),
            (70, -34),
            (16, -26),
        ],
    ),
];
