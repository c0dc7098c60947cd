//! The sled's form: which sled is picked, what was edited on one's own, and the sled that comes of it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::draft;
use super::entry::{Entry, Kind};
use super::sled_fields::{self, Layout, SledSection};
use crate::document::{self, without_place};
use crate::order::Map;
use crate::sled::profile::{SHIPPED, Shipped};
use crate::sled::{RiserAngles, Sled, SledError, SledProfile};

/// Which sled.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SledPick {
    /// One that comes with the program, by its name there.
    Shipped(String),
    /// One's own.
    Own,
}

impl Default for SledPick {
    fn default() -> Self {
        Self::Shipped(SHIPPED[0].id.to_owned())
    }
}

impl SledPick {
    /// Its name in an address and in a field.
    pub fn id(&self) -> &str {
        match self {
            Self::Shipped(id) => id,
            Self::Own => "own",
        }
    }

    /// By its name; none where no sled is called so.
    pub fn from_id(id: &str) -> Option<Self> {
        match id {
            "own" => Some(Self::Own),
            id => shipped(id).map(|s| Self::Shipped(s.id.to_owned())),
        }
    }
}

fn shipped(id: &str) -> Option<Shipped> {
    SHIPPED.into_iter().find(|s| s.id == id)
}

/// The picked sled and one's own.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SledForm {
    /// Which sled is used.
    pub pick: SledPick,
    /// One's own as far as it can be read: the data of a sled's document.
    own: Option<Value>,
    /// What was typed into it, by path; an entry stays as typed, wrong ones too.
    entries: Map<String, Entry>,
}

/// What the form says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SledRead {
    /// The picked sled's document.
    pub profile: Option<SledProfile>,
    /// The sled.
    pub sled: Option<Sled>,
    /// What is wrong, by path; an error that speaks of no field stands under the empty path.
    pub errors: Map<String, String>,
}

impl SledForm {
    /// What was typed at a path.
    pub fn entry(&self, path: &str) -> Option<&Entry> {
        self.entries.get(path)
    }

    /// Whether there is a sled of one's own.
    pub fn has_own(&self) -> bool {
        self.own.is_some()
    }

    /// One's own as a document; none where there is none.
    pub fn own_text(&self) -> Option<String> {
        self.own.as_ref().map(Value::to_string)
    }

    /// A form with a sled of one's own, picked, from [`Self::own_text`]; none where the text is no document.
    pub fn of_own(text: &str) -> Option<Self> {
        let own: Value = serde_json::from_str(text).ok()?;
        own.is_object().then(|| Self {
            pick: SledPick::Own,
            own: Some(own),
            entries: Map::new(),
        })
    }

    /// The picked sled's data.
    pub fn document(&self) -> Value {
        match &self.pick {
            SledPick::Own => self.own.clone().unwrap_or_default(),
            SledPick::Shipped(id) => shipped(id)
                .and_then(|s| SledProfile::read(s.text).ok())
                .and_then(|profile| document::to_tree(&profile).ok())
                .unwrap_or_default(),
        }
    }

    /// Begin a sled of one's own from the picked one; does nothing when one's own is picked.
    pub fn make_own(&mut self) {
        if self.pick == SledPick::Own {
            return;
        }
        let mut own = self.document();
        if let Some(name) = draft::get(&own, "name").and_then(Value::as_str) {
            let name = format!("My sled, begun as {}", name.replace(" (demo)", ""));
            draft::set(&mut own, "name", json!(name));
        }
        draft::remove(&mut own, "note");
        draft::remove(&mut own, "measured");
        self.own = Some(own);
        self.entries.clear();
        self.pick = SledPick::Own;
    }

    /// Type a text at a path; a sled of one's own is begun where none is picked.
    pub fn type_in(&mut self, path: &str, entry: Entry) {
        self.make_own();
        let Some(own) = &mut self.own else { return };
        let (kind, range, optional) = if path == "name" {
            (Kind::Text, None, false)
        } else if let Some((_, field)) = sled_fields::find(path) {
            (field.kind, field.row.map(|r| r.allowed), true)
        } else {
            return;
        };
        if entry.is_empty() && optional {
            draft::remove_field(own, path);
        } else if let Some(value) = value(kind, &entry, range) {
            draft::set(own, path, value);
        }
        self.entries.insert(path.to_owned(), entry);
    }

