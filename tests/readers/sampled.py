"""Distances by sampling both surfaces ever finer, in numpy alone: no formula for a distance between two bodies.

    python sampled.py FOLDER      each pair that FOLDER/packet/report.json tells and FOLDER/spec.toml has

Runs, as the spec's words tell them, against obstacles of a given form, scans, and each other. A surface is a family
of patches, each with its middle and how far its points are from the middle at most. No point of two patches is
nearer than their middles less both reaches: pairs that cannot hold the least are left out and the rest are cut up,
until the least lies between two bounds that are BRACKET_MM apart or no more than MOST pairs are left. Then only the
likeliest pairs are cut further, which brings the upper bound close. The report's distance must lie between the
bounds, and within CLOSE_MM of the last. Prints a line each; exit 1 on any fault.
"""

import json
import sys
import tomllib
from pathlib import Path

import numpy as np

import tubes

BRACKET_MM = 0.5
WIDEST_MM = 5.0
MOST = 400_000
LIKELY = 1000
CLOSE_MM = 1e-5
ROUNDED_MM = 0.6e-6


class Surface:
    """Patches u x v of one map: `at(u, v)` gives points, `steep` how far they move per unit of u and of v at most."""

    def __init__(self, at, steep, low, high, coarse):
        self.at, self.steep = at, np.array(steep, dtype=np.float64)
        counts = np.maximum(1, np.ceil((np.array(high) - low) * self.steep / coarse)).astype(int)
        step = (np.array(high, dtype=np.float64) - low) / counts
        u, v = np.meshgrid(*[low[k] + (np.arange(counts[k]) + 0.5) * step[k] for k in (0, 1)], indexing="ij")
        self.cells = np.stack([u.ravel(), v.ravel()], axis=1)
        self.half = 0.5 * step

    def reach(self, half):
        return float(half @ self.steep)


def flat(corner, u, v, coarse=12.0):
    corner, u, v = (np.array(x, dtype=np.float64) for x in (corner, u, v))
    return Surface(lambda c: corner + c[:, :1] * u + c[:, 1:] * v, [np.linalg.norm(u), np.linalg.norm(v)], [0, 0], [1, 1], coarse)


def disc(centre, x, y, radius, coarse=12.0):
    def at(c):
        return centre + c[:, :1] * (np.cos(c[:, 1:]) * x + np.sin(c[:, 1:]) * y)

    return Surface(at, [1.0, radius], [0, 0], [radius, 2.0 * np.pi], coarse)


def around(axis):
    """Two unit vectors square to an axis and each other, right-handed with it."""
    other = np.eye(3)[np.argmin(np.abs(axis))]
    x = np.cross(axis, other)
    x /= np.linalg.norm(x)
    return x, np.cross(axis, x)


def tube(line, radius):
    """The side of a tube, length by length, and its two ends."""
    found = []
    for length in line.lengths:
        steep = 1.0 if length.radius is None else 1.0 + radius / length.radius

        def at(c, length=length):
            centre, along, inside = length.frames(c[:, 0])
            side = np.cross(along, inside)
            return centre + radius * (np.cos(c[:, 1:]) * inside + np.sin(c[:, 1:]) * side)

        found.append(Surface(at, [steep, radius], [0, 0], [length.length, 2.0 * np.pi], 12.0))
    for length, off in [(line.lengths[0], 0.0), (line.lengths[-1], line.lengths[-1].length)]:
        centre, along, inside = (x[0] for x in length.frames(np.array([off])))
        found.append(disc(centre, inside, np.cross(along, inside), radius))
    return found


def ball(centre, radius):
    def at(c):
        ring = np.sin(c[:, :1])
        out = np.concatenate([ring * np.cos(c[:, 1:]), ring * np.sin(c[:, 1:]), np.cos(c[:, :1])], axis=1)
        return centre + radius * out

    return [Surface(at, [radius, radius], [0, 0], [np.pi, 2.0 * np.pi], 12.0)]


