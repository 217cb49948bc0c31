#!/usr/bin/env bash
# Times the whole process `hotside build` of specs/quarry-eight.toml and specs/hill-five.toml, release build:
# median wall and processor time over RUNS runs (first argument, default 21) and the largest peak memory.
# No test runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
for spec in specs/quarry-eight.toml specs/hill-five.toml; do
    python3 tests/bench_process.py "${1:-21}" out/target/release/hotside build "$spec"
done
