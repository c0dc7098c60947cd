//! From the stored form of a sled to the checked sled, and back.

use super::clearance::{Shape, ShapePoint};
use super::geometry::{
    BalanceMark, Bar, Board, Button, Clamp, FingerLever, Foam, Guard, Riser, RiserAngles, Seat,
    Sled, Steering, Stirrup, ThumbLever,
};
use super::profile::{
    BalanceMarkProfile, BarProfile, BoardProfile, ButtonProfile, ClampProfile, FingerLeverProfile,
    GuardProfile, LinePointProfile, OutlinePointProfile, RiserProfile, SeatProfile, SeatTopProfile,
    Side, SledProfile, SteeringProfile, StirrupProfile, ThumbLeverProfile,
};
use super::typical::{self, Dimension};
use crate::units::{Angle, MM_PER_INCH, MM_PER_M, STANDARD_GRAVITY};

/// Why a sled's stored form is no sled.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SledError {
    /// A value outside the allowed range, or not a number.
    #[error("{field}: {value} is outside the allowed {low} to {high}{hint}")]
    OutOfRange {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
        /// A guess at the unit that was meant; may be empty.
        hint: String,
    },
    /// A list with too few entries.
    #[error("{field}: {count} in the list; at least {least} must be there{hint}")]
    TooFew {
        /// Path of the field.
        field: String,
        /// How many there are.
        count: usize,
        /// How many there must be.
        least: usize,
        /// What to do instead; may be empty.
        hint: &'static str,
    },
    /// The same value twice where each must differ.
    #[error("{field}: {value} stands there twice; each must differ from the others")]
    Duplicate {
        /// Path of the second one.
        field: String,
        /// The value.
        value: String,
    },
    /// A value that breaks the order of a list.
    #[error("{field}: {value} breaks the order: {rule}")]
    Order {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// What the order is, with the neighbour's value.
        rule: String,
    },
    /// A value that does not go with another one.
    #[error("{field}: {value} does not go with {other}: {rule}")]
    Conflict {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// The other field with its value.
        other: String,
        /// What must hold.
        rule: &'static str,
    },
    /// A field that must be given here.
    #[error("{field}: missing: {because}")]
    Missing {
        /// Path of the field.
        field: String,
        /// Why it is needed.
        because: &'static str,
    },
}

impl SledError {
    /// Path of the field inside the sled's data: `stirrup.positions_mm[2]`.
    pub fn field(&self) -> &str {
        match self {
            Self::OutOfRange { field, .. }
            | Self::TooFew { field, .. }
            | Self::Duplicate { field, .. }
            | Self::Order { field, .. }
            | Self::Conflict { field, .. }
            | Self::Missing { field, .. } => field,
        }
    }
}

/// Least distance between two stirrup positions, mm: closer bolts cannot be drilled, and inches typed as mm end up here.
const LEAST_POSITION_STEP: f64 = 4.0;

/// Distance between the tried positions of a slot, mm (our choice).
const SLOT_STEP: f64 = 10.0;

/// Contact area of a rider on a narrow bench over that of the standard disk (our choice).
const CONTACT_RATIO: f64 = 1.6;

/// Checks values one by one and keeps the names of what was assumed or looks unusual.
#[derive(Default)]
struct Reader {
    assumed: Vec<String>,
    unusual: Vec<String>,
}

fn path(at: &str, field: &str) -> String {
    if at.is_empty() {
        field.to_owned()
    } else {
        format!("{at}.{field}")
    }
}

impl Reader {
    /// A value that was given.
    fn value(&mut self, field: String, row: &Dimension, value: f64) -> Result<f64, SledError> {
        let (low, high) = row.allowed;
        if !(low..=high).contains(&value) {
            return Err(SledError::OutOfRange {
                hint: unit_hint(row, value),
                field,
                value,
                low,
                high,
            });
        }
        let (low, high) = row.usual;
        if !(low..=high).contains(&value) {
            self.unusual.push(format!(
                "{field}: {value} is outside the usual {low} to {high} ({})",
                typical::SOURCE
            ));
        }
        Ok(value)
    }

    fn given(&mut self, at: &str, row: &Dimension, value: f64) -> Result<f64, SledError> {
        self.value(path(at, row.field), row, value)
    }

    fn optional(
        &mut self,
        at: &str,
        row: &Dimension,
        value: Option<f64>,
    ) -> Result<Option<f64>, SledError> {
        value.map(|v| self.given(at, row, v)).transpose()
    }

