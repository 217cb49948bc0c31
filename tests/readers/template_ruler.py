"""Measures the templates of a packet as a rule laid on the paper would (PyMuPDF; none of our geometry).

    python template_ruler.py templates.pdf cuts.csv

On every page the two bars must be 100 mm long within 0.01 mm, one across and one down. Every template is
held against cuts.csv: each listed clock's point of the printed line must lie within 0.05 mm of the solid
cut line, and the wrap's width must be the circumference that its head states. Tiles must show the same
register marks as their neighbours. A cone's pattern is rebuilt from the pieces.csv beside cuts.csv. A
hole's template is held against holes.csv and hole_edges.csv: every point of both edges lies on the solid
line where it is inside the other edge and on the dashed one where it is not, and the ring, the centre and
the scribe line stand where the head and the sheets say.

Lines are told apart by their width in mm: cut 0.35, the other edge 0.22, datum ring (or a cone's square end) 0.30, scribe
lines 0.26, bars 0.40, register marks 0.15. A head's figure stands just below its label.

Prints a line each; exit 1 on any fault, 2 where a file cannot be read or holds no template.
"""

import csv
import math
import re
import sys
from collections import defaultdict
from pathlib import Path

import pymupdf

POINT = 25.4 / 72.0
BAR, BAR_WIDTH, CUT, OTHER, DATUM, SCRIBE, CROSS = 100.0, 0.40, 0.35, 0.22, 0.30, 0.26, 0.15
BAR_TOLERANCE, TOLERANCE, WIDTH_TOLERANCE = 0.01, 0.05, 0.006


def polylines(page, width):
    """All straight paths drawn with a pen `width` mm wide, as lists of points in mm."""
    found = []
    for drawing in page.get_drawings():
        pen = drawing.get("width")
        if pen is None or abs(pen * POINT - width) > 0.004:
            continue
        points = []
        for item in drawing["items"]:
            if item[0] != "l":
                continue
            a, b = ((p.x * POINT, p.y * POINT) for p in item[1:3])
            if not points or math.dist(points[-1], a) > 1e-4:
                if points:
                    found.append(points)
                points = [a]
            points.append(b)
        if points:
            found.append(points)
    return found


def spans(page):
    """Every piece of text with its place (pt) and size."""
    for block in page.get_text("dict")["blocks"]:
        for line in block.get("lines", []):
            for span in line["spans"]:
                if span["text"].strip():
                    yield span


def figure(page, label):
    """The text just below a label, with the same left edge."""
    texts = list(spans(page))
    for at in texts:
        if at["text"].strip() == label:
            below = [
                s
                for s in texts
                if abs(s["bbox"][0] - at["bbox"][0]) < 1.0 and 1.0 < s["bbox"][1] - at["bbox"][1] < 14.0
            ]
            if below:
                return min(below, key=lambda s: s["bbox"][1])["text"].strip()
    return None


def millimetres(text):
    """The first number of a figure, in mm."""
    number = float(re.match(r"[-0-9.]+", text).group())
    return number * 25.4 if re.search(r"\bin\b", text) else number


def distance(point, line):
    """Distance of a point from a polyline, mm."""
    best = math.inf
    for (ax, ay), (bx, by) in zip(line, line[1:]):
        ux, uy = bx - ax, by - ay
        length = ux * ux + uy * uy
        t = 0.0 if length == 0 else ((point[0] - ax) * ux + (point[1] - ay) * uy) / length
        t = min(1.0, max(0.0, t))
        best = min(best, math.hypot(point[0] - ax - t * ux, point[1] - ay - t * uy))
    return best


def bar_faults(page):
    bars = polylines(page, BAR_WIDTH)
    across = [abs(b[-1][0] - b[0][0]) for b in bars if abs(b[-1][1] - b[0][1]) < 1e-3]
    down = [abs(b[-1][1] - b[0][1]) for b in bars if abs(b[-1][0] - b[0][0]) < 1e-3]
    for name, found in (("across", across), ("down", down)):
        if len(found) != 1:
            yield f"{len(found)} bars {name}"
        elif abs(found[0] - BAR) > BAR_TOLERANCE:
            yield f"the bar {name} is {found[0]:.4f} mm"


