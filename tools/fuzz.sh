#!/usr/bin/env bash
# Fuzzes what reads things from outside: every target of fuzz/, for so many
# seconds each (600 unless said otherwise). What it finds lies in
# fuzz/artifacts/ and becomes a test; what is new to a target joins its corpus
# only by hand, made small with `cargo fuzz cmin`.
set -euo pipefail
cd "$(dirname "$0")/.."

seconds=${1:-600}

die() {
    echo "$1" >&2
    exit 1
}

command -v rustup >/dev/null || die "make fuzz needs rustup, for a nightly toolchain."
rustup toolchain list | grep -q '^nightly' ||
    die "make fuzz needs a nightly toolchain: rustup toolchain install nightly --profile minimal"
cargo fuzz --version >/dev/null 2>&1 ||
    die "make fuzz needs cargo-fuzz: cargo install cargo-fuzz --locked"
command -v c++ >/dev/null || die "make fuzz needs a C++ compiler: install g++ or clang."

# New finds go to a folder of their own, so that a run leaves the kept corpus alone.
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

for target in sheet table document payload; do
    echo "== $target, $seconds s"
    mkdir -p "$scratch/$target"
    cargo +nightly fuzz run "$target" "$scratch/$target" "fuzz/corpus/$target" -- \
        -max_total_time="$seconds" -max_len=2000 -timeout=20 -print_final_stats=1
done
