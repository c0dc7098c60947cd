//! Which part of the book's place is shown, as the address says it: `demo/RIDER/SLED/write/note`, every piece optional.

use super::form::Sheet;
use crate::log::Id;

/// The address's word for the demo.
const DEMO: &str = "demo";

/// A part of the place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Screen {
    /// How a rider's sled is set now, and what its changes did.
    #[default]
    Now,
    /// What the rider said.
    Said,
    /// What to change for it.
    Answer,
    /// A change.
    Change,
    /// The work of the last change.
    Work,
    /// Another entry.
    Write(Sheet),
    /// An entry to be corrected.
    Correct(Id),
    /// Former set-ups, and what worked.
    Back,
    /// The season.
    Season,
    /// All entries.
    Entries,
    /// Another sled for the rider.
    Move,
    /// Riders and sleds.
    People,
    /// A sled's parts in stock.
    Stock(Id),
    /// The team's shelf.
    Shelf,
    /// What stands on the start place.
    Put,
}

/// What the address says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct At {
    /// The demo, not the book of this device.
    pub demo: bool,
    /// Of whom on what, as asked for.
    pub pair: Option<(Id, Id)>,
    /// Which part.
    pub screen: Screen,
}

/// Parts that the address names with one word.
const WORDS: [(&str, Screen); 11] = [
    ("said", Screen::Said),
    ("answer", Screen::Answer),
    ("change", Screen::Change),
    ("work", Screen::Work),
    ("back", Screen::Back),
    ("season", Screen::Season),
    ("entries", Screen::Entries),
    ("move", Screen::Move),
    ("people", Screen::People),
    ("shelf", Screen::Shelf),
    ("put", Screen::Put),
];

impl At {
    /// Read what stands in the address behind the place's word; what is not understood is left out.
    pub fn read(inside: &[String]) -> Self {
        let mut parts = inside.iter().map(String::as_str).peekable();
        let demo = parts.next_if(|p| *p == DEMO).is_some();
        let mut id = || parts.next_if(|p| p.parse::<Id>().is_ok())?.parse().ok();
        let pair = id().zip(id());
        let word = parts.next();
        let named = WORDS.iter().find(|(name, _)| Some(*name) == word);
        let sheet = |key: &str| Sheet::OTHERS.into_iter().find(|s| s.key() == key);
        let screen = match (named, word) {
            (Some((_, screen)), _) => *screen,
            (None, Some("write")) => parts
                .next()
                .and_then(sheet)
                .map_or(Screen::Now, Screen::Write),
            (None, Some(word @ ("correct" | "stock"))) => {
                let id = parts.next().and_then(|p| p.parse().ok());
                let of = if word == "stock" {
                    Screen::Stock
                } else {
                    Screen::Correct
                };
                id.map_or(Screen::Now, of)
            }
            _ => Screen::Now,
        };
        Self { demo, pair, screen }
    }

    /// What stands in the address.
    pub fn write(self) -> Vec<String> {
        let mut parts = Vec::new();
        if self.demo {
            parts.push(DEMO.to_owned());
        }
        if let Some((rider, sled)) = self.pair {
            parts.extend([rider.to_string(), sled.to_string()]);
        }
        match self.screen {
            Screen::Now => {}
            Screen::Write(sheet) => parts.extend(["write".to_owned(), sheet.key().to_owned()]),
            Screen::Correct(id) => parts.extend(["correct".to_owned(), id.to_string()]),
            Screen::Stock(id) => parts.extend(["stock".to_owned(), id.to_string()]),
            screen => {
                let word = WORDS.iter().find(|(_, s)| *s == screen);
                parts.extend(word.map(|(word, _)| (*word).to_owned()));
            }
        }
        parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_reads_as_it_was_written() {
        let id = |last: u8| Id::next(1_771_000_000_000, [last; 10], None);
        let mut screens: Vec<Screen> = WORDS.iter().map(|(_, screen)| *screen).collect();
        screens.extend(Sheet::OTHERS.map(Screen::Write));
        screens.extend([Screen::Now, Screen::Correct(id(3)), Screen::Stock(id(4))]);
        for screen in screens {
            for demo in [false, true] {
                for pair in [None, Some((id(1), id(2)))] {
                    let at = At { demo, pair, screen };
                    let parts = at.write();
                    assert_eq!(At::read(&parts), at, "{parts:?}");
                    assert!(
                        parts.iter().all(|p| p.len() <= 60),
                        "an address takes 60 characters"
                    );
                }
            }
        }
    }

    #[test]
    fn what_is_not_understood_is_left_out() {
        let read = |parts: &[&str]| {
            let owned: Vec<String> = parts.iter().map(|p| (*p).to_owned()).collect();
            At::read(&owned)
        };
        assert_eq!(read(&[]), At::default());
        assert_eq!(read(&["nonsense", "x"]), At::default());
        assert_eq!(read(&["write", "felt"]).screen, Screen::Now);
        assert_eq!(read(&["correct"]).screen, Screen::Now);
        assert!(read(&["demo", "said"]).demo);
    }
}
