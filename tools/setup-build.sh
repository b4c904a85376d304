#!/usr/bin/env bash
# What building the app takes beyond a Rust toolchain: the wasm target.
set -euo pipefail

die() {
    echo "$1" >&2
    exit 1
}

target=wasm32-unknown-unknown

command -v cargo >/dev/null || die "Rust is missing: install it with rustup, then try again."
command -v cc >/dev/null || die "A C compiler is missing (it links the build tools): install gcc or clang, then try again."

if [ ! -d "$(rustc --print target-libdir --target "$target")" ]; then
    command -v rustup >/dev/null ||
        die "The Rust target $target is missing, and there is no rustup to add it: install it as your Rust came."
    rustup target add "$target"
fi
