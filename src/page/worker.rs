//! A second thread for long work: the page's own module, started again by `www/worker.js`.
//!
//! The page sends its program, compiled, so that it is loaded and compiled once. The worker says "ready" and answers
//! requests one after the other in the order in which they were asked; `worker.js` keeps those that come before. The first
//! thread is begun by `loading.js`, beside the page's own start. While it computes it reads no messages, so stopping means
//! ending the thread and starting another; requests that were not meant by the stop are asked again there, which is safe
//! because an answer depends on its request alone. A long answer may come in ever better pieces, the last of which is
//! marked.

use std::cell::RefCell;
use std::rc::{Rc, Weak};

use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, ErrorEvent, Event, MessageEvent};

use super::request::{Request, Response};
use crate::order::Map;

/// Why a request has no answer.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Failure {
    /// The page stopped the request.
    #[error("it was stopped")]
    Stopped,
    /// The thread did not come up.
    #[error("its worker did not start ({because})")]
    NotStarted {
        /// The browser's words.
        because: String,
    },
    /// The thread broke off while it worked on this request.
    #[error("its worker broke off ({because})")]
    Broken {
        /// The browser's words.
        because: String,
    },
}

/// Names one request, to stop it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Ticket(u32);

/// The page's handle on the worker. Clones share one thread, which lives until the last of them is dropped.
#[derive(Clone)]
pub struct Worker {
    state: Rc<RefCell<State>>,
}

struct State {
    thread: Option<web_sys::Worker>,
    ready: bool,
    last: Ticket,
    waiting: Map<Ticket, Waiting>,
    /// What is to be done once the thread is up.
    up: Option<Box<dyn FnOnce()>>,
    on_message: Closure<dyn FnMut(MessageEvent)>,
    on_error: Closure<dyn FnMut(Event)>,
}

/// A request without an answer yet. The message is kept: a new thread must be asked again.
struct Waiting {
    message: JsValue,
    then: Then,
}

/// What is done with an answer and its pieces. Shared, so that it can run while the state is free.
type Then = Rc<RefCell<dyn FnMut(Result<Response, Failure>)>>;

fn tell(then: &Then, answer: Result<Response, Failure>) {
    // A piece that comes while the one before is being looked at is not worth more than it.
    if let Ok(mut then) = then.try_borrow_mut() {
        then(answer);
    }
}

#[derive(Serialize, Deserialize)]
struct Question {
    ticket: u32,
    request: Request,
}

/// What the worker sends; `www/worker.js` sends `broken` when the module itself does not start.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Message {
    Ready,
    Answer {
        ticket: u32,
        response: Response,
        last: bool,
    },
    Broken {
        because: String,
    },
}

impl Worker {
    /// Make a handle. The thread starts with the first request.
    pub fn new() -> Self {
        let state = Rc::new_cyclic(|weak: &Weak<RefCell<State>>| {
            let (hear, fail) = (weak.clone(), weak.clone());
            RefCell::new(State {
                thread: None,
                ready: false,
                last: Ticket(0),
                waiting: Map::new(),
                up: None,
                on_message: Closure::new(move |event: MessageEvent| {
                    if let Some(state) = hear.upgrade() {
                        Self { state }.hear(event.data());
                    }
                }),
                on_error: Closure::new(move |event: Event| {
                    event.prevent_default();
                    if let Some(state) = fail.upgrade() {
                        Self { state }.broke(in_event(&event));
                    }
                }),
            })
        });
        Self { state }
    }

    /// Do something once the thread is up. A browser hands a new thread its messages between the page's own tasks alone;
    /// one that is up has them at once.
    pub fn wake(&self, then: impl FnOnce() + 'static) {
        let begun = {
            let mut state = self.state.borrow_mut();
            state.up = Some(Box::new(then));
            state.thread.is_some()
        };
        if !begun {
            self.start();
        }
    }

