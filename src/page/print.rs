//! Taking a set-up along: the card to print, the drawing as a file, the address that carries it all.

use js_sys::futures::spawn_local;
use leptos::prelude::*;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};

use super::field;
use super::store::{Search, Store};
use super::styles;
use crate::plan::book::at::{At, Screen};
use crate::plan::code;
use crate::plan::place::Place;
use crate::plan::sheet::{Sheet, card as content};
use crate::sled::Cockpit;
use crate::view::card::{self, Paper};
use crate::view::describe::describe;
use crate::view::palette::Theme;
use crate::view::stage::{Scene, Viewport, stage};
use crate::view::svg;

/// Size of a saved drawing, px; our choice.
pub const SAVED: Viewport = Viewport {
    width: 1200.0,
    height: 850.0,
};

/// Printing a card: the paper, and whether the browser prints now.
#[derive(Clone, Copy)]
pub struct Printing {
    paper: RwSignal<Paper>,
    now: RwSignal<bool>,
}

impl Printing {
    /// Ready to print a place's card while the place is shown.
    pub fn begin(here: Signal<bool>) -> Self {
        let (paper, now) = (RwSignal::new(Paper::A4), RwSignal::new(false));
        // The card is made when the browser prints, by whichever way it was asked to.
        let begin = window_event_listener(leptos::ev::beforeprint, move |_| now.set(true));
        let end = window_event_listener(leptos::ev::afterprint, move |_| now.set(false));
        on_cleanup(move || {
            begin.remove();
            end.remove();
        });
        Effect::new(move |_| {
            if here.get() {
                set_page_size(paper.get());
            }
        });
        Self { paper, now }
    }

    /// The button, and the choice of paper; `name` tells places apart.
    pub fn row(
        self,
        name: &'static str,
        label: &'static str,
        ready: impl Fn() -> bool + Send + Sync + 'static,
    ) -> AnyView {
        let print = move |_| {
            self.now.set(true);
            // The card stands before the browser looks at the page.
            request_animation_frame(move || {
                let _ = window().print();
            });
        };
        let papers = field::switch(
            name,
            "Paper",
            [(Paper::A4, "A4"), (Paper::Letter, "Letter")],
            move |paper| self.paper.get() == paper,
            move |paper| self.paper.set(paper),
        );
        view! {
            <div class="along-row">
                <button type="button" class="first" disabled=move || !ready() on:click=print>{label}</button>
                {papers}
            </div>
        }
        .into_any()
    }

    /// Where the card stands on paper; it belongs right under `main`.
    pub fn place(self, make: impl Fn(Paper) -> Option<String> + Send + Sync + 'static) -> AnyView {
        let sheet = move || {
            self.now
                .get()
                .then(|| make(self.paper.get()))
                .flatten()
                .unwrap_or_default()
        };
        view! { <div class="card-place" inner_html=sheet></div> }.into_any()
    }
}

/// A row to press, and in few words what it gives.
pub fn taken(row: impl IntoView, gives: &'static str) -> AnyView {
    view! { <li>{row}<p class="how">{gives}</p></li> }.into_any()
}

/// The same of buttons.
pub fn take(buttons: impl IntoView, gives: &'static str) -> AnyView {
    taken(view! { <div class="along-row">{buttons}</div> }, gives)
}

