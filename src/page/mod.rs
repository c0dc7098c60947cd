//! The page: components, the worker, what the browser stores. The only place that names a web crate.
//!
//! One module serves both threads: started by `index.html` it mounts the page, started by `worker.js` it answers the
//! page's requests. What parses typed text lives outside this module, so that native tests reach it.
//!
//! [`Store`] holds the one [`Plan`](crate::plan::Plan) with its history; everything shown follows from it through memos.
//! A drag moves `live` settings alone: postures and drawing follow within the frame, the plan changes when it ends.

mod advice;
mod app;
mod book;
mod compare;
mod drawing;
mod field;
mod frame;
mod guide;
mod hold;
mod keeping;
mod painting;
mod posed;
mod print;
mod request;
mod rider;
mod set_up;
mod sled;
mod stage;
mod stances;
mod store;
mod styles;
mod tables;
mod turn;
mod work;
mod worker;

pub use request::{Found, Request, Response, Standing, Wanted};
pub use store::Store;
pub use worker::{Failure, Ticket, Worker};

/// Serve as the worker when started in one, mount the page otherwise.
pub fn main() {
    console_error_panic_hook::set_once();
    if worker::is_here() {
        worker::listen(request::serve);
        return;
    }
    app::begin();
}
