#!/usr/bin/env bash
# Times the whole process `hotside fitment specs/quarry-eight.toml` in each variant, release build: without kept solids, then
# with them. Median wall and processor time over RUNS runs (first argument, default 3) and the largest peak memory.
# No test runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
kept=$(mktemp -d)
trap 'rm -r "$kept"' EXIT
for variant in solid shell skeleton; do
    for cache in off "$kept"; do
        echo "kept solids: ${cache/$kept/yes}"
        HOTSIDE_CACHE=$cache python3 tests/bench_process.py "${1:-3}" \
            out/target/release/hotside fitment specs/quarry-eight.toml --variant "$variant"
    done
done