def wrap_faults(page, end, rows):
    """Checks a wrap template; also returns its origin on the page."""
    cut, (datum,) = max(polylines(page, CUT), key=len), polylines(page, DATUM)
    (x0, y0), (x1, _) = sorted(datum[:1] + datum[-1:])
    faults = []
    stated = millimetres(figure(page, "CIRCUMFERENCE"))
    if abs(x1 - x0 - stated) > WIDTH_TOLERANCE + (0.013 if "in" in figure(page, "CIRCUMFERENCE") else 0):
        faults.append(f"{x1 - x0:.3f} mm wide, its head says {stated:.3f}")
    ring = millimetres(figure(page, "DATUM RING FROM THE RAW SQUARE END"))
    printed = [r["printed"] for r in rows]
    raw = min(printed) if end == "start" else max(printed)
    worst = 0.0
    for row in rows:
        ordinate = ring - abs(row["printed"] - raw)
        # Downstream is up: the metal of an end cut is below its line, that of a start cut above.
        y = y0 - ordinate if end == "end" else y0 + ordinate
        worst = max(worst, distance((x0 + (x1 - x0) * row["clock"] / 360.0, y), cut))
    if worst > TOLERANCE:
        faults.append(f"the cut line is {worst:.3f} mm off")
    scribes = polylines(page, SCRIBE)
    if sorted(round(line[0][0] - x0, 2) for line in scribes) != [0.0, round(x1 - x0, 2)]:
        faults.append("the scribe lines are not at clock 0")
    return faults, worst, (x0, y0)


