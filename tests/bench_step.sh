#!/usr/bin/env bash
# OCCT (PyPI cadquery-ocp) against hotside, side by side in one run: the tubes of one spec (first argument,
# default specs/quarry-eight.toml) swept, meshed to 0.05 mm, and written as STL and STEP. hotside's times are those of
# two whole processes: examples/header_models, which does the same work (but cuts the ends and holes true), and a
# whole build, which also writes the sheets, the PDFs, the 3MF and the report. Prints the ratios; no test runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
cargo build --release --quiet --example header_models
out/venv/bin/python tests/bench_step.py out/target/release "${1:-specs/quarry-eight.toml}" "${2:-5}" 2>&1 >/dev/null
