#!/usr/bin/env bash
# Clearance against large scans, side by side in one run: `hotside check` of specs/quarry-eight.toml with a scan of
# 2 million triangles from a cold file to the answer, and of 9.9 million (10 million are the most that is read); and distances of a header's mesh points to
# the first by hotside, libigl and Open3D, each in a process of its own, from the file. First argument: how many runs
# (default 5). Open3D is no part of the tests: HOTSIDE_OPEN3D names a Python that has it (PyPI: open3d 0.20.0; on
# Debian it needs libusb-1.0-0); without one it is left out, and that is said. No test runs this.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
cargo build --release --quiet --example bay --example points_to_scan
for size in 2M:2000000 9900k:9900000; do
    [ -f "out/bays/quarry-eight-${size%:*}.stl" ] || out/target/release/examples/bay quarry-eight "${size#*:}" stl
done
out/venv/bin/python tests/bench_clearance.py out/target/release "${1:-5}"
