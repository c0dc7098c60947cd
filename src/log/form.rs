//! The stored form of the book, schema 2. It is schema 1 with parts on the shelf: what schema 1 wrote reads as it stands.
//!
//! Frozen: a later schema that is not this one and more gets a form of its own, and this one stays with a conversion to
//! it. Riders and sleds are embedded in their own stored forms, which [`super::Entry::new`] does not judge: what a rider
//! or a sled may be is decided where one is built, and a record must not be refused because that rule changed.

use serde::{Deserialize, Serialize};

use super::id::Id;
use crate::document::stored;
use crate::rider::RiderProfile;
use crate::sled::SledProfile;
use crate::sled::profile::{BarProfile, ClampProfile, RiserProfile, SeatProfile};

/// Declares the stored form's words.
macro_rules! words {
    ($($(#[$meta:meta])* pub enum $name:ident { $($(#[$doc:meta])* $variant:ident = $says:literal,)* })*) => {$(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$doc])* $variant,)* }

        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// As people say it.
            pub const fn label(self) -> &'static str {
                match self { $(Self::$variant => $says),* }
            }
        }
    )*};
}

stored! {
/// A book, or a part of one: `data` of a `sledstance-book` document.
pub struct BookForm {
    /// Remarks in plain words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What of a book this is.
    #[serde(default)]
    pub part: Part,
    /// Entries, in the order of their identifiers. The same identifier may stand there with two contents: neither is
    /// lost, and a reader is told.
    pub entries: Vec<EntryForm>,
}

/// An entry. It is never changed: a correction or a deletion is a new entry that supersedes it.
pub struct EntryForm {
    /// Its identifier, made on the device; greater than every identifier that its writer had seen.
    pub id: Id,
    /// The device's clock when it was written, ms since 1970 UTC.
    pub at_ms: u64,
    /// Which device wrote it, as its owner calls it.
    pub device: String,
    /// When it happened, ms since 1970 UTC, where that is not when it was written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub happened_ms: Option<u64>,
    /// The entry that this one corrects or deletes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supersedes: Option<Id>,
    /// Whom and which sled it is about.
    #[serde(default, skip_serializing_if = "About::is_nobody")]
    pub about: About,
    /// What it says.
    pub what: What,
}

/// Records about a rider.
pub struct RiderRecord {
    /// The rider as known from now on. A rider known by name alone is fine.
    pub profile: RiderProfile,
    /// No longer in the team: hidden, never lost.
    #[serde(default, skip_serializing_if = "is_false")]
    pub retired: bool,
}

/// Records about a sled.
pub struct SledRecord {
    /// The sled as known from now on, with the parts in stock.
    pub profile: SledProfile,
    /// No longer in the team: hidden, never lost.
    #[serde(default, skip_serializing_if = "is_false")]
    pub retired: bool,
}

/// From now on the rider rides the sled of `about`; without a sled: none.
pub struct RidesRecord {}

/// Where everything stands from now on, measured or set without a reason to record.
pub struct SetUpRecord {
    /// The set-up.
    pub set_up: SetUpForm,
    /// Where it comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Settings and levers as they stand on a sled. Parts are named, not counted: a stock changes.
pub struct SetUpForm {
    /// Height of the riser, base point to the clamp's seat, mm.
    pub riser_height_mm: f64,
    /// Riser angle from vertical, positive when the top leans rearward, degrees.
    pub riser_angle_deg: f64,
    /// Bar roll in the clamp, zero on the riser's axis, positive rolls the grips back and down, degrees.
    pub bar_roll_deg: f64,
    /// Stirrup bolt, x, mm; negative is rearward of the foremost position.
    pub stirrup_mm: f64,
    /// Which seat.
    pub seat: String,
    /// Which clamp.
    pub clamp: String,
    /// Which bar.
    pub bar: String,
    /// Brake lever, where it was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brake: Option<LeverForm>,
    /// Throttle lever, where it was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub throttle: Option<LeverForm>,
}

/// A lever as it stands.
pub struct LeverForm {
    /// Distance of its clamp band from the grip's inner end, mm.
    pub along_mm: f64,
    /// Roll in the plane square to the grip, from horizontal forward, positive downward, degrees.
    pub roll_deg: f64,
    /// Grip surface to blade or paddle, mm.
    pub lever_reach_mm: f64,
}

/// A change of the set-up, with why and with what it should do.
pub struct ChangeRecord {
    /// As it stood.
    pub from: SetUpForm,
    /// As it stands from now on.
    pub to: SetUpForm,
    /// Why.
    pub reason: String,
    /// The complaints that it answers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<String>,
    /// What it should do, as computed when it was chosen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub expected: Vec<ExpectedForm>,
    /// Parts that were needed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// Minutes that it took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
}

/// A figure as it was computed before and after a change.
pub struct ExpectedForm {
    /// The figure, such as `elbow`.
    pub figure: String,
    /// In which stance; left out: in all, or in none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stance: Option<String>,
    /// Its unit: `deg`, `mm`, `g`, `N`; left out: a pure number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Before.
    pub from: f64,
    /// After.
    pub to: f64,
}

/// What the rider said. Without a complaint: nothing to complain of.
pub struct FeltRecord {
    /// Complaints.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub complaints: Vec<ComplaintForm>,
    /// In the rider's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// Lap or heat: "heat 2", "lap 6".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lap: Option<String>,
    /// Where: a place, a corner, a jump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

/// A complaint.
pub struct ComplaintForm {
    /// Which, such as `numb_hands`.
    pub complaint: String,
    /// 1 noticed, 2 a nuisance, 3 stops the rider.
    pub strength: u8,
}

/// A part on the team's shelf, on no sled's own list. It fits the sled of `about`; left out: all of them.
pub struct ShelfRecord {
    /// The part.
    pub part: ShelfPart,
}

/// What tape and level showed.
pub struct ChecksRecord {
    /// Check by check.
    pub checks: Vec<CheckForm>,
}

/// One check.
pub struct CheckForm {
    /// What was measured or tried.
    pub what: String,
    /// What it should show.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expect: Option<String>,
    /// What it showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<String>,
    /// Whether that is well.
    pub good: bool,
}

/// Snow, weather, track.
pub struct ConditionsRecord {
    /// Snow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub snow: Option<Snow>,
    /// Temperature of the air, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// How rough the track is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roughness: Option<Roughness>,
    /// Which track.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub track: Option<String>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// What else was changed on the sled beside the cockpit since the last time the rider said what was felt.
pub struct AlsoChangedRecord {
    /// Suspension.
    pub suspension: Also,
    /// Skis.
    pub skis: Also,
    /// Track.
    pub track: Also,
    /// Clutching.
    pub clutching: Also,
    /// Brakes.
    pub brakes: Also,
}

/// A session that something logged.
pub struct SessionRecord {
    /// The file's name.
    pub file_name: String,
    /// The file's SHA-256 in hexadecimal, by which it is known again.
    pub sha256: String,
    /// Its first moment, ms since 1970 UTC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_ms: Option<u64>,
    /// Its last moment, ms since 1970 UTC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_ms: Option<u64>,
    /// What it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub summary: Option<String>,
}

/// A photo, by reference or embedded.
pub struct PhotoRecord {
    /// What it is called where it is kept.
    pub name: String,
    /// The image itself, small.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub image: Option<ImageForm>,
    /// What it shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shows: Option<String>,
}

/// An embedded image.
pub struct ImageForm {
    /// Its type.
    pub media: Media,
    /// Its bytes in base64 (RFC 4648, section 4), at most 200 000 characters.
    pub base64: String,
}

/// Anything worth a line.
pub struct NoteRecord {
    /// The words.
    pub words: String,
}

/// The entry that is superseded counts no longer.
pub struct DeletedRecord {
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}
}

/// What of a book a file holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// All of it.
    #[default]
    Whole,
    /// What concerns one rider.
    Rider(Id),
    /// What concerns one sled.
    Sled(Id),
}

/// Whom and which sled an entry is about: the identifier of the entry that first recorded them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct About {
    /// The rider; left out: none, or all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rider: Option<Id>,
    /// The sled; left out: none, or all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sled: Option<Id>,
}

impl About {
    /// About a rider on a sled.
    pub const fn both(rider: Id, sled: Id) -> Self {
        Self {
            rider: Some(rider),
            sled: Some(sled),
        }
    }

    /// About a rider alone.
    pub const fn rider(rider: Id) -> Self {
        Self {
            rider: Some(rider),
            sled: None,
        }
    }

    /// About a sled alone.
    pub const fn sled(sled: Id) -> Self {
        Self {
            rider: None,
            sled: Some(sled),
        }
    }

    /// Whether neither is named.
    pub const fn is_nobody(&self) -> bool {
        self.rider.is_none() && self.sled.is_none()
    }
}

/// Declares the kinds of entries.
macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident($record:ty) = $name:literal, $says:literal;)*) => {
        /// What an entry says.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        #[serde(rename_all = "snake_case")]
        pub enum What { $($(#[$doc])* $kind($record),)* }

        impl What {
            /// Its kind as documents name it.
            pub const fn name(&self) -> &'static str {
                match self { $(Self::$kind(_) => $name),* }
            }

            /// Its kind as people say it.
            pub const fn label(&self) -> &'static str {
                match self { $(Self::$kind(_) => $says),* }
            }
        }
    };
}

