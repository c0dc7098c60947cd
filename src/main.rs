//! The command line (native) or the page (wasm32) on the same core.

fn main() {}
