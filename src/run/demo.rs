//! An invented run to try the place with: nobody rode it.
//!
//! The model: two laps of 38 s along an ellipse of 110 m by 45 m after 5 s of standing still, 100 samples a second. The
//! sled pulls and brakes twice a lap (0.35 g), goes through one left and one right corner (0.9 g), and shakes with white
//! noise smoothed over 0.12 s; chassis spikes of −2 or +4 g stand in every 37th sample. Three jumps a lap end in half sine
//! waves of 0.3 s, each with its push back and its hit upward. The sensor is turned by 4° nose up and 1.5° left side up
//! and adds noise of 0.01 g. All of it is our choice, so that every part of the answer has something to say.

use core::f64::consts::{PI, TAU};
use core::fmt::Write;

use super::track::EARTH;
use crate::confidence::Stream;
use crate::units::Angle;

/// What it is called.
pub const DEMO_NAME: &str = "invented-loop.csv";

/// Samples a second, length of a lap and of standing still, s.
const RATE: f64 = 100.0;
const LAP: f64 = 38.0;
const STILL: f64 = 5.0;
/// Rows: both laps, standing still before and 3 s after them.
const ROWS: usize = 8400;

/// Half axes of the ellipse, m, and its start.
const ELLIPSE: (f64, f64) = (110.0, 45.0);
const START: (Angle, Angle) = (Angle::from_deg(61.25), Angle::from_deg(14.5));

/// Where each jump is, as a share of the lap; time in the air, s; push back and hit of its landing, g.
const JUMPS: [[f64; 4]; 3] = [
    [0.22, 0.55, 0.72, 3.2],
    [0.43, 0.7, 3.6, 2.8],
    [0.8, 0.45, 2.4, 2.2],
];
const LANDING: f64 = 0.3;

/// Noise before smoothing along each axis, g.
const SHAKE: [f64; 3] = [0.25, 0.3, 0.4];
const FLUTTER: f64 = 0.05;
const SENSOR: f64 = 0.01;

/// Samples between positions and speeds, and between spikes.
const FIX: usize = 10;
const SPIKE: usize = 37;

/// The run as a logger's table.
pub fn demo() -> String {
    let mut stream = Stream::new(7, 0);
    let mut noise = |size: f64| [(); 3].map(|()| size * stream.normal());
    // Smoothed by a raised cosine over thirteen samples, whose ends are nil.
    let white: Vec<[f64; 3]> = (0..ROWS + 12).map(|_| noise(1.0)).collect();
    let rough = |i: usize, axis: usize| -> f64 {
        let share = |k: usize| (1.0 - libm::cos(TAU * k as f64 / 12.0)) / 12.0;
        (0..13).map(|k| share(k) * white[i + k][axis]).sum()
    };
    let (pitch, roll) = (Angle::from_deg(4.0), Angle::from_deg(1.5));
    let mut out = String::from(
        "# INVENTED: made from a stated model; nobody rode this\n\
         time,acc x,acc y,acc z,speed,throttle,brake,latitude,longitude\n\
         s,g,g,g,km/h,%,bar,deg,deg\n",
    );
    let mut turned = 0.0;
    for i in 0..ROWS {
        let t = i as f64 / RATE;
        let ridden = t - STILL;
        let (mut f, mut speed, mut throttle, mut brake) = ([0.0, 0.0, 1.0], 0.0, 0.0, 0.0);
        if 0.0 < ridden && ridden < 2.0 * LAP {
            let phase = ridden % LAP / LAP;
            let twice = libm::cos(2.0 * TAU * phase);
            speed = (ridden / 3.0).min(1.0) * (14.0 + 5.0 * libm::sin(2.0 * TAU * phase));
            (throttle, brake) = ((55.0 + 45.0 * twice).max(0.0), (-9.0 * twice).max(0.0));
            f[0] = 0.35 * twice + if ridden < 2.0 { 0.5 } else { 0.0 };
            f[1] = 0.9 * (ridden / 3.0).min(1.0) * libm::cos(TAU * phase);
            for (axis, f) in f.iter_mut().enumerate() {
                *f += SHAKE[axis] * rough(i, axis);
            }
            let mut flies = false;
            for [place, air, back, hit] in JUMPS {
                let into = (phase - place) * LAP;
                if (0.0..air).contains(&into) {
                    f = [0, 1, 2].map(|axis| FLUTTER * (rough(i, axis) + f64::from(axis == 2)));
                    (throttle, flies) = (20.0, true);
                } else if (air..air + LANDING).contains(&into) {
                    let wave = libm::sin(PI * (into - air) / LANDING);
                    f[0] -= back * wave;
                    f[2] += (hit - 1.0) * wave;
                }
            }
            if !flies && i.is_multiple_of(SPIKE) {
                f[2] += if i.is_multiple_of(2) { -2.0 } else { 4.0 };
            }
        }
        turned += speed / RATE / 15.0 * TAU / LAP;
        let (y, z) = (
            roll.cos() * f[1] + roll.sin() * f[2],
            roll.cos() * f[2] - roll.sin() * f[1],
        );
        let read = [
            pitch.cos() * f[0] + pitch.sin() * z,
            y,
            pitch.cos() * z - pitch.sin() * f[0],
        ];
        let [e0, e1, e2] = noise(SENSOR);
        // Writing to a string cannot fail.
        let _ = write!(
            out,
            "{t:.2},{:.3},{:.3},{:.3},",
            read[0] + e0,
            read[1] + e1,
            read[2] + e2
        );
        let fix = i.is_multiple_of(FIX);
        let _ = if fix {
            write!(out, "{:.1},{throttle:.0},{brake:.1},", 3.6 * speed)
        } else {
            write!(out, ",{throttle:.0},{brake:.1},")
        };
        let _ = if fix {
            let east = ELLIPSE.0 * (libm::cos(turned) - 1.0) / START.0.cos();
            let north = ELLIPSE.1 * libm::sin(turned);
            let at = |from: Angle, way: f64| (from + Angle::from_rad(way / EARTH)).deg();
            writeln!(out, "{:.6},{:.6}", at(START.0, north), at(START.1, east))
        } else {
            writeln!(out, ",")
        };
    }
    out
}