    /// Ask, and go on with the answer when it comes. `then` runs for every piece of it, and last for the whole or for
    /// what went wrong, unless the handle is dropped before.
    pub fn ask(
        &self,
        request: &Request,
        mut then: impl FnMut(Result<Response, Failure>) + 'static,
    ) -> Ticket {
        let ticket = {
            let mut state = self.state.borrow_mut();
            state.last = Ticket(state.last.0.wrapping_add(1));
            state.last
        };
        let question = Question {
            ticket: ticket.0,
            request: request.clone(),
        };
        match serde_wasm_bindgen::to_value(&question) {
            Ok(message) => {
                let then: Then = Rc::new(RefCell::new(then));
                let mut state = self.state.borrow_mut();
                if let Some(thread) = &state.thread {
                    let _ = thread.post_message(&message);
                }
                state.waiting.insert(ticket, Waiting { message, then });
            }
            Err(error) => then(Err(Failure::Broken {
                because: error.to_string(),
            })),
        }
        if self.state.borrow().thread.is_none() {
            self.start();
        }
        ticket
    }

    /// Stop a request: it ends with [`Failure::Stopped`], all others go on. Does nothing when it has its answer.
    pub fn stop(&self, ticket: Ticket) {
        let stopped = self.state.borrow_mut().waiting.remove(&ticket);
        if let Some(waiting) = stopped {
            self.start();
            tell(&waiting.then, Err(Failure::Stopped));
        }
    }

    /// End the thread, if there is one, start another, and ask it all that waits for an answer.
    fn start(&self) {
        let (started, heard) = {
            let mut state = self.state.borrow_mut();
            state.end();
            let (thread, heard) = match begun() {
                Some((thread, heard)) => (Ok(thread), heard),
                None => (spawn(), js_sys::Array::new()),
            };
            let started = thread.map(|thread| {
                thread.set_onmessage(Some(state.on_message.as_ref().unchecked_ref()));
                thread.set_onerror(Some(state.on_error.as_ref().unchecked_ref()));
                // Fails only for what cannot be copied; a program and plain data always can.
                let _ = thread.post_message(&wasm_bindgen::module());
                for waiting in state.waiting.values() {
                    let _ = thread.post_message(&waiting.message);
                }
                state.thread = Some(thread);
            });
            (started, heard)
        };
        match started {
            Ok(()) => heard.iter().for_each(|event| match event.dyn_into() {
                Ok(message) => self.hear(MessageEvent::data(&message)),
                Err(event) => self.broke(in_event(&event)),
            }),
            Err(because) => self.broke(because),
        }
    }

    fn hear(&self, data: JsValue) {
        match serde_wasm_bindgen::from_value(data) {
            Ok(Message::Ready) => {
                let up = {
                    let mut state = self.state.borrow_mut();
                    state.ready = true;
                    state.up.take()
                };
                up.into_iter().for_each(|then| then());
            }
            Ok(Message::Answer {
                ticket,
                response,
                last,
            }) => {
                let ticket = Ticket(ticket);
                let then = {
                    let mut state = self.state.borrow_mut();
                    let then = state.waiting.get(&ticket).map(|w| w.then.clone());
                    if last {
                        state.waiting.remove(&ticket);
                    }
                    then
                };
                if let Some(then) = then {
                    tell(&then, Ok(response));
                }
            }
            Ok(Message::Broken { because }) => self.broke(because),
            Err(error) => self.broke(error.to_string()),
        }
    }

    /// The thread is gone. One that was at work takes its oldest request with it; one that never came up takes all.
    fn broke(&self, because: String) {
        let (was_ready, lost) = {
            let mut state = self.state.borrow_mut();
            let was_ready = state.ready;
            state.end();
            let lost: Vec<Waiting> = if was_ready {
                let first = state.waiting.first().map(|(ticket, _)| *ticket);
                let first = first.and_then(|ticket| state.waiting.remove(&ticket));
                first.into_iter().collect()
            } else {
                std::mem::take(&mut state.waiting).into_values().collect()
            };
            (was_ready, lost)
        };
        if was_ready && !self.state.borrow().waiting.is_empty() {
            self.start();
        }
        for waiting in lost {
            let because = because.clone();
            let failure = if was_ready {
                Failure::Broken { because }
            } else {
                Failure::NotStarted { because }
            };
            tell(&waiting.then, Err(failure));
        }
    }
}

