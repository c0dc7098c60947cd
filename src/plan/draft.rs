//! Values at a path of a document: `stirrup.positions_mm[2]`, as errors name them and forms edit them.

use serde_json::{Map, Value};

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step<'a> {
    Key(&'a str),
    Place(usize),
}

/// The longest list that a path may reach into; a form never comes near it.
const LONGEST_LIST: usize = 200;

fn steps(path: &str) -> Vec<Step<'_>> {
    let mut steps = Vec::new();
    for part in path.split('.') {
        let mut pieces = part.split('[');
        if let Some(key) = pieces.next().filter(|key| !key.is_empty()) {
            steps.push(Step::Key(key));
        }
        for piece in pieces {
            if let Ok(place) = piece.trim_end_matches(']').parse::<usize>()
                && place < LONGEST_LIST
            {
                steps.push(Step::Place(place));
            }
        }
    }
    steps
}

/// The value at a path; none where the document has none, or null.
pub fn get<'a>(document: &'a Value, path: &str) -> Option<&'a Value> {
    let mut at = document;
    for step in steps(path) {
        at = match step {
            Step::Key(key) => at.get(key)?,
            Step::Place(place) => at.get(place)?,
        };
    }
    (!at.is_null()).then_some(at)
}

/// Put a value at a path; objects and lists on the way are made where they are missing.
pub fn set(document: &mut Value, path: &str, value: Value) {
    let mut at = document;
    for step in steps(path) {
        at = match step {
            Step::Key(key) => {
                if !at.is_object() {
                    *at = Value::Object(Map::new());
                }
                match at {
                    Value::Object(fields) => fields.entry(key).or_insert(Value::Null),
                    _ => return,
                }
            }
            Step::Place(place) => {
                if !at.is_array() {
                    *at = Value::Array(Vec::new());
                }
                match at {
                    Value::Array(list) => {
                        while list.len() <= place {
                            list.push(Value::Null);
                        }
                        &mut list[place]
                    }
                    _ => return,
                }
            }
        };
    }
    *at = value;
}

/// Take the value at a path away: a key goes, a place in a list closes up.
pub fn remove(document: &mut Value, path: &str) {
    let steps = steps(path);
    let Some((last, way)) = steps.split_last() else {
        return;
    };
    let mut at = document;
    for step in way {
        let next = match step {
            Step::Key(key) => at.get_mut(key),
            Step::Place(place) => at.get_mut(place),
        };
        match next {
            Some(next) => at = next,
            None => return,
        }
    }
    match (last, at) {
        (Step::Key(key), Value::Object(fields)) => {
            fields.remove(*key);
        }
        (Step::Place(place), Value::Array(list)) if *place < list.len() => {
            list.remove(*place);
        }
        _ => {}
    }
}

/// Take a field away, and the objects above it that it leaves empty.
pub fn remove_field(document: &mut Value, path: &str) {
    remove(document, path);
    if let Some((parent, _)) = path.rsplit_once('.')
        && !parent.ends_with(']')
        && get(document, parent)
            .and_then(Value::as_object)
            .is_some_and(Map::is_empty)
    {
        remove_field(document, parent);
    }
}

/// How many entries the list at a path has; 0 where there is none.
pub fn count(document: &Value, path: &str) -> usize {
    get(document, path)
        .and_then(Value::as_array)
        .map_or(0, Vec::len)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn sets_gets_and_removes_at_any_depth() {
        let mut document = json!({ "stirrup": { "positions_mm": [0, -20] } });
        set(&mut document, "stirrup.positions_mm[2]", json!(-40));
        set(&mut document, "risers[0].height_mm", json!(100));
        assert_eq!(get(&document, "stirrup.positions_mm[2]"), Some(&json!(-40)));
        assert_eq!(get(&document, "risers[0].height_mm"), Some(&json!(100)));
        assert_eq!(count(&document, "stirrup.positions_mm"), 3);
        remove(&mut document, "stirrup.positions_mm[1]");
        assert_eq!(document["stirrup"]["positions_mm"], json!([0, -40]));
        remove(&mut document, "risers");
        assert_eq!(get(&document, "risers"), None);
        remove(&mut document, "not.there[3]");
    }

    #[test]
    fn a_hostile_path_makes_no_endless_list() {
        let mut document = json!({});
        set(&mut document, "a[99999999999]", json!(1));
        assert_eq!(document, json!({ "a": 1 }));
    }
}
