//! From the stored form of a sled to the checked sled.

use super::clearance::{Shape, ShapePoint};
use super::geometry::{
    BalanceMark, Board, Button, FingerLever, Guard, Sled, Steering, Stirrup, ThumbLever,
};
use super::profile::{
    BalanceMarkProfile, BoardProfile, ButtonProfile, FingerLeverProfile, OutlinePointProfile,
    SeatTopProfile, Side, SledProfile, SteeringProfile, StirrupProfile, ThumbLeverProfile,
};
use super::reader::{Reader, SledError, path};
use super::stock::{bars, clamps, distinct, risers, seats};
use super::typical;
use crate::units::Angle;

/// Least distance between two stirrup positions, mm: closer bolts cannot be drilled, and inches typed as mm end up here.
const LEAST_POSITION_STEP: f64 = 4.0;

/// Distance between the tried positions of a slot, mm (our choice).
const SLOT_STEP: f64 = 10.0;

/// See [`SledProfile::resolve`].
pub(super) fn resolve(profile: &SledProfile) -> Result<Sled, SledError> {
    if profile.name.trim().is_empty() {
        return Err(SledError::Missing {
            field: "name".to_owned(),
            because: "a sled needs a name to be called by",
        });
    }
    let mut reader = Reader::default();
    let reader = &mut reader;
    for (i, entry) in profile.measured.iter().enumerate() {
        let at = format!("measured[{i}]");
        reader.optional(&at, &typical::TOLERANCE_MM, entry.tolerance_mm)?;
        reader.optional(&at, &typical::TOLERANCE_DEG, entry.tolerance_deg)?;
    }
    let stirrup = stirrup(reader, &profile.stirrup)?;
    let board = board(reader, &profile.board, stirrup.toe_stop_offset)?;
    let steering = steering(reader, &profile.steering)?;
    let bar_roll = reader.angles(
        "steering",
        (&typical::BAR_ROLL_LOW, &typical::BAR_ROLL_HIGH),
        (
            profile.steering.bar_roll_low_deg,
            profile.steering.bar_roll_high_deg,
        ),
    )?;
    let (seat_line, seat_top) = seat_line(reader, &profile.seat, steering.base_x)?;
    let outline = outline(reader, profile.outline.as_deref(), &steering, seat_top)?;
    let risers = risers(reader, profile.risers.as_deref())?;
    let clamps = clamps(reader, profile.clamps.as_deref())?;
    let bars = bars(reader, profile.bars.as_deref())?;
    let seats = seats(reader, profile.seats.as_deref())?;
    let brake = brake(reader, profile.brake.as_ref())?;
    let throttle = throttle(reader, profile.throttle.as_ref())?;
    let buttons = buttons(reader, profile.buttons.as_deref())?;
    let guard = match &profile.guard {
        None => None,
        Some(guard) => Some(Guard {
            clear_depth: reader.given("guard", &typical::GUARD_DEPTH, guard.clear_depth_mm)?,
        }),
    };
    let balance_mark = balance_mark(reader, profile.balance_mark.as_ref())?;
    Ok(Sled {
        name: profile.name.clone(),
        board,
        stirrup,
        steering,
        risers,
        clamps,
        bars,
        bar_roll,
        seat_line,
        seats,
        outline,
        brake,
        throttle,
        buttons,
        guard,
        balance_mark,
        assumed: core::mem::take(&mut reader.assumed),
        unusual: core::mem::take(&mut reader.unusual),
    })
}

fn stirrup(reader: &mut Reader, p: &StirrupProfile) -> Result<Stirrup, SledError> {
    let at = "stirrup";
    let positions = match (&p.positions_mm, p.slot_mm) {
        (Some(positions), None) => {
            check_positions(reader, positions)?;
            positions.clone()
        }
        (None, Some(slot)) => {
            let slot = reader.given(at, &typical::SLOT, slot)?;
            let count = libm::floor(slot / SLOT_STEP) as usize;
            let mut positions: Vec<f64> = (0..=count).map(|i| -(i as f64) * SLOT_STEP).collect();
            if slot - count as f64 * SLOT_STEP >= LEAST_POSITION_STEP {
                positions.push(-slot);
            }
            positions
        }
        (Some(_), Some(slot)) => {
            return Err(SledError::Conflict {
                field: path(at, "slot_mm"),
                value: slot,
                other: "positions_mm".to_owned(),
                rule: "a stirrup has positions or a slot, not both",
            });
        }
        (None, None) => {
            return Err(SledError::Missing {
                field: path(at, "positions_mm"),
                because: "the bolt positions (or slot_mm) must be measured; everything else counts from the foremost",
            });
        }
    };
    Ok(Stirrup {
        positions,
        toe_stop_offset: reader.or_typical(at, &typical::TOE_STOP_OFFSET, p.toe_stop_offset_mm)?,
        right_offset: reader
            .optional(at, &typical::RIGHT_OFFSET, p.right_offset_mm)?
            .unwrap_or(typical::RIGHT_OFFSET.typical),
        hoop_height: reader.or_typical(at, &typical::HOOP_HEIGHT, p.hoop_height_mm)?,
        hoop_width: reader.or_typical(at, &typical::HOOP_WIDTH, p.hoop_width_mm)?,
        edge_protector: match p.edge_protector_mm {
            None => None,
            Some([rear, front]) => {
                for (i, end) in [rear, front].into_iter().enumerate() {
                    reader.value(
                        format!("stirrup.edge_protector_mm[{i}]"),
                        &typical::EDGE_PROTECTOR,
                        end,
                    )?;
                }
                if rear >= front {
                    return Err(SledError::Order {
                        field: "stirrup.edge_protector_mm[1]".to_owned(),
                        value: front,
                        rule: format!("the front end must lie ahead of the rear end ({rear})"),
                    });
                }
                Some((rear, front))
            }
        },
    })
}

