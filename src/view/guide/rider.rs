//! Where the tape goes on a person.

use super::parts::{AHEAD, BACK, BENT, FOOT, FRONT, GRIPPING, HAND, SIDE, SITTING, SPREAD};
use super::{Ink, Picture, picture};
use crate::rider::Measurement;
use Ink::{Both, Curve, Disc, Girth, Ground, Level, Placed, Plate, Tape, Upright};

/// Shown at: window, the person, marks.
type Row = ((i16, i16, i16), &'static [Ink], &'static [Ink]);

const WHOLE: (i16, i16, i16) = (40, 890, 2060);
const FLOOR: Ink = Ground((-420, 0), (480, 0));

/// The picture of a rider's measurement.
pub fn rider(measurement: Measurement) -> Picture {
    let (window, person, marks) = row(measurement);
    picture(window, None, &[person, marks])
}

const fn row(measurement: Measurement) -> Row {
    use Measurement as M;
    match measurement {
        M::Stature => (
            WHOLE,
            SIDE,
            &[
                Ground((-150, 0), (480, 0)),
                Ground((-150, 1860), (-150, 0)),
                Plate(
                    "guide-thing",
                    &[(-150, 1750), (130, 1750), (130, 1800), (-150, 1800)],
                ),
                Upright((330, 0), (100, 1750), 330),
            ],
        ),
        M::BodyMass => (
            WHOLE,
            &[
                Plate("guide-thing", &[(-260, 0), (260, 0), (260, 70), (-260, 70)]),
                Placed(FRONT, (0, 70), 0),
            ],
            &[
                FLOOR,
                Disc("guide-dial", (0, 35), 130),
                Curve("guide-tape", &[(0, 35), (70, 110)]),
                Curve("fold", &[(-105, 35), (-80, 35)]),
                Curve("fold", &[(0, 140), (0, 115)]),
                Curve("fold", &[(105, 35), (80, 35)]),
            ],
        ),
        M::CrotchHeight => (
            (0, 540, 1260),
            FRONT,
            &[
                FLOOR,
                Plate(
                    "guide-thing",
                    &[(-60, 790), (60, 790), (60, 832), (-60, 832)],
                ),
                Tape((0, 0), (0, 832)),
            ],
        ),
        M::TrochanterionHeight => (
            (-40, 560, 1300),
            BENT,
            &[FLOOR, Upright((-260, 0), (-8, 915), -260)],
        ),
        M::TibialHeight => (
            (60, 330, 800),
            FRONT,
            &[FLOOR, Upright((0, 0), (60, 465), 0)],
        ),
        M::LateralMalleolusHeight => (
            (20, 170, 460),
            SIDE,
            &[
                Ground((-190, 0), (230, 0)),
                Disc("guide-body", (-24, 74), 13),
                Upright((-140, 0), (-24, 74), -140),
            ],
        ),
        M::ShoulderHeight => (WHOLE, FRONT, &[FLOOR, Upright((400, 0), (200, 1438), 400)]),
        M::CervicaleHeight => (WHOLE, SIDE, &[FLOOR, Upright((-280, 0), (-74, 1492), -280)]),
        M::SuprasternaleHeight => (WHOLE, FRONT, &[FLOOR, Upright((-400, 0), (0, 1440), -400)]),
        M::AcromionRadialeLength => ((60, 1230, 1000), SIDE, &[Tape((-14, 1444), (-14, 1122))]),
        M::RadialeStylionLength => ((60, 1060, 1000), SIDE, &[Tape((-14, 1122), (54, 878))]),
        M::ShoulderElbowLength => (
            (100, 1230, 1000),
            BENT,
            &[Upright((-14, 1444), (-10, 1087), -190)],
        ),
        M::ElbowGripLength => (
            (120, 1230, 900),
            GRIPPING,
            &[Level((-54, 1128), (300, 1138), 960)],
        ),
        M::ForearmFingertipLength => (
            (150, 1230, 900),
            BENT,
            &[Level((-54, 1128), (426, 1138), 990)],
        ),
        M::HandLength => ((0, 60, 330), HAND, &[Upright((-26, 0), (-4, 191), 96)]),
        M::HandBreadth => ((0, 60, 330), HAND, &[Tape((-41, 82), (52, 82))]),
        M::SittingHeight => (
            (120, 700, 1560),
            SITTING,
            &[SITTING_FLOOR, Upright((-160, 430), (0, 1345), -330)],
        ),
        M::ButtockKneeLength => (
            (170, 540, 1240),
            SITTING,
            &[
                SITTING_FLOOR,
                Ground((-131, 1120), (-131, 0)),
                Level((-131, 645), (472, 500), 645),
            ],
        ),
        M::KneeHeightSitting => (
            (240, 460, 1100),
            SITTING,
            &[SITTING_FLOOR, Upright((660, 0), (440, 549), 660)],
        ),
        M::FootLength => (
            (130, 20, 400),
            FOOT,
            &[HEEL_WALL, Level((0, -95), (261, 28), -95)],
        ),
        M::BallOfFootLength => (
            (130, 20, 400),
            FOOT,
            &[HEEL_WALL, Level((0, 110), (186, 54), 110)],
        ),
        M::BiacromialBreadth => ((0, 1340, 900), BACK, &[Tape((-196, 1436), (196, 1436))]),
        M::HipBreadth => (
            (0, 900, 900),
            FRONT,
            &[
                Both(&[Plate(
                    "guide-thing",
                    &[(176, 830), (196, 830), (196, 1010), (176, 1010)],
                )]),
                Tape((-175, 925), (175, 925)),
            ],
        ),
        M::ChestDepth => (
            (60, 1300, 900),
            AHEAD,
            &[
                Plate(
                    "guide-thing",
                    &[(122, 1180), (142, 1180), (142, 1370), (122, 1370)],
                ),
                Plate(
                    "guide-thing",
                    &[(-118, 1180), (-138, 1180), (-138, 1370), (-118, 1370)],
                ),
                Tape((-117, 1275), (121, 1275)),
            ],
        ),
        M::ThighClearance => ((160, 500, 860), SITTING, &[Tape((110, 430), (110, 596))]),
        M::ThighCircumference => ((0, 640, 900), FRONT, &[Girth((102, 765), 87)]),
        M::CalfCircumference => ((0, 340, 900), FRONT, &[FLOOR, Girth((112, 345), 56)]),
        M::Span => (
            (0, 980, 2100),
            SPREAD,
            &[FLOOR, Level((-913, 1396), (913, 1396), 1560)],
        ),
    }
}

const SITTING_FLOOR: Ink = Ground((-420, 0), (740, 0));
const HEEL_WALL: Ink = Ground((0, 140), (0, -140));
