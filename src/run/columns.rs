//! Which column is which: roles, the mapping that a person keeps, its guess from names, and its meaning for a file.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::opening::{Opening, number};
use crate::document::{self, DocumentError, stored};
use crate::order;
use crate::units::{ChannelUnit, Quantity};

/// Format name of the stored mapping.
pub const FORMAT: &str = "sledstance-columns";
/// Newest version of its stored form.
pub const SCHEMA: u32 = 1;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Time.
    Time,
    /// Specific force forward: positive while speeding up, negative while braking.
    Longitudinal,
    /// Specific force to the left: positive in a left-hand corner.
    Lateral,
    /// Specific force upward: +1 g at rest.
    Vertical,
    /// Speed over ground.
    Speed,
    /// How far the throttle is open.
    Throttle,
    /// How far the brake is worked, or its pressure.
    Brake,
    /// Latitude, or a distance north.
    Latitude,
    /// Longitude, or a distance east.
    Longitude,
    /// Number of the lap.
    Lap,
}

impl Role {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Time,
        Self::Longitudinal,
        Self::Lateral,
        Self::Vertical,
        Self::Speed,
        Self::Throttle,
        Self::Brake,
        Self::Latitude,
        Self::Longitude,
        Self::Lap,
    ];

    /// Name in files, options and JSON.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Longitudinal => "longitudinal",
            Self::Lateral => "lateral",
            Self::Vertical => "vertical",
            Self::Speed => "speed",
            Self::Throttle => "throttle",
            Self::Brake => "brake",
            Self::Latitude => "latitude",
            Self::Longitude => "longitude",
            Self::Lap => "lap",
        }
    }

    /// The role of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.name() == name)
    }

    /// What it measures.
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Time => Quantity::Time,
            Self::Longitudinal | Self::Lateral | Self::Vertical => Quantity::Acceleration,
            Self::Speed => Quantity::Speed,
            Self::Throttle | Self::Brake => Quantity::Control,
            Self::Latitude | Self::Longitude => Quantity::Place,
            Self::Lap => Quantity::Count,
        }
    }

    /// Whether no run can be read without it.
    pub const fn is_needed(self) -> bool {
        matches!(self, Self::Time | Self::Longitudinal | Self::Vertical)
    }

    /// What a value in the base unit may be; our choice: what no snow sled goes beyond, with room.
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::Time => (-1e11, 1e11),
            Self::Longitudinal | Self::Lateral | Self::Vertical => (-50.0, 50.0),
            Self::Speed => (-10.0, 100.0),
            Self::Throttle | Self::Brake => (-100.0, 1000.0),
            Self::Latitude | Self::Longitude => (-1e6, 1e6),
            Self::Lap => (0.0, 10_000.0),
        }
    }
}

/// What the vertical channel reads at rest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Gravity {
    /// +1 g, as an accelerometer does.
    #[default]
    Included,
    /// 0: the logger took gravity out.
    Removed,
}

/// One column with its meaning.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What it holds.
    pub role: Role,
    /// Its name in the heading.
    pub name: String,
    /// Its unit.
    pub unit: ChannelUnit,
    /// Whether it counts the other way: longitudinal backward, lateral to the right, vertical downward.
    pub reversed: bool,
}

/// A mapping of columns, at most one a role.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Columns {
    /// In the order of the roles.
    columns: Vec<Column>,
    /// What the vertical channel reads at rest.
    pub gravity: Gravity,
}

stored! {
    /// A mapping of a recorded run's columns, as it is kept.
    pub struct ColumnsForm {
        /// The columns that are used.
        pub columns: Vec<ColumnForm>,
        /// What the vertical channel reads at rest; left out: +1 g.
        #[serde(default)]
        pub gravity: Gravity,
    }

    /// One column of it.
    pub struct ColumnForm {
        /// What it holds.
        pub role: Role,
        /// Its name in the heading; `column 3` where there is none.
        pub name: String,
        /// Its unit.
        pub unit: ChannelUnit,
        /// Whether it counts the other way.
        #[serde(default)]
        pub reversed: bool,
    }
}

