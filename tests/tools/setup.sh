#!/usr/bin/env bash
# Makes everything the build and the tests need, and says what it installs. Safe to run again at any time.
#
#   wasm target   already there: used. Debian or Ubuntu with apt: Debian's compiler and library sources, built once
#                 into a private sysroot. Anywhere else: `rustup target add`.
#   tools         trunk, wasm-bindgen (the version in Cargo.lock), wasm-opt (npm binaryen), esbuild, Playwright and
#                 axe (npm), Chromium (`test` only).
#
# Usage: setup.sh [build|test]      Leaves target/tools.env to be sourced.
set -euo pipefail
cd "$(dirname "$0")/../.."
ROOT=$PWD
WHAT=${1:-build}
TOOLS=${DRYCURB_TOOLS_DIR:-${XDG_CACHE_HOME:-$HOME/.cache}/drycurb-tools}
TARGET=wasm32-unknown-unknown
WASM_BINDGEN=$(sed -n '/^name = "wasm-bindgen"$/{n;s/version = "\(.*\)"/\1/p;}' Cargo.lock)
TRUNK=$(sed -n 's/^trunk-version = "=\?\(.*\)"$/\1/p' Trunk.toml)
TOOLCHAIN=
mkdir -p "$TOOLS/bin" target

say() { printf 'setup: %s\n' "$*"; }
as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }
apt_updated=
apt_install() {
  say "installing Debian packages: $*"
  [ -n "$apt_updated" ] || { as_root apt-get update -qq; apt_updated=1; }
  DEBIAN_FRONTEND=noninteractive as_root apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}
has_apt() { command -v apt-get >/dev/null; }
has_wasm_std() {
  local dir
  dir=$("$@" --print target-libdir --target $TARGET 2>/dev/null) && compgen -G "$dir/libstd-*.rlib" >/dev/null
}

