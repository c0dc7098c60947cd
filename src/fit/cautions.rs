//! The cautions that stand beside every set-up. Wording is our own; what to check is trade practice, no source.

/// What a set-up is, and what it is not: shown with every result and printed on every card.
pub const CAUTIONS: &[&str] = &[
    "This is a starting point worked out from measurements and averages, not medical advice and no promise of safety.",
    "Pain, numbness or white fingers: stop riding and see a licensed clinician.",
    "The maker's manual, the sanctioning body's rules and local law come first.",
    "Drill no new hole in a load-bearing part without the maker's consent.",
    "After every change go through the tick-off list, engine off first, before the sled is ridden.",
];

/// What to tick off after every change.
pub const TICK_OFF: &[&str] = &[
    "Full lock both ways: no hand, knee, lever or guard touches anything.",
    "Hoses, cables and loom are free at both locks, with no pull and no kink.",
    "The throttle snaps back to closed at both locks, gloves on.",
    "The brake lever at its hardest pull neither reaches the grip nor traps a finger.",
    "Stop switch and tether stop the engine; the tether is long enough in the rearmost stance and pulls out when it must.",
    "The boot leaves the stirrup freely, packed with snow too.",
    "Every bolt that was touched is torqued by the manual.",
    "One slow lap, then check it all again.",
];
