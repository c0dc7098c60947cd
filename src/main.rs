//! The command line (native) or the page and its worker (wasm32), on the same core.

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    println!(
        "sledstance {}: this build has no commands",
        env!("CARGO_PKG_VERSION")
    );
}

#[cfg(target_arch = "wasm32")]
fn main() {
    sledstance::page::main();
}
