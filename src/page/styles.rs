//! Style sheets made by the program: a `style` attribute or element would break the page's policy.

use std::cell::RefCell;

use leptos::prelude::document;
use wasm_bindgen::{JsCast, JsValue};

use crate::order::Map;

/// Hands rules to the browser under a name; what that name said before is gone.
pub fn say(name: &'static str, rules: &str) {
    thread_local! {
        static SHEETS: RefCell<Map<&'static str, JsValue>> = const { RefCell::new(Map::new()) };
    }
    let known = SHEETS.with_borrow(|sheets| sheets.get(name).cloned());
    let Some(sheet) = known.or_else(adopted) else {
        return;
    };
    if let Ok(replace) = js_sys::Reflect::get(&sheet, &"replaceSync".into())
        && let Ok(replace) = replace.dyn_into::<js_sys::Function>()
    {
        let _ = replace.call1(&sheet, &rules.into());
    }
    SHEETS.with_borrow_mut(|sheets| sheets.insert(name, sheet));
}

/// A new sheet that the browser follows.
fn adopted() -> Option<JsValue> {
    let sheet = JsValue::from(web_sys::CssStyleSheet::new().ok()?);
    let list = js_sys::Reflect::get(&document(), &"adoptedStyleSheets".into()).ok()?;
    let list = js_sys::Array::from(&list);
    list.push(&sheet);
    js_sys::Reflect::set(&document(), &"adoptedStyleSheets".into(), &list).ok()?;
    Some(sheet)
}
