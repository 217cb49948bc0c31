#!/usr/bin/env bash
# OCCT (PyPI cadquery-ocp) against hotside, side by side in one run: the tubes of one spec (first argument,
# default specs/hill-five.toml) swept, meshed to 0.05 mm, and written as STL and STEP. hotside's time is that of
# its whole process, which also writes the sheets, the 3MF and the report. Prints the ratio; no test runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
out/venv/bin/python tests/bench_step.py out/target/release/hotside "${1:-specs/hill-five.toml}" "${2:-5}" 2>&1 >/dev/null