/// Why a mapping does not do.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ColumnsError {
    /// The document cannot be read.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A role that is needed and has no column.
    #[error("{}: no column is named for it; the file has {have}", role.name())]
    Missing {
        /// Which.
        role: Role,
        /// Names in the file.
        have: String,
    },
    /// A column that the file does not have.
    #[error("{}: the file has no column \"{name}\"; it has {have}", role.name())]
    NoSuchColumn {
        /// Of which role.
        role: Role,
        /// What was asked for.
        name: String,
        /// Names in the file.
        have: String,
    },
    /// A unit of something else.
    #[error("{}: \"{unit}\" is no unit of it; allowed are {allowed}", role.name())]
    Unit {
        /// Of which role.
        role: Role,
        /// What was asked for.
        unit: String,
        /// What is allowed.
        allowed: String,
    },
    /// A column whose unit nobody says.
    #[error("{}: the unit of column \"{name}\" is not known; say which of {allowed}", role.name())]
    NoUnit {
        /// Of which role.
        role: Role,
        /// The column.
        name: String,
        /// What is allowed.
        allowed: String,
    },
    /// A role with two columns.
    #[error("{}: two columns are named for it, \"{first}\" and \"{second}\"; one is allowed", role.name())]
    Twice {
        /// Which.
        role: Role,
        /// One.
        first: String,
        /// The other.
        second: String,
    },
    /// Half a position.
    #[error("{}: a position needs latitude and longitude, both in deg or both in m", role.name())]
    HalfPosition {
        /// What is there.
        role: Role,
    },
}

/// Units that a role may have, for messages.
fn allowed(role: Role) -> String {
    let names: Vec<_> = ChannelUnit::of(role.quantity())
        .map(ChannelUnit::name)
        .collect();
    names.join(", ")
}

impl Columns {
    /// Checks a mapping.
    ///
    /// # Errors
    /// A role twice, or a unit of something else.
    pub fn new(columns: Vec<Column>, gravity: Gravity) -> Result<Self, ColumnsError> {
        let mut all = Self {
            columns: Vec::new(),
            gravity,
        };
        for column in columns {
            if let Some(other) = all.of(column.role) {
                return Err(ColumnsError::Twice {
                    role: column.role,
                    first: other.name.clone(),
                    second: column.name,
                });
            }
            all.set(column)?;
        }
        Ok(all)
    }

    /// Puts a column in its role's place.
    ///
    /// # Errors
    /// A unit of something else.
    pub fn set(&mut self, column: Column) -> Result<(), ColumnsError> {
        if column.unit.quantity() != column.role.quantity() {
            return Err(ColumnsError::Unit {
                role: column.role,
                unit: column.unit.name().to_owned(),
                allowed: allowed(column.role),
            });
        }
        self.remove(column.role);
        self.columns.push(column);
        order::sort_by_key(&mut self.columns, |c| c.role);
        Ok(())
    }

    /// Leaves a role out.
    pub fn remove(&mut self, role: Role) {
        self.columns.retain(|c| c.role != role);
    }

    /// The column of a role.
    pub fn of(&self, role: Role) -> Option<&Column> {
        self.columns.iter().find(|c| c.role == role)
    }

    /// All columns, in the order of the roles.
    pub fn all(&self) -> &[Column] {
        &self.columns
    }

    /// Reads a stored mapping.
    ///
    /// # Errors
    /// Where the document cannot be read or its content cannot be.
    pub fn read(text: &str) -> Result<Self, ColumnsError> {
        let form: ColumnsForm = document::read(text, FORMAT, SCHEMA)?;
        let column = |c: ColumnForm| Column {
            role: c.role,
            name: c.name,
            unit: c.unit,
            reversed: c.reversed,
        };
        Self::new(form.columns.into_iter().map(column).collect(), form.gravity)
    }

    /// Writes it.
    ///
    /// # Errors
    /// As for [`document::write`].
    pub fn write(&self) -> Result<String, DocumentError> {
        let column = |c: &Column| ColumnForm {
            role: c.role,
            name: c.name.clone(),
            unit: c.unit,
            reversed: c.reversed,
        };
        let form = ColumnsForm {
            columns: self.columns.iter().map(column).collect(),
            gravity: self.gravity,
        };
        document::write(FORMAT, SCHEMA, &form)
    }

