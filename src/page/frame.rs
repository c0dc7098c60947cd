//! Once a frame: work that follows the pointer is done when the browser paints next, with the newest position alone.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use leptos::prelude::request_animation_frame;

type Job = Box<dyn FnOnce()>;

/// Runs the last thing that was asked for when the next frame comes.
#[derive(Clone, Default)]
pub struct NextFrame {
    job: Rc<RefCell<Option<Job>>>,
    asked: Rc<Cell<bool>>,
}

impl NextFrame {
    /// Do this at the next frame, in place of what was asked for it before.
    pub fn run(&self, job: impl FnOnce() + 'static) {
        self.job.replace(Some(Box::new(job)));
        if self.asked.replace(true) {
            return;
        }
        let (job, asked) = (self.job.clone(), self.asked.clone());
        request_animation_frame(move || {
            asked.set(false);
            let last = job.borrow_mut().take();
            if let Some(last) = last {
                last();
            }
        });
    }

    /// Forget what was asked for.
    pub fn forget(&self) {
        self.job.replace(None);
    }
}
