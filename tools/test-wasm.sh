#!/usr/bin/env bash
# The tests that run as wasm in a headless browser: tests/in_browser*.rs.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --quiet --locked -p firstglow-wasm-runner

target=$(cargo metadata --no-deps --locked --format-version 1 |
    sed 's/.*"target_directory":"\([^"]*\)".*/\1/')
export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER="$target/debug/firstglow-wasm-runner"

cargo test --locked --target wasm32-unknown-unknown --test 'in_browser*' -- "$@"
