//! Reads a sled's values one by one: refuses what cannot be, questions what is unusual, notes what is assumed.

use super::typical::{self, Dimension};
use crate::units::{Angle, MM_PER_INCH, MM_PER_M};

/// Why a sled's stored form is no sled.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SledError {
    /// A value outside the allowed range, or not a number.
    #[error("{field}: {value} is outside the allowed {low} to {high}{hint}")]
    OutOfRange {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Greatest allowed.
        high: f64,
        /// A guess at the unit that was meant; may be empty.
        hint: String,
    },
    /// A list with too few entries.
    #[error("{field}: {count} in the list; at least {least} must be there{hint}")]
    TooFew {
        /// Path of the field.
        field: String,
        /// How many there are.
        count: usize,
        /// How many there must be.
        least: usize,
        /// What to do instead; may be empty.
        hint: &'static str,
    },
    /// The same value twice where each must differ.
    #[error("{field}: {value} stands there twice; each must differ from the others")]
    Duplicate {
        /// Path of the second one.
        field: String,
        /// The value.
        value: String,
    },
    /// A value that breaks the order of a list.
    #[error("{field}: {value} breaks the order: {rule}")]
    Order {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// What the order is, with the neighbour's value.
        rule: String,
    },
    /// A value that does not go with another one.
    #[error("{field}: {value} does not go with {other}: {rule}")]
    Conflict {
        /// Path of the field.
        field: String,
        /// The value.
        value: f64,
        /// The other field with its value.
        other: String,
        /// What must hold.
        rule: &'static str,
    },
    /// A field that must be given here.
    #[error("{field}: missing: {because}")]
    Missing {
        /// Path of the field.
        field: String,
        /// Why it is needed.
        because: &'static str,
    },
}

impl SledError {
    /// Path of the field inside the sled's data: `stirrup.positions_mm[2]`.
    pub fn field(&self) -> &str {
        match self {
            Self::OutOfRange { field, .. }
            | Self::TooFew { field, .. }
            | Self::Duplicate { field, .. }
            | Self::Order { field, .. }
            | Self::Conflict { field, .. }
            | Self::Missing { field, .. } => field,
        }
    }
}

/// Checks values one by one and keeps the names of what was assumed or looks unusual.
#[derive(Default)]
pub(super) struct Reader {
    pub(super) assumed: Vec<String>,
    pub(super) unusual: Vec<String>,
}

/// A field\'s path inside the profile.
pub(super) fn path(at: &str, field: &str) -> String {
    if at.is_empty() {
        field.to_owned()
    } else {
        format!("{at}.{field}")
    }
}

impl Reader {
    /// A value that was given.
    pub(super) fn value(
        &mut self,
        field: String,
        row: &Dimension,
        value: f64,
    ) -> Result<f64, SledError> {
        let (low, high) = row.allowed;
        if !(low..=high).contains(&value) {
            return Err(SledError::OutOfRange {
                hint: unit_hint(row, value),
                field,
                value,
                low,
                high,
            });
        }
        let (low, high) = row.usual;
        if !(low..=high).contains(&value) {
            self.unusual.push(format!(
                "{field}: {value} is outside the usual {low} to {high} ({})",
                typical::SOURCE
            ));
        }
        Ok(value)
    }

    pub(super) fn given(
        &mut self,
        at: &str,
        row: &Dimension,
        value: f64,
    ) -> Result<f64, SledError> {
        self.value(path(at, row.field), row, value)
    }

    pub(super) fn optional(
        &mut self,
        at: &str,
        row: &Dimension,
        value: Option<f64>,
    ) -> Result<Option<f64>, SledError> {
        value.map(|v| self.given(at, row, v)).transpose()
    }

    /// A value that was given, or the typical one, noted as assumed.
    pub(super) fn or_typical(
        &mut self,
        at: &str,
        row: &Dimension,
        value: Option<f64>,
    ) -> Result<f64, SledError> {
        match value {
            Some(value) => self.given(at, row, value),
            None => {
                self.assume(path(at, row.field));
                Ok(row.typical)
            }
        }
    }

    pub(super) fn assume(&mut self, field: String) {
        self.assumed.push(field);
    }

    /// A least and a greatest value, in order.
    pub(super) fn pair(
        &mut self,
        at: &str,
        rows: (&Dimension, &Dimension),
        values: (Option<f64>, Option<f64>),
    ) -> Result<(f64, f64), SledError> {
        let low = self.or_typical(at, rows.0, values.0)?;
        let high = self.or_typical(at, rows.1, values.1)?;
        if low > high {
            return Err(SledError::Conflict {
                field: path(at, rows.1.field),
                value: high,
                other: format!("{} {low}", rows.0.field),
                rule: "the greatest must not be less than the least",
            });
        }
        Ok((low, high))
    }

    pub(super) fn angles(
        &mut self,
        at: &str,
        rows: (&Dimension, &Dimension),
        values: (Option<f64>, Option<f64>),
    ) -> Result<(Angle, Angle), SledError> {
        let (low, high) = self.pair(at, rows, values)?;
        Ok((Angle::from_deg(low), Angle::from_deg(high)))
    }
}

/// Guesses the unit that was meant from where the value would be usual.
fn unit_hint(row: &Dimension, value: f64) -> String {
    if !row.field.ends_with("_mm") {
        return String::new();
    }
    for (unit, mm) in [("inches", MM_PER_INCH), ("cm", 10.0), ("m", MM_PER_M)] {
        if (row.usual.0..=row.usual.1).contains(&(value * mm)) && value != 0.0 {
            return format!("; {value} {unit} would be {:.1} mm", value * mm);
        }
    }
    String::new()
}