kinds! {
    /// A rider as known from now on: new, measured again, renamed, retired.
    Rider(Box<RiderRecord>) = "rider", "Rider";
    /// A sled as known from now on: new, measured again, renamed, its stock changed, retired.
    Sled(Box<SledRecord>) = "sled", "Sled";
    /// A part on the team's shelf; deleted: it is there no longer.
    Shelf(ShelfRecord) = "shelf", "On the shelf";
    /// Who rides what from now on.
    Rides(RidesRecord) = "rides", "Rides";
    /// A base set-up.
    BaseSetUp(SetUpRecord) = "base_set_up", "Base set-up";
    /// A change.
    Change(Box<ChangeRecord>) = "change", "Change";
    /// What the rider said.
    Felt(FeltRecord) = "felt", "Felt";
    /// Results of tape checks.
    TapeChecks(ChecksRecord) = "tape_checks", "Tape checks";
    /// Snow, weather, track.
    Conditions(ConditionsRecord) = "conditions", "Conditions";
    /// What else was changed.
    AlsoChanged(AlsoChangedRecord) = "also_changed", "Also changed";
    /// A logged session.
    Session(SessionRecord) = "session", "Logged session";
    /// A photo.
    Photo(PhotoRecord) = "photo", "Photo";
    /// A note.
    Note(NoteRecord) = "note", "Note";
    /// The superseded entry counts no longer.
    Deleted(DeletedRecord) = "deleted", "Deleted";
}

