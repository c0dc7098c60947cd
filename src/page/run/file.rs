//! A file's bytes in the worker, piece by piece: no more of it is in memory than one piece.

use web_sys::{File, FileReaderSync};

use crate::run::HEAD;

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

fn reader() -> Result<FileReaderSync, String> {
    FileReaderSync::new().map_err(|_| "this browser cannot read files piece by piece".to_owned())
}

fn part(reader: &FileReaderSync, file: &File, from: f64, to: f64) -> Result<Vec<u8>, String> {
    let slice = file.slice_with_f64_and_f64(from, to);
    let buffer = slice.and_then(|slice| reader.read_as_array_buffer(&slice));
    let buffer = buffer.map_err(|thrown| {
        let words = js_sys::Error::from(thrown).message();
        format!("the file cannot be read ({words}): was it moved or changed? Open it again")
    })?;
    Ok(js_sys::Uint8Array::new(&buffer).to_vec())
}