fn check_positions(reader: &mut Reader, positions: &[f64]) -> Result<(), SledError> {
    let field = |i: usize| format!("stirrup.positions_mm[{i}]");
    if positions.is_empty() {
        return Err(SledError::TooFew {
            field: "stirrup.positions_mm".to_owned(),
            count: 0,
            least: 1,
            hint: "",
        });
    }
    for (i, &x) in positions.iter().enumerate() {
        reader.value(field(i), &typical::STIRRUP_POSITION, x)?;
        if i == 0 && x != 0.0 {
            return Err(SledError::Order {
                field: field(0),
                value: x,
                rule: "the foremost position is the origin and must be 0".to_owned(),
            });
        }
        if positions[..i].contains(&x) {
            return Err(SledError::Duplicate {
                field: field(i),
                value: x.to_string(),
            });
        }
        if i > 0 && x > positions[i - 1] - LEAST_POSITION_STEP {
            let before = positions[i - 1];
            return Err(SledError::Order {
                field: field(i),
                value: x,
                rule: format!(
                    "positions count rearward from 0, each at least {LEAST_POSITION_STEP} mm behind the one before ({before})"
                ),
            });
        }
    }
    Ok(())
}

fn board(reader: &mut Reader, p: &BoardProfile, toe_stop_offset: f64) -> Result<Board, SledError> {
    let at = "board";
    let footwell_front = reader.or_typical(at, &typical::FOOTWELL_FRONT, p.footwell_front_mm)?;
    if footwell_front < toe_stop_offset {
        return Err(SledError::Conflict {
            field: path(at, typical::FOOTWELL_FRONT.field),
            value: footwell_front,
            other: format!("stirrup.toe_stop_offset_mm {toe_stop_offset}"),
            rule: "the foremost toe stop must lie behind the footwell's front end",
        });
    }
    Ok(Board {
        pitch: Angle::from_deg(reader.or_typical(at, &typical::PITCH, p.pitch_deg)?),
        foot_lateral: reader.given(at, &typical::FOOT_LATERAL, p.foot_lateral_mm)?,
        edge_height: reader.or_typical(at, &typical::EDGE_HEIGHT, p.edge_height_mm)?,
        footwell_front,
        rear: reader.or_typical(at, &typical::BOARD_REAR, p.rear_mm)?,
    })
}

fn steering(reader: &mut Reader, p: &SteeringProfile) -> Result<Steering, SledError> {
    let at = "steering";
    Ok(Steering {
        base_x: reader.given(at, &typical::BASE_X, p.base_x_mm)?,
        base_z: reader.given(at, &typical::BASE_Z, p.base_z_mm)?,
        post_rake: Angle::from_deg(reader.or_typical(at, &typical::POST_RAKE, p.post_rake_deg)?),
        lock: Angle::from_deg(reader.or_typical(at, &typical::LOCK, p.lock_deg)?),
        hose_limit: reader.optional(at, &typical::HOSE_LIMIT, p.hose_limit_mm)?,
        grip_travel_limit: reader.optional(
            at,
            &typical::GRIP_TRAVEL_LIMIT,
            p.grip_travel_limit_mm,
        )?,
    })
}

