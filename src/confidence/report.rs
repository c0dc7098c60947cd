//! The stored form of how sure everything is: bands, odds and what to measure next, as the report prints them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Confidence, MeasureNext, Sampling, Spread};
use crate::sled::Sled;

/// Declares structs that are written, sent from the worker to the page, and described by a JSON Schema.
macro_rules! stored {
    ($($(#[$meta:meta])* pub struct $name:ident { $($body:tt)* })*) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        pub struct $name { $($body)* }
    )*};
}

stored! {
/// How sure the settings and the figures are.
pub struct ConfidenceReport {
    /// 90 % bands, from the 5th to the 95th percentile.
    pub bands: BandsReport,
    /// Shares of the draws in which a part or position is the best, most likely first; by all that is uncertain where
    /// `bands.full` is there, else by the body alone.
    pub odds: OddsReport,
    /// Measurements not yet taken, by how much they narrow a setting's anthropometric band, best first.
    pub measure_next: Vec<NextReport>,
    /// How the bands were drawn.
    pub sampling: SamplingReport,
}

/// Bands by name of a setting (`riser_angle_deg`) or of a figure (`ready.knee_deg`): low and high. An end is null where
/// it is no number: a load whose start is not held, a weight that no force of the hands carries.
pub struct BandsReport {
    /// From the measurements of the body and what was estimated from them, all else fixed.
    pub anthropometric: BTreeMap<String, [Option<f64>; 2]>,
    /// From all that is uncertain: also joint centres, strength, friction, assumed limits, balance mark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub full: Option<BTreeMap<String, [Option<f64>; 2]>>,
}

/// Odds of parts and positions.
pub struct OddsReport {
    /// By height of the riser, mm.
    pub riser_height_mm: Vec<NumberOdds>,
    /// By the stirrup bolt's x, mm.
    pub stirrup_mm: Vec<NumberOdds>,
    /// By seat.
    pub seat: Vec<PartOdds>,
    /// By clamp.
    pub clamp: Vec<PartOdds>,
    /// By bar.
    pub bar: Vec<PartOdds>,
}

/// A length and its share.
pub struct NumberOdds {
    /// The length, mm.
    pub value: f64,
    /// The stirrup position that it is, counted from the front, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub position: Option<usize>,
    /// Share of the draws, 0 to 1.
    pub share: f64,
}

/// A part and its share.
pub struct PartOdds {
    /// Its name.
    pub value: String,
    /// Share of the draws, 0 to 1.
    pub share: f64,
}

/// A measurement worth taking.
pub struct NextReport {
    /// The measurement's name.
    pub name: String,
    /// By which share of its width the band of the setting narrows, 0 to 1.
    pub narrows: f64,
    /// The setting or distance whose band narrows most.
    pub setting: String,
    /// Width of its anthropometric band now, in the unit that its name says.
    pub from: f64,
    /// Expected width with the measurement taken.
    pub to: f64,
}

/// How bands were drawn.
pub struct SamplingReport {
    /// Riders drawn.
    pub draws: u32,
    /// The seed: the same gives the same numbers.
    pub seed: u64,
    /// Share of the draws that nothing in stock fits; settings' bands and odds are over the others.
    pub nothing_fits: f64,
    /// Share of the draws that the recommended settings keep within every limit of posture.
    pub in_reach: f64,
    /// Draws for which every combination of parts was searched; the others searched the combinations that could win.
    pub searched_whole: u32,
}
}

impl ConfidenceReport {
    /// The stored form.
    pub fn new(confidence: &Confidence, sled: &Sled, sampling: Sampling) -> Self {
        let bands = |spread: &Spread| {
            let named = confidence.quantities.iter().zip(&spread.bands);
            named
                .map(|(quantity, band)| (quantity.name.clone(), [band.low, band.high]))
                .collect()
        };
        let widest = confidence.widest();
        Self {
            bands: BandsReport {
                anthropometric: bands(&confidence.anthropometric),
                full: confidence.full.as_ref().map(bands),
            },
            odds: OddsReport::new(widest, sled),
            measure_next: confidence
                .measure_next
                .iter()
                .map(NextReport::new)
                .collect(),
            sampling: SamplingReport {
                draws: confidence.draws,
                seed: sampling.seed,
                nothing_fits: widest.nothing_fits,
                in_reach: widest.in_reach,
                searched_whole: confidence.searches,
            },
        }
    }
}

impl OddsReport {
    fn new(spread: &Spread, sled: &Sled) -> Self {
        let parts = |odds: &[(String, f64)]| {
            let part = |(value, share): &(String, f64)| PartOdds {
                value: value.clone(),
                share: *share,
            };
            odds.iter().map(part).collect()
        };
        let odds = &spread.odds;
        Self {
            riser_height_mm: odds
                .riser_height_mm
                .iter()
                .map(|&(value, share)| NumberOdds {
                    value,
                    position: None,
                    share,
                })
                .collect(),
            stirrup_mm: odds
                .stirrup_mm
                .iter()
                .map(|&(value, share)| NumberOdds {
                    value,
                    position: sled.stirrup.position_number(value),
                    share,
                })
                .collect(),
            seat: parts(&odds.seat),
            clamp: parts(&odds.clamp),
            bar: parts(&odds.bar),
        }
    }
}

impl NextReport {
    fn new(next: &MeasureNext) -> Self {
        Self {
            name: next.measurement.name().to_owned(),
            narrows: next.narrows,
            setting: next.setting.name().to_owned(),
            from: next.from,
            to: next.to,
        }
    }
}
