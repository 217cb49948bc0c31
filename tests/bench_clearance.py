"""Times hotside, libigl and Open3D on the same scans; see bench_clearance.sh.

    python bench_clearance.py TARGET RUNS
    python bench_clearance.py libigl|open3d SCAN POINTS      (one of them, in a process of its own; JSON on stdout)
"""

import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy

POINTS = 200_000


def corners(path):
    """A binary STL's corners, three a triangle, in single precision."""
    record = numpy.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    return numpy.fromfile(path, dtype=record, offset=84)["corners"].reshape(-1, 3)


def libigl(scan, points):
    import igl

    start = time.perf_counter()
    v = corners(scan).astype(numpy.float64)
    f = numpy.arange(len(v)).reshape(-1, 3)
    read = time.perf_counter()
    tree = igl.AABB()
    tree.init(v, f)
    built = time.perf_counter()
    squared, _, _ = tree.squared_distance(v, f, points)
    asked = time.perf_counter()
    return read - start, built - read, asked - built, numpy.sqrt(squared)


def open3d(scan, points):
    import open3d

    start = time.perf_counter()
    mesh = open3d.io.read_triangle_mesh(str(scan))
    mesh = open3d.t.geometry.TriangleMesh.from_legacy(mesh)
    read = time.perf_counter()
    scene = open3d.t.geometry.RaycastingScene()
    scene.add_triangles(mesh)
    places = points.astype(numpy.float32)
    # The tree is made at the first question.
    scene.compute_closest_points(open3d.core.Tensor(places[:1]))
    built = time.perf_counter()
    nearest = scene.compute_closest_points(open3d.core.Tensor(places))["points"].numpy()
    asked = time.perf_counter()
    return read - start, built - read, asked - built, numpy.linalg.norm(nearest - places, axis=1)


def other(name, scan, points):
    points = numpy.fromfile(points, dtype="<f8").reshape(-1, 3)
    read, tree, ask, away = {"libigl": libigl, "open3d": open3d}[name](scan, points)
    print(json.dumps({"read": read, "tree": tree, "ask": ask, "points": len(points), "mean": float(away.mean())}))


def ran(command, cache="off"):
    """Wall and processor time (s), peak memory (MB) and stdout of a process; hotside keeps scans in `cache`."""
    start = time.perf_counter()
    process = subprocess.Popen(
        [str(word) for word in command],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "HOTSIDE_CACHE": str(cache)},
    )
    out = process.stdout.read()
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        sys.exit(f"{command} ended with {process.returncode}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, out


def cold(path):
    """Takes a file out of the machine's memory."""
    with open(path, "rb") as file:
        os.fsync(file.fileno())
        os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def check(hotside, spec, scan, runs, cache="off"):
    """Of a scan that is kept, its first run, which keeps it, does not count."""
    if cache != "off":
        ran([hotside, "check", spec], cache)
    rows = []
    for _ in range(runs):
        for path in [scan] if cache == "off" else [scan, *cache.iterdir()]:
            cold(path)
        rows.append(ran([hotside, "check", spec], cache)[:3])
    wall, busy, peak = zip(*rows)
    print(
        f"hotside check, {scan.name}{'' if cache == 'off' else ', kept'}: median {statistics.median(wall):.3f} s, from {min(wall):.3f} to {max(wall):.3f} s "
        f"over {runs} runs; processor {statistics.median(busy):.3f} s; peak memory {max(peak):.0f} MB",
        flush=True,
    )


def questions(name, command, runs):
    """The fastest of some runs of each part: others use the same machine."""
    rows, peak = [], 0.0
    for _ in range(runs):
        _, _, memory, out = ran(command)
        rows.append(json.loads(out))
        peak = max(peak, memory)
    read, tree, ask = (min(row[key] for row in rows) for key in ("read", "tree", "ask"))
    print(
        f"{name}: reads in {read:.2f} s, tree in {tree:.2f} s, {rows[0]['points'] / ask:,.0f} points a second, "
        f"peak memory {peak:.0f} MB, mean {rows[0]['mean']:.6f} mm",
        flush=True,
    )
    return rows[0]["points"] / ask


def main(target, runs):
    hotside, ask = target / "hotside", target / "examples" / "points_to_scan"
    bays = Path("out/bays").resolve()
    with tempfile.TemporaryDirectory() as place:
        specs = Path(place) / "specs"
        shutil.copytree("specs", specs)
        spec = specs / "quarry-eight.toml"
        text = spec.read_text(encoding="utf-8")
        ran([hotside, "build", spec, "--out", Path(place) / "packet"])
        for size in ("2M", "9900k"):
            scan = bays / f"quarry-eight-{size}.stl"
            changed = text.replace("quarry-eight.bay.ply", str(scan))
            assert changed != text
            spec.write_text(changed, encoding="utf-8")
            check(hotside, spec, scan, runs)
            check(hotside, spec, scan, runs, Path(place) / f"kept-{size}")
        points = Path(place) / "points.f64"
        places = numpy.unique(corners(Path(place) / "packet/models/header.stl"), axis=0).astype("<f8")
        numpy.random.default_rng(1).permutation(places)[:POINTS].tofile(points)
        scan = bays / "quarry-eight-2M.stl"
        own = [sys.executable, __file__]
        threads = os.cpu_count()
        ours = questions(f"hotside, {threads} threads", [ask, scan, points, threads], runs)
        questions("libigl", [*own, "libigl", scan, points], runs)
        python = os.environ.get("HOTSIDE_OPEN3D")
        if python is None:
            print("Open3D: left out, HOTSIDE_OPEN3D names no Python that has it")
            return
        theirs = questions("Open3D (single precision)", [python, __file__, "open3d", scan, points], runs)
        print(f"hotside answers {ours / theirs:.2f} times as many a second as Open3D")


if __name__ == "__main__":
    if len(sys.argv) == 4:
        other(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]))
    else:
        main(Path(sys.argv[1]), int(sys.argv[2]))
