//! From the checked sled back to the stored form.

use super::geometry::{RiserAngles, Sled};
use super::profile::{
    BalanceMarkProfile, BarProfile, BoardProfile, ButtonProfile, ClampProfile, FingerLeverProfile,
    GuardProfile, LinePointProfile, OutlinePointProfile, RiserProfile, SeatProfile, SeatTopProfile,
    Side, SledProfile, SteeringProfile, StirrupProfile, ThumbLeverProfile,
};
use super::typical;
use crate::units::Angle;

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
