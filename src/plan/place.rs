//! Where a person is, as the address says it after its `#`: `start/long-lemming/ready`, and the set-up that it carries.

/// A place of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// Two numbers in, a set-up out.
    #[default]
    Start,
}

/// What an address says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Address {
    /// The place.
    pub place: Place,
    /// The sled's name, where it is said.
    pub sled: Option<String>,
    /// The stance in front, where it is said.
    pub stance: Option<String>,
    /// A whole set-up, where one is carried: see [`super::code`].
    pub code: Option<String>,
}

impl Address {
    /// Read the part of an address behind the `#`; what is not understood is left out.
    pub fn read(hash: &str) -> Self {
        let mut parts = hash
            .trim_start_matches('#')
            .split('/')
            .filter(|part| !part.is_empty());
        let place = match parts.next() {
            Some("start") | None | Some(_) => Place::Start,
        };
        let plain = |part: &str| {
            let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
            (part.len() <= 60 && part.chars().all(plain)).then(|| part.to_owned())
        };
        Self {
            place,
            sled: parts.next().and_then(plain),
            stance: parts.next().and_then(plain),
            code: parts.next().map(str::to_owned),
        }
    }

    /// The address, `#` first.
    pub fn write(&self) -> String {
        let mut out = match self.place {
            Place::Start => "#start".to_owned(),
        };
        for part in [&self.sled, &self.stance, &self.code] {
            let Some(part) = part else { break };
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
        ] {
            assert_eq!(Address::read(hash).write(), hash);
        }
        assert_eq!(Address::read("").write(), "#start");
        assert_eq!(Address::read("#<script>//x").write(), "#start/x");
        assert_eq!(Address::read("#start/<b>").sled, None);
    }
}