/// A line of points from rear to front.
fn shape(
    reader: &mut Reader,
    field: &str,
    points: impl ExactSizeIterator<Item = ShapePoint>,
) -> Result<Shape, SledError> {
    let count = points.len();
    let mut checked: Vec<ShapePoint> = Vec::with_capacity(count);
    for (i, p) in points.enumerate() {
        let at = format!("{field}[{i}]");
        reader.given(&at, &typical::LINE_X, p.x)?;
        reader.given(&at, &typical::LINE_Z, p.z)?;
        reader.given(&at, &typical::HALF_WIDTH, p.half_width)?;
        if let Some(before) = checked.last().filter(|before| before.x >= p.x) {
            return Err(SledError::Order {
                field: path(&at, "x_mm"),
                value: p.x,
                rule: format!(
                    "points run from rear to front, each ahead of the one before ({})",
                    before.x
                ),
            });
        }
        checked.push(p);
    }
    Shape::new(checked).ok_or(SledError::TooFew {
        field: field.to_owned(),
        count,
        least: 2,
        hint: "; leave the list out to take the typical sled's",
    })
}

/// The seat's top line and its height where the rider sits.
fn seat_line(
    reader: &mut Reader,
    p: &SeatTopProfile,
    base_x: f64,
) -> Result<(Shape, f64), SledError> {
    let height = reader.optional("seat", &typical::SEAT_HEIGHT, p.height_mm)?;
    match (&p.line, height) {
        (Some(line), height) => {
            let points = line.iter().map(|q| ShapePoint {
                x: q.x_mm,
                z: q.z_mm,
                half_width: q.half_width_mm,
            });
            let line = shape(reader, "seat.line", points)?;
            let zs = || line.points().iter().map(|q| q.z);
            let (low, high) = (
                zs().fold(f64::INFINITY, f64::min),
                zs().fold(f64::NEG_INFINITY, f64::max),
            );
            match height {
                Some(height) if !(low..=high).contains(&height) => Err(SledError::Conflict {
                    field: "seat.height_mm".to_owned(),
                    value: height,
                    other: format!("seat.line, which lies between {low} and {high}"),
                    rule: "the height must be one that the line has",
                }),
                Some(height) => Ok((line, height)),
                None => Ok((line, low)),
            }
        }
        (None, Some(height)) => {
            reader.assume("seat.line".to_owned());
            let points = typical::SEAT_LINE
                .into_iter()
                .map(|(x, z, half_width)| ShapePoint {
                    x: base_x + x,
                    z: height + z,
                    half_width,
                });
            Ok((shape(reader, "seat.line", points)?, height))
        }
        (None, None) => Err(SledError::Missing {
            field: "seat.height_mm".to_owned(),
            because: "the seat's height over the board (or seat.line) must be measured",
        }),
    }
}

fn outline(
    reader: &mut Reader,
    given: Option<&[OutlinePointProfile]>,
    steering: &Steering,
    seat_top: f64,
) -> Result<Shape, SledError> {
    let Some(points) = given else {
        reader.assume("outline".to_owned());
        let points = typical::OUTLINE
            .into_iter()
            .enumerate()
            .map(|(i, (_, x, z, half_width))| ShapePoint {
                x: steering.base_x + x,
                z: z + if i < 2 { seat_top } else { steering.base_z },
                half_width,
            });
        return shape(reader, "outline", points);
    };
    distinct("outline", "name", points.iter().map(|p| p.name.as_str()))?;
    let points = points.iter().map(|p| ShapePoint {
        x: p.x_mm,
        z: p.z_mm,
        half_width: p.half_width_mm,
    });
    shape(reader, "outline", points)
}

fn steps(
    reader: &mut Reader,
    at: &str,
    given: Option<u32>,
    reach: (f64, f64),
) -> Result<u32, SledError> {
    if reach.0 == reach.1 && given.is_none() {
        return Ok(1);
    }
    Ok(reader.or_typical(at, &typical::REACH_STEPS, given.map(f64::from))? as u32)
}

fn brake(reader: &mut Reader, p: Option<&FingerLeverProfile>) -> Result<FingerLever, SledError> {
    let at = "brake";
    let absent = FingerLeverProfile {
        side: None,
        along_low_mm: None,
        along_high_mm: None,
        roll_low_deg: None,
        roll_high_deg: None,
        reach_low_mm: None,
        reach_high_mm: None,
        reach_steps: None,
        free_travel_mm: None,
        longest_travel_mm: None,
        blade_mm: None,
    };
    let p = p.unwrap_or(&absent);
    let reach = reader.pair(
        at,
        (&typical::BRAKE_REACH_LOW, &typical::BRAKE_REACH_HIGH),
        (p.reach_low_mm, p.reach_high_mm),
    )?;
    let (free_travel, longest_travel) = reader.pair(
        at,
        (&typical::BRAKE_FREE_TRAVEL, &typical::BRAKE_LONGEST_TRAVEL),
        (p.free_travel_mm, p.longest_travel_mm),
    )?;
    Ok(FingerLever {
        left: p.side != Some(Side::Right),
        along: reader.pair(
            at,
            (&typical::LEVER_ALONG_LOW, &typical::LEVER_ALONG_HIGH),
            (p.along_low_mm, p.along_high_mm),
        )?,
        roll: reader.angles(
            at,
            (&typical::BRAKE_ROLL_LOW, &typical::BRAKE_ROLL_HIGH),
            (p.roll_low_deg, p.roll_high_deg),
        )?,
        reach,
        reach_steps: steps(reader, at, p.reach_steps, reach)?,
        free_travel,
        longest_travel,
        blade: reader.or_typical(at, &typical::BRAKE_BLADE, p.blade_mm)?,
    })
}

