//! A set-up as a short text for an address: it brings the same rider, sled and settings back on another device, and
//! nothing needs a server.
//!
//! Parts between `;`, each a key and a value after `=`; the first is the version. Everything but letters, digits and
//! `-_.~` is percent-encoded (RFC 3986 section 2.1). A sled of one's own stands there as its document in base64url
//! (RFC 4648 section 5).
//!
//! | key | value |
//! |---|---|
//! | `r.` and a path | what was typed into the rider's form |
//! | `i.` and a path | the same, where a bare number is in inches or pounds |
//! | `u` | `in`: inches and pounds are shown |
//! | `set` | riser, clamp, bar, seat (places in stock), stirrup mm, riser angle and bar roll in degrees, between `,` |
//! | `keep.` and a setting | its value that the search keeps |
//! | `lev` | rolls of brake and throttle that were turned by hand, degrees, `x` for one that was not |
//! | `own` | a sled of one's own |

use super::rider_form::RiderForm;
use super::setting::{Chosen, LeverRolls, Setting};
use super::{Entry, Plan, SledForm, SledPick, Units};
use crate::units::text::finite;

/// Version of the text.
const VERSION: &str = "1";

/// Longer texts are refused before they are looked at: no address that a browser takes is longer.
const LONGEST: usize = 60_000;

/// Why a code cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// It comes from a newer version of the page.
    #[error(
        "this set-up's address is of version {found}, and this page knows version {VERSION}: load the page anew"
    )]
    Newer {
        /// Its version.
        found: String,
    },
    /// A part that says nothing.
    #[error("this set-up's address is damaged at \"{part}\"; nothing was changed")]
    Damaged {
        /// The part, as it stands there.
        part: String,
    },
}

/// Writes a plan; which sled and which stance the address says beside it.
pub fn write(plan: &Plan) -> String {
    write_with(plan, &[])
}

/// The same with parts that are no plan's.
pub(super) fn write_with(plan: &Plan, more: &[(String, String)]) -> String {
    let mut out = VERSION.to_owned();
    let mut part = |key: &str, value: &str| {
        out.push(';');
        escape(key, &mut out);
        out.push('=');
        escape(value, &mut out);
    };
    if plan.units == Units::Imperial {
        part("u", "in");
    }
    for (path, entry) in plan.rider.entries() {
        let kind = match entry.units {
            Units::Metric => "r.",
            Units::Imperial => "i.",
        };
        part(&format!("{kind}{path}"), &entry.text);
    }
    if let Some(c) = &plan.by_hand {
        let numbers = [c.stirrup_mm, c.riser_angle_deg, c.bar_roll_deg].map(short);
        let places = [c.riser, c.clamp, c.bar, c.seat].map(|p| p.to_string());
        part(
            "set",
            &format!("{}_{}", places.join("_"), numbers.join("_")),
        );
    }
    if !plan.levers.is_empty() {
        let rolls = [plan.levers.brake_deg, plan.levers.throttle_deg];
        let rolls = rolls.map(|roll| roll.map_or_else(|| "x".to_owned(), short));
        part("lev", &rolls.join("_"));
    }
    for (setting, value) in &plan.kept {
        part(&format!("keep.{}", setting.key()), &short(*value));
    }
    if plan.sled.pick == SledPick::Own
        && let Some(own) = plan.sled.own_text()
    {
        part("own", &base64url(own.as_bytes()));
    }
    for (key, value) in more {
        part(key, value);
    }
    out
}

/// Reads a code onto a plan: rider, settings and, where it carries one, the sled are those of the code.
///
/// # Errors
/// A newer version, or a part that cannot be read; the plan is then as it was.
pub fn read(code: &str, onto: &Plan) -> Result<Plan, CodeError> {
    read_with(code, onto, &mut |_, _| None)
}

/// The same; `other` takes parts that are no plan's, and says whether it could.
///
/// # Errors
/// As [`read`].
pub(super) fn read_with(
    code: &str,
    onto: &Plan,
    other: &mut dyn FnMut(&str, &str) -> Option<()>,
) -> Result<Plan, CodeError> {
    let damaged = |part: &str| CodeError::Damaged {
        part: part.chars().take(40).collect(),
    };
    if code.len() > LONGEST {
        return Err(damaged(code));
    }
    let mut parts = code.split(';');
    let version = parts.next().unwrap_or_default();
    if version != VERSION {
        let newer = version.parse::<u32>().is_ok_and(|v| v > 1);
        return Err(if newer {
            CodeError::Newer {
                found: version.to_owned(),
            }
        } else {
            damaged(version)
        });
    }
    let mut plan = Plan {
        rider: RiderForm::default(),
        by_hand: None,
        levers: LeverRolls::default(),
        units: Units::Metric,
        ..onto.clone()
    };
    plan.kept.clear();
    for part in parts {
        let read = part
            .split_once('=')
            .and_then(|(key, value)| Some((unescape(key)?, unescape(value)?)))
            .and_then(|(key, value)| take(&mut plan, &key, &value).or_else(|| other(&key, &value)));
        read.ok_or_else(|| damaged(part))?;
    }
    Ok(plan)
}