    /// Add a row to a list; the first brings what was assumed along, so that nothing else changes.
    pub fn add_row(&mut self, section: &SledSection, sled: Option<&Sled>) {
        self.make_own();
        let Some(own) = &mut self.own else { return };
        if draft::get(own, section.path).is_none() {
            if let Some(list) = sled.and_then(|sled| listed(sled, section.path)) {
                draft::set(own, section.path, list);
                return;
            }
            draft::set(own, section.path, json!([]));
        }
        let count = draft::count(own, section.path);
        let last = count
            .checked_sub(1)
            .and_then(|i| draft::get(own, &format!("{}[{i}]", section.path)).cloned());
        let row = next_row(section, last, count);
        draft::set(own, &format!("{}[{count}]", section.path), row);
    }

    /// Take a row out of a list.
    pub fn remove_row(&mut self, section: &SledSection, row: usize) {
        self.make_own();
        let Some(own) = &mut self.own else { return };
        draft::remove(own, &format!("{}[{row}]", section.path));
        if draft::count(own, section.path) == 0 {
            draft::remove(own, section.path);
        }
        // Texts of later rows move up with them.
        let prefix = format!("{}[", section.path);
        let mut moved = Map::new();
        for (path, entry) in std::mem::take(&mut self.entries) {
            let place = path.strip_prefix(&prefix).and_then(|rest| {
                let (number, tail) = rest.split_once(']')?;
                Some((number.parse::<usize>().ok()?, tail.to_owned()))
            });
            match place {
                Some((at, _)) if at == row => {}
                Some((at, tail)) if at > row => {
                    moved.insert(format!("{prefix}{}]{tail}", at - 1), entry);
                }
                _ => {
                    moved.insert(path, entry);
                }
            }
        }
        self.entries = moved;
    }

    /// Read the picked sled; a wrong text is said beside its field and its last good value stands.
    pub fn read(&self) -> SledRead {
        let mut read = SledRead::default();
        if self.pick == SledPick::Own {
            for (path, entry) in &self.entries {
                let Some((_, field)) = sled_fields::find(path) else {
                    continue;
                };
                if entry.is_empty() {
                    continue;
                }
                let range = field.row.map(|r| r.allowed);
                if field.kind.is_number()
                    && let Err(error) = field.kind.number(&entry.text, range, entry.units)
                {
                    read.errors.insert(path.clone(), error.to_string());
                }
            }
        }
        let profile = match document::from_tree::<SledProfile>(&self.document()) {
            Ok(profile) => profile,
            Err(error) => {
                let words = format!("something is still missing: {}", without_place(&error));
                read.errors.insert(String::new(), words);
                return read;
            }
        };
        match profile.resolve() {
            Ok(sled) => {
                read.sled = Some(sled);
                read.profile = Some(profile);
            }
            Err(error) => {
                read.errors.insert(error.field().to_owned(), words(&error));
            }
        }
        read
    }
}

/// The error's words without the path that the field itself says.
fn words(error: &SledError) -> String {
    let whole = error.to_string();
    whole
        .strip_prefix(error.field())
        .and_then(|rest| rest.strip_prefix(": "))
        .map_or(whole.clone(), str::to_owned)
}

fn value(kind: Kind, entry: &Entry, range: Option<(f64, f64)>) -> Option<Value> {
    match kind {
        Kind::Text => Some(json!(entry.text)),
        Kind::Flag => Some(json!(entry.text == "true")),
        Kind::Choice(choices) => choices
            .iter()
            .any(|(stored, _)| *stored == entry.text)
            .then(|| json!(entry.text)),
        Kind::Count => {
            let number = kind.number(&entry.text, range, entry.units).ok()?;
            // Inside its range, which is far below what loses digits.
            Some(json!(libm::round(number) as u32))
        }
        _ => kind
            .number(&entry.text, range, entry.units)
            .ok()
            .map(|number| json!(number)),
    }
}