fn throttle(reader: &mut Reader, p: Option<&ThumbLeverProfile>) -> Result<ThumbLever, SledError> {
    let at = "throttle";
    let absent = ThumbLeverProfile {
        side: None,
        along_low_mm: None,
        along_high_mm: None,
        roll_low_deg: None,
        roll_high_deg: None,
        reach_low_mm: None,
        reach_high_mm: None,
        reach_steps: None,
        travel_mm: None,
    };
    let p = p.unwrap_or(&absent);
    let reach = reader.pair(
        at,
        (&typical::THROTTLE_REACH_LOW, &typical::THROTTLE_REACH_HIGH),
        (p.reach_low_mm, p.reach_high_mm),
    )?;
    Ok(ThumbLever {
        left: p.side == Some(Side::Left),
        along: reader.pair(
            at,
            (&typical::LEVER_ALONG_LOW, &typical::LEVER_ALONG_HIGH),
            (p.along_low_mm, p.along_high_mm),
        )?,
        roll: reader.angles(
            at,
            (&typical::THROTTLE_ROLL_LOW, &typical::THROTTLE_ROLL_HIGH),
            (p.roll_low_deg, p.roll_high_deg),
        )?,
        reach,
        reach_steps: steps(reader, at, p.reach_steps, reach)?,
        travel: reader.or_typical(at, &typical::THROTTLE_TRAVEL, p.travel_mm)?,
    })
}

fn buttons(reader: &mut Reader, given: Option<&[ButtonProfile]>) -> Result<Vec<Button>, SledError> {
    let Some(list) = given else {
        // Every sled has a stop switch; where it sits decides whether the thumb reaches it.
        reader.assume("buttons".to_owned());
        return Ok(vec![Button {
            name: "stop switch".to_owned(),
            left: false,
            inward: typical::BUTTON_INWARD.typical,
            roll: Angle::from_deg(typical::BUTTON_ROLL.typical),
            stand_off: typical::BUTTON_STAND_OFF.typical,
        }]);
    };
    distinct("buttons", "name", list.iter().map(|p| p.name.as_str()))?;
    list.iter()
        .enumerate()
        .map(|(i, p)| {
            let at = format!("buttons[{i}]");
            Ok(Button {
                name: p.name.clone(),
                left: p.side == Side::Left,
                inward: reader.given(&at, &typical::BUTTON_INWARD, p.inward_mm)?,
                roll: Angle::from_deg(reader.or_typical(&at, &typical::BUTTON_ROLL, p.roll_deg)?),
                stand_off: reader.or_typical(&at, &typical::BUTTON_STAND_OFF, p.stand_off_mm)?,
            })
        })
        .collect()
}

fn balance_mark(
    reader: &mut Reader,
    p: Option<&BalanceMarkProfile>,
) -> Result<BalanceMark, SledError> {
    let at = "balance_mark";
    Ok(BalanceMark {
        x: reader.or_typical(at, &typical::BALANCE_X, p.map(|p| p.x_mm))?,
        sd: reader
            .optional(at, &typical::BALANCE_SD, p.and_then(|p| p.sd_mm))?
            .unwrap_or(typical::BALANCE_SD.typical),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sled::profile::SHIPPED;

    #[test]
    fn shipped_sleds_resolve_and_read_back_from_their_resolved_form() {
        for shipped in SHIPPED {
            let sled = SledProfile::read(shipped.text).unwrap().resolve().unwrap();
            assert_eq!(sled.unusual, Vec::<String>::new(), "{}", shipped.id);
            let again = SledProfile::from(&sled).resolve().unwrap();
            assert_eq!(again.stirrup, sled.stirrup, "{}", shipped.id);
            assert_eq!(again.seat_line, sled.seat_line);
            assert_eq!(again.outline, sled.outline);
            assert_eq!(again.seats, sled.seats);
            assert_eq!(again.assumed, Vec::<String>::new());
        }
    }

    #[test]
    fn four_groups_are_enough_and_the_rest_is_named() {
        let bare = SledProfile::read(SHIPPED[2].text)
            .unwrap()
            .resolve()
            .unwrap();
        for name in ["outline", "risers", "bars", "seats", "balance_mark.x_mm"] {
            assert!(bare.assumed.iter().any(|a| a == name), "{name}");
        }
        assert_eq!(bare.steering.hose_limit, None, "never assumed fine");
    }
}