/// Takes one part into a plan; none where it cannot be read.
fn take(plan: &mut Plan, key: &str, value: &str) -> Option<()> {
    if let Some(path) = key.strip_prefix("r.") {
        plan.rider.type_in(path, Entry::new(value, Units::Metric));
    } else if let Some(path) = key.strip_prefix("i.") {
        plan.rider.type_in(path, Entry::new(value, Units::Imperial));
    } else if let Some(name) = key.strip_prefix("keep.") {
        let setting = Setting::ALL.into_iter().find(|s| s.key() == name)?;
        plan.kept.insert(setting, finite(value)?);
    } else {
        match key {
            "u" if value == "in" => plan.units = Units::Imperial,
            "set" => plan.by_hand = Some(chosen(value)?),
            "lev" => {
                let roll = |text: &str| match text {
                    "x" => Some(None),
                    text => finite(text).map(Some),
                };
                let (brake, throttle) = value.split_once('_')?;
                plan.levers = LeverRolls {
                    brake_deg: roll(brake)?,
                    throttle_deg: roll(throttle)?,
                };
            }
            "own" => {
                let text = String::from_utf8(from_base64url(value)?).ok()?;
                plan.sled = SledForm::of_own(&text)?;
            }
            _ => return None,
        }
    }
    Some(())
}

fn chosen(value: &str) -> Option<Chosen> {
    let mut pieces = value.split('_');
    let mut place = || pieces.next()?.parse::<usize>().ok();
    let (riser, clamp, bar, seat) = (place()?, place()?, place()?, place()?);
    let mut number = || finite(pieces.next()?);
    Some(Chosen {
        riser,
        clamp,
        bar,
        seat,
        stirrup_mm: number()?,
        riser_angle_deg: number()?,
        bar_roll_deg: number()?,
    })
}

/// A number to a thousandth, as short as it can be written.
pub(super) fn short(value: f64) -> String {
    let rounded = libm::round(value * 1000.0) / 1000.0;
    // Without the sign of a negative zero.
    (rounded + 0.0).to_string()
}

fn escape(text: &str, out: &mut String) {
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' => {
                out.push(char::from(byte));
            }
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
}

fn unescape(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let mut digit = || char::from(rest.next()?).to_digit(16);
            let value = digit()? * 16 + digit()?;
            bytes.push(u8::try_from(value).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

fn base64url(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len() * 4 / 3 + 3);
    for group in bytes.chunks(3) {
        let mut word = [0; 4];
        word[1..=group.len()].copy_from_slice(group);
        let word = u32::from_be_bytes(word);
        for i in 0..=group.len() {
            let six = (word >> (18 - 6 * i)) & 63;
            out.push(char::from(ALPHABET[six as usize]));
        }
    }
    out
}

fn from_base64url(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(text.len() * 3 / 4);
    for group in text.as_bytes().chunks(4) {
        let mut word = 0_u32;
        for (i, byte) in group.iter().enumerate() {
            let six = ALPHABET.iter().position(|a| a == byte)?;
            word |= u32::try_from(six).ok()? << (18 - 6 * i);
        }
        let whole = word.to_be_bytes();
        out.extend_from_slice(whole.get(1..group.len())?);
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::super::rider_form;
    use super::*;
    use proptest::prelude::*;

    fn plan() -> Plan {
        let mut plan = Plan {
            units: Units::Imperial,
            ..Plan::default()
        };
        plan.rider
            .type_in(rider_form::STATURE, Entry::new("5'11", Units::Imperial));
        plan.rider
            .type_in(rider_form::BODY_MASS, Entry::new("80,5 kg", Units::Metric));
        plan.by_hand = Some(Chosen {
            riser: 2,
            clamp: 0,
            bar: 1,
            seat: 3,
            stirrup_mm: -60.0,
            riser_angle_deg: 12.5,
            bar_roll_deg: -3.25,
        });
        plan.levers.throttle_deg = Some(-12.5);
        plan.kept.insert(Setting::Seat, 1.0);
        plan
    }

    #[test]
    fn a_plan_comes_back_from_its_code_and_the_code_is_short() {
        let plan = plan();
        let code = write(&plan);
        assert_eq!(read(&code, &Plan::default()).unwrap(), plan);
        assert!(code.len() < 160, "{code}");
        let safe = |c: char| c.is_ascii_alphanumeric() || "-_.~%;=".contains(c);
        assert!(code.chars().all(safe), "{code}");
    }

    #[test]
    fn a_sled_of_ones_own_comes_along() {
        let mut plan = plan();
        plan.sled.make_own();
        plan.sled
            .type_in("steering.base_x_mm", Entry::new("333", Units::Metric));
        let back = read(&write(&plan), &Plan::default()).unwrap();
        assert_eq!(back.sled.pick, SledPick::Own);
        assert_eq!(back.sled.document(), plan.sled.document());
        assert_eq!(back.sled.read().sled, plan.sled.read().sled);
    }

    #[test]
    fn a_damaged_or_newer_code_changes_nothing_and_says_so() {
        let code = write(&plan());
        for broken in [
            "",
            "0",
            "x;y",
            "1;set=1_2",
            "1;own=***",
            "1;nonsense=1",
            "1;r.a=%f",
            "1;keep.seat=NaN",
            "1;lev=x",
            "1;lev=NaN_3",
        ] {
            assert!(
                matches!(read(broken, &plan()), Err(CodeError::Damaged { .. })),
                "{broken}"
            );
        }
        let newer = code.replacen('1', "2", 1);
        assert!(matches!(
            read(&newer, &plan()),
            Err(CodeError::Newer { .. })
        ));
    }

    proptest! {
        #[test]
        fn any_text_is_answered(text in "\\PC{0,80}") {
            let _ = read(&text, &Plan::default());
            let _ = read(&format!("1;{text}"), &Plan::default());
        }

        #[test]
        fn bytes_come_back_from_base64url(bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            prop_assert_eq!(from_base64url(&base64url(&bytes)).unwrap(), bytes);
        }
    }
}
