//! The entry of the browser app. Off the browser there is nothing to start.

#[cfg(target_arch = "wasm32")]
fn main() {
    firstglow::ui::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!(
        "Firstglow runs in a browser: `make run`. For a plan on the command line: `cargo run --example plan -- FILE`."
    );
}