def bar(start, end, radius):
    """The side of a round bar, and its axis."""
    start, end = np.array(start, dtype=np.float64), np.array(end, dtype=np.float64)
    axis = (end - start) / np.linalg.norm(end - start)
    x, y = around(axis)

    def at(c):
        return start + c[:, :1] * (end - start) + radius * (np.cos(c[:, 1:]) * x + np.sin(c[:, 1:]) * y)

    side = Surface(at, [np.linalg.norm(end - start), radius], [0, 0], [1, 2.0 * np.pi], 12.0)
    return side, start, end, x, y


def cylinder(start, end, d):
    side, start, end, x, y = bar(start, end, 0.5 * d)
    return [side, disc(start, x, y, 0.5 * d), disc(end, x, y, 0.5 * d)]


def capsule(start, end, d):
    side, start, end, _, _ = bar(start, end, 0.5 * d)
    return [side, *ball(start, 0.5 * d), *ball(end, 0.5 * d)]


def box(at, size, along=(0, 0, 1), inside=(1, 0, 0)):
    """`size` along inside, side and along, about `at`."""
    along = np.array(along, dtype=np.float64) / np.linalg.norm(along)
    inside = np.array(inside, dtype=np.float64)
    inside -= (inside @ along) * along
    inside /= np.linalg.norm(inside)
    edges = [s * e for s, e in zip(size, (inside, np.cross(along, inside), along))]
    corner = np.array(at, dtype=np.float64) - 0.5 * sum(edges)
    faces = []
    for k in range(3):
        u, v = edges[(k + 1) % 3], edges[(k + 2) % 3]
        faces += [flat(corner, u, v), flat(corner + edges[k], u, v)]
    return faces


def plane(at, out, size=800.0):
    out = np.array(out, dtype=np.float64) / np.linalg.norm(out)
    x, y = around(out)
    return [flat(np.array(at) - 0.5 * size * (x + y), size * x, size * y, 25.0)]


def scan(folder, obstacle):
    """A small scan as scanned, in mm: triangles of an OBJ file, or points of an XYZ file."""
    assert (obstacle["units"], obstacle["place"]) == ("mm", "as scanned")
    path = folder / obstacle["file"]
    if path.suffix == ".xyz":
        return [flat(p, np.zeros(3), np.zeros(3)) for p in np.loadtxt(path)]
    rows = [line.split() for line in path.read_text().splitlines()]
    points = np.array([row[1:4] for row in rows if row[0] == "v"], dtype=np.float64)
    corners = [points[np.array(row[1:4], dtype=int) - 1] for row in rows if row[0] == "f"]

    def triangle(a, b, c):
        # From a to a place between b and c: u of the way.
        def at(cells):
            return a + cells[:, :1] * (b - a + cells[:, 1:] * (c - b))

        away = max(np.linalg.norm(b - a), np.linalg.norm(c - a))
        return Surface(at, [away, np.linalg.norm(c - b)], [0, 0], [1, 1], 12.0)

    return [triangle(*t) for t in corners]


FORMS = {
    "box": lambda w: box(**w),
    "cylinder": lambda w: cylinder(w["from"], w["to"], w["d"]),
    "capsule": lambda w: capsule(w["from"], w["to"], w["d"]),
    "sphere": lambda w: ball(np.array(w["at"], dtype=np.float64), 0.5 * w["d"]),
    "half_space": lambda w: plane(w["at"], w["out"]),
}