impl Default for Worker {
    fn default() -> Self {
        Self::new()
    }
}

impl State {
    /// End the thread. Its handlers go first, so that nothing it has sent already is heard after this.
    fn end(&mut self) {
        if let Some(thread) = self.thread.take() {
            thread.set_onmessage(None);
            thread.set_onerror(None);
            thread.terminate();
        }
        self.ready = false;
    }
}

impl Drop for State {
    fn drop(&mut self) {
        self.end();
    }
}

/// What `www/loading.js` left for the page.
fn left(name: &str) -> Option<JsValue> {
    js_sys::Reflect::get(&leptos::prelude::window(), &name.into()).ok()
}

/// The thread that `www/loading.js` began while the page's own program was still on its way, and the events that came
/// from it since; it is there once.
fn begun() -> Option<(web_sys::Worker, js_sys::Array)> {
    let begun = left("begun").filter(JsValue::is_object)?;
    let window = leptos::prelude::window();
    js_sys::Reflect::set(&window, &"begun".into(), &JsValue::UNDEFINED).ok()?;
    let of = |name: &str| js_sys::Reflect::get(&begun, &name.into()).ok();
    let thread = of("thread")?.dyn_into().ok()?;
    Some((thread, of("heard")?.dyn_into().ok()?))
}

/// Another thread, begun the same way.
fn spawn() -> Result<web_sys::Worker, String> {
    let begin = left("beginThread").and_then(|begin| begin.dyn_into::<js_sys::Function>().ok());
    let begin = begin.ok_or("loading.js did not load")?;
    begin
        .call0(&JsValue::UNDEFINED)
        .map_err(in_words)?
        .dyn_into()
        .map_err(in_words)
}

/// What an event says went wrong.
fn in_event(event: &JsValue) -> String {
    event
        .dyn_ref::<ErrorEvent>()
        .map_or_else(|| "its script did not load".to_owned(), ErrorEvent::message)
}

fn in_words(thrown: JsValue) -> String {
    thrown.dyn_ref::<js_sys::Error>().map_or_else(
        || format!("{thrown:?}"),
        |error| String::from(error.message()),
    )
}

/// Whether this code runs as the worker.
pub(super) fn is_here() -> bool {
    js_sys::global().is_instance_of::<DedicatedWorkerGlobalScope>()
}

/// Answer the page's requests from now on. Does nothing outside a worker.
pub(super) fn listen(serve: fn(Request, &mut dyn FnMut(Response)) -> Response) {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else {
        return;
    };
    let page = scope.clone();
    let answer = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let message = match serde_wasm_bindgen::from_value::<Question>(event.data()) {
            Ok(Question { ticket, request }) => {
                let answer = |response, last| Message::Answer {
                    ticket,
                    response,
                    last,
                };
                let whole = serve(request, &mut |piece| send(&page, &answer(piece, false)));
                answer(whole, true)
            }
            Err(error) => Message::Broken {
                because: error.to_string(),
            },
        };
        send(&page, &message);
    });
    scope.set_onmessage(Some(answer.as_ref().unchecked_ref()));
    // The worker listens as long as its thread lives.
    answer.forget();
    send(&scope, &Message::Ready);
}

fn send(page: &DedicatedWorkerGlobalScope, message: &Message) {
    let sent = serde_wasm_bindgen::to_value(message)
        .map_err(JsValue::from)
        .and_then(|message| page.post_message(&message));
    if let Err(thrown) = sent {
        wasm_bindgen::throw_val(thrown);
    }
}
