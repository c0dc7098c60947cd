//! A fingerprint of a fit: equal exactly where two builds computed the same bits.
//!
//! FNV-1a with 64 bits (Fowler, Noll, Vo; IETF draft-eastlake-fnv) over the fit written out by its derived `Debug`.
//! That names every field there is, now and later, and writes each `f64` with the fewest digits that read back to the
//! same bits, zero with its sign; only NaNs are not told apart. Compares builds of one version, not versions.

use std::fmt::{self, Write};

use super::outcome::Fit;

/// FNV-1a's offset basis.
const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
/// FNV-1a's prime.
const PRIME: u64 = 0x0100_0000_01b3;

/// Computes the fingerprint of everything in a fit.
pub fn fingerprint(fit: &Fit) -> u64 {
    let mut hash = Fnv(BASIS);
    // The hasher takes every byte, so that writing cannot fail.
    let _ = write!(hash, "{fit:?}");
    hash.0
}

/// FNV-1a as a place to write text to.
struct Fnv(u64);

impl Write for Fnv {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        for byte in text.bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(PRIME);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_as_published() {
        // Test vectors of the draft's appendix.
        for (text, hash) in [
            ("", 0xcbf2_9ce4_8422_2325),
            ("a", 0xaf63_dc4c_8601_ec8c),
            ("foobar", 0x8594_4171_f739_67e8),
        ] {
            let mut fnv = Fnv(BASIS);
            assert!(fnv.write_str(text).is_ok());
            assert_eq!(fnv.0, hash, "{text:?}");
        }
    }

    #[test]
    fn tells_neighbouring_floats_and_zeros_apart() {
        let of = |x: f64| {
            let mut fnv = Fnv(BASIS);
            assert!(write!(fnv, "{x:?}").is_ok());
            fnv.0
        };
        for x in [0.1, 1.0, 1e300, 5e-324, 123.456] {
            assert_ne!(of(x), of(x.next_up()), "{x}");
        }
        assert_ne!(of(0.0), of(-0.0));
    }
}
