#!/usr/bin/env bash
# Installs the outside readers that the tests compare with into out/venv, then runs every test.
set -euo pipefail
cd "$(dirname "$0")/.."

if [ ! -x out/venv/bin/python ]; then
    python3 -m venv out/venv
fi
out/venv/bin/python -m pip install --quiet --disable-pip-version-check -r tests/requirements.txt
export HOTSIDE_PYTHON="$PWD/out/venv/bin/python"
cargo test --workspace "$@"

# Tests on a real scan, which is fetched: without a network they are left out, and that is said.
if why=$(bash tests/dragon.sh 2>&1); then
    cargo test --package cli --test clearance -- --ignored
else
    echo "SKIPPED: clearance against the Stanford dragon was not tested: $why"
fi
