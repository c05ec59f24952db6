#!/usr/bin/env bash
# Builds the page into dist/. Run setup.sh first.
set -euo pipefail
cd "$(dirname "$0")/../.."
. target/tools.env
[ -z "${DRYCURB_WASM_TOOLCHAIN:-}" ] || export RUSTUP_TOOLCHAIN=$DRYCURB_WASM_TOOLCHAIN
cargo fetch -q --locked
# The page tells nothing of the machine it was built on.
export RUSTFLAGS="--remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}/registry/src=crates --remap-path-prefix=$PWD=drycurb ${RUSTFLAGS:-}"
exec trunk build --release "$@"
