//! What is shipped, and settings on it.
#![allow(
    clippy::unwrap_used,
    dead_code,
    reason = "a test may panic, and not every one uses every part"
)]

use std::sync::LazyLock;

use sledstance::sled::profile::SHIPPED;
use sledstance::sled::{Settings, Sled, SledProfile};
use sledstance::stance::Stance;
use sledstance::units::Angle;

pub static STANCES: LazyLock<Vec<Stance>> = LazyLock::new(|| Stance::shipped().unwrap());

/// A demo sled by its place in the list.
pub fn sled(index: usize) -> Sled {
    let profile = SledProfile::read(SHIPPED[index].text).unwrap();
    profile.resolve().unwrap()
}

/// Settings that are nobody's best.
pub fn middling(sled: &Sled) -> Settings {
    let riser = sled.risers.len() / 2;
    Settings {
        riser,
        clamp: 0,
        bar: 0,
        seat: 0,
        stirrup: sled.stirrup.positions[sled.stirrup.positions.len() / 2],
        riser_angle: sled.risers[riser].angles.nearest(Angle::from_deg(10.0)),
        bar_roll: Angle::ZERO,
    }
}
