//! Import of anything: whatever text comes, the book answers it, and where it refuses it has not changed.
#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};
use sledstance::log::{Book, DEMO, Entry, Filter, Part, Reading, SCHEMA};

/// Every document that the first version wrote.
const WHOLE_1: &str = include_str!("cases/book/book-1-whole.json");
const HALF_1: &str = include_str!("cases/book/book-1-half.json");
const CLASH_1: &str = include_str!("cases/book/book-1-clash.json");
/// And the second.
const WHOLE_2: &str = include_str!("cases/book/book-2-whole.json");

/// An edit of bytes: where, how, and with which byte.
type Edit = (Index, u8, u8);

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    prop::collection::vec((any::<Index>(), any::<u8>(), any::<u8>()), 1..6)
}

/// A text with bytes changed, left out, put in, cut off or repeated.
fn mutated(text: &str, edits: &[Edit]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for (place, how, byte) in edits {
        if bytes.is_empty() {
            break;
        }
        let at = place.index(bytes.len());
        match how % 5 {
            0 => bytes[at] = *byte,
            1 => drop(bytes.remove(at)),
            2 => bytes.insert(at, *byte),
            3 => bytes.truncate(at),
            _ => {
                let end = (at + usize::from(*byte)).min(bytes.len());
                let piece = bytes[at..end].to_vec();
                bytes.splice(at..at, piece);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Every place in a document that holds a value.
fn places(value: &Value) -> Vec<String> {
    fn walk(value: &Value, at: &str, found: &mut Vec<String>) {
        found.push(at.to_owned());
        match value {
            Value::Array(list) => {
                for (i, v) in list.iter().enumerate() {
                    walk(v, &format!("{at}/{i}"), found);
                }
            }
            Value::Object(map) => {
                for (k, v) in map {
                    walk(v, &format!("{at}/{k}"), found);
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    walk(value, "", &mut found);
    found
}

/// Takes what stands at a place out of a list or an object; `None` for the document itself.
fn taken(document: &mut Value, at: &str) -> Option<Value> {
    let (parent, key) = at.rsplit_once('/')?;
    match document.pointer_mut(parent)? {
        Value::Array(list) => Some(list.remove(key.parse().ok()?)),
        Value::Object(map) => map.remove(key),
        _ => None,
    }
}

/// A text is taken in or refused; either way the book is sound afterwards.
fn imported(text: &str) {
    let mut book = Book::read(HALF_1).unwrap();
    let before = book.clone();
    match book.import(text) {
        Err(error) => {
            assert_eq!(book, before);
            assert!(!error.to_string().is_empty());
        }
        Ok(merged) => {
            // Nothing that was there is gone; what was taken in says something, and can be written and read again.
            for entry in before.entries() {
                assert!(book.contents(entry.id()).contains(entry));
            }
            assert_eq!(book.len(), before.len() + merged.new);
            let all = Filter {
                deleted: true,
                ..Filter::default()
            };
            assert!(!Reading::new(&book).csv(&all).is_empty());
            let written = book.write(Part::Whole, None).unwrap();
            assert_eq!(Book::read(&written).unwrap(), book);
        }
    }
}

#[test]
fn a_text_without_end_of_brackets_is_answered() {
    for open in ["[", "{\"data\":", "{\"data\":{\"entries\":["] {
        imported(&open.repeat(100_000));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn any_text_is_answered(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        imported(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn a_book_with_broken_bytes_is_answered(edits in edits()) {
        for book in [HALF_1, CLASH_1, WHOLE_1, WHOLE_2, DEMO] {
            imported(&mutated(book, &edits));
        }
    }

    #[test]
    fn a_book_with_any_value_anywhere_is_answered(pick in any::<Index>(), value in prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::Bool),
        any::<f64>().prop_filter("JSON has no word for it", |v| v.is_finite()).prop_map(|v| json!(v)),
        any::<u64>().prop_map(|v| json!(v)),
        ".{0,12}".prop_map(Value::String),
        Just(json!([])),
        Just(json!({})),
        Just(json!("01976f2a-0c00-7abc-8def-0123456789ab")),
    ]) {
        let mut document: Value = serde_json::from_str(WHOLE_1).unwrap();
        let found = places(&document);
        *document.pointer_mut(&found[pick.index(found.len())]).unwrap() = value;
        imported(&document.to_string());
    }

    /// A piece of a book is left out, or stands in the place of another, or both change places.
    #[test]
    fn a_book_with_its_pieces_mixed_up_is_answered(moves in prop::collection::vec((any::<Index>(), any::<Index>(), 0..3_u8), 1..4)) {
        let mut document: Value = serde_json::from_str(WHOLE_1).unwrap();
        for (from, to, how) in moves {
            let found = places(&document);
            let (from, to) = (&found[from.index(found.len())], &found[to.index(found.len())]);
            let (piece, other) = (document.pointer(from).cloned(), document.pointer(to).cloned());
            let (Some(piece), Some(other)) = (piece, other) else { continue };
            if how == 0 {
                taken(&mut document, from);
                continue;
            }
            if let Some(place) = document.pointer_mut(to) {
                *place = piece;
            }
            if how == 1 && let Some(place) = document.pointer_mut(from) {
                *place = other;
            }
        }
        imported(&document.to_string());
    }

    /// A record of the browser's store.
    #[test]
    fn an_entrys_text_with_broken_bytes_is_answered(pick in any::<Index>(), edits in edits(), schema in 0..SCHEMA + 2) {
        let book = Book::read(WHOLE_1).unwrap();
        let texts: Vec<String> = book.entries().map(Entry::text).collect();
        let text = mutated(&texts[pick.index(texts.len())], &edits);
        match Entry::read(schema, &text) {
            Ok(entry) => {
                prop_assert!((1..=SCHEMA).contains(&schema), "{}", schema);
                prop_assert_eq!(Entry::read(SCHEMA, &entry.text()).unwrap(), entry);
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}
