//! Turns: what was begun in an earlier one is nobody's business any more.

use leptos::prelude::*;

/// Counts turns of one kind of question.
#[derive(Clone, Copy)]
pub struct Turns(StoredValue<u32>);

/// One turn.
#[derive(Clone, Copy)]
pub struct Turn {
    turns: Turns,
    mine: u32,
}

impl Turns {
    /// None yet.
    pub fn new() -> Self {
        Self(StoredValue::new(0))
    }

    /// Begin a turn; every earlier one is over.
    pub fn next(self) -> Turn {
        let mine = self.0.with_value(|turn| turn.wrapping_add(1));
        self.0.set_value(mine);
        Turn { turns: self, mine }
    }
}

impl Turn {
    /// Whether it is not over; it is over too when the question has left the page.
    pub fn lasts(self) -> bool {
        self.turns.0.try_get_value() == Some(self.mine)
    }
}
