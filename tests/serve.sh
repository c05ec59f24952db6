#!/usr/bin/env bash
# Sets up, builds and serves the page, and prints its address. Usage: bash tests/serve.sh [port]
set -euo pipefail
cd "$(dirname "$0")/.."
bash tests/tools/setup.sh build
bash tests/tools/build.sh
exec node tests/tools/serve.mjs dist "${1:-8080}"
