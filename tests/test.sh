#!/usr/bin/env bash
# Sets up and runs every test: format, lint, native tests, documentation, the page's build, its size, its journeys.
set -euo pipefail
cd "$(dirname "$0")/.."
step() { printf '\n== %s (%s s)\n' "$*" "$SECONDS"; }

step "set up"
bash tests/tools/setup.sh test
. target/tools.env
step "house rules"
node tests/tools/tidy.mjs
step "format"
cargo fmt --all --check
step "lint"
cargo clippy -q --workspace --all-targets --locked -- -D warnings
step "native tests"
cargo test -q --workspace --locked
step "documentation"
RUSTDOCFLAGS="-D warnings" cargo doc -q --no-deps --locked -p drycurb-core
step "the lines program, as outside checks build it"
cargo build -q --release --locked -p drycurb-core --example lines
step "how long one station takes"
cargo run -q --release --locked -p drycurb-core --example chain
step "the page"
bash tests/tools/build.sh
node tests/tools/size.mjs dist
step "journeys that take the time, one by one"
( cd tests && npx playwright test --grep @alone --workers=1 )
step "journeys in a browser"
( cd tests && npx playwright test --grep-invert @alone )
step "all passed"
