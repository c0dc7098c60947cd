//! One question at a time to a worker of its own.

use leptos::prelude::*;

use super::super::request::{Request, Response};
use super::super::worker::{Failure, Ticket, Worker};

/// A worker and what it was asked last.
#[derive(Clone, Copy)]
pub struct Asking {
    worker: StoredValue<Worker, LocalStorage>,
    ticket: StoredValue<Option<Ticket>>,
}

impl Asking {
    /// Nothing is asked yet.
    pub fn new() -> Self {
        Self {
            worker: StoredValue::new_local(Worker::new()),
            ticket: StoredValue::new(None),
        }
    }

    /// Asks; what was asked before goes on.
    pub fn ask(self, request: &Request, then: impl FnMut(Result<Response, Failure>) + 'static) {
        let ticket = self.worker.with_value(|worker| worker.ask(request, then));
        self.ticket.set_value(Some(ticket));
    }

    /// Stops what was asked last, if it has no answer yet.
    pub fn stop(self) {
        if let Some(ticket) = self.ticket.get_value() {
            self.ticket.set_value(None);
            self.worker.with_value(|worker| worker.stop(ticket));
        }
    }
}