    /// What names and units of a file suggest, and what the first rows say where a unit is missing: gravity tells g from
    /// m/s², and up from down. A person looks over it.
    pub fn guess(opening: &Opening) -> Self {
        let mut guess = Self::default();
        for (i, name) in opening.names.iter().enumerate() {
            let said = opening.units[i];
            let Some(role) = role_of(name, said).filter(|role| guess.of(*role).is_none()) else {
                continue;
            };
            let mut column = Column {
                role,
                name: name.clone(),
                // A role's name is not taken for it where the unit is that of something else.
                unit: said.unwrap_or_else(|| usual_unit(opening, i, role)),
                reversed: false,
            };
            if role == Role::Vertical {
                let first = mean(opening, i).unwrap_or(0.0) * column.unit.in_base();
                column.reversed = first < -0.5;
            }
            // The unit is one of the role's, so that nothing is refused.
            let _ = guess.set(column);
        }
        guess
    }

    /// What the mapping means for a file.
    ///
    /// # Errors
    /// A role without a column, or a column that the file does not have.
    pub fn on(&self, opening: &Opening) -> Result<Channels, ColumnsError> {
        let have = || {
            let names: Vec<_> = opening.names.iter().map(|n| format!("\"{n}\"")).collect();
            names.join(", ")
        };
        let mut channels = Channels {
            gravity: self.gravity,
            names: opening.names.len(),
            ..Channels::default()
        };
        for role in Role::ALL {
            let Some(column) = self.of(role) else {
                if role.is_needed() {
                    return Err(ColumnsError::Missing { role, have: have() });
                }
                continue;
            };
            let place = opening.names.iter().position(|n| *n == column.name);
            let Some(place) = place else {
                return Err(ColumnsError::NoSuchColumn {
                    role,
                    name: column.name.clone(),
                    have: have(),
                });
            };
            let sign = if column.reversed { -1.0 } else { 1.0 };
            channels.all[role as usize] = Some(Channel {
                place,
                name: column.name.clone(),
                unit: column.unit,
                factor: column.unit.in_base() * sign,
            });
        }
        match (self.of(Role::Latitude), self.of(Role::Longitude)) {
            (Some(a), Some(b)) if a.unit != b.unit => {
                return Err(ColumnsError::HalfPosition { role: a.role });
            }
            (Some(one), None) | (None, Some(one)) => {
                return Err(ColumnsError::HalfPosition { role: one.role });
            }
            _ => {}
        }
        Ok(channels)
    }
}

/// A column of a file, ready to be read.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Channel {
    /// Its place, from 0.
    pub place: usize,
    /// Its name.
    pub name: String,
    /// Its unit.
    pub unit: ChannelUnit,
    /// Base units per unit, with the sign.
    pub factor: f64,
}

/// The columns of a file that are read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Channels {
    pub(super) all: [Option<Channel>; Role::ALL.len()],
    pub(super) gravity: Gravity,
    /// Names in the heading.
    pub(super) names: usize,
}

impl Channels {
    pub(super) fn has(&self, role: Role) -> bool {
        self.all[role as usize].is_some()
    }

    /// Unit of a role's column.
    pub(super) fn unit(&self, role: Role) -> Option<ChannelUnit> {
        self.all[role as usize].as_ref().map(|c| c.unit)
    }
}

/// Reads a unit that a person typed for a role.
///
/// # Errors
/// Names the units that are allowed.
pub fn unit_of(role: Role, text: &str) -> Result<ChannelUnit, ColumnsError> {
    ChannelUnit::read(text)
        .filter(|unit| unit.quantity() == role.quantity())
        .ok_or_else(|| ColumnsError::Unit {
            role,
            unit: text.to_owned(),
            allowed: allowed(role),
        })
}

