//! Stepping back and forth: every state that a person made, within the session.

/// A present state with all that came before and all that was taken back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History<T> {
    past: Vec<T>,
    present: T,
    future: Vec<T>,
    mark: Option<String>,
}

impl<T: Clone + PartialEq> History<T> {
    /// Begin with a state.
    pub fn new(present: T) -> Self {
        Self {
            past: Vec::new(),
            present,
            future: Vec::new(),
            mark: None,
        }
    }

    /// The state as it stands.
    pub fn present(&self) -> &T {
        &self.present
    }

    /// Make a new state. Changes under one mark in a row (typing into one field) are one step back; an empty mark
    /// always makes a step of its own.
    pub fn commit(&mut self, state: T, mark: &str) {
        if state == self.present {
            return;
        }
        let mark = (!mark.is_empty()).then(|| mark.to_owned());
        let joins = mark.is_some() && mark == self.mark && !self.past.is_empty();
        let former = std::mem::replace(&mut self.present, state);
        if !joins {
            self.past.push(former);
        }
        self.future.clear();
        self.mark = mark;
    }

    /// End the row of changes that would be taken back together.
    pub fn settle(&mut self) {
        self.mark = None;
    }

    /// Whether there is a step to take back.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is a step to make again.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// Take the last step back.
    pub fn undo(&mut self) {
        if let Some(former) = self.past.pop() {
            self.future
                .push(std::mem::replace(&mut self.present, former));
        }
        self.mark = None;
    }

    /// Make the step again that was taken back last.
    pub fn redo(&mut self) {
        if let Some(later) = self.future.pop() {
            self.past.push(std::mem::replace(&mut self.present, later));
        }
        self.mark = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twenty_mixed_steps_lead_back_to_the_first_state_and_forth_again() {
        let mut history = History::new(0);
        for step in 1..=20 {
            history.commit(step, if step % 3 == 0 { "field" } else { "" });
        }
        let mut states = vec![*history.present()];
        while history.can_undo() {
            history.undo();
            states.push(*history.present());
        }
        assert_eq!(states, (0..=20).rev().collect::<Vec<_>>());
        while history.can_redo() {
            history.redo();
        }
        assert_eq!(*history.present(), 20);
    }

    #[test]
    fn typing_into_one_field_is_one_step() {
        let mut history = History::new("");
        for text in ["1", "18", "180"] {
            history.commit(text, "stature");
        }
        history.commit("8", "mass");
        history.undo();
        assert_eq!(*history.present(), "180");
        history.undo();
        assert_eq!(*history.present(), "");
        assert!(!history.can_undo());
    }

    #[test]
    fn a_row_ends_where_it_is_settled_and_a_new_step_forgets_what_was_taken_back() {
        let mut history = History::new(0);
        history.commit(1, "a");
        history.settle();
        history.commit(2, "a");
        history.undo();
        assert_eq!(*history.present(), 1);
        history.commit(3, "");
        assert!(!history.can_redo());
        history.commit(3, "");
        history.undo();
        assert_eq!(*history.present(), 1);
    }
}