/// A part, as a sled's stock has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ShelfPart {
    /// A riser.
    Riser(RiserProfile),
    /// A clamp.
    Clamp(ClampProfile),
    /// A bar.
    Bar(BarProfile),
    /// A seat.
    Seat(SeatProfile),
}

/// Whether something else was changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Also {
    /// Asked; nothing.
    None,
    /// Nobody asked.
    NotAsked,
    /// This was changed.
    What(String),
}

words! {
/// Snow.
pub enum Snow {
    /// Fresh, loose.
    Fresh = "fresh snow",
    /// Packed, cold.
    Packed = "packed snow",
    /// Loose old grains.
    Sugar = "sugar snow",
    /// Wet, heavy.
    Wet = "wet snow",
    /// Hard ice.
    Ice = "ice",
    /// From a snow gun.
    ManMade = "man-made snow",
}

/// How rough a track is.
pub enum Roughness {
    /// Groomed.
    Smooth = "smooth",
    /// Small bumps all over.
    Chopped = "chopped up",
    /// Bumps as high as a ski.
    Rough = "rough",
    /// Deep holes between the jumps.
    DeepHoles = "deep holes",
}

/// Type of an embedded image.
pub enum Media {
    /// JPEG.
    Jpeg = "image/jpeg",
    /// PNG.
    Png = "image/png",
    /// WebP.
    Webp = "image/webp",
}
}

impl AlsoChangedRecord {
    /// Each thing with its answer, in the order in which they are asked.
    pub fn answers(&self) -> [(&'static str, &Also); 5] {
        [
            ("suspension", &self.suspension),
            ("skis", &self.skis),
            ("track", &self.track),
            ("clutching", &self.clutching),
            ("brakes", &self.brakes),
        ]
    }
}

fn is_false(value: &bool) -> bool {
    !value
}
