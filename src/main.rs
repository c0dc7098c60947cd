//! The command line (native) or the page and its worker (wasm32), on the same core.

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    sledstance::command::main()
}

#[cfg(target_arch = "wasm32")]
fn main() {
    sledstance::page::main();
}
