#!/usr/bin/env bash
# Every check and test there is, as CI runs them; with `quick`, those that need
# no browser. The first failure ends it; nothing is skipped.
set -euo pipefail
cd "$(dirname "$0")/.."

wasm=wasm32-unknown-unknown

step() {
    local name=$1 start=$SECONDS
    shift
    printf '\n== %s\n' "$name"
    "$@"
    printf '== %s: done in %d s\n' "$name" $((SECONDS - start))
}

binder() {
    cargo run --quiet --locked -p firstglow-binder -- "$@"
}

documentation() {
    # The screens are there on wasm alone, the tools on the host alone.
    local doc="cargo doc --locked --no-deps --document-private-items"
    export RUSTDOCFLAGS="-D warnings"
    $doc --workspace
    $doc --lib --target $wasm
}

if [ "${1:-}" = quick ]; then
    step "set-up" tools/setup-build.sh
else
    step "set-up" tools/setup-tests.sh
fi

step "format" cargo fmt --all --check
step "clippy" cargo clippy --workspace --all-targets --locked -- -D warnings
step "clippy for wasm" cargo clippy --locked --target $wasm --lib --bins --test 'in_browser*' -- -D warnings
step "tests" cargo test --locked
step "tests of the tools" cargo test --locked -p firstglow-binder -p firstglow-loopback -p firstglow-pieces
step "documentation" documentation

[ "${1:-}" = quick ] && exit

step "tests as wasm" tools/test-wasm.sh
step "site" binder build
step "single page" binder single-file
step "size" binder size
step "browser tests" cargo test --locked -p firstglow-browser-tests

printf '\nAll passed in %d s.\n' $SECONDS