/// Buttons that save a drawing under a name, as a picture and as it is.
pub fn drawings(
    [picture, as_it_is]: [&'static str; 2],
    called: &'static str,
    ready: impl Fn() -> bool + Copy + Send + Sync + 'static,
    make: impl Fn() -> Option<String> + Copy + 'static,
    said: RwSignal<String>,
) -> AnyView {
    let save = move |as_png: bool| {
        move |_| {
            if let Some(text) = make() {
                save_drawing(&text, called, as_png, said);
            }
        }
    };
    view! {
        <button type="button" disabled=move || !ready() on:click=save(true)>{picture}</button>
        <button type="button" disabled=move || !ready() on:click=save(false)>{as_it_is}</button>
    }
    .into_any()
}

/// What the buttons of a drawing of bodies and sleds say.
pub const OF_BODIES: [&str; 2] = ["Save it as a picture (PNG)", "Save the drawing (SVG)"];

/// The section with the card and the files.
#[component]
pub fn TakeAlong(store: Store) -> impl IntoView {
    let printing = Printing::begin(Signal::derive(move || store.place.get() == Place::Start));
    let said = RwSignal::new(String::new());
    let ready = move || store.set_up.with(Option::is_some);
    view! {
        <section class="panel along" aria-labelledby="along-heading">
            <h2 id="along-heading">"Take it along"</h2>
            <ul class="takes">
                {taken(
                    printing.row("paper", "Print the card", ready),
                    "For the lid of the toolbox: drawing, settings, work to tick off, checks, cautions.",
                )}
                {take(
                    view! {
                        <button type="button" disabled=move || !ready() on:click=move |_| copy_address(&hash(store), said)>
                            "Copy the address of this set-up"
                        </button>
                    },
                    "A link that opens it on another device. The set-up is in the link itself.",
                )}
                {take(
                    view! {
                        <button type="button" disabled=move || !ready() on:click=move |_| store.go(Place::Book, At { screen: Screen::Put, ..At::default() }.write())>
                            "Put it into the mechanic’s book"
                        </button>
                    },
                    "Where each change, and what it did, is written down from then on.",
                )}
                {take(
                    drawings(OF_BODIES, "sledstance", ready, move || drawing(store), said),
                    "The rider on the sled: a picture to send, or a drawing that stays sharp at any size.",
                )}
            </ul>
            <p class="how" role="status">{move || said.get()}</p>
        </section>
        {printing.place(move |paper| the_card(store, paper))}
    }
}

/// Puts the page's whole address with this behind it where a person can paste it.
pub fn copy_address(hash: &str, said: RwSignal<String>) {
    let place = window().location().href().unwrap_or_default();
    let page = place.split('#').next().unwrap_or_default();
    copy_text(
        format!("{page}{hash}"),
        said,
        "Copied: open it on the other device.",
    );
}

/// The part behind the `#`, settings written out even where the search found them.
fn hash(store: Store) -> String {
    let mut plan = store.plan.get_untracked();
    if plan.by_hand.is_none() {
        plan.by_hand = store.settings.get_untracked().map(Into::into);
    }
    let mut address = store.start_address();
    address.code = Some(code::write(&plan));
    address.write()
}

fn the_card(store: Store, paper: Paper) -> Option<String> {
    let (built, sled) = (store.built.get_untracked()?, store.sled.get_untracked()?);
    let set_up = store.set_up.get_untracked()?;
    let stances = store.stances.get_value();
    let front = store.front();
    let trouble = store.search.with_untracked(|search| match search {
        Search::Found(found) => found.binds.clone(),
        _ => None,
    });
    let bands: Vec<_> = store
        .sure
        .with_untracked(|sure| sure.as_ref().map(|s| s.settings.clone()))
        .unwrap_or_default()
        .into_iter()
        .collect();
    let made = content(&Sheet {
        built: &built,
        name: if store.is_example.get_untracked() {
            "Example rider"
        } else {
            ""
        },
        sled: &sled,
        set_up: &set_up,
        stances: &stances,
        front: stances.iter().position(|s| s.name == front)?,
        trouble: &trouble.unwrap_or_default(),
        bands: &bands,
        code: &hash(store),
        units: store.units.get_untracked(),
    })?;
    Some(card::bare(&made, paper))
}

/// The drawing as a file of its own.
fn drawing(store: Store) -> Option<String> {
    let (built, sled) = (store.built.get_untracked()?, store.sled.get_untracked()?);
    let set_up = store.set_up.get_untracked()?;
    let stances = store.stances.get_value();
    let front = store.front();
    let front = stances.iter().position(|s| s.name == front)?;
    let cockpit = Cockpit::new(&sled, set_up.settings);
    let scene = Scene::of(
        &built.rider,
        &cockpit,
        &set_up,
        &stances,
        front,
        store.system(),
    )?;
    let result = set_up.stances.get(front)?;
    let words = describe(
        stances.get(front)?,
        &result.posture,
        &cockpit,
        Some(&result.hold),
        store.system(),
    );
    Some(svg::document(
        &stage(&scene, SAVED),
        &words.plain(),
        Theme::Light,
    ))
}

/// Says the paper's size, the colours of print and the card's type.
fn set_page_size(paper: Paper) {
    let colours = svg::custom_properties(Theme::Print);
    styles::say(
        "card",
        &format!(
            "{}@media print{{:root,:root[data-theme]{{color-scheme:light;{colours}}}}}@page{{size:{};margin:0}}",
            card::STYLE,
            paper.name()
        ),
    );
}

/// Puts a text on the clipboard and says so; where the browser refuses, says the text, to be copied by hand.
pub fn copy_text(text: String, said: RwSignal<String>, done: &'static str) {
    let clipboard = window().navigator().clipboard();
    // A page that came without encryption from another machine has none.
    if clipboard.is_undefined() {
        said.set(text);
        return;
    }
    spawn_local(async move {
        let copied = clipboard.write_text(&text).await;
        said.set(copied.map_or(text, |_| done.to_owned()));
    });
}

/// Hands a text to the person as a file.
pub fn save_text(text: &str, kind: &str, name: &str) {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    if let Ok(blob) = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options) {
        save_blob(&blob, name);
    }
}

