#!/usr/bin/env bash
# Times the whole process `hotside build` of specs/quarry-eight.toml and specs/hill-five.toml, release build:
# median wall and processor time over RUNS runs (first argument, default 21) and the largest peak memory.
# No test runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

cargo build --release --quiet --bin hotside
for spec in specs/quarry-eight.toml specs/hill-five.toml; do
python3 - out/target/release/hotside "$spec" "${1:-21}" <<'PYTHON'
import os
import statistics
import subprocess
import sys
import tempfile
import time

binary, spec, runs = sys.argv[1], sys.argv[2], int(sys.argv[3])
times, busy, peak = [], [], 0
with tempfile.TemporaryDirectory() as folder:
    command = [binary, "build", spec, "--out", os.path.join(folder, "packet")]
    for _ in range(runs + 1):
        begin = time.perf_counter()
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        times.append(time.perf_counter() - begin)
        busy.append(usage.ru_utime + usage.ru_stime)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode != 0:
            sys.exit(f"{' '.join(command)} ended with {process.returncode}")
        peak = max(peak, usage.ru_maxrss)
times = times[1:]  # the first one warms the disk
print(
    f"{spec}: median {statistics.median(times):.3f} s, from {min(times):.3f} to {max(times):.3f} s "
    f"over {runs} runs; processor {statistics.median(busy[1:]):.3f} s; peak memory {peak / 1024:.0f} MB"
)
PYTHON
done
