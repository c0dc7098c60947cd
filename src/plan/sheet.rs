//! What stands on the printed card of a set-up, and on the printed page of a comparison.

use super::compared::{Compared, Traded, Weight};
use super::entry::Units;
use super::setting::{Setting, lever_words};
use super::words;
use crate::fit::cautions::CAUTIONS;
use crate::fit::{Check, SetUp, Task, checks, work};
use crate::rider::{Built, Measurement};
use crate::sled::{Cockpit, Sled};
use crate::stance::Stance;
use crate::units::text::{System, capital, coarse, format_number};
use crate::view::card::{Block, Card, DRAWING, Item};
use crate::view::stage::{Scene, Stage, stage};

/// What a card is made of.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The rider.
    pub built: &'a Built,
    /// What the rider is called; empty: nobody said.
    pub name: &'a str,
    /// The sled.
    pub sled: &'a Sled,
    /// The set-up.
    pub set_up: &'a SetUp,
    /// Its stances.
    pub stances: &'a [Stance],
    /// Which of them is drawn; another number draws the first.
    pub front: usize,
    /// Why it does not fit; empty: it does.
    pub trouble: &'a str,
    /// Bands of settings in words, by setting; a setting that is not there has none.
    pub bands: &'a [(Setting, String)],
    /// What brings the set-up back on another device.
    pub code: &'a str,
    /// The reader's units.
    pub units: Units,
}

/// The card; none where the set-up has no stance.
pub fn card(sheet: &Sheet) -> Option<Card> {
    let front = if sheet.front < sheet.set_up.stances.len() {
        sheet.front
    } else {
        0
    };
    let result = sheet.set_up.stances.get(front)?;
    let system = System::from(sheet.units);
    let cockpit = Cockpit::new(sheet.sled, sheet.set_up.settings);
    let scene = Scene::of(
        &sheet.built.rider,
        &cockpit,
        sheet.set_up,
        sheet.stances,
        front,
        system,
    )?;
    let stage = stage(&scene, DRAWING);
    let mut facts = vec![rider_line(sheet)];
    if !sheet.trouble.is_empty() {
        facts.push(format!("DOES NOT FIT: {}.", sheet.trouble));
    }
    if !sheet.sled.assumed.is_empty() {
        facts.push(format!(
            "{} dimensions of this sled are assumed, not measured.",
            sheet.sled.assumed.len()
        ));
    }
    // What found no room on the drawing stands under it in the settings.
    let unplaced = stage.omitted.iter().map(|line| item(line, ""));
    let mut settings = setting_items(sheet);
    settings.extend(unplaced);
    let d = &sheet.set_up.distances;
    settings.push(item("Stirrup to grip", &coarse(d.stirrup_to_grip, system)));
    settings.push(item(
        "Grip height over the board",
        &coarse(d.grip_height, system),
    ));
    settings.push(item("Hold", &words::hold_sentence(&result.hold)));
    let name = if sheet.name.is_empty() {
        "Set-up"
    } else {
        sheet.name
    };
    Some(Card {
        title: format!("{name} on {}", sheet.sled.name),
        facts,
        stage,
        settings: block("Bolt it on like this", false, settings),
        blocks: vec![
            block(
                "Work in this order",
                true,
                task_items(&work::tasks(None, sheet.set_up, sheet.sled)),
            ),
            block(
                "Check with tape and level",
                true,
                check_items(checks::checks(sheet.set_up, sheet.sled)),
            ),
            block(
                "Try on: engine off, full gear",
                true,
                check_items(checks::try_on()),
            ),
            block(
                "Before you ride, after every change",
                true,
                check_items(checks::safety_checks(sheet.sled)),
            ),
        ],
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        code: sheet.code.to_owned(),
    })
}

/// A comparison's page: what is traded and what is set above, what differs in the figures below.
pub fn comparison(compared: &Compared, stage: Stage, address: &str) -> Card {
    let mut facts: Vec<String> = Vec::new();
    for option in &compared.options {
        facts.push(format!("{}: {}.", option.title, option.says));
        if let Some(binds) = &option.binds {
            facts.push(format!("{} DOES NOT FIT: {binds}.", option.title));
        }
    }
    facts.extend(compared.trades.iter().map(Traded::says));
    let mut settings = Vec::new();
    let mut blocks = Vec::new();
    for group in &compared.groups {
        let rows = group.rows.iter().filter(|row| row.main);
        let items: Vec<Item> = rows.map(|row| item(&row.what, &row.said())).collect();
        if group.sets {
            settings.extend(items);
        } else if !items.is_empty() {
            blocks.push(block(&group.title, false, items));
        }
    }
    settings.extend(stage.omitted.iter().map(|line| item(line, "")));
    let letters = compared
        .options
        .iter()
        .map(|o| o.title.chars().take(1).collect());
    let letters: Vec<String> = letters.collect();
    let marks = [Weight::Unsure, Weight::Slight].map(Weight::words);
    facts.push(format!(
        "Values of {}, then the difference from {} in brackets; {}.",
        letters.join(", "),
        letters.first().map_or("A", String::as_str),
        marks
            .map(|(mark, words)| format!("{mark} {words}"))
            .join("; ")
    ));
    Card {
        title: "Options beside each other".to_owned(),
        facts,
        stage,
        settings: block("What is set differently", false, settings),
        blocks,
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        code: address.to_owned(),
    }
}

fn rider_line(sheet: &Sheet) -> String {
    let stature = sheet.built.estimate.mean(Measurement::Stature);
    let drawn = sheet.set_up.stances.get(sheet.front);
    format!(
        "Rider {}, {} kg with gear. Drawn in {}.",
        coarse(stature, System::from(sheet.units)),
        format_number(sheet.built.rider.mass(), 1.0),
        drawn.map_or("the first stance", |s| s.name.as_str())
    )
}

fn setting_items(sheet: &Sheet) -> Vec<Item> {
    let (s, sled, units) = (&sheet.set_up.settings, sheet.sled, sheet.units);
    let mut items: Vec<Item> = Setting::ALL
        .into_iter()
        .map(|setting| {
            let mut value = setting.value(s, sled, units);
            if let Some((_, band)) = sheet.bands.iter().find(|(which, _)| *which == setting) {
                value = format!("{value} ({band})");
            }
            let what = format!("{}, {}", setting.label(), setting.note(s, sled, units));
            Item { what, value }
        })
        .collect();
    for (name, lever) in [
        ("Brake lever", &sheet.set_up.levers.brake),
        ("Throttle", &sheet.set_up.levers.throttle),
    ] {
        let words = lever_words(lever, units);
        items.push(item(name, &words.roll));
        items.push(item(&format!("{}; {}", words.reach, words.place), ""));
    }
    items
}

fn block(title: &str, ticked: bool, items: Vec<Item>) -> Block {
    Block {
        title: title.to_owned(),
        ticked,
        items,
    }
}

fn item(what: &str, value: &str) -> Item {
    Item {
        what: what.to_owned(),
        value: value.to_owned(),
    }
}

fn task_items(tasks: &[Task]) -> Vec<Item> {
    let words = |task: &Task| format!("{} ({} min)", task.what, format_number(task.minutes, 1.0));
    tasks.iter().map(|task| item(&words(task), "")).collect()
}

fn check_items(list: Vec<Check>) -> Vec<Item> {
    list.into_iter()
        .map(|check| Item {
            what: capital(check.what.trim_end_matches('.')),
            value: check.expect.unwrap_or_default(),
        })
        .collect()
}
