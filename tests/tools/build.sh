#!/usr/bin/env bash
# Builds the page into dist/. Run setup.sh first.
set -euo pipefail
cd "$(dirname "$0")/../.."
. target/tools.env
[ -z "${DRYCURB_WASM_TOOLCHAIN:-}" ] || export RUSTUP_TOOLCHAIN=$DRYCURB_WASM_TOOLCHAIN
cargo fetch -q --locked
# The page tells nothing of the machine it was built on, nor where its parts were fetched.
remap="--remap-path-prefix=$PWD=drycurb"
for source in "${CARGO_HOME:-$HOME/.cargo}"/registry/src/*/; do
  remap+=" --remap-path-prefix=${source%/}=crates"
done
# Of a failure's place the page carries the line, not the file: what failed is told in words. (-Z is for the compiler
# alone; the switch lets a stable one take it.)
export RUSTC_BOOTSTRAP=1 RUSTFLAGS="-Zlocation-detail=line $remap ${RUSTFLAGS:-}"
exec trunk build --release "$@"
