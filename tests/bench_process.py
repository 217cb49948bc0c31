"""Times a process: the median wall and processor time of RUNS runs after one that warms the disk, and the largest peak memory.

    python3 bench_process.py RUNS COMMAND [ARGUMENT...]

What a command writes goes into a folder of its own, which follows the arguments as `--out FOLDER`.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time

runs, command = int(sys.argv[1]), sys.argv[2:]
times, busy, peak = [], [], 0
with tempfile.TemporaryDirectory() as folder:
    whole = [*command, "--out", os.path.join(folder, "out")]
    for _ in range(runs + 1):
        begin = time.perf_counter()
        process = subprocess.Popen(whole, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        times.append(time.perf_counter() - begin)
        busy.append(usage.ru_utime + usage.ru_stime)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode != 0:
            sys.exit(f"{' '.join(whole)} ended with {process.returncode}")
        peak = max(peak, usage.ru_maxrss)
times = times[1:]  # the first one warms the disk
print(
    f"{' '.join(command[1:])}: median {statistics.median(times):.3f} s, from {min(times):.3f} to {max(times):.3f} s "
    f"over {runs} runs; processor {statistics.median(busy[1:]):.3f} s; peak memory {peak / 1024:.0f} MB"
)
