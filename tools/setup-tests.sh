#!/usr/bin/env bash
# What the tests take beyond the build: two browsers with their drivers, a
# circuit simulator and a solver to compare with, and the accessibility checker.
set -euo pipefail
cd "$(dirname "$0")/.."

# A command, and the Debian package that brings it.
needed="chromedriver:chromium-driver ngspice:ngspice node:nodejs npm:npm python3:python3 pdftotext:poppler-utils"

missing_packages() {
    for pair in $needed; do
        command -v "${pair%%:*}" >/dev/null || echo "${pair##*:}"
    done
    has_browser || echo chromium
    has_firefox || echo firefox-esr
    has_venv || echo python3-venv
}

has_venv() {
    python3 -c 'import ensurepip, venv' 2>/dev/null
}

has_browser() {
    [ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null || command -v google-chrome >/dev/null
}

has_firefox() {
    [ -n "${FIREFOX:-}" ] || command -v firefox-esr >/dev/null || command -v firefox >/dev/null
}

install_packages() {
    local missing
    missing=$(missing_packages | xargs)
    [ -n "$missing" ] || return 0
    if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
        echo "The tests need these Debian packages, or their like elsewhere: $missing" >&2
        echo "Install them, for example with: sudo apt-get install $missing" >&2
        exit 1
    fi
    export DEBIAN_FRONTEND=noninteractive
    apt-get update -q
    # shellcheck disable=SC2086 # one word a package
    apt-get install -q -y --no-install-recommends $missing
    missing=$(missing_packages | xargs)
    [ -z "$missing" ] || { echo "Still missing after the installation: $missing" >&2; exit 1; }
}

# The lock file decides the version; the stamp tells whether it is in place.
install_axe() {
    local folder=tests/browser
    local stamp=$folder/node_modules/.lock-in-place
    cmp -s $folder/package-lock.json $stamp && return 0
    npm ci --prefix $folder --ignore-scripts --no-audit --no-fund
    cp $folder/package-lock.json $stamp
}

# Firefox's driver, which Debian does not have, built without optimisation: it
# does nothing that takes time.
install_geckodriver() {
    local version=0.37.1 root=target/geckodriver
    ! command -v geckodriver >/dev/null || return 0
    [ "$($root/bin/geckodriver --version 2>/dev/null | head -1)" != "geckodriver $version" ] || return 0
    cargo install --quiet --locked --debug --root $root geckodriver --version $version
}

# HiGHS, of the version that the requirements name, in a Python of its own.
install_highs() {
    local wanted=tests/highs/requirements.txt
    local stamp=target/python/.requirements-in-place
    cmp -s $wanted $stamp && return 0
    python3 -m venv --clear target/python
    target/python/bin/python -m pip install --quiet --disable-pip-version-check -r $wanted
    cp $wanted $stamp
}

tools/setup-build.sh
install_packages
install_axe
install_geckodriver
install_highs