    /// A value that was given, or the typical one, noted as assumed.
    fn or_typical(
        &mut self,
        at: &str,
        row: &Dimension,
        value: Option<f64>,
    ) -> Result<f64, SledError> {
        match value {
            Some(value) => self.given(at, row, value),
            None => {
                self.assume(path(at, row.field));
                Ok(row.typical)
            }
        }
    }

    fn assume(&mut self, field: String) {
        self.assumed.push(field);
    }

    /// A least and a greatest value, in order.
    fn pair(
        &mut self,
        at: &str,
        rows: (&Dimension, &Dimension),
        values: (Option<f64>, Option<f64>),
    ) -> Result<(f64, f64), SledError> {
        let low = self.or_typical(at, rows.0, values.0)?;
        let high = self.or_typical(at, rows.1, values.1)?;
        if low > high {
            return Err(SledError::Conflict {
                field: path(at, rows.1.field),
                value: high,
                other: format!("{} {low}", rows.0.field),
                rule: "the greatest must not be less than the least",
            });
        }
        Ok((low, high))
    }

    fn angles(
        &mut self,
        at: &str,
        rows: (&Dimension, &Dimension),
        values: (Option<f64>, Option<f64>),
    ) -> Result<(Angle, Angle), SledError> {
        let (low, high) = self.pair(at, rows, values)?;
        Ok((Angle::from_deg(low), Angle::from_deg(high)))
    }
}

/// Guesses the unit that was meant from where the value would be usual.
fn unit_hint(row: &Dimension, value: f64) -> String {
    if !row.field.ends_with("_mm") {
        return String::new();
    }
    for (unit, mm) in [("inches", MM_PER_INCH), ("cm", 10.0), ("m", MM_PER_M)] {
        if (row.usual.0..=row.usual.1).contains(&(value * mm)) && value != 0.0 {
            return format!("; {value} {unit} would be {:.1} mm", value * mm);
        }
    }
    String::new()
}

/// A stock list: the typical one where none is given; never empty.
fn stock<P, T>(
    reader: &mut Reader,
    field: &'static str,
    given: Option<&[P]>,
    typical: impl FnOnce(&mut Reader) -> Vec<T>,
    mut read: impl FnMut(&mut Reader, &str, &P) -> Result<T, SledError>,
) -> Result<Vec<T>, SledError> {
    match given {
        None => {
            reader.assume(field.to_owned());
            Ok(typical(reader))
        }
        Some([]) => Err(SledError::TooFew {
            field: field.to_owned(),
            count: 0,
            least: 1,
            hint: "; leave the list out to take the typical sled's",
        }),
        Some(list) => list
            .iter()
            .enumerate()
            .map(|(i, part)| read(reader, &format!("{field}[{i}]"), part))
            .collect(),
    }
}

/// Refuses two parts of the same name: settings and work orders call parts by name.
fn distinct<'a>(
    field: &str,
    key: &str,
    names: impl Iterator<Item = &'a str>,
) -> Result<(), SledError> {
    let mut seen: Vec<&str> = Vec::new();
    for (i, name) in names.enumerate() {
        let at = format!("{field}[{i}].{key}");
        if name.trim().is_empty() {
            return Err(SledError::Missing {
                field: at,
                because: "each part needs a name to be called by",
            });
        }
        if seen.contains(&name) {
            return Err(SledError::Duplicate {
                field: at,
                value: format!("\"{name}\""),
            });
        }
        seen.push(name);
    }
    Ok(())
}

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

fn risers(reader: &mut Reader, given: Option<&[RiserProfile]>) -> Result<Vec<Riser>, SledError> {
    let typical_angles = RiserAngles::Range(
        Angle::from_deg(typical::RISER_ANGLE_LOW.typical),
        Angle::from_deg(typical::RISER_ANGLE_HIGH.typical),
    );
    let risers = stock(
        reader,
        "risers",
        given,
        |_| {
            typical::RISER_HEIGHTS
                .into_iter()
                .map(|height| Riser {
                    height,
                    angles: typical_angles,
                })
                .collect()
        },
        |reader, at, p| {
            let (low, high) = reader.angles(
                at,
                (&typical::RISER_ANGLE_LOW, &typical::RISER_ANGLE_HIGH),
                (p.angle_low_deg, p.angle_high_deg),
            )?;
            let step = reader.optional(at, &typical::RISER_ANGLE_STEP, p.angle_step_deg)?;
            Ok(Riser {
                height: reader.given(at, &typical::RISER_HEIGHT, p.height_mm)?,
                angles: match step {
                    _ if low == high => RiserAngles::Fixed(low),
                    Some(step) => RiserAngles::Teeth {
                        low,
                        high,
                        step: Angle::from_deg(step),
                    },
                    None => RiserAngles::Range(low, high),
                },
            })
        },
    )?;
    // Two risers of one height are two parts only where their angles differ.
    for (i, riser) in risers.iter().enumerate() {
        if risers[..i].contains(riser) {
            return Err(SledError::Duplicate {
                field: format!("risers[{i}].height_mm"),
                value: riser.height.to_string(),
            });
        }
    }
    Ok(risers)
}

