//! The thumb of a hand on a grip: from its base, three bones reach a paddle or a button inward of the grip.
//!
//! The base is a free joint, so what counts is how far the pad's target lies from the base and how far the thumb spreads
//! from the hand line. Bones a, b and half of c (the pad is in the middle of the end bone) with flexions m and p span
//! `L(m, p) = |a + b·e^{im} + c/2·e^{i(m+p)}|`, which falls with either flexion: the comfortable band of flexions is a
//! band of distances. The hand grips obliquely: its line leans inward, towards the thumb, by a fixed angle. Frame: that of the hand, and inward along the grip. Figures: [`super::hand::FIGURES`].

use super::hand::{
    HandOnGrip, INDEX_SPLAY, OBLIQUE_GRIP, THUMB_BASE_AHEAD, THUMB_BASE_INWARD, THUMB_BASE_PALMAR,
    THUMB_DISTAL, THUMB_IP_HIGH, THUMB_IP_LOW, THUMB_IP_MAX, THUMB_MCP_HIGH, THUMB_MCP_LOW,
    THUMB_MCP_MAX, THUMB_METACARPAL, THUMB_PROXIMAL, THUMB_SPREAD_HIGH, THUMB_SPREAD_LOW,
    THUMB_SPREAD_MAX, THUMB_THICK, WRIST_BEHIND, length, place, wrapped,
};
use crate::units::Angle;

/// Where a thumb must press, seen from the grip's centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Distance of the pressed face from the bar's axis, mm.
    pub out: f64,
    /// How far it stands below the hand line, as an angle about the grip.
    pub below_hand: Angle,
    /// Distance inward from the grip's centre along the bar, mm.
    pub inward: f64,
}

/// How a thumb stands to its target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThumbPress {
    /// Base of the thumb to its pad, mm.
    pub span: f64,
    /// Spread from the hand line.
    pub spread: Angle,
    /// How far the target lies beyond the span of a comfortably bent thumb, mm; negative: nearer than that, 0: inside.
    pub too_far: f64,
    /// What is left of the thumb's reach in length and in spread (along the arc), the smaller, mm; negative: missing.
    pub margin: f64,
    /// Squared discomfort: 1 at the edge of one comfortable band.
    pub strain: f64,
}

/// The thumb of one gloved hand on one grip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thumb {
    /// Base in the hand's frame: ahead, palmar, inward.
    base: (f64, f64, f64),
    /// Bone line to the face that the pad presses.
    pad: f64,
    /// Least and greatest span.
    span: (f64, f64),
    /// Comfortable span: both joints bent most, both bent least.
    comfort: (f64, f64),
}

impl HandOnGrip {
    /// Its thumb.
    pub fn thumb(&self) -> Thumb {
        let span = |mcp_deg: f64, ip_deg: f64| {
            let first = Angle::from_deg(mcp_deg);
            let second = Angle::from_deg(mcp_deg + ip_deg);
            let (b, c) = (THUMB_PROXIMAL, THUMB_DISTAL / 2.0);
            let along = THUMB_METACARPAL + b * first.cos() + c * second.cos();
            let aside = b * first.sin() + c * second.sin();
            self.hand * libm::hypot(along, aside)
        };
        Thumb {
            base: (
                (THUMB_BASE_AHEAD - WRIST_BEHIND) * self.hand,
                THUMB_BASE_PALMAR * self.hand - self.line_over_grip(),
                THUMB_BASE_INWARD * self.hand,
            ),
            pad: THUMB_THICK * self.hand / 2.0 + self.glove,
            span: (span(THUMB_MCP_MAX, THUMB_IP_MAX), span(0.0, 0.0)),
            comfort: (
                span(THUMB_MCP_HIGH, THUMB_IP_HIGH),
                span(THUMB_MCP_LOW, THUMB_IP_LOW),
            ),
        }
    }
}

impl Thumb {
    /// The thumb pressing a target from its outer side.
    pub fn press(&self, target: &Target) -> ThumbPress {
        let out = length(target.out) + self.pad;
        let below = wrapped(target.below_hand);
        let ahead = out * below.cos() - self.base.0;
        let palmar = out * below.sin() - self.base.1;
        let inward = place(target.inward) - self.base.2;
        let lean = Angle::from_deg(OBLIQUE_GRIP);
        let along_hand = ahead * lean.cos() + inward * lean.sin();
        let across_hand = inward * lean.cos() - ahead * lean.sin();
        let aside = libm::hypot(palmar, across_hand);
        let span = libm::hypot(along_hand, aside);
        let spread = Angle::from_rad(libm::atan2(aside, along_hand));
        let spread_left = span * (Angle::from_deg(THUMB_SPREAD_MAX + INDEX_SPLAY) - spread).rad();
        let margin = (self.span.1 - span)
            .min(span - self.span.0)
            .min(spread_left);
        let bend = band(span, self.comfort.0, self.comfort.1);
        let spread_off = band(spread.deg(), THUMB_SPREAD_LOW, THUMB_SPREAD_HIGH);
        let missing = margin.min(0.0);
        ThumbPress {
            span,
            spread,
            too_far: (span - self.comfort.1).max(0.0) - (self.comfort.0 - span).max(0.0),
            margin,
            strain: bend * bend + spread_off * spread_off + missing * missing,
        }
    }
}

/// Where a value stands in a band: −1 at its low end, 1 at its high end; a band without width counts as 1 wide.
fn band(value: f64, low: f64, high: f64) -> f64 {
    let half = (high - low) / 2.0;
    (value - (low + high) / 2.0) / if half > 0.0 { half } else { 0.5 }
}
