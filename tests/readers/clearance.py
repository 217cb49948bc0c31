"""Distances of tubes to scans by libigl (PyPI), which shares no code with hotside.

    python clearance.py tubes FOLDER      each run of FOLDER/spec.toml against each scan that it names
    python clearance.py points FOLDER     FOLDER/asked.f64 (x, y, z and the distance told) against FOLDER/scan.stl

A tube's centreline is marched from the spec's own words (straights and bends from its port), the scan is put where
the spec's words put it, and the distance is the least of libigl's from the centreline to the scan, less the radius.
It is found by halving: between two places of the centreline the distance differs by no more than the way between
them, so what is left out cannot hold the least. The row of FOLDER/packet/report.json must say the same within 1e-6
mm, and its place on the tube must lie that far from the scan. Prints a line each; exit 1 on any fault.
"""

import json
import sys
import tomllib
from pathlib import Path

import igl
import numpy as np

import tubes

TOLERANCE_MM = 1e-6
# A number of the report is rounded to 6 decimals.
ROUNDED_MM = 0.5e-6
# A place has three of them.
PLACE_MM = 2e-6
FINEST_MM = 2e-7
MOST = 2_000_000
MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


class Scan:
    """Points and triangles with libigl's tree; a loose point is a triangle with one corner thrice."""

    def __init__(self, points, triangles):
        self.points = np.ascontiguousarray(points, dtype=np.float64)
        self.triangles = np.ascontiguousarray(triangles, dtype=np.int64)
        self.tree = igl.AABB()
        self.tree.init(self.points, self.triangles)

    def distance(self, places):
        squared, _, _ = self.tree.squared_distance(self.points, self.triangles, np.ascontiguousarray(places))
        return np.sqrt(squared)


def stl(path):
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    corners = np.frombuffer(path.read_bytes(), dtype=record, offset=84)["corners"]
    return corners.reshape(-1, 3).astype(np.float64), np.arange(3 * len(corners)).reshape(-1, 3)


def ply(path):
    """A text PLY whose vertices begin with x, y, z and whose faces are triangles."""
    with path.open("rb") as file:
        counts = {}
        while (line := file.readline().split()) != [b"end_header"]:
            assert line, "the head has no end"
            if line[0] == b"format":
                assert line[1] == b"ascii", line
            if line[0] == b"element":
                counts[line[1]] = int(line[2])
        rows = file.readlines()
    points = np.array([row.split()[:3] for row in rows[: counts[b"vertex"]]], dtype=np.float64)
    faces = np.array([row.split() for row in rows[counts[b"vertex"] :][: counts[b"face"]]], dtype=np.int64)
    assert (faces[:, 0] == 3).all()
    return points, faces[:, 1:]


def xyz(path):
    points = np.loadtxt(path)
    return points, np.repeat(np.arange(len(points))[:, None], 3, axis=1)


READERS = {".stl": stl, ".ply": ply, ".xyz": xyz}


def placed(points, obstacle):
    """Mirrored, turned and moved as the obstacle's words say."""
    points = points * MM[obstacle["units"]]
    if obstacle["place"] == "as scanned":
        return points
    place = obstacle["place"]
    if "mirror" in place:
        points[:, "xyz".index(place["mirror"])] *= -1.0
    if "turn" in place:
        points = tubes.turned(points, place["turn"]["axis"], place["turn"]["angle"])
    return points + np.array(place["move"], dtype=np.float64)


def least(line, scan):
    """The least distance from a centreline to a scan, where it is, and how much less it may be at most."""
    count = int(np.ceil(line.length))
    width = line.length / count
    middles = (np.arange(count) + 0.5) * width
    while True:
        away = scan.distance(line.points(middles))
        best = int(np.argmin(away))
        if width <= FINEST_MM:
            return away[best], middles[best], 0.5 * width
        kept = middles[away - 0.5 * width <= away[best]]
        assert len(kept) <= MOST, f"{len(kept)} lengths of {width} mm may hold the least"
        width *= 0.5
        middles = np.concatenate([kept - 0.5 * width, kept + 0.5 * width])


def row_faults(row, line, radius, scan):
    """What is wrong with one row, in words; and the distance found."""
    away, station, below = least(line, scan)
    found = away - radius
    faults = []
    if not 1.0 < station < line.length - 1.0:
        faults.append(f"the least is at an end, station {station:.3f}: no scene for this test")
    if not found - below - TOLERANCE_MM <= row["cold"] <= found + TOLERANCE_MM:
        faults.append(f"told {row['cold']:.6f}")
    if not row["distance"] <= row["cold"]:
        faults.append(f"the worst, {row['distance']:.6f}, is more than that cold")
    if row["state"] == "cold":
        at = np.array([row["at"]], dtype=np.float64)
        told = scan.distance(at)[0]
        # Of a place within the tube the way out passes the scan.
        if found > 0.0 and not abs(told - found) <= PLACE_MM:
            faults.append(f"the place told is {told:.6f} from the scan")
        if not abs(line.distance(at[0]) - radius) <= PLACE_MM:
            faults.append(f"the place told is {line.distance(at[0]):.6f} from the centreline")
    return found, station, faults


def check_tubes(folder):
    spec = tomllib.loads((folder / "spec.toml").read_text(encoding="utf-8"))
    report = json.loads((folder / "packet" / "report.json").read_text(encoding="utf-8"))
    rows = {(row["subject"], row["against"]): row for row in report["clearance"]}
    bad = count = 0
    for name, obstacle in spec["obstacle"].items():
        path = folder / obstacle["file"]
        points, triangles = READERS[path.suffix](path)
        scan = Scan(placed(points, obstacle), triangles)
        for run in spec["run"]:
            line, radius = tubes.line(spec, run), 0.5 * spec["tube"][spec["run"][run]["tube"]]["od"]
            found, station, faults = row_faults(rows[run, name], line, radius, scan)
            print(f"{run} - {name}: {found:.6f} at {station:.2f}, {len(triangles)} items: {'; '.join(faults) or 'ok'}")
            bad += bool(faults)
            count += 1
    assert count > 0
    return bad


def check_points(folder):
    asked = np.frombuffer((folder / "asked.f64").read_bytes(), dtype="<f8").reshape(-1, 4)
    points, triangles = stl(folder / "scan.stl")
    found = Scan(points, triangles).distance(asked[:, :3])
    off = np.abs(found - asked[:, 3])
    print(f"{len(asked)} points, {len(triangles)} triangles: {found.min():.3f} to {found.max():.3f} mm away, off by {off.max():.2e} at most")
    return int(len(asked) == 0 or not off.max() <= TOLERANCE_MM)


if __name__ == "__main__":
    checks = {"tubes": check_tubes, "points": check_points}
    if len(sys.argv) != 3 or sys.argv[1] not in checks:
        print("usage: clearance.py tubes|points FOLDER", file=sys.stderr)
        sys.exit(2)
    sys.exit(1 if checks[sys.argv[1]](Path(sys.argv[2])) else 0)
