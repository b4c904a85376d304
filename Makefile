# What people type. The longer recipes are in tools/.
PORT ?= 8484
BINDER = cargo run --quiet --locked -p firstglow-binder --

.DEFAULT_GOAL := help
.PHONY: help setup run build single-file size test check test-wasm test-browser screens bench fuzz format clean

help: ## Show this list
	@grep -E '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 16

setup: ## Install what the tests need
	@tools/setup-tests.sh

run: build ## Build the app and show it on this machine: make run PORT=8585
	@$(BINDER) serve --port $(PORT)

build: ## Build the site into dist/
	@tools/setup-build.sh
	@$(BINDER) build

single-file: ## Build dist/firstglow.html, the app in one page
	@tools/setup-build.sh
	@$(BINDER) single-file

size: ## Measure dist/ against its limit
	@$(BINDER) size

test: ## Check and test everything, as CI does
	@tools/test.sh

check: ## Only the checks and tests that need no browser
	@tools/test.sh quick

test-wasm: ## Only the tests that run as wasm: make test-wasm ARGS=name
	@tools/test-wasm.sh $(ARGS)

test-browser: build single-file ## Only the browser tests: make test-browser ARGS='--test offline'
	@cargo test --locked -p firstglow-browser-tests $(ARGS)

screens: build ## Picture the screens into target/screens/
	@cargo test --locked -p firstglow-browser-tests --test screens -- --include-ignored

bench: build ## Measure plan and solver natively; keystrokes, opening, memory and long lists in Chromium
	@cargo bench --locked
	@cargo run --quiet --locked -p firstglow-browser-tests --example typing
	@cargo run --quiet --locked -p firstglow-browser-tests --example opening
	@cargo run --quiet --locked -p firstglow-browser-tests --example long_lists
	@cargo run --quiet --locked -p firstglow-browser-tests --example basket

fuzz: ## Throw bytes at what reads from outside, ten minutes a target: make fuzz SECONDS=60
	@tools/fuzz.sh $(SECONDS)

format: ## Format all Rust
	@cargo fmt --all

clean: ## Remove everything that was built
	@cargo clean
	@rm -rf dist tests/browser/node_modules