/// A new row: like the last one, moved on so that it is not the same.
fn next_row(section: &SledSection, last: Option<Value>, count: usize) -> Value {
    let plain = section.fields.len() == 1 && section.fields[0].key.is_empty();
    if plain {
        let x = last.and_then(|v| v.as_f64()).map_or(0.0, |x| x - 20.0);
        return json!(x);
    }
    let word = match section.layout {
        Layout::List(word) => word,
        Layout::Fields => "part",
    };
    let mut row = last.unwrap_or_else(|| {
        let mut row = json!({});
        for field in section.fields {
            match (field.kind, field.row) {
                (Kind::Choice(choices), _) => draft::set(&mut row, field.key, json!(choices[0].0)),
                (_, Some(dimension)) if field.assumed => {
                    draft::set(&mut row, field.key, json!(dimension.typical));
                }
                _ => {}
            }
        }
        row
    });
    if section.fields.iter().any(|f| f.key == "name") {
        draft::set(&mut row, "name", json!(format!("{word} {}", count + 1)));
    }
    let moved = |row: &mut Value, key: &str, by: f64| {
        if let Some(value) = row.get(key).and_then(Value::as_f64) {
            draft::set(row, key, json!(value + by));
        }
    };
    match section.path {
        "risers" => moved(&mut row, "height_mm", 25.0),
        "outline" | "seat.line" => moved(&mut row, "x_mm", 50.0),
        _ => {}
    }
    row
}

/// What a sled assumes for a list that its document leaves out, as the document would hold it.
fn listed(sled: &Sled, path: &str) -> Option<Value> {
    let list: Vec<Value> = match path {
        "risers" => sled
            .risers
            .iter()
            .map(|r| {
                let (low, high) = r.angles.bounds();
                let mut row = json!({
                    "height_mm": r.height,
                    "angle_low_deg": rounded(low.deg()),
                    "angle_high_deg": rounded(high.deg()),
                });
                if let RiserAngles::Teeth { step, .. } = r.angles {
                    draft::set(&mut row, "angle_step_deg", json!(rounded(step.deg())));
                }
                row
            })
            .collect(),
        "clamps" => sled
            .clamps
            .iter()
            .map(|c| json!({ "name": c.name, "stack_mm": c.stack, "damping": c.damping }))
            .collect(),
        "bars" => sled
            .bars
            .iter()
            .map(|b| {
                json!({
                    "name": b.name,
                    "grip_to_grip_mm": b.grip_to_grip,
                    "rise_mm": b.rise,
                    "pullback_mm": b.pullback,
                    "sweep_deg": rounded(b.sweep.deg()),
                    "upsweep_deg": rounded(b.upsweep.deg()),
                    "grip_diameter_mm": b.grip_diameter,
                    "grip_length_mm": b.grip_length,
                })
            })
            .collect(),
        "seats" => sled
            .seats
            .iter()
            .map(|s| {
                json!({
                    "name": s.name,
                    "height_over_line_mm": s.height_over_line,
                    "thickness_mm": s.foam.thickness,
                    "f25_n": s.foam.f25,
                    "support": s.foam.support,
                })
            })
            .collect(),
        "seat.line" => sled
            .seat_line
            .points()
            .iter()
            .map(|p| json!({ "x_mm": p.x, "z_mm": p.z, "half_width_mm": p.half_width }))
            .collect(),
        "outline" => sled
            .outline
            .points()
            .iter()
            .enumerate()
            .map(|(i, p)| {
                json!({
                    "name": crate::sled::typical::OUTLINE.get(i).map_or("point", |o| o.0),
                    "x_mm": p.x,
                    "z_mm": p.z,
                    "half_width_mm": p.half_width,
                })
            })
            .collect(),
        "buttons" => sled
            .buttons
            .iter()
            .map(|b| {
                json!({
                    "name": b.name,
                    "side": if b.left { "left" } else { "right" },
                    "inward_mm": b.inward,
                    "roll_deg": rounded(b.roll.deg()),
                    "stand_off_mm": b.stand_off,
                })
            })
            .collect(),
        _ => return None,
    };
    Some(Value::Array(list))
}

/// Degrees that went through radians lose their last digits; the stored ones had none.
fn rounded(deg: f64) -> f64 {
    libm::round(deg * 1e6) / 1e6
}

#[cfg(test)]
mod tests {
    use super::super::entry::Units;
    use super::super::sled_fields::SECTIONS;
    use super::*;

    fn typed(text: &str) -> Entry {
        Entry::new(text, Units::Metric)
    }