/// The unit of a column that does not say it: what its first rows look like.
fn usual_unit(opening: &Opening, place: usize, role: Role) -> ChannelUnit {
    match role.quantity() {
        Quantity::Time => {
            let clock = opening
                .preview
                .iter()
                .any(|row| row.get(place).is_some_and(|c| c.contains(':')));
            if clock {
                ChannelUnit::Clock
            } else {
                ChannelUnit::Second
            }
        }
        Quantity::Acceleration => {
            // The longest of the three at the start is gravity: nearer to 9.81 than to 1, by ratio, is m/s².
            let size = (0..opening.names.len())
                .filter(|i| {
                    let role = role_of(&opening.names[*i], opening.units[*i]);
                    role.is_some_and(|r| r.quantity() == Quantity::Acceleration)
                })
                .filter_map(|i| mean(opening, i))
                .fold(0.0, |most: f64, value| most.max(value.abs()));
            if size > 100.0 {
                ChannelUnit::MilliG
            } else if size > 3.13 {
                ChannelUnit::MetrePerSecondSquared
            } else {
                ChannelUnit::G
            }
        }
        Quantity::Speed => ChannelUnit::KilometrePerHour,
        Quantity::Control => ChannelUnit::Percent,
        Quantity::Place => ChannelUnit::Degree,
        Quantity::Count => ChannelUnit::Count,
    }
}

