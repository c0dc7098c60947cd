//! Where a person is, as the address says it after its `#`: `start/long-lemming/ready`, and the set-up that it carries;
//! or another place, and what it calls its parts: `book/RIDER/SLED`, `compare/ready/sled/long-lemming/1;set=…/…`.

/// A place of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// Two numbers in, a set-up out.
    #[default]
    Start,
    /// What was set, why, and what it did.
    Book,
    /// Options beside each other.
    Compare,
}

/// The places in the order in which they are offered: the address's word, and what people read.
pub const PLACES: &[(Place, &str, &str)] = &[
    (Place::Start, "start", "Start"),
    (Place::Book, "book", "Book"),
    (Place::Compare, "compare", "Compare"),
];

impl Place {
    /// The address's word for it.
    pub fn word(self) -> &'static str {
        let row = PLACES.iter().find(|(place, ..)| *place == self);
        row.map_or("start", |(_, word, _)| word)
    }
}

/// What an address says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    /// The place.
    pub place: Place,
    /// The sled's name, where it is said. The start place's alone, as the next two are.
    pub sled: Option<String>,
    /// The stance in front, where it is said.
    pub stance: Option<String>,
    /// A whole set-up, where one is carried: see [`super::code`].
    pub code: Option<String>,
    /// What is shown of another place, as that place calls it.
    pub inside: Vec<String>,
}

impl Address {
    /// Read the part of an address behind the `#`; what is not understood is left out.
    pub fn read(hash: &str) -> Self {
        let mut parts = hash
            .trim_start_matches('#')
            .split('/')
            .filter(|part| !part.is_empty());
        let word = parts.next();
        let place = PLACES.iter().find(|(_, name, _)| Some(*name) == word);
        let place = place.map_or(Place::Start, |(place, ..)| *place);
        let plain = |part: &str| {
            let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
            (part.len() <= 60 && part.chars().all(plain)).then(|| part.to_owned())
        };
        // Options carry whole set-ups: see [`super::code`].
        let coded = |part: &str| {
            let coded = |c: char| c.is_ascii_alphanumeric() || "-_.~;=%".contains(c);
            part.chars().all(coded).then(|| part.to_owned())
        };
        if place != Place::Start {
            let inside = |part: &str| match place {
                Place::Compare => coded(part),
                _ => plain(part),
            };
            return Self {
                place,
                inside: parts.map_while(inside).collect(),
                ..Self::default()
            };
        }
        Self {
            place,
            sled: parts.next().and_then(plain),
            stance: parts.next().and_then(plain),
            code: parts.next().map(str::to_owned),
            inside: Vec::new(),
        }
    }

    /// The address, `#` first.
    pub fn write(&self) -> String {
        let mut out = format!("#{}", self.place.word());
        let start = [&self.sled, &self.stance, &self.code];
        let start = start.into_iter().map_while(Option::as_ref);
        for part in start.chain(&self.inside) {
            out.push('/');
            out.push_str(part);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_reads_as_it_was_written() {
        for hash in [
            "#start",
            "#start/own",
            "#start/tall-tern/attack",
            "#start/own/ready/1;set=1",
            "#book",
            "#book/017f22e2-79b0-7cc3-98c4-dc0c0c07398f/a/b/c",
            "#compare/ready/hips/tall-tern/1;r.x=5%2711;set=1_0_0_0_-60_12.5_0/own/1;own=e30",
        ] {
            assert_eq!(Address::read(hash).write(), hash);
        }
        assert_eq!(Address::read("").write(), "#start");
        assert_eq!(Address::read("#<script>//x").write(), "#start/x");
        assert_eq!(Address::read("#start/<b>").sled, None);
        assert_eq!(Address::read("#book/a/<b>/c").write(), "#book/a");
    }

    #[test]
    fn every_place_has_one_row() {
        for (place, word, _) in PLACES {
            assert_eq!(place.word(), *word);
            assert_eq!(Address::read(&format!("#{word}")).place, *place);
        }
    }
}
