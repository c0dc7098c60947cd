//! Writing files whole: a file appears under its name only when every byte of it is there; and how far a long task is.

use std::fs;
use std::io::{IsTerminal, Write};
use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use super::failure::Failure;

/// Writes beside the target under another name, then renames: whoever looks sees the old file or the new one.
pub fn write_whole(path: &Path, content: &[u8]) -> Result<(), Failure> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.unfinished", std::process::id()));
    let beside = path.with_file_name(name);
    let written = fs::File::create(&beside)
        .and_then(|mut file| file.write_all(content).and_then(|()| file.sync_all()))
        .and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // The first error is the one to tell; what is left of the attempt is not worth a second.
        let _ = fs::remove_file(&beside);
    }
    written.map_err(Failure::write(path))
}

/// Writes to a file, or to standard output where none is named. A reader that has left is no failure.
pub fn deliver(path: Option<&Path>, content: &str) -> Result<(), Failure> {
    match path {
        Some(path) => write_whole(path, content.as_bytes()),
        None => match std::io::stdout().write_all(content.as_bytes()) {
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
                Err(Failure::write(Path::new("standard output"))(error))
            }
            _ => Ok(()),
        },
    }
}

/// A document as JSON, to be read by people too.
pub fn json(document: &impl Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(document).map_err(|e| Failure::Fault(e.to_string()))?;
    Ok(text + "\n")
}

/// A bar on a terminal, nothing elsewhere: how many of `all`, and what they are.
pub fn progress(what: &str, all: u64, done: u64) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(all).with_position(done);
    let style = ProgressStyle::with_template(&format!(
        "{{pos}} of {{len}} {what} {{wide_bar}} {{eta}} left"
    ));
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar.reset_eta();
    bar
}