private_sysroot() {
  # For size, not for speed: the page carries over the air what it uses of it.
  local flags=(-Zbuild-std=std,panic_abort,panic_unwind,proc_macro,test -Zbuild-std-features=optimize_for_size)
  # A panic inside the library says what went wrong, not where: the places name this machine's folders.
  local level=s rust="-Cembed-bitcode=yes -Zlocation-detail=none" host stamp name sysroot lld b
  host=$(rustc -vV | sed -n 's/^host: //p')
  if ! { [ -x /usr/bin/rustc ] && [ -x /usr/bin/cargo ] && [ -d /usr/lib/rustlib/src/rust/library ]; }; then
    apt_install rustc-web cargo-web rust-web-src
  fi
  stamp="$(/usr/bin/rustc -V) ${flags[*]} $level $rust"
  # Another compiler or other flags, another sysroot: checkouts of different age do not disturb each other.
  name=$(printf %s "$stamp" | sha256sum | head -c 8)
  TOOLCHAIN=drycurb-wasm-$name
  sysroot=$TOOLS/sysroot-$name
  if [ "$(cat "$sysroot/stamp" 2>/dev/null || true)" != "$stamp" ]; then
    say "building the standard library for $TARGET into $sysroot (a minute or two, once)"
    rm -rf "$sysroot"
    mkdir -p "$sysroot"/{bin,seed/src} "$sysroot/lib/rustlib/$host/bin" "$sysroot/lib/rustlib/$TARGET/lib"
    ln -s "/usr/lib/rustlib/$host/lib" "$sysroot/lib/rustlib/$host/lib"
    lld=$(rustc --print sysroot)/lib/rustlib/$host/bin/rust-lld
    [ -x "$lld" ] || lld=$(compgen -G '/usr/bin/*lld*' | head -n 1)
    ln -s "$lld" "$sysroot/lib/rustlib/$host/bin/rust-lld"
    ln -s /usr/bin/cargo "$sysroot/bin/cargo"
    for b in rustc rustdoc; do
      printf '#!/bin/sh\nexec /usr/bin/%s --sysroot %s "$@"\n' "$b" "$sysroot" > "$sysroot/bin/$b"
      chmod +x "$sysroot/bin/$b"
    done
    printf '[package]\nname="seed"\nversion="0.0.0"\nedition="2021"\n[workspace]\n' > "$sysroot/seed/Cargo.toml"
    echo '#![no_std]' > "$sysroot/seed/src/lib.rs"
    ( cd "$sysroot/seed"
      env -u RUSTUP_TOOLCHAIN -u CARGO_TARGET_DIR PATH="/usr/bin:$PATH" CARGO_PROFILE_RELEASE_CODEGEN_UNITS=1 \
        CARGO_PROFILE_RELEASE_OPT_LEVEL=$level RUSTFLAGS="$rust" RUSTC_BOOTSTRAP=1 \
        /usr/bin/cargo build -q "${flags[@]}" --target $TARGET --release )
    cp "$sysroot"/seed/target/$TARGET/release/deps/*.rlib "$sysroot/lib/rustlib/$TARGET/lib/"
    rm -rf "$sysroot/seed" "$sysroot/lib/rustlib/$TARGET/lib/"libseed*
    echo "$stamp" > "$sysroot/stamp"
  fi
  # Cargo does not see that the library under a build has changed.
  if [ "$(cat target/wasm-std 2>/dev/null || true)" != "$stamp" ]; then rm -rf target/$TARGET; fi
  echo "$stamp" > target/wasm-std
  rustup toolchain link $TOOLCHAIN "$sysroot"
  has_wasm_std rustc +$TOOLCHAIN
  say "wasm target: private sysroot"
}

if ! command -v cargo >/dev/null; then
  echo "setup: a Rust toolchain is needed first; install rustup and run this again" >&2
  exit 1
fi
if has_apt; then
  missing=()
  command -v cc >/dev/null || missing+=(build-essential)
  { command -v node && command -v npm; } >/dev/null || missing+=(nodejs npm)
  command -v python3 >/dev/null || missing+=(python3)
  [ ${#missing[@]} = 0 ] || apt_install "${missing[@]}"
elif ! { command -v node && command -v npm; } >/dev/null; then
  echo "setup: Node.js 20 or newer with npm is needed first" >&2
  exit 1
fi

if has_wasm_std rustc; then say "wasm target: present"
elif has_apt; then private_sysroot
else say "adding the wasm target with rustup"; rustup target add $TARGET
fi

has() { [ -x "$TOOLS/bin/$1" ] && "$TOOLS/bin/$1" --version | grep -qF "$2"; }
if ! has wasm-bindgen "$WASM_BINDGEN"; then
  say "building wasm-bindgen $WASM_BINDGEN (two minutes, once)"
  CARGO_PROFILE_RELEASE_OPT_LEVEL=1 CARGO_TARGET_DIR="$TOOLS/build" \
    cargo install -q --root "$TOOLS" wasm-bindgen-cli --version "$WASM_BINDGEN" --bin wasm-bindgen
fi
if ! has trunk "$TRUNK"; then
  say "building trunk $TRUNK (five minutes, once)"
  CARGO_PROFILE_RELEASE_LTO=off CARGO_PROFILE_RELEASE_CODEGEN_UNITS=16 CARGO_PROFILE_RELEASE_OPT_LEVEL=0 \
    CARGO_TARGET_DIR="$TOOLS/build" cargo install -q --root "$TOOLS" --locked trunk --version "$TRUNK" --no-default-features
fi
rm -rf "$TOOLS/build"

if [ "$(cat tests/node_modules/.stamp 2>/dev/null || true)" != "$(sha256sum < tests/package-lock.json)" ]; then
  say "installing npm packages into tests/node_modules (binaryen, esbuild, Playwright, axe)"
  ( cd tests; npm ci --silent --no-audit --no-fund --ignore-scripts )
  sha256sum < tests/package-lock.json > tests/node_modules/.stamp
fi

{
  echo "export PATH=\"$TOOLS/bin:$ROOT/tests/node_modules/.bin:\$PATH\""
  [ -z "$TOOLCHAIN" ] || echo "export DRYCURB_WASM_TOOLCHAIN=$TOOLCHAIN TRUNK_OFFLINE=true"
  echo "export TRUNK_SKIP_VERSION_CHECK=true"
} > target/tools.env

if [ "$WHAT" = test ]; then
  CHROMIUM=${DRYCURB_CHROMIUM:-$(command -v chromium || command -v chromium-browser || true)}
  if [ -z "$CHROMIUM" ] && has_apt; then
    apt_install chromium
    CHROMIUM=$(command -v chromium)
  fi
  if [ -n "$CHROMIUM" ]; then echo "export DRYCURB_CHROMIUM=\"$CHROMIUM\"" >> target/tools.env
  else
    say "installing Playwright's own Chromium"
    ( cd tests; npx playwright install chromium )
  fi
fi
say "ready"