/// Hands an SVG to the person as a file, as it is or as a picture.
fn save_drawing(text: &str, name: &'static str, as_png: bool, said: RwSignal<String>) {
    if as_png {
        save_png(text, name, said);
    } else {
        save_text(text, "image/svg+xml", &format!("{name}.svg"));
    }
}

fn save_blob(blob: &web_sys::Blob, name: &str) {
    let Ok(url) = web_sys::Url::create_object_url_with_blob(blob) else {
        return;
    };
    if let Ok(link) = document().create_element("a")
        && let Ok(link) = link.dyn_into::<web_sys::HtmlAnchorElement>()
    {
        link.set_href(&url);
        link.set_download(name);
        link.click();
    }
    // The browser has taken the file by the next turn of its loop.
    set_timeout(
        move || {
            let _ = web_sys::Url::revoke_object_url(&url);
        },
        core::time::Duration::from_secs(10),
    );
}

/// Paints an SVG on a canvas at twice its size and saves that.
fn save_png(text: &str, name: &'static str, said: RwSignal<String>) {
    const SCALE: f64 = 2.0;
    let Ok(image) = web_sys::HtmlImageElement::new() else {
        return;
    };
    let source = format!(
        "data:image/svg+xml;charset=utf-8,{}",
        js_sys::encode_uri_component(text)
    );
    let painted = image.clone();
    let paint = move || -> Option<()> {
        let canvas = document().create_element("canvas").ok()?;
        let canvas = canvas.dyn_into::<web_sys::HtmlCanvasElement>().ok()?;
        // A sheet of paper has its size in mm; the browser says it in px.
        let (width, height) = (
            SCALE * f64::from(painted.natural_width()),
            SCALE * f64::from(painted.natural_height()),
        );
        canvas.set_width(width as u32);
        canvas.set_height(height as u32);
        let context = canvas.get_context("2d").ok()??;
        let context = context
            .dyn_into::<web_sys::CanvasRenderingContext2d>()
            .ok()?;
        context
            .draw_image_with_html_image_element_and_dw_and_dh(&painted, 0.0, 0.0, width, height)
            .ok()?;
        let done = Closure::once_into_js(move |blob: JsValue| {
            if let Ok(blob) = blob.dyn_into::<web_sys::Blob>() {
                save_blob(&blob, &format!("{name}.png"));
            }
        });
        canvas.to_blob(done.unchecked_ref()).ok()
    };
    let loaded = Closure::once_into_js(move || {
        if paint().is_none() {
            said.set("This browser could not make a picture; save it as SVG instead.".to_owned());
        }
    });
    image.set_onload(Some(loaded.unchecked_ref()));
    image.set_src(&source);
}
