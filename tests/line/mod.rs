//! The built command line, as people run it.
#![allow(clippy::unwrap_used, reason = "a test may panic")]
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The program with these arguments, in the project's folder.
pub fn program(args: &[&str]) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_sledstance"));
    program.current_dir(env!("CARGO_MANIFEST_DIR")).args(args);
    program
}

/// Runs it.
pub fn run(args: &[&str]) -> Output {
    program(args).output().unwrap()
}

/// What it printed.
pub fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// What it complained about.
pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A folder of the test's own, empty at the start.
pub fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

/// A path as an argument.
pub fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}