def cone_faults(page, rows, piece):
    """Checks a cone's sector: the pattern of a mid-wall cone with the piece's diameters."""
    cut, (arc,) = max(polylines(page, CUT), key=len), polylines(page, DATUM)
    length, wall = float(piece["cut_mm"]), float(piece["wall_mm"])
    slope = 0.5 * (float(piece["end_od_mm"]) - float(piece["od_mm"])) / length
    stretch = math.hypot(1.0, slope)
    lean = abs(slope) / stretch
    middle = lambda s: 0.5 * float(piece["od_mm"]) - 0.5 * wall * stretch + slope * s
    (ax, ay), (bx, by), (cx, cy) = arc[0], arc[len(arc) // 2], arc[-1]
    up = 1.0 if slope < 0 else -1.0
    apex = (0.5 * (ax + cx), by - up * middle(length) / lean)
    worst = 0.0
    for row in rows:
        turn = math.radians(row["clock"] - 180.0) * lean
        radius = middle(row["printed"]) / lean
        point = (apex[0] + radius * math.sin(turn), apex[1] + up * radius * math.cos(turn))
        worst = max(worst, distance(point, cut))
    corner = math.dist((ax, ay), (cx, cy)) - 2 * middle(length) / lean * math.sin(math.pi * lean)
    worst = max(worst, abs(corner))
    return ([f"the pattern is {worst:.3f} mm off"] if worst > TOLERANCE else []), worst, apex


class Paper:
    """A hole's template: where a station and a clock (degrees) of its host are on the page, mm."""

    def __init__(self, page, piece, ring):
        (arc,) = polylines(page, DATUM)
        self.ring = ring
        length = float(piece["cut_mm"])
        od, end_od = float(piece["od_mm"]), float(piece["end_od_mm"])
        self.slope = 0.5 * (end_od - od) / length if piece["kind"] == "cone" else 0.0
        self.stretch = math.hypot(1.0, self.slope)
        self.lean = abs(self.slope) / self.stretch
        self.up = 1.0 if self.slope < 0 else -1.0
        (x0, y0), (mx, my), (x1, _) = arc[0], arc[len(arc) // 2], arc[-1]
        self.left, self.base, self.width = x0, y0, x1 - x0
        if self.slope:
            # The circle's centre, above or below the middle of the arc.
            half, rise = 0.5 * (x1 - x0), self.up * (my - y0)
            self.radius = (half * half + rise * rise) / (2.0 * rise)
            self.apex = (0.5 * (x0 + x1), my - self.up * self.radius)
        scribes = polylines(page, SCRIBE)
        self.scribe = self.turn_of(scribes[0][0])
        self.scribes = [self.turn_of(line[0]) for line in scribes]

    def turn_of(self, point):
        """Degrees around the host from the middle of the paper."""
        if not self.slope:
            return 360.0 * (point[0] - self.left - 0.5 * self.width) / self.width
        across, down = point[0] - self.apex[0], self.up * (point[1] - self.apex[1])
        return math.degrees(math.atan2(across, down)) / self.lean

    def at(self, station, clock):
        turn = (self.scribe + clock + 180.0) % 360.0 - 180.0
        if not self.slope:
            x = self.left + self.width * (0.5 + turn / 360.0)
            return x, self.base - (station - self.ring)
        radius = self.radius - self.up * (station - self.ring) * self.stretch
        angle = math.radians(turn) * self.lean
        return self.apex[0] + radius * math.sin(angle), self.apex[1] + self.up * radius * math.cos(angle)


def inside(hole, piece, slope, station, clock, depth):
    """How far inside the hole's cylinder the wall's point at a depth is, mm."""
    od, wall = float(piece["od_mm"]), float(piece["wall_mm"])
    rho = 0.5 * od - (1 - depth) * wall * math.hypot(1.0, slope) + slope * station
    angle, turn = math.radians(float(hole["angle_deg"])), math.radians(clock - float(hole["clock_deg"]))
    side = rho * math.sin(turn) - float(hole["offset_mm"])
    across = (station - float(hole["foot_mm"])) * math.sin(angle) - rho * math.cos(turn) * math.cos(angle)
    return float(hole["radius_mm"]) - math.hypot(side, across)


def hole_faults(page, hole, edges, piece):
    """Checks a hole's template; also returns its origin on the page."""
    off, clock = re.match(r"([-0-9.]+ \w+) at ([-0-9.]+)", figure(page, "CENTRE FROM THE RING")).groups()
    ring = float(hole["station_mm"]) - millimetres(off)
    paper = Paper(page, piece, ring)
    faults = []
    stated = figure(page, "DATUM RING")
    if stated:
        # Without weld shrinkage: the piece as sawn is the finished one.
        ring = millimetres(stated)
        ring = float(piece["cut_mm"]) - ring if stated.endswith("END") else ring
        if abs(ring - paper.ring) > (0.03 if " in " in stated else 0.011):
            faults.append(f"the ring stands at {ring:.3f}, by its centre at {paper.ring:.3f}")
    cut, other = polylines(page, CUT), polylines(page, OTHER)
    worst = 0.0
    for row in edges:
        for side, depth in (("outer", 1.0), ("inner", 0.0)):
            station, at_clock = float(row[f"{side}_mm"]), float(row[f"{side}_clock_deg"])
            within = inside(hole, piece, paper.slope, station, at_clock, 1.0 - depth)
            lines = cut if within > 1e-3 else other if within < -1e-3 else cut + other
            if not lines:
                faults.append("an edge is missing")
                break
            worst = max(worst, min(distance(paper.at(station, at_clock), line) for line in lines))
    if worst > TOLERANCE:
        faults.append(f"the edges are {worst:.3f} mm off")
    scribe = (-float(clock) + 180.0) % 360.0 - 180.0
    if min(abs(abs(scribe - own) - turn) for own in paper.scribes for turn in (0.0, 360.0)) > 0.06:
        faults.append("the scribe line is not at clock 0")
    return faults, worst, (paper.left, paper.base)


def crosses(page, origin):
    """Centres of the register marks, from the template's origin."""
    lines = [p for p in polylines(page, CROSS) if len(p) == 2]
    level = [p for p in lines if abs(p[0][1] - p[1][1]) < 1e-3]
    centres = [(0.5 * (p[0][0] + p[1][0]), p[0][1]) for p in level]
    return [(x - origin[0], y - origin[1]) for x, y in centres]


def read_cuts(path):
    rows = defaultdict(list)
    with open(path, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            point = {"clock": float(row["clock_deg"]), "printed": float(row["printed_mm"])}
            rows[row["piece"], row["end"]].append(point)
    for (_, _), points in rows.items():
        points.append({"clock": 360.0, "printed": points[0]["printed"]})
    return rows


def repeated_mitres(pieces):
    """Ends of segments that need no template: a mitre's downstream face, and mitres that are cut like the
    one before them in the same bend."""
    def cut(mark, end):
        return tuple(float(pieces[mark][f"{end}_{name}_deg"]) for name in ("angle", "roll"))

    segments = [m for m, p in pieces.items() if p["kind"] == "segment"]
    pairs = {
        (a, b) for a, b in zip(segments, segments[1:])
        if pieces[a]["belongs_to"] == pieces[b]["belongs_to"]
        and pieces[a]["end_kind"] == pieces[b]["start_kind"] == "plane"
    }
    repeated = {(b, "start") for _, b in pairs}
    for a, b in pairs:
        if any(after == a and cut(a, "end") == cut(before, "end") for before, after in pairs):
            repeated.add((a, "end"))
    return repeated


def read_holes(folder):
    """The rows of holes.csv, and those of hole_edges.csv, by piece and number; empty without them."""
    holes, edges = {}, defaultdict(list)
    if (folder / "holes.csv").exists():
        with open(folder / "holes.csv", encoding="utf-8", newline="") as file:
            holes = {(row["piece"], row["hole"]): row for row in csv.DictReader(file)}
        with open(folder / "hole_edges.csv", encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                edges[row["piece"], row["hole"]].append(row)
    return holes, edges


def main(pdf, cuts_path):
    cuts = read_cuts(cuts_path)
    beside = Path(cuts_path).with_name("pieces.csv")
    with open(beside, encoding="utf-8", newline="") as file:
        pieces = {row["mark"]: row for row in csv.DictReader(file)}
    holes, edges = read_holes(Path(cuts_path).parent)
    wanted = set(holes) | {
        (mark, end)
        for mark, piece in pieces.items()
        for end in ("start", "end")
        if piece[f"{end}_kind"] != "square" and piece["kind"] != "cone"
    } - repeated_mitres(pieces)
    failed, seen, marks = False, set(), defaultdict(list)
    for number, page in enumerate(pymupdf.open(pdf), start=1):
        faults = list(bar_faults(page))
        text = " ".join(s["text"] for s in spans(page))
        mark = max(spans(page), key=lambda s: s["size"])["text"].strip()
        title = re.search(r"Template · (start|end) cut, \w+|Template · cone pattern|Template · hole (\d+)", text)
        worst = 0.0
        if title and title.group(1):
            end = title.group(1)
            found, worst, origin = wrap_faults(page, end, cuts[mark, end])
            seen.add((mark, end))
            marks[mark, end].extend(crosses(page, origin))
        elif title and title.group(2):
            name = (mark, title.group(2))
            found, worst, origin = hole_faults(page, holes[name], edges[name], pieces[mark])
            seen.add(name)
            marks[name].extend(crosses(page, origin))
        elif title:
            found, worst, origin = cone_faults(page, cuts[mark, "start"], pieces[mark])
            marks[mark, "cone"].extend(crosses(page, origin))
        faults += found if title else []
        failed |= bool(faults)
        what = title.group() if title else "no template"
        print(f"page {number}: {mark}: {what}: {'; '.join(faults) or f'good, {worst:.4f} mm at worst'}")
    for name, centres in marks.items():
        alone = [c for c in centres if sum(math.dist(c, d) < 0.01 for d in centres) < 2]
        if alone:
            failed = True
            print(f"{name}: {len(alone)} register marks are on one tile only")
    for mark, end in sorted(wanted - seen):
        failed = True
        print(f"{mark}: no template for its {'hole ' if end.isdigit() else ''}{end}")
    return 1 if failed else 0


if __name__ == "__main__":
    if len(sys.argv) != 3:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    try:
        sys.exit(main(sys.argv[1], sys.argv[2]))
    except (OSError, pymupdf.FileDataError) as error:
        print(error, file=sys.stderr)
        sys.exit(2)