fn clamps(reader: &mut Reader, given: Option<&[ClampProfile]>) -> Result<Vec<Clamp>, SledError> {
    distinct(
        "clamps",
        "name",
        given.into_iter().flatten().map(|p| p.name.as_str()),
    )?;
    stock(
        reader,
        "clamps",
        given,
        |_| {
            vec![Clamp {
                name: "solid".to_owned(),
                stack: typical::CLAMP_STACK.typical,
                damping: false,
            }]
        },
        |reader, at, p| {
            Ok(Clamp {
                name: p.name.clone(),
                stack: reader.given(at, &typical::CLAMP_STACK, p.stack_mm)?,
                damping: p.damping,
            })
        },
    )
}

fn bars(reader: &mut Reader, given: Option<&[BarProfile]>) -> Result<Vec<Bar>, SledError> {
    distinct(
        "bars",
        "name",
        given.into_iter().flatten().map(|p| p.name.as_str()),
    )?;
    stock(
        reader,
        "bars",
        given,
        |_| {
            vec![Bar {
                name: "typical".to_owned(),
                grip_to_grip: typical::GRIP_TO_GRIP.typical,
                rise: typical::BAR_RISE.typical,
                pullback: typical::BAR_PULLBACK.typical,
                sweep: Angle::from_deg(typical::BAR_SWEEP.typical),
                upsweep: Angle::from_deg(typical::BAR_UPSWEEP.typical),
                grip_diameter: typical::GRIP_DIAMETER.typical,
                grip_length: typical::GRIP_LENGTH.typical,
            }]
        },
        |reader, at, p| {
            Ok(Bar {
                name: p.name.clone(),
                grip_to_grip: reader.given(at, &typical::GRIP_TO_GRIP, p.grip_to_grip_mm)?,
                rise: reader.or_typical(at, &typical::BAR_RISE, p.rise_mm)?,
                pullback: reader.or_typical(at, &typical::BAR_PULLBACK, p.pullback_mm)?,
                sweep: Angle::from_deg(reader.or_typical(at, &typical::BAR_SWEEP, p.sweep_deg)?),
                upsweep: Angle::from_deg(reader.or_typical(
                    at,
                    &typical::BAR_UPSWEEP,
                    p.upsweep_deg,
                )?),
                grip_diameter: reader.or_typical(
                    at,
                    &typical::GRIP_DIAMETER,
                    p.grip_diameter_mm,
                )?,
                grip_length: reader.or_typical(at, &typical::GRIP_LENGTH, p.grip_length_mm)?,
            })
        },
    )
}

fn seats(reader: &mut Reader, given: Option<&[SeatProfile]>) -> Result<Vec<Seat>, SledError> {
    distinct(
        "seats",
        "name",
        given.into_iter().flatten().map(|p| p.name.as_str()),
    )?;
    stock(
        reader,
        "seats",
        given,
        |_| {
            typical::SEATS
                .into_iter()
                .map(|(name, height_over_line, f25, support, thickness)| Seat {
                    name: name.to_owned(),
                    height_over_line,
                    foam: Foam {
                        f25,
                        support,
                        thickness,
                    },
                })
                .collect()
        },
        |reader, at, p| {
            Ok(Seat {
                name: p.name.clone(),
                height_over_line: reader
                    .optional(at, &typical::SEAT_RAISE, p.height_over_line_mm)?
                    .unwrap_or(typical::SEAT_RAISE.typical),
                foam: foam(reader, at, p)?,
            })
        },
    )
}

