//! The envelope that every stored document wears, and the one way to read it.
//!
//! A document is `{ "format": …, "schema": …, "data": … }`: the kind, the version of its stored form, and the content.
//! Reading looks at the envelope first, so that a rider handed in where a sled belongs, or a file from a newer version,
//! is answered in words; only then the content is read, strictly: an unknown field is an error that names its path.

pub mod csv;
mod locate;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use thiserror::Error;

pub use locate::locate;

/// A stored document: its kind, the version of its stored form, its content.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Envelope<T> {
    /// The kind of document, such as `sledstance-rider`.
    pub format: String,
    /// Version of the stored form, counted from 1.
    pub schema: u32,
    /// The content.
    pub data: T,
}

/// Kind and version of a document whose content was not looked at.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Head {
    /// The kind of document.
    pub format: String,
    /// Version of the stored form.
    pub schema: u32,
}

/// Why a text is not the document that was asked for.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum DocumentError {
    /// The text is not JSON, or ends too early.
    #[error("line {line}, column {column}: not valid JSON: {message}")]
    NotJson {
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
        /// What the parser met.
        message: String,
    },
    /// The text is JSON, but has no envelope.
    #[error(
        "not a sledstance document: {message}; it must be {{ \"format\": \"{expected}\", \"schema\": …, \"data\": … }}"
    )]
    NoEnvelope {
        /// The kind that was asked for.
        expected: String,
        /// What is wrong with the envelope.
        message: String,
    },
    /// The document is of another kind.
    #[error(
        "this is a document of kind \"{found}\", but one of kind \"{expected}\" is needed here"
    )]
    WrongKind {
        /// The kind found.
        found: String,
        /// The kind that was asked for.
        expected: String,
    },
    /// The document comes from a newer version of the program.
    #[error(
        "this {format} document has schema {found}, this version knows schemas up to {newest}: \
         it was written by a newer version; update to open it"
    )]
    TooNew {
        /// The kind of document.
        format: String,
        /// Its schema.
        found: u32,
        /// The newest schema known.
        newest: u32,
    },
    /// The document's schema was never in use.
    #[error("this {format} document says schema {found}, which never existed (1 to {newest} did)")]
    NoSuchSchema {
        /// The kind of document.
        format: String,
        /// Its schema.
        found: u32,
        /// The newest schema known.
        newest: u32,
    },
    /// A field is missing, unknown, or of the wrong type.
    #[error("{path} (line {line}, column {column}): {message}")]
    Field {
        /// Path of the field, such as `data.measurements[2].value_mm`.
        path: String,
        /// Line, counted from 1.
        line: usize,
        /// Column, counted from 1.
        column: usize,
        /// What is wrong.
        message: String,
    },
}

/// Read the kind and version of a document, for callers that know several.
///
/// # Errors
/// Where the text is not JSON or has no envelope; `expected` is the kind named in the message.
pub fn head(text: &str, expected: &str) -> Result<Head, DocumentError> {
    serde_json::from_str(text).map_err(|error| {
        let message = without_place(&error);
        if error.is_data() {
            DocumentError::NoEnvelope {
                expected: expected.to_owned(),
                message,
            }
        } else {
            DocumentError::NotJson {
                line: error.line(),
                column: error.column(),
                message,
            }
        }
    })
}

/// Read the content of a document of kind `format` whose newest stored form, `newest`, is `T`.
///
/// # Errors
/// Names the kind found and expected, a schema that is too new, or the field (path, line, column) that is wrong.
pub fn read<T: DeserializeOwned>(
    text: &str,
    format: &str,
    newest: u32,
) -> Result<T, DocumentError> {
    let Head {
        format: found,
        schema,
    } = head(text, format)?;
    if found != format {
        return Err(DocumentError::WrongKind {
            found,
            expected: format.to_owned(),
        });
    }
    if schema > newest {
        return Err(DocumentError::TooNew {
            format: found,
            found: schema,
            newest,
        });
    }
    if schema == 0 {
        return Err(DocumentError::NoSuchSchema {
            format: found,
            found: schema,
            newest,
        });
    }
    content(text)
}

