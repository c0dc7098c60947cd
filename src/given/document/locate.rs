//! Where in a document's text a field stands, so that a complaint about its value can point at line and column.

use serde::Deserialize;
use serde::de::IgnoredAny;

/// Line and column of the value at a path such as `data.stirrup.positions_mm[2]`, from 1.
///
/// Where the path leaves the document (the field is missing), the place of the last value on it that exists.
pub fn locate(text: &str, path: &str) -> (usize, usize) {
    let mut rest = text;
    for step in steps(path) {
        match enter(rest, step) {
            Some(inner) => rest = inner,
            None => break,
        }
    }
    let before = &text[..text.len() - rest.trim_start().len()];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (
        before.matches('\n').count() + 1,
        before[line_start..].chars().count() + 1,
    )
}

/// One step of a path.
#[derive(Clone, Copy)]
enum Step<'a> {
    Key(&'a str),
    Index(usize),
}

fn steps(path: &str) -> impl Iterator<Item = Step<'_>> {
    path.split(['.', '[']).filter_map(|part| {
        let index = part.strip_suffix(']').and_then(|n| n.parse().ok());
        match index {
            Some(index) => Some(Step::Index(index)),
            None => (!part.is_empty()).then_some(Step::Key(part)),
        }
    })
}

/// The text from the value that one step leads to; `None` where it leads nowhere.
fn enter<'t>(text: &'t str, step: Step) -> Option<&'t str> {
    let text = text.trim_start();
    let mut rest = match step {
        Step::Key(_) => text.strip_prefix('{')?,
        Step::Index(_) => text.strip_prefix('[')?,
    };
    let mut index = 0;
    loop {
        rest = rest.trim_start();
        match step {
            Step::Key(wanted) => {
                let (key, after) = value::<String>(rest)?;
                rest = after.trim_start().strip_prefix(':')?;
                if key == wanted {
                    return Some(rest);
                }
            }
            Step::Index(wanted) if index == wanted => {
                return (!rest.starts_with(']')).then_some(rest);
            }
            Step::Index(_) => index += 1,
        }
        let (_, after) = value::<IgnoredAny>(rest)?;
        rest = after.trim_start().strip_prefix(',')?;
    }
}

/// Reads one JSON value off the front of a text.
fn value<'t, T: Deserialize<'t>>(text: &'t str) -> Option<(T, &'t str)> {
    let mut stream = serde_json::Deserializer::from_str(text).into_iter::<T>();
    let read = stream.next()?.ok()?;
    Some((read, &text[stream.byte_offset()..]))
}

#[cfg(test)]
mod tests {
    use super::locate;

    #[test]
    fn values_are_found_by_their_path() {
        let text =
            "{\n  \"a\": [1, {\"b\": 2}],\n  \"data\": {\n    \"s\": [10,\n      20]\n  }\n}";
        assert_eq!(locate(text, "data.s[1]"), (5, 7));
        assert_eq!(locate(text, "a[1].b"), (2, 18));
        assert_eq!(
            locate(text, "data.missing"),
            (3, 11),
            "the object that lacks it"
        );
        assert_eq!(locate("", "data"), (1, 1));
    }
}