    fn section(path: &str) -> &'static SledSection {
        SECTIONS.iter().find(|s| s.path == path).unwrap()
    }

    fn bare() -> SledForm {
        SledForm {
            pick: SledPick::from_id("bare-bones").unwrap(),
            ..SledForm::default()
        }
    }

    #[test]
    fn every_shipped_sled_is_read_and_keeps_every_field_through_the_form() {
        for shipped in SHIPPED {
            let mut form = SledForm {
                pick: SledPick::from_id(shipped.id).unwrap(),
                ..SledForm::default()
            };
            let before = form.read();
            assert!(before.errors.is_empty(), "{:?}", before.errors);
            form.make_own();
            let after = form.read().sled.unwrap();
            let before = before.sled.unwrap();
            assert_eq!(
                Sled {
                    name: before.name.clone(),
                    ..after
                },
                before
            );
        }
    }

    #[test]
    fn an_edit_begins_a_sled_of_ones_own() {
        let mut form = bare();
        form.type_in("steering.base_x_mm", typed("28,5 cm"));
        assert_eq!(form.pick, SledPick::Own);
        assert_eq!(form.read().sled.unwrap().steering.base_x, 285.0);
        assert_eq!(form.entry("steering.base_x_mm").unwrap().text, "28,5 cm");
        let assumed = form.read().sled.unwrap().assumed;
        assert!(assumed.contains(&"steering.post_rake_deg".to_owned()));
    }

    #[test]
    fn a_wrong_value_is_said_and_the_last_good_one_stands() {
        let mut form = bare();
        form.type_in("steering.base_x_mm", typed("285"));
        form.type_in("steering.base_x_mm", typed("28 m"));
        let read = form.read();
        assert_eq!(read.sled.unwrap().steering.base_x, 285.0);
        assert_eq!(
            read.errors["steering.base_x_mm"],
            "28000 mm is outside \u{2212}300 mm to 900 mm"
        );
    }

    #[test]
    fn an_emptied_field_is_assumed_again_and_an_emptied_guard_is_no_guard() {
        let mut form = SledForm::default();
        form.type_in("guard.clear_depth_mm", typed(""));
        form.type_in("board.pitch_deg", typed(""));
        let sled = form.read().sled.unwrap();
        assert_eq!(sled.guard, None);
        assert!(sled.assumed.contains(&"board.pitch_deg".to_owned()));
    }

    #[test]
    fn listing_what_was_assumed_changes_no_part() {
        for path in [
            "risers",
            "clamps",
            "bars",
            "seats",
            "seat.line",
            "outline",
            "buttons",
        ] {
            let mut form = bare();
            let before = form.read().sled.unwrap();
            form.add_row(section(path), Some(&before));
            let read = form.read();
            let after = read
                .sled
                .unwrap_or_else(|| panic!("{path}: {:?}", read.errors));
            assert_eq!(after.risers, before.risers, "{path}");
            assert_eq!((&after.clamps, &after.bars), (&before.clamps, &before.bars));
            assert_eq!(
                (&after.seats, &after.buttons),
                (&before.seats, &before.buttons)
            );
            assert_eq!(after.outline, before.outline);
            assert!(!after.assumed.contains(&path.to_owned()), "{path}");
        }
    }

    #[test]
    fn rows_are_added_and_removed_with_their_texts() {
        let mut form = bare();
        let positions = section("stirrup.positions_mm");
        form.type_in("stirrup.positions_mm[3]", typed("-80 mm"));
        form.add_row(positions, None);
        form.remove_row(positions, 1);
        let sled = form.read().sled.unwrap();
        assert_eq!(
            sled.stirrup.positions,
            [0.0, -50.0, -80.0, -100.0, -125.0, -150.0, -170.0]
        );
        assert_eq!(
            form.entry("stirrup.positions_mm[2]").unwrap().text,
            "-80 mm"
        );
        assert_eq!(form.entry("stirrup.positions_mm[3]"), None);
        form.add_row(section("risers"), Some(&sled));
        form.add_row(section("risers"), Some(&sled));
        assert_eq!(
            form.read().sled.unwrap().risers.len(),
            sled.risers.len() + 1
        );
    }

    #[test]
    fn a_refusal_of_the_sled_stands_at_its_field() {
        let mut form = bare();
        form.type_in("stirrup.positions_mm[2]", typed("-25"));
        let read = form.read();
        assert!(read.sled.is_none());
        assert!(
            read.errors.contains_key("stirrup.positions_mm[2]"),
            "{:?}",
            read.errors
        );
    }
}
