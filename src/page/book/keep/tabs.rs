//! Several tabs on one book: they tell one another which records they have written, and look for themselves when they are
//! shown again.

use std::collections::BTreeSet;

use js_sys::Array;
use js_sys::futures::spawn_local;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{BroadcastChannel, MessageEvent};

use super::{Keep, Trouble};

/// Where tabs hear of one another.
const CHANNEL: &str = "sledstance-book";

impl Keep {
    /// Hear what other tabs write.
    pub(super) fn listen(self) {
        let Ok(channel) = BroadcastChannel::new(CHANNEL) else {
            return;
        };
        let hear = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
            if let Ok(keys) = event.data().dyn_into() {
                spawn_local(async move { self.hear(keys).await });
            }
        });
        channel.set_onmessage(Some(hear.into_js_value().unchecked_ref()));
        self.inner
            .update_value(|inner| inner.channel = Some(channel));
    }

    /// Tell the other tabs what this one has written.
    pub(super) fn tell_tabs(self, keys: &Array) {
        self.inner.with_value(|inner| {
            if let Some(channel) = &inner.channel {
                // Other tabs look at the store themselves when they are shown again.
                let _ = channel.post_message(keys);
            }
        });
    }

    /// Another tab has stored entries under these keys.
    pub(super) async fn hear(self, keys: Array) {
        let Some(database) = self.inner.with_value(|inner| inner.database.clone()) else {
            self.inner.update_value(|inner| inner.heard.push(keys));
            return;
        };
        if let Ok(texts) = database.texts_of(&keys).await {
            self.take_in(&texts);
        }
    }

    /// Whether the store holds what it should: other tabs may have added to it unheard, and somebody may have cleared it.
    pub(super) async fn look(self) {
        let stored = || {
            let book = self.book.with_untracked(|book| book.len());
            book + self.unread.with_untracked(Vec::len)
        };
        let quiet = || self.unsaved.with_untracked(BTreeSet::is_empty);
        let Some(database) = self.inner.with_value(|inner| inner.database.clone()) else {
            return;
        };
        let before = stored();
        let Ok(count) = database.count().await else {
            return;
        };
        if !quiet() || before != stored() {
            return;
        }
        if count < before {
            self.fail(Trouble::Gone);
            self.tell();
        } else if count > before
            && let Ok(texts) = database.texts().await
        {
            self.take_in(&texts);
        }
    }
}