fn foam(reader: &mut Reader, at: &str, p: &SeatProfile) -> Result<Foam, SledError> {
    let thickness = reader.or_typical(at, &typical::FOAM_THICKNESS, p.thickness_mm)?;
    let support = reader.or_typical(at, &typical::FOAM_SUPPORT, p.support)?;
    let f25 = match (p.f25_n, p.known_weight_kg, p.known_sink_mm) {
        (f25, None, None) => reader.or_typical(at, &typical::FOAM_F25, f25)?,
        (None, Some(weight), Some(sink)) => {
            let weight = reader.given(at, &typical::KNOWN_WEIGHT, weight)?;
            let sink = reader.given(at, &typical::KNOWN_SINK, sink)?;
            // The test's curve ends at 65 %: beyond it the foam bottoms and says little about its force at 25 %.
            if sink > 0.65 * thickness {
                return Err(SledError::Conflict {
                    field: path(at, "known_sink_mm"),
                    value: sink,
                    other: format!("thickness_mm {thickness}"),
                    rule: "the known weight must not sink in by more than 65 % of the foam",
                });
            }
            let unit = Foam {
                f25: 1.0,
                support,
                thickness,
            };
            let force = weight * STANDARD_GRAVITY;
            reader.given(
                at,
                &typical::FOAM_F25,
                force / (CONTACT_RATIO * indentation(&unit, sink)),
            )?
        }
        (Some(_), _, _) => {
            return Err(SledError::Conflict {
                field: path(at, "f25_n"),
                value: p.f25_n.unwrap_or(f64::NAN),
                other: "known_weight_kg and known_sink_mm".to_owned(),
                rule: "a foam is known by its test or by a known weight, not both",
            });
        }
        (None, weight, _) => {
            let missing = if weight.is_none() {
                "known_weight_kg"
            } else {
                "known_sink_mm"
            };
            return Err(SledError::Missing {
                field: path(at, missing),
                because: "a known weight and how far it sinks in belong together",
            });
        }
    };
    Ok(Foam {
        f25,
        support,
        thickness,
    })
}

