//! `sledstance schema`: the JSON Schema of each kind of document, made from the types that read and write it.

use clap::{Args, ValueEnum};
use schemars::{JsonSchema, Schema, SchemaGenerator, generate::SchemaSettings};
use serde_json::json;

use super::compare::ComparisonDocument;
use super::failure::Failure;
use super::felt::{self, FeltDocument};
use super::fit::FitDocument;
use super::output::{self, deliver};
use super::people::{self, PeopleSummary};
use super::run::{self as recorded, RunDocument};
use crate::compare::report as comparison;
use crate::document::Envelope;
use crate::fit::report;
use crate::log::{self, form::BookForm};
use crate::rider::{self, RiderProfile};
use crate::run::{self as columns, ColumnsForm};
use crate::sled::{SledProfile, profile as sled};
use crate::stance::{StanceProfile, profile as stance};

/// Options of `schema`.
#[derive(Args, Debug)]
pub struct SchemaArgs {
    /// Which kind.
    kind: Kind,
}

/// Kinds of documents.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Kind {
    /// A rider's file.
    Rider,
    /// A sled's file.
    Sled,
    /// A stance's file.
    Stance,
    /// A book's file.
    Book,
    /// What `fit --json` and `pose --json` print.
    Report,
    /// What `felt --json` prints.
    Felt,
    /// A mapping of a recorded run's columns.
    Columns,
    /// What `run --json` prints.
    Run,
    /// What `compare --json` prints.
    Comparison,
    /// What `people --json` prints.
    Summary,
}

/// Prints the schema.
pub fn run(args: &SchemaArgs) -> Result<(), Failure> {
    let schema = match args.kind {
        Kind::Rider => enveloped::<RiderProfile>(rider::FORMAT, rider::SCHEMA),
        Kind::Sled => enveloped::<SledProfile>(sled::FORMAT, sled::SCHEMA),
        Kind::Stance => enveloped::<StanceProfile>(stance::FORMAT, stance::SCHEMA),
        Kind::Book => enveloped::<BookForm>(log::FORMAT, log::SCHEMA),
        Kind::Report => written::<FitDocument>(report::FORMAT, report::SCHEMA),
        Kind::Felt => written::<FeltDocument>(felt::FORMAT, felt::SCHEMA),
        Kind::Columns => enveloped::<ColumnsForm>(columns::FORMAT, columns::SCHEMA),
        Kind::Run => written::<RunDocument>(recorded::FORMAT, recorded::SCHEMA),
        Kind::Comparison => written::<ComparisonDocument>(comparison::FORMAT, comparison::SCHEMA),
        Kind::Summary => written::<PeopleSummary>(people::FORMAT, people::SCHEMA),
    };
    deliver(None, &output::json(&schema)?)
}

/// The schema of a stored document: its envelope takes one format and the versions up to the newest.
fn enveloped<T: JsonSchema>(format: &str, newest: u32) -> Schema {
    let mut schema = SchemaGenerator::default().into_root_schema_for::<Envelope<T>>();
    pin(&mut schema, format, newest);
    schema
}

/// Reports are written, never read: every field that is always there is required.
fn written<T: JsonSchema>(format: &str, version: u32) -> Schema {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = SchemaGenerator::new(settings).into_root_schema_for::<T>();
    pin(&mut schema, format, version);
    schema
}

fn pin(schema: &mut Schema, format: &str, newest: u32) {
    schema.insert("title".to_owned(), json!(format));
    if let Some(properties) = schema.get_mut("properties") {
        properties["format"]["const"] = json!(format);
        properties["schema"]["minimum"] = json!(1);
        properties["schema"]["maximum"] = json!(newest);
    }
}
