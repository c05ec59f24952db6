#!/usr/bin/env bash
# Builds the page into dist/. Run setup.sh first.
set -euo pipefail
cd "$(dirname "$0")/../.."
. target/tools.env
[ -z "${DRYCURB_WASM_TOOLCHAIN:-}" ] || export RUSTUP_TOOLCHAIN=$DRYCURB_WASM_TOOLCHAIN
cargo fetch -q --locked
exec trunk build --release "$@"