/// Mean of a column over the first rows.
fn mean(opening: &Opening, place: usize) -> Option<f64> {
    let values: Vec<f64> = opening
        .preview
        .iter()
        .filter_map(|row| number(row.get(place)?.as_bytes(), opening.decimal))
        .collect();
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Words of a name in small letters: `accX_long [g]` gives `acc`, `x`, `long`, `g`.
fn words(name: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut before = ' ';
    for c in name.chars() {
        let starts = c.is_uppercase() && before.is_lowercase();
        if !c.is_alphanumeric() || starts {
            all.push(String::new());
        }
        if c.is_alphanumeric()
            && let Some(word) = all.last_mut()
        {
            word.extend(c.to_lowercase());
        }
        before = c;
    }
    all.retain(|word| !word.is_empty());
    all
}

/// What a name suggests. Axis letters are taken as x forward, y left, z up (ISO 8855).
fn role_of(name: &str, unit: Option<ChannelUnit>) -> Option<Role> {
    let words = words(name);
    let has = |any: &[&str]| words.iter().any(|w| any.contains(&w.as_str()));
    if has(&["gyro", "gyr", "rate", "mag", "angle", "angular", "raw"]) {
        return None;
    }
    let measures = unit.map(ChannelUnit::quantity);
    let accelerates = measures == Some(Quantity::Acceleration)
        || has(&["acc", "accel", "acceleration", "g", "force", "gforce"]);
    let places = measures == Some(Quantity::Place) || has(&["gps", "pos", "position"]);
    let role = if has(&["latitude"]) || (has(&["lat"]) && places) {
        Role::Latitude
    } else if has(&["longitude", "lng"]) || (has(&["lon", "long"]) && places) {
        Role::Longitude
    } else if has(&["longitudinal", "ax", "accx", "accelx", "inline"])
        || (accelerates && has(&["x", "long", "lon"]))
    {
        Role::Longitudinal
    } else if has(&["lateral", "ay", "accy", "accely"]) || (accelerates && has(&["y", "lat"])) {
        Role::Lateral
    } else if has(&["vertical", "az", "accz", "accelz"]) || (accelerates && has(&["z", "vert"])) {
        Role::Vertical
    } else if has(&["lap"]) && !has(&["time"]) {
        Role::Lap
    } else if has(&["time", "timestamp", "elapsed", "t", "clock"]) {
        Role::Time
    } else if has(&["speed", "velocity"]) {
        Role::Speed
    } else if has(&["throttle", "tps"]) {
        Role::Throttle
    } else if has(&["brake"]) {
        Role::Brake
    } else if measures == Some(Quantity::Place) && has(&["y", "north"]) {
        Role::Latitude
    } else if measures == Some(Quantity::Place) && has(&["x", "east"]) {
        Role::Longitude
    } else {
        return None;
    };
    let same = measures.is_none_or(|quantity| quantity == role.quantity());
    same.then_some(role)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guessed(text: &str) -> Vec<(Role, String, &'static str, bool)> {
        let opening = Opening::read(text.as_bytes(), true).unwrap();
        Columns::guess(&opening)
            .all()
            .iter()
            .map(|c| (c.role, c.name.clone(), c.unit.name(), c.reversed))
            .collect()
    }

    #[test]
    fn columns_are_guessed_from_names_units_and_gravity() {
        let found = guessed(
            "Time,accX,accY,accZ,GPS Speed,GPS Lat,GPS Long,Throttle,Brake [bar],Lap\n\
             0,0.1,0.0,-9.7,30,46.1,9.2,20,3,1\n0.1,0.1,0.0,-9.9,31,46.1,9.2,20,3,1\n",
        );
        let wanted = [
            (Role::Time, "Time", "s", false),
            (Role::Longitudinal, "accX", "m/s2", false),
            (Role::Lateral, "accY", "m/s2", false),
            (Role::Vertical, "accZ", "m/s2", true),
            (Role::Speed, "GPS Speed", "km/h", false),
            (Role::Throttle, "Throttle", "%", false),
            (Role::Brake, "Brake [bar]", "bar", false),
            (Role::Latitude, "GPS Lat", "deg", false),
            (Role::Longitude, "GPS Long", "deg", false),
            (Role::Lap, "Lap", "count", false),
        ];
        let found: Vec<_> = found
            .iter()
            .map(|(role, name, unit, reversed)| (*role, name.as_str(), *unit, *reversed))
            .collect();
        assert_eq!(found, wanted);
        let short = guessed("t;long g;lat g;vert g\n0:00,0;0,1;0;1,0\n0:00,1;0,1;0;1,0\n");
        let roles: Vec<_> = short.iter().map(|c| (c.0, c.2)).collect();
        assert_eq!(
            roles,
            [
                (Role::Time, "clock"),
                (Role::Longitudinal, "g"),
                (Role::Lateral, "g"),
                (Role::Vertical, "g")
            ]
        );
        let gyro = guessed("time,gyro x,gyro z\n0,1,2\n1,2,3\n");
        assert_eq!(gyro.len(), 1);
    }

    #[test]
    fn a_mapping_reads_back_as_written() {
        let text = "t,ax,az\n0,0.1,1\n1,0.2,1\n";
        let opening = Opening::read(text.as_bytes(), true).unwrap();
        let mut columns = Columns::guess(&opening);
        columns.gravity = Gravity::Removed;
        let written = columns.write().unwrap();
        assert_eq!(Columns::read(&written).unwrap(), columns);
        let wrong = written.replace("\"g\"", "\"km/h\"");
        let error = Columns::read(&wrong).unwrap_err();
        assert_eq!(
            error.to_string(),
            "longitudinal: \"km/h\" is no unit of it; allowed are g, mg, m/s2"
        );
        let twice = written.replace("\"vertical\"", "\"longitudinal\"");
        assert!(matches!(
            Columns::read(&twice),
            Err(ColumnsError::Twice { .. })
        ));
    }

    #[test]
    fn what_does_not_go_with_the_file_is_named() {
        let opening = Opening::read(b"t,ax,az,lat [deg]\n0,0.1,1,46\n1,0.2,1,46\n", true).unwrap();
        let columns = Columns::guess(&opening);
        let half = columns.on(&opening).unwrap_err();
        assert!(
            half.to_string().starts_with("latitude: a position needs"),
            "{half}"
        );
        let mut missing = columns.clone();
        missing.remove(Role::Latitude);
        assert!(missing.on(&opening).is_ok());
        missing.remove(Role::Vertical);
        assert_eq!(
            missing.on(&opening).unwrap_err().to_string(),
            "vertical: no column is named for it; the file has \"t\", \"ax\", \"az\", \"lat [deg]\""
        );
        let other = Opening::read(b"t,ax,up\n0,0.1,1\n1,0.2,1\n", true).unwrap();
        let mut columns = columns;
        columns.remove(Role::Latitude);
        let error = columns.on(&other).unwrap_err();
        assert!(error.to_string().contains("no column \"az\""), "{error}");
        assert!(unit_of(Role::Speed, "kph").is_ok());
        assert!(unit_of(Role::Speed, "g").is_err());
    }
}
