//! A small copy of a picture, to be kept in the book itself.

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use super::fields::Draft;
use crate::log::What;
use crate::page::field::chosen_file;
use crate::plan::book::form::{IMAGE, IMAGE_MOST};
use crate::units::text::format_number;

/// Longest edges that are tried, px, until the copy is small enough; and how much of its detail a JPEG keeps. Our choice.
const EDGES: [f64; 4] = [960.0, 720.0, 480.0, 240.0];
const DETAIL: f64 = 0.6;

/// The address of a photo's small picture; `None` where the entry has none.
pub fn address(what: &What) -> Option<String> {
    let What::Photo(record) = what else {
        return None;
    };
    let image = record.image.as_ref()?;
    Some(format!(
        "data:{};base64,{}",
        image.media.label(),
        image.base64
    ))
}

/// Choosing a picture: its name, and a small copy of it.
pub fn chooser(draft: Draft) -> AnyView {
    let said = RwSignal::new(String::new());
    let pick = move |event: leptos::ev::Event| {
        let Some(file) = chosen_file(&event) else {
            return;
        };
        draft.put("name", file.name());
        draft.put(IMAGE, String::new());
        said.set("Making a small copy …".to_owned());
        copy(&file, move |copy| match copy {
            Some(base64) => {
                let kilobytes = base64.len() as f64 / 1000.0;
                said.set(format!(
                    "A small copy of {} kB goes into the book.",
                    format_number(kilobytes, 1.0)
                ));
                draft.put(IMAGE, base64);
            }
            None => said.set(
                "This browser cannot read it as a picture: only its name goes into the book."
                    .to_owned(),
            ),
        });
    };
    view! {
        <span class="file">
            <label for="photo-file">"Choose the picture"</label>
            <input id="photo-file" type="file" accept="image/*" on:change=pick />
        </span>
        <p class="how" role="status">{move || said.get()}</p>
    }
    .into_any()
}

/// Make a small copy; the answer is none where the file is no picture.
fn copy(file: &web_sys::File, done: impl Fn(Option<String>) + Clone + 'static) {
    let (Ok(image), Ok(url)) = (
        web_sys::HtmlImageElement::new(),
        web_sys::Url::create_object_url_with_blob(file),
    ) else {
        done(None);
        return;
    };
    let (picture, refused) = (image.clone(), done.clone());
    let (loaded_url, failed_url) = (url.clone(), url.clone());
    let loaded = Closure::once_into_js(move || {
        done(EDGES.iter().find_map(|edge| scaled(&picture, *edge)));
        let _ = web_sys::Url::revoke_object_url(&loaded_url);
    });
    let failed = Closure::once_into_js(move || {
        refused(None);
        let _ = web_sys::Url::revoke_object_url(&failed_url);
    });
    image.set_onload(Some(loaded.unchecked_ref()));
    image.set_onerror(Some(failed.unchecked_ref()));
    image.set_src(&url);
}

/// The picture with its longest edge at most this long, in base64; `None` where that is still too large.
fn scaled(image: &web_sys::HtmlImageElement, edge: f64) -> Option<String> {
    let (width, height) = (
        f64::from(image.natural_width()),
        f64::from(image.natural_height()),
    );
    let scale = (edge / width.max(height).max(1.0)).min(1.0);
    let (width, height) = ((width * scale).max(1.0), (height * scale).max(1.0));
    let canvas = document().create_element("canvas").ok()?;
    let canvas = canvas.dyn_into::<web_sys::HtmlCanvasElement>().ok()?;
    canvas.set_width(width as u32);
    canvas.set_height(height as u32);
    let context = canvas.get_context("2d").ok()??;
    let context = context
        .dyn_into::<web_sys::CanvasRenderingContext2d>()
        .ok()?;
    context
        .draw_image_with_html_image_element_and_dw_and_dh(image, 0.0, 0.0, width, height)
        .ok()?;
    let url = canvas
        .to_data_url_with_type_and_encoder_options("image/jpeg", &DETAIL.into())
        .ok()?;
    let base64 = url.strip_prefix("data:image/jpeg;base64,")?;
    (base64.len() <= IMAGE_MOST).then(|| base64.to_owned())
}