class Pairs:
    """Pairs of patches of two surfaces, by the middles of their cells."""

    def __init__(self, surfaces, cells, halves):
        self.surfaces, self.cells, self.halves = surfaces, cells, halves
        self.reaches = [s.reach(h) for s, h in zip(surfaces, halves)]
        places = [s.at(c) for s, c in zip(surfaces, cells)]
        self.away = np.linalg.norm(places[0] - places[1], axis=1)

    @staticmethod
    def all(a, b, best):
        """Those that may be nearer than `best`, by the surfaces' first cells."""
        places = [s.at(s.cells) for s in (a, b)]
        reach = a.reach(a.half) + b.reach(b.half)
        away = np.linalg.norm(places[0][:, None] - places[1][None], axis=2)
        best = min(best, away.min())
        i, j = np.nonzero(away - reach <= best)
        return Pairs([a, b], [a.cells[i], b.cells[j]], [a.half, b.half]), best

    def floor(self):
        return self.away - sum(self.reaches)

    def kept(self, chosen):
        return [c[chosen] for c in self.cells]

    def cut(self, cells):
        """The pairs' halves, across where a patch reaches furthest."""
        moves = np.array([s.steep * h for s, h in zip(self.surfaces, self.halves)])
        which, axis = np.unravel_index(np.argmax(moves), moves.shape)
        halves = [h.copy() for h in self.halves]
        halves[which][axis] *= 0.5
        step = np.zeros(2)
        step[axis] = halves[which][axis]
        doubled = [np.concatenate([c, c]) for c in cells]
        doubled[which] = np.concatenate([cells[which] - step, cells[which] + step])
        return Pairs(self.surfaces, doubled, halves)


def bounds(some, others):
    """Between which two numbers the least distance lies; and the least that was found by cutting further."""
    best = np.inf
    families = []
    for a in some:
        for b in others:
            pairs, best = Pairs.all(a, b, best)
            families.append(pairs)
    while True:
        families = [p for p in families if len(p.away)]
        floor = min(p.floor().min() for p in families)
        count = sum(len(p.away) for p in families)
        if best - floor <= BRACKET_MM or count > MOST:
            break
        widest = max(sum(p.reaches) for p in families)
        cut = []
        for p in families:
            chosen = p.floor() <= best
            if not chosen.any():
                continue
            whole = Pairs(p.surfaces, p.kept(chosen), p.halves)
            cut.append(whole.cut(whole.cells) if sum(p.reaches) > 0.5 * widest else whole)
        families = cut
        best = min(best, min(p.away.min() for p in families))
    close = best
    for p in families:
        while len(p.away) and sum(p.reaches) > 1e-7:
            likely = np.argsort(p.away)[:LIKELY]
            p = p.cut(p.kept(likely))
            close = min(close, p.away.min())
    return floor, close


def main(folder):
    spec = tomllib.loads((folder / "spec.toml").read_text(encoding="utf-8"))
    report = json.loads((folder / "packet" / "report.json").read_text(encoding="utf-8"))
    runs = {}
    for name, run in spec["run"].items():
        runs[name] = tube(tubes.line(spec, name), 0.5 * spec["tube"][run["tube"]]["od"])
    things = dict(runs)
    for name, obstacle in spec["obstacle"].items():
        form = next((form for form in FORMS if form in obstacle), None)
        things[name] = FORMS[form](obstacle[form]) if form else scan(folder, obstacle)
    bad = 0
    rows = [row for row in report["clearance"] if row["subject"] in runs and row["against"] in things]
    for row in rows:
        floor, close = bounds(runs[row["subject"]], things[row["against"]])
        told = row["cold"]
        ok = floor - ROUNDED_MM <= told <= close + ROUNDED_MM and close - told <= CLOSE_MM and close - floor <= WIDEST_MM
        print(f"{row['subject']} - {row['against']}: {told:.6f}, between {floor:.3f} and {close:.6f}: {'ok' if ok else 'OFF'}")
        bad += not ok
    # Of the tubes themselves only those near to each other have a row.
    own = sum(row["against"] in runs for row in rows)
    wanted = len(runs) * len(spec["obstacle"])
    if own == 0 or len(rows) - own != wanted:
        print(f"{len(rows) - own} rows, not {wanted}, and {own} of tubes among themselves")
        bad += 1
    return bad


if __name__ == "__main__":
    if len(sys.argv) != 2:
        print("usage: sampled.py FOLDER", file=sys.stderr)
        sys.exit(2)
    sys.exit(1 if main(Path(sys.argv[1])) else 0)
