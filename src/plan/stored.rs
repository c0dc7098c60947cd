//! The plan as one small document, for the browser's storage.

use super::Plan;
use crate::document::{self, DocumentError};

/// The kind of document.
pub const FORMAT: &str = "sledstance-plan";
/// Version of the stored form.
pub const SCHEMA: u32 = 1;

/// Write a plan.
///
/// # Errors
/// None for this form.
pub fn write(plan: &Plan) -> Result<String, DocumentError> {
    document::write(FORMAT, SCHEMA, plan)
}

/// Read a plan.
///
/// # Errors
/// Names what is wrong: another kind of document, a newer version, a field.
pub fn read(text: &str) -> Result<Plan, DocumentError> {
    document::read(text, FORMAT, SCHEMA)
}

#[cfg(test)]
mod tests {
    use super::super::{Entry, SledPick, Units, rider_form};
    use super::*;

    #[test]
    fn a_plan_survives_being_stored() {
        let mut plan = Plan {
            units: Units::Imperial,
            front: "attack".to_owned(),
            ..Plan::default()
        }
        .on_sled(SledPick::from_id("tall-tern").unwrap());
        plan.rider
            .type_in(rider_form::STATURE, Entry::new("5'11", Units::Imperial));
        plan.sled
            .type_in("steering.base_x_mm", Entry::new("nonsense", Units::Metric));
        plan.kept.insert(super::super::Setting::Riser, 2.0);
        let text = write(&plan).unwrap();
        assert_eq!(read(&text).unwrap(), plan);
    }

    #[test]
    fn a_broken_or_newer_document_is_refused_in_words() {
        let text = write(&Plan::default()).unwrap();
        assert!(read(&text[..text.len() / 2]).is_err());
        let newer = text.replace("\"schema\": 1", "\"schema\": 2");
        assert_ne!(newer, text);
        assert!(read(&newer).is_err());
        assert!(read("{}").is_err());
    }
}
