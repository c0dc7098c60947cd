//! A file's bytes in the worker, piece by piece: no more of it is in memory than one piece.

use js_sys::{Array, ArrayBuffer, Function, Reflect, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Blob, File};

use crate::run::{DEMO_NAME, HEAD, demo};

/// Bytes of a piece; our choice: long enough to cost little, short enough to stop between two.
const PIECE: f64 = 2.0 * 1024.0 * 1024.0;

/// The start of a file, and whether it is all of it.
///
/// # Errors
/// In the browser's words.
pub fn head(file: &File) -> Result<(Vec<u8>, bool), String> {
    let most = HEAD as f64;
    let bytes = part(&reader()?, file, 0.0, most)?;
    Ok((bytes, file.size() <= most))
}

/// The invented run as a file.
///
/// # Errors
/// Where the browser makes none.
pub fn demo_file() -> Result<File, String> {
    let parts = Array::of1(&demo().into());
    File::new_with_str_sequence(&parts, DEMO_NAME)
        .map_err(|_| "this browser cannot make a file".to_owned())
}

/// Hand on all of a file, with how much of it was read before each piece.
///
/// # Errors
/// In the browser's words: a file that was moved or changed, for one.
pub fn pieces(file: &File, mut each: impl FnMut(&[u8], f64)) -> Result<(), String> {
    let reader = reader()?;
    let size = file.size();
    let mut from = 0.0;
    while from < size {
        let to = (from + PIECE).min(size);
        each(&part(&reader, file, from, to)?, from / size);
        from = to;
    }
    Ok(())
}

/// The browser's reader that a worker may wait for.
struct Reader {
    object: JsValue,
    read: Function,
}

fn reader() -> Result<Reader, String> {
    let make = || {
        let class: Function =
            Reflect::get(&js_sys::global(), &"FileReaderSync".into())?.dyn_into()?;
        let object = Reflect::construct(&class, &Array::new())?;
        let read = Reflect::get(&object, &"readAsArrayBuffer".into())?.dyn_into()?;
        Ok::<Reader, JsValue>(Reader { object, read })
    };
    make().map_err(|_| "this browser cannot read files piece by piece".to_owned())
}

fn part(reader: &Reader, file: &File, from: f64, to: f64) -> Result<Vec<u8>, String> {
    let read = |slice: Blob| reader.read.call1(&reader.object, &slice);
    let buffer = file.slice_with_f64_and_f64(from, to).and_then(read);
    let buffer = buffer.and_then(JsCast::dyn_into::<ArrayBuffer>);
    let buffer = buffer.map_err(|_| {
        "the file cannot be read: was it moved or changed? Open it again".to_owned()
    })?;
    Ok(Uint8Array::new(&buffer).to_vec())
}