/// Read the content as `T` whatever the envelope says; for a stored form other than the newest, after [`head`].
///
/// # Errors
/// The field (path, line, column) that is wrong.
pub fn content<T: DeserializeOwned>(text: &str) -> Result<T, DocumentError> {
    let envelope: Envelope<T> = tracked(text).map_err(|(path, error)| DocumentError::Field {
        path,
        line: error.line(),
        column: error.column(),
        message: without_place(&error),
    })?;
    Ok(envelope.data)
}

/// Parse, and tell the path of the field at which it fails.
#[cfg(not(target_arch = "wasm32"))]
fn tracked<T: DeserializeOwned>(text: &str) -> Result<T, (String, serde_json::Error)> {
    let mut parser = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut parser)
        .map_err(|error| (error.path().to_string(), error.into_inner()))
}

/// Parse. The path is left out here: following it takes a second copy of every reader, a sixth of the page's size, and
/// line, column and the field's name in the message find the place too.
#[cfg(target_arch = "wasm32")]
fn tracked<T: DeserializeOwned>(text: &str) -> Result<T, (String, serde_json::Error)> {
    serde_json::from_str(text).map_err(|error| ("document".to_owned(), error))
}

/// Make the content a tree, which can be changed place by place; read back by [`from_tree`].
///
/// By way of text, like [`from_tree`]: the tree's own reader and writer would be second copies of those of every stored
/// form, a tenth of the page. Text keeps every number's bits.
///
/// # Errors
/// As for [`write()`].
pub fn to_tree<T: Serialize>(data: &T) -> Result<Value, serde_json::Error> {
    serde_json::from_str(&serde_json::to_string_pretty(data)?)
}

/// Read content from a tree.
///
/// # Errors
/// A field that is missing, unknown, or of the wrong type.
pub fn from_tree<T: DeserializeOwned>(tree: &Value) -> Result<T, serde_json::Error> {
    serde_json::from_str(&serde_json::to_string_pretty(tree)?)
}

/// Write content on one line.
///
/// The blanks are taken out of the indented text: another writer would be a second copy of that of every stored form.
///
/// # Errors
/// As for [`write()`].
pub fn line<T: Serialize>(data: &T) -> Result<String, serde_json::Error> {
    Ok(without_blanks(&serde_json::to_string_pretty(data)?))
}

/// JSON without the blanks between its words.
fn without_blanks(text: &str) -> String {
    let (mut quoted, mut escaped) = (false, false);
    let kept = |c: &char| {
        let kept = quoted || !c.is_ascii_whitespace();
        quoted ^= *c == '"' && !escaped;
        escaped = *c == '\\' && !escaped;
        kept
    };
    text.chars().filter(kept).collect()
}

/// Write a document, indented, with a final line end.
///
/// # Errors
/// Where the content cannot be written as JSON (a map whose keys are not text); no stored form of this crate is such.
pub fn write<T: Serialize>(format: &str, schema: u32, data: &T) -> Result<String, DocumentError> {
    let envelope = Envelope {
        format: format.to_owned(),
        schema,
        data,
    };
    let mut text =
        serde_json::to_string_pretty(&envelope).map_err(|error| DocumentError::NotJson {
            line: error.line(),
            column: error.column(),
            message: without_place(&error),
        })?;
    text.push('\n');
    Ok(text)
}

/// The parser's message without its own "at line … column …", which the errors here carry as numbers.
pub fn without_place(error: &serde_json::Error) -> String {
    let full = error.to_string();
    match full.rfind(" at line ") {
        Some(end) => full[..end].to_owned(),
        None => full,
    }
}