/// Force on the standard disk at a deflection of at most 65 %, N: straight lines through (5 %, 0.6 F25), (25 %, F25)
/// and (65 %, support · F25) (our choice of curve).
fn indentation(foam: &Foam, deflection: f64) -> f64 {
    let e = deflection / foam.thickness;
    let share = if e <= 0.05 {
        0.6 * e / 0.05
    } else if e <= 0.25 {
        0.6 + 0.4 * (e - 0.05) / 0.20
    } else {
        1.0 + (foam.support - 1.0) * (e - 0.25) / 0.40
    };
    share * foam.f25
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

/// The stored form that resolves to this sled, everything written out, nothing left to the typical sled.
impl From<&Sled> for SledProfile {
    fn from(sled: &Sled) -> Self {
        let deg = |a: Angle| Some(a.deg());
        let side = |left| if left { Side::Left } else { Side::Right };
        Self {
            name: sled.name.clone(),
            note: None,
            measured: Vec::new(),
            board: BoardProfile {
                foot_lateral_mm: sled.board.foot_lateral,
                pitch_deg: deg(sled.board.pitch),
                edge_height_mm: Some(sled.board.edge_height),
                footwell_front_mm: Some(sled.board.footwell_front),
                rear_mm: Some(sled.board.rear),
            },
            stirrup: StirrupProfile {
                positions_mm: Some(sled.stirrup.positions.clone()),
                slot_mm: None,
                toe_stop_offset_mm: Some(sled.stirrup.toe_stop_offset),
                right_offset_mm: Some(sled.stirrup.right_offset),
                hoop_height_mm: Some(sled.stirrup.hoop_height),
                hoop_width_mm: Some(sled.stirrup.hoop_width),
                edge_protector_mm: sled.stirrup.edge_protector.map(|(r, f)| [r, f]),
            },
            steering: SteeringProfile {
                base_x_mm: sled.steering.base_x,
                base_z_mm: sled.steering.base_z,
                post_rake_deg: deg(sled.steering.post_rake),
                lock_deg: deg(sled.steering.lock),
                hose_limit_mm: sled.steering.hose_limit,
                grip_travel_limit_mm: sled.steering.grip_travel_limit,
                bar_roll_low_deg: deg(sled.bar_roll.0),
                bar_roll_high_deg: deg(sled.bar_roll.1),
            },
            seat: SeatTopProfile {
                height_mm: None,
                line: Some(
                    sled.seat_line
                        .points()
                        .iter()
                        .map(|p| LinePointProfile {
                            x_mm: p.x,
                            z_mm: p.z,
                            half_width_mm: p.half_width,
                        })
                        .collect(),
                ),
            },
            risers: Some(
                sled.risers
                    .iter()
                    .map(|riser| {
                        let (low, high) = riser.angles.bounds();
                        RiserProfile {
                            height_mm: riser.height,
                            angle_low_deg: deg(low),
                            angle_high_deg: deg(high),
                            angle_step_deg: match riser.angles {
                                RiserAngles::Teeth { step, .. } => deg(step),
                                RiserAngles::Range(..) | RiserAngles::Fixed(_) => None,
                            },
                        }
                    })
                    .collect(),
            ),
            clamps: Some(
                sled.clamps
                    .iter()
                    .map(|clamp| ClampProfile {
                        name: clamp.name.clone(),
                        stack_mm: clamp.stack,
                        damping: clamp.damping,
                    })
                    .collect(),
            ),
            bars: Some(
                sled.bars
                    .iter()
                    .map(|bar| BarProfile {
                        name: bar.name.clone(),
                        grip_to_grip_mm: bar.grip_to_grip,
                        rise_mm: Some(bar.rise),
                        pullback_mm: Some(bar.pullback),
                        sweep_deg: deg(bar.sweep),
                        upsweep_deg: deg(bar.upsweep),
                        grip_diameter_mm: Some(bar.grip_diameter),
                        grip_length_mm: Some(bar.grip_length),
                    })
                    .collect(),
            ),
            seats: Some(
                sled.seats
                    .iter()
                    .map(|seat| SeatProfile {
                        name: seat.name.clone(),
                        height_over_line_mm: Some(seat.height_over_line),
                        thickness_mm: Some(seat.foam.thickness),
                        f25_n: Some(seat.foam.f25),
                        support: Some(seat.foam.support),
                        known_weight_kg: None,
                        known_sink_mm: None,
                    })
                    .collect(),
            ),
            outline: Some(
                sled.outline
                    .points()
                    .iter()
                    .enumerate()
                    .map(|(i, p)| OutlinePointProfile {
                        name: typical::OUTLINE
                            .get(i)
                            .map_or_else(|| format!("point {}", i + 1), |row| row.0.to_owned()),
                        x_mm: p.x,
                        z_mm: p.z,
                        half_width_mm: p.half_width,
                    })
                    .collect(),
            ),
            brake: Some(FingerLeverProfile {
                side: Some(side(sled.brake.left)),
                along_low_mm: Some(sled.brake.along.0),
                along_high_mm: Some(sled.brake.along.1),
                roll_low_deg: deg(sled.brake.roll.0),
                roll_high_deg: deg(sled.brake.roll.1),
                reach_low_mm: Some(sled.brake.reach.0),
                reach_high_mm: Some(sled.brake.reach.1),
                reach_steps: Some(sled.brake.reach_steps),
                free_travel_mm: Some(sled.brake.free_travel),
                longest_travel_mm: Some(sled.brake.longest_travel),
                blade_mm: Some(sled.brake.blade),
            }),
            throttle: Some(ThumbLeverProfile {
                side: Some(side(sled.throttle.left)),
                along_low_mm: Some(sled.throttle.along.0),
                along_high_mm: Some(sled.throttle.along.1),
                roll_low_deg: deg(sled.throttle.roll.0),
                roll_high_deg: deg(sled.throttle.roll.1),
                reach_low_mm: Some(sled.throttle.reach.0),
                reach_high_mm: Some(sled.throttle.reach.1),
                reach_steps: Some(sled.throttle.reach_steps),
                travel_mm: Some(sled.throttle.travel),
            }),
            buttons: Some(
                sled.buttons
                    .iter()
                    .map(|button| ButtonProfile {
                        name: button.name.clone(),
                        side: side(button.left),
                        inward_mm: button.inward,
                        roll_deg: deg(button.roll),
                        stand_off_mm: Some(button.stand_off),
                    })
                    .collect(),
            ),
            guard: sled.guard.map(|guard| GuardProfile {
                clear_depth_mm: guard.clear_depth,
            }),
            balance_mark: Some(BalanceMarkProfile {
                x_mm: sled.balance_mark.x,
                sd_mm: Some(sled.balance_mark.sd),
            }),
        }
    }
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

    #[test]
    fn a_known_weight_gives_the_foam_that_sinks_by_as_much() {
        let tern = SledProfile::read(SHIPPED[1].text)
            .unwrap()
            .resolve()
            .unwrap();
        let tall = tern.seats.iter().find(|s| s.name == "tall").unwrap();
        let force = CONTACT_RATIO * indentation(&tall.foam, 34.0);
        assert!((force - 56.0 * STANDARD_GRAVITY).abs() < 1e-9, "{force}");
    }
}
