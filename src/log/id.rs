//! Identifiers of entries: UUID version 7 (RFC 9562, section 5.7), made on the device, in the order of making.
//!
//! 48 bits of Unix time in ms, then 74 random bits between version and variant. Where the clock stands still or jumps
//! back, the time of the last identifier is kept and its 74 bits are taken as one number and raised by a random step
//! (RFC 9562, section 6.2, method 2). Clock and randomness are arguments.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// An entry's identifier. Orders as its text does: by time, then by the counted bits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Id(u128);

/// Why a text is no identifier.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "\"{text}\" is no identifier: it must be a UUID of version 7, such as 01976f2a-0c00-7abc-8def-0123456789ab"
)]
pub struct IdError {
    /// What was read, cut to 60 characters.
    pub text: String,
}

/// Random bits: 12 behind the version, 62 behind the variant.
const TAIL_BITS: u32 = 74;
const TAIL_MASK: u128 = (1 << TAIL_BITS) - 1;
/// Random bits behind the variant.
const LOW_BITS: u32 = 62;
const LOW_MASK: u128 = (1 << LOW_BITS) - 1;
const VERSION: u128 = 7 << 76;
const VARIANT: u128 = 0b10 << 62;
/// The greatest time that 48 bits hold, ms.
const LAST_MS: u64 = (1 << 48) - 1;
/// Where the hyphens stand.
const HYPHENS: [usize; 4] = [8, 13, 18, 23];
/// Characters of the text.
const LENGTH: usize = 36;

impl Id {
    /// Make one at a time in ms since 1970, from ten random bytes. It is greater than `last`, whatever the clock says:
    /// give the greatest that this device has made or seen.
    ///
    /// A time beyond what 48 bits hold is cut to it; at that very end of time the promise of order ends.
    pub fn next(unix_ms: u64, random: [u8; 10], last: Option<Self>) -> Self {
        let noise = random
            .iter()
            .fold(0, |bits, byte| bits << 8 | u128::from(*byte));
        let (ms, noise) = (unix_ms.min(LAST_MS), noise & TAIL_MASK);
        match last {
            Some(last) if last.unix_ms() >= ms => {
                // A step of up to 2^32: four thousand million in one ms, and nobody guesses the next.
                let tail = last.tail() + 1 + (noise & u128::from(u32::MAX));
                if tail > TAIL_MASK {
                    Self::of((last.unix_ms() + 1).min(LAST_MS), noise)
                } else {
                    Self::of(last.unix_ms(), tail)
                }
            }
            _ => Self::of(ms, noise),
        }
    }

    /// Its time, ms since 1970: that of the clock when it was made, or of the identifier before where the clock was
    /// behind it.
    pub fn unix_ms(self) -> u64 {
        // 48 bits remain.
        (self.0 >> 80) as u64
    }

    fn of(ms: u64, tail: u128) -> Self {
        Self(
            u128::from(ms) << 80 | VERSION | (tail >> LOW_BITS) << 64 | VARIANT | (tail & LOW_MASK),
        )
    }

    fn tail(self) -> u128 {
        (self.0 >> 64 & 0xfff) << LOW_BITS | (self.0 & LOW_MASK)
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let n = self.0;
        write!(
            f,
            "{:08x}-{:04x}-{:04x}-{:04x}-{:012x}",
            n >> 96,
            n >> 80 & 0xffff,
            n >> 64 & 0xffff,
            n >> 48 & 0xffff,
            n & 0xffff_ffff_ffff
        )
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Id {
    type Err = IdError;

    /// Reads the text form; capitals are taken too.
    fn from_str(text: &str) -> Result<Self, IdError> {
        let refuse = || IdError {
            text: text.chars().take(60).collect(),
        };
        if text.len() != LENGTH {
            return Err(refuse());
        }
        let mut bits = 0_u128;
        for (i, byte) in text.bytes().enumerate() {
            if HYPHENS.contains(&i) {
                if byte != b'-' {
                    return Err(refuse());
                }
                continue;
            }
            let digit = char::from(byte).to_digit(16).ok_or_else(refuse)?;
            bits = bits << 4 | u128::from(digit);
        }
        let id = Self(bits);
        if id == Self::of(id.unix_ms(), id.tail()) {
            Ok(id)
        } else {
            Err(refuse())
        }
    }
}

impl TryFrom<String> for Id {
    type Error = IdError;

    fn try_from(text: String) -> Result<Self, IdError> {
        text.parse()
    }
}

impl From<Id> for String {
    fn from(id: Id) -> Self {
        id.to_string()
    }
}

#[cfg(not(target_arch = "wasm32"))]
impl schemars::JsonSchema for Id {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Id".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "A UUID of version 7 (RFC 9562).",
            "type": "string",
            "format": "uuid",
            "pattern": "^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-7[0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}$"
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_example_of_the_standard() {
        // RFC 9562, appendix A.6.
        let id: Id = "017F22E2-79B0-7CC3-98C4-DC0C0C07398F".parse().unwrap();
        assert_eq!(id.unix_ms(), 1_645_557_742_000);
        assert_eq!(id.to_string(), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
        assert_eq!(Id::of(id.unix_ms(), id.tail()), id);
    }

    #[test]
    fn other_texts_are_refused() {
        for text in [
            "",
            "017f22e2-79b0-4cc3-98c4-dc0c0c07398f",
            "017f22e2-79b0-7cc3-58c4-dc0c0c07398f",
            "017f22e279b07cc398c4dc0c0c07398f",
            "017f22e2-79b0-7cc3-98c4-dc0c0c07398",
            "017f22e2-79b0-7cc3-98c4-dc0c0c07398g",
            "017f22e2-79b0-7cc3-98c4_dc0c0c07398f",
            "ä17f22e2-79b0-7cc3-98c4-dc0c0c0739f",
        ] {
            assert!(text.parse::<Id>().is_err(), "{text}");
        }
    }

    #[test]
    fn a_full_counter_goes_on_in_the_next_millisecond() {
        let last = Id::of(5, TAIL_MASK);
        let next = Id::next(5, [0; 10], Some(last));
        assert_eq!(next.unix_ms(), 6);
        assert!(next > last);
        let end = Id::of(LAST_MS, TAIL_MASK);
        assert_eq!(Id::next(u64::MAX, [0xff; 10], Some(end)).unix_ms(), LAST_MS);
    }
}