/// Declares structs of a stored form: strict about unknown fields, described by a JSON Schema on native targets.
#[macro_export]
macro_rules! stored {
    ($($(#[$meta:meta])* pub struct $name:ident { $($body:tt)* })*) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($body)* }
    )*};
}

/// Declares structs of an answer: written, never read, and described by a JSON Schema on native targets.
#[macro_export]
macro_rules! reported {
    ($($(#[$meta:meta])* pub struct $name:ident { $($body:tt)* })*) => {$(
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, serde::Serialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        pub struct $name { $($body)* }
    )*};
}

pub use crate::{reported, stored};

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Plank {
        length_mm: f64,
        holes: Vec<f64>,
    }

    const FORMAT: &str = "sledstance-plank";

    #[test]
    fn written_text_reads_back() {
        let plank = Plank {
            length_mm: 0.1 + 0.2,
            holes: vec![1.0],
        };
        let text = write(FORMAT, 1, &plank).unwrap();
        assert_eq!(read::<Plank>(&text, FORMAT, 1).unwrap(), plank);
    }

    #[test]
    fn each_fault_is_named() {
        let fault = |text: &str| read::<Plank>(text, FORMAT, 2).unwrap_err();
        assert!(matches!(
            fault(r#"{"format": "sledstance-plank", "sch"#),
            DocumentError::NotJson { line: 1, .. }
        ));
        assert!(matches!(fault("[]"), DocumentError::NoEnvelope { .. }));
        assert!(matches!(
            fault(r#"{"schema": 1, "data": 3}"#),
            DocumentError::NoEnvelope { .. }
        ));
        assert_eq!(
            fault(r#"{"format": "sledstance-sled", "schema": 9, "data": {}}"#),
            DocumentError::WrongKind {
                found: "sledstance-sled".into(),
                expected: FORMAT.into()
            }
        );
        let newer = fault(r#"{"format": "sledstance-plank", "schema": 3, "data": {}}"#);
        assert!(newer.to_string().contains("newer version"), "{newer}");
        assert!(matches!(
            fault(r#"{"format": "sledstance-plank", "schema": 0, "data": {}}"#),
            DocumentError::NoSuchSchema { found: 0, .. }
        ));
    }

    #[test]
    fn a_wrong_field_is_named_with_path_and_place() {
        let text = "{\"format\": \"sledstance-plank\", \"schema\": 1, \"data\": {\n \"length_mm\": 1,\n \"holes\": [1, \"two\"]}}";
        let DocumentError::Field {
            path,
            line,
            message,
            ..
        } = read::<Plank>(text, FORMAT, 1).unwrap_err()
        else {
            panic!("not a field error");
        };
        assert_eq!((path.as_str(), line), ("data.holes[1]", 3));
        assert!(message.contains("expected f64"), "{message}");
        let unknown = read::<Plank>(&text.replace("holes", "nails"), FORMAT, 1).unwrap_err();
        assert!(
            unknown.to_string().contains("unknown field `nails`"),
            "{unknown}"
        );
        let missing = read::<Plank>(
            r#"{"format": "sledstance-plank", "schema": 1, "data": {"length_mm": 1}}"#,
            FORMAT,
            1,
        );
        assert!(missing.unwrap_err().to_string().contains("`holes`"));
    }

    #[test]
    fn a_line_is_what_a_compact_writer_writes() {
        let all = serde_json::json!({
            "words with \"quotes\", a \\ and\n": ["  ", "\\", "\\\"", "\u{2212} 5\t6", ""],
            "numbers": [-0.0, 1e21, 0.1, 7, null, true],
            "empty": [{}, [], {"a b": {}}],
        });
        assert_eq!(line(&all).unwrap(), serde_json::to_string(&all).unwrap());
    }

    #[test]
    fn trailing_text_is_refused() {
        let text = write(
            FORMAT,
            1,
            &Plank {
                length_mm: 1.0,
                holes: vec![],
            },
        )
        .unwrap();
        assert!(read::<Plank>(&format!("{text} {text}"), FORMAT, 1).is_err());
    }
}
