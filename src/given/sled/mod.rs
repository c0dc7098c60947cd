//! The sled: what a mechanic measures once, the parts in stock, and where a choice of settings puts the contacts.

mod bounce;
mod clearance;
mod cockpit;
mod foam;
mod geometry;
pub mod profile;
mod reader;
mod resolve;
mod settings;
mod stock;
mod store;
pub mod typical;

pub use bounce::{Bounce, DROP_SPEED, Drop};
pub use clearance::{Clearance, Shape, ShapePoint};
pub use cockpit::Cockpit;
pub use foam::CONTACT_AREA_RATIO;
pub use geometry::{
    BalanceMark, Bar, Board, Button, Clamp, FingerLever, Foam, Guard, Riser, RiserAngles, Seat,
    Sled, Steering, Stirrup, ThumbLever,
};
pub use profile::SledProfile;
pub use reader::SledError;
pub use settings::{Settings, SettingsError};
