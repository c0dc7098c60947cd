//! Parts in stock: from the stored form, or the typical sled's where none is given.

use super::geometry::{Bar, Clamp, Foam, Riser, RiserAngles, Seat};
use super::profile::{BarProfile, ClampProfile, RiserProfile, SeatProfile};
use super::reader::{Reader, SledError, path};
use super::typical;
use crate::units::{Angle, STANDARD_GRAVITY};

/// Risers in stock.
pub(super) fn risers(
    reader: &mut Reader,
    given: Option<&[RiserProfile]>,
) -> Result<Vec<Riser>, SledError> {
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

/// Clamps in stock.
pub(super) fn clamps(
    reader: &mut Reader,
    given: Option<&[ClampProfile]>,
) -> Result<Vec<Clamp>, SledError> {
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

/// Bars in stock.
pub(super) fn bars(
    reader: &mut Reader,
    given: Option<&[BarProfile]>,
) -> Result<Vec<Bar>, SledError> {
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

/// Seats in stock.
pub(super) fn seats(
    reader: &mut Reader,
    given: Option<&[SeatProfile]>,
) -> Result<Vec<Seat>, SledError> {
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
            reader.given(at, &typical::FOAM_F25, force / unit.force(sink))?
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
pub(super) fn distinct<'a>(
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sled::{SledProfile, profile::SHIPPED};

    #[test]
    fn a_known_weight_gives_the_foam_that_sinks_by_as_much() {
        let tern = SledProfile::read(SHIPPED[1].text)
            .unwrap()
            .resolve()
            .unwrap();
        let tall = tern.seats.iter().find(|s| s.name == "tall").unwrap();
        let force = tall.foam.force(34.0);
        assert!((force - 56.0 * STANDARD_GRAVITY).abs() < 1e-9, "{force}");
    }
}
