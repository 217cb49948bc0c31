"""Rebuilds a header in space from a packet's CSV sheets alone (plain Python, none of our geometry).

    python rebuild.py PACKET_DIR
    python rebuild.py --self-test

Read are sheets/*.csv and, of report.json, only each run's `print_error`. A piece is marched as its
sheet says: go feed; turn the inside about the direction of travel by rotate (right hand); bend toward
it. Checked, within 0.01 mm and 0.01 degree:

- each run, piece by piece: the first piece begins at the run's start (or its gap behind it), pieces that
  a joint names mate end to start, less their overlap, and the run's length further on stands the end
  pose that runs.csv demands. At a mitre, where two segments meet in plane cuts of one tilt and one long
  point, the travel turns on the axis by twice the tilt, away from the long point;
- the same without the poses of pieces: from the run's start on, each piece is set onto the one that its
  joint names, less the overlap, turned by the joint's two clocks, up to the leg that the run ends on;
  where two joints lead to a piece, both place it;
- each leg: it begins at its run's end; every point of its edge lies either on a neighbour's outside
  (in the plane midway between the two, and at the clock that the seam's joint says) or on what
  follows at the mouth: the saw plane of a square outlet, else the outlet's or cone's outside;
- each cut: it reaches to the piece's station 0 or its cut length; the printed line is the longer edge;
  square and plane cuts stand as their angle and roll say;
- a scalloped outlet: its edges stand on the legs' bores, or in their walls beside them;
- each branch and bung: its piece stands on the axis of its hole, which pierces the host's outside where
  the joint and the run's start say; every listed point of its start lies on the host's outside (set on) or
  bore (set in); the hole is as wide as its bore (set on) or its outside (set in), and every listed point of
  the hole's edges lies on the host's surfaces and on the hole's cylinder;
- each joint: its point lies on both pieces at both clocks, of two that overlap at the edge of the outer
  one, into whose bore the inner one goes, of a mitre on the axis; its weld is as long as the edge that it joins (within 0.3 %:
  the listed points are 5 degrees apart), and 0 where nothing is welded.

Then each piece's rows and each joint's clocks are rounded to what is printed, 0.1 mm and 0.1 degree (a
mitre's cut 0.01 degree):
each run has to end within the error that the report states for it. A line a run and a merge with the
largest gaps; exit 1 on any fault, 2 where there is no packet.
"""

import csv
import json
import math
import sys
from pathlib import Path

from vectors import Pose, add, between, cross, dot, signed, sub, unit, upright

MM, DEG = 0.01, 0.01


# --- the sheets ----------------------------------------------------------------------------------


class Piece:
    """A piece as the sheets give it."""

    def __init__(self, row):
        self.row, self.mark = row, row["mark"]
        self.owner, self.of_run = row["belongs_to"], row["kind_of_owner"] == "run"
        self.order, self.kind = int(row["order"]), row["kind"]
        self.radius, self.wall = float(row["od_mm"]) / 2.0, float(row["wall_mm"])
        self.end_radius = float(row["end_od_mm"]) / 2.0
        self.radii = (float(row["start_od_mm"]) / 2.0, self.end_radius)
        self.walls = tuple(float(row[f"{end}_wall_mm"]) for end in ("start", "end"))
        # Of a formed end: its land, and its length with the taper.
        lengths = [[float(row[f"{end}_{part}_mm"]) for part in ("land", "taper")] for end in ("start", "end")]
        self.forms = tuple((land, land + taper) for land, taper in lengths)
        self.length = float(row["cut_mm"])
        self.pose = pose(row, "")
        self.bends, self.tail, self.edges = [], None, {"start": [], "end": []}

    def end(self, start, rounded=False):
        """The pose of its end, clock 0 on the scribe line, when it begins at `start`."""
        trim = (lambda x: round(x, 1)) if rounded else (lambda x: x)
        here, plane = start, 0.0
        for feed, rotate, bend, radius in self.bends:
            plane += trim(rotate)
            here = here.go(trim(feed)).turned(plane).bent(radius, trim(bend)).turned(-plane)
        return here.go(trim(self.tail))

    def is_mitred(self, end):
        """Whether that end is cut to a segment's mitre, or else a plane cut of the run's own."""
        return self.kind == "segment" and self.row[f"{end}_kind"] == "plane"

    def cut(self, end, rounded=False):
        """Tilt and clock of the long point of a plane cut, degrees."""
        tilt, roll = (float(self.row[f"{end}_{name}_deg"]) for name in ("angle", "roll"))
        return (round(tilt, 2), round(roll, 1)) if rounded else (tilt, roll)

    def reach(self, end, rounded=False):
        """How far the long point of a plane cut lies beyond where it crosses the axis."""
        return self.radius * math.tan(math.radians(self.cut(end, rounded)[0]))

    def plane(self):
        """Clock of the inside of its last bend from the scribe line."""
        return sum(rotate for _, rotate, _, _ in self.bends)

    def slope(self):
        """Growth of a cone's radius along it; a tube has none but in the tapers of its formed ends."""
        return (self.end_radius - self.radius) / self.length if self.kind == "cone" else 0.0

    def outside(self, station):
        if self.kind == "cone":
            return self.radius + self.slope() * station
        for radius, (land, formed), from_end in zip(self.radii, self.forms, (station, self.length - station)):
            if from_end < formed:
                along = max(0.0, from_end - land) / (formed - land) if formed > land else 0.0
                return radius + (self.radius - radius) * along
        return self.radius

    def edge_point(self, end, clock, station):
        """A point of its edge on the outside, on the straight that the cut stands on."""
        base, from_station = self.base(end)
        return add(base.go(station - from_station).at, base.outward(clock), self.outside(station))

    def edge_stations(self, end):
        """The least and the largest station of its edge."""
        stations = [outer for _, outer, *_ in self.edges[end]]
        return min(stations), max(stations)

    def base(self, end):
        """The pose at an end, and its station."""
        return (self.pose, 0.0) if end == "start" else (self.end(self.pose), self.length)


class Sheets:
    """The five tables."""

    def __init__(self, folder):
        def table(name):
            with open(folder / f"{name}.csv", encoding="utf-8", newline="") as file:
                return list(csv.DictReader(file))

        self.runs = table("runs")
        self.joints = table("joints")
        self.pieces = {row["mark"]: Piece(row) for row in table("pieces")}
        for row in table("bends"):
            piece = self.pieces[row["piece"]]
            if row["bend_deg"]:
                columns = ("feed_mm", "rotate_deg", "bend_deg", "clr_mm")
                piece.bends.append(tuple(float(row[c]) for c in columns))
            else:
                piece.tail = float(row["feed_mm"])
        self.holes = table("holes") if (folder / "holes.csv").exists() else []
        self.hole_edges = table("hole_edges") if self.holes else []
        for row in table("cuts"):
            values = [float(row[c]) for c in ("clock_deg", "outer_mm", "inner_mm", "printed_mm")]
            self.pieces[row["piece"]].edges[row["end"]].append(values)

    def of_run(self, name):
        """The pieces of a run in the direction of travel, without the bungs that stand on them."""
        own = [p for p in self.pieces.values() if p.of_run and p.owner == name and p.kind != "bung"]
        return sorted(own, key=lambda p: p.order)

    def of_merge(self, name):
        own = [p for p in self.pieces.values() if not p.of_run and p.owner == name]
        return sorted(own, key=lambda p: p.order)

    def onto(self, b, marks):
        """The joints between the start of b and the ends of some of the pieces with these marks."""
        found = [j for j in self.joints if (j["a_end"], j["b"], j["b_end"]) == ("end", b, "start") and j["a"] in marks]
        if not found or len({j["a"] for j in found}) != len(found):
            raise Fault(f"{len(found)} joints lead to {b}")
        return found


class Fault(Exception):
    """Something on the sheets that does not fit."""


def pose(row, prefix):
    def three(part):
        return tuple(float(row[f"{prefix}{part}{axis}"]) for axis in "xyz")

    along, inside = three("along_"), three("inside_")
    if abs(dot(along, along) - 1) > 1e-8 or abs(dot(inside, inside) - 1) > 1e-8 or abs(dot(along, inside)) > 1e-8:
        raise Fault(f"{row.get('mark') or row.get('run')}: along and inside are not square unit vectors")
    return Pose(three(""), along, inside)


def place(joint):
    return tuple(float(joint[axis]) for axis in "xyz")


# --- checks --------------------------------------------------------------------------------------


class Gaps:
    """The largest gap of each kind, and whether one is too large."""

    def __init__(self):
        self.most, self.faults = {}, []

    def see(self, what, value, limit, where=""):
        self.most[what] = max(value, self.most.get(what, 0.0))
        if not value <= limit:
            self.faults.append(f"{where or what}: {what} {value:.4f}, allowed {limit:g}")

    def poses(self, what, a, b, where, clock=True):
        self.see(f"{what} mm", math.dist(a.at, b.at), MM, where)
        self.see(f"{what} deg", between(a.along, b.along), DEG, where)
        if clock:
            self.see(f"{what} clock deg", between(a.zero, b.zero), DEG, where)

    def words(self):
        return ", ".join(f"{what} {value:.6f}" for what, value in self.most.items())


def start_station(run_start, first, gaps):
    """Station on the first piece at which the run begins: 0 but where the start is cut."""
    along, away = first.pose.off_axis(run_start.at)
    gaps.see("start off axis mm", math.sqrt(dot(away, away)), MM, first.mark)
    gaps.see("start deg", between(run_start.along, first.pose.along), DEG, first.mark)
    kind = first.row["start_kind"]
    if kind == "square":
        gaps.see("start mm", abs(along), MM, first.mark)
        return 0.0
    if kind == "plane":
        middle = centre_of_plane(first, "start")
        gaps.see("start mm", abs(along - middle), MM, first.mark)
        return middle
    return along


def centre_of_plane(piece, end):
    """Station at which a plane cut crosses the axis: midway between its extremes."""
    stations = [outer for _, outer, *_ in piece.edges[end]]
    return (min(stations) + max(stations)) / 2.0


def behind_mitre(end, a, b, rounded=False):
    """The start of b, clock 0 on a's scribe line, when the end of a stands at `end`."""
    tilt, roll = a.cut("end", rounded)
    axis = end.go(-a.reach("end", rounded)).turned(roll + 180.0).bent(0.0, 2.0 * tilt)
    return axis.turned(-roll - 180.0).go(-b.reach("start", rounded))


def set_onto(sheets, joint, end, rounded=False):
    """The pose of piece b, but for its turn, when the end of a stands at `end`; and how far b's station 0
    lies upstream of a's end along the centreline."""
    a, b, overlap = sheets.pieces[joint["a"]], sheets.pieces[joint["b"]], float(joint["overlap_mm"])
    if joint["kind"] == "mitre":
        return behind_mitre(end, a, b, rounded), a.reach("end") + b.reach("start")
    return end.go(-(round(overlap, 1) if rounded else overlap)), overlap


def check_mitre(joint, a, b, gaps):
    """Both ends of a mitre are one cut."""
    if not (a.is_mitred("end") and b.is_mitred("start")):
        raise Fault(f"{joint['mark']}: a mitre between ends that are none")
    (tilt_a, roll_a), (tilt_b, roll_b) = a.cut("end"), b.cut("start")
    gaps.see("mitre tilt deg", abs(tilt_a - tilt_b), DEG, joint["mark"])
    gaps.see("mitre roll deg", abs(signed(roll_b + joint_turn(joint) - roll_a)), DEG, joint["mark"])


def rebuild_run(sheets, run, print_error, gaps):
    pieces = sheets.of_run(run["run"])
    start, demanded, length = pose(run, "start_"), pose(run, "end_"), float(run["length_mm"])
    if not pieces:
        raise Fault("no pieces")
    start_gap, end_gap = float(run["start_gap_mm"]), float(run["end_gap_mm"])
    begin = start_station(start.go(start_gap), pieces[0], gaps) - start_gap
    for p in pieces:
        marched = p.tail + sum(feed + math.radians(bend) * radius for feed, _, bend, radius in p.bends)
        gaps.see("length mm", abs(marched - p.length), MM, p.mark)
        if p.bends:
            gaps.see("first rotate deg", abs(p.bends[0][1]), 0.0, p.mark)
    march = chain(sheets, pieces, start, begin, gaps)
    # The tube beyond the run's end face: what a cut that is not square needs.
    beyond = march.stations[pieces[-1].mark] + pieces[-1].length - begin - length
    last = pieces[-1].row["end_kind"]
    if last == "square":
        gaps.see("length mm", abs(beyond + end_gap), MM, run["run"])
    elif last == "plane":
        middle = pieces[-1].length - centre_of_plane(pieces[-1], "end")
        gaps.see("length mm", abs(beyond - middle), MM, run["run"])

    for b in pieces[1:]:
        for joint in sheets.onto(b.mark, march.poses):
            a = sheets.pieces[joint["a"]]
            mate, _ = set_onto(sheets, joint, a.end(a.pose))
            gaps.poses("mate", mate, b.pose, f"{a.mark} to {b.mark}", clock=False)
            if joint["kind"] == "mitre":
                check_mitre(joint, a, b, gaps)
    gaps.poses("end", pieces[-1].end(pieces[-1].pose).go(-beyond), demanded, run["run"], clock=False)
    gaps.poses("first piece", first_pose(pieces, start, begin), pieces[0].pose, pieces[0].mark)

    inside = start_inside(pieces, march)
    gaps.see("start inside deg", between(inside, start.zero), DEG, run["run"])
    chained, last_inside = march.end(pieces[-1])
    end = upright(chained.at, chained.along) if last_inside is None else chained.turned(last_inside)
    gaps.poses("chained end", end.go(-beyond), demanded, run["run"])
    onto_leg(sheets, run, march, demanded, gaps)
    rough, _ = chain(sheets, pieces, start, begin, None).end(pieces[-1])
    gaps.see("rounded mm", math.dist(rough.at, chained.at), print_error, run["run"])


def first_pose(pieces, start, begin):
    """The first piece as the run's start gives it: clock 0 at its own first bend, of a segment at the run's
    first bend, else upright."""
    first = start.go(-begin)
    return first if pieces[0].bends or pieces[0].kind == "segment" else upright(first.at, first.along)


def start_inside(pieces, march):
    """Where the run's first bend looks, carried back to its start; without bends upright."""
    bent = next((p for p in pieces if p.bends or p.kind == "segment"), None)
    first = march.poses[pieces[0].mark]
    return upright(first.at, first.along).zero if bent is None else first.outward(march.turns[bent.mark])


class March:
    """Where the pieces of a run stand when they are set one onto the other by their joints alone."""

    def __init__(self, sheets):
        self.sheets = sheets
        # Of each piece: its pose, its station from the first piece's, the turn of its scribe line from the
        # first piece's, and the clock of the inside of the last bend up to its end (None without bends).
        self.poses, self.stations, self.turns, self.insides, self.ends = {}, {}, {}, {}, {}

    def place(self, piece, pose, station, turns, inside, rounded):
        self.poses[piece.mark], self.stations[piece.mark], self.turns[piece.mark] = pose, station, turns
        self.insides[piece.mark] = piece.plane() if piece.bends else inside
        self.ends[piece.mark] = piece.end(pose, rounded)

    def after(self, joint, length, rounded):
        """Pose, station, turn and inside of the piece that a joint sets onto one of this length."""
        a, turns = joint["a"], joint_turn(joint, rounded)
        here, overlap = set_onto(self.sheets, joint, self.ends[a], rounded)
        here, inside = here.turned(turns), self.insides[a]
        inside = None if inside is None else inside - turns
        if joint["kind"] == "mitre":
            inside = self.sheets.pieces[joint["b"]].cut("start")[1] + 180.0
        return here, self.stations[a] + length - overlap, self.turns[a] + turns, inside

    def end(self, piece):
        """The pose of a piece's end, and the clock of the inside of the last bend there."""
        return self.ends[piece.mark], self.insides[piece.mark]


def chain(sheets, pieces, start, begin, gaps):
    """Marches the run without any piece's pose; rounded to what is printed where no gaps are looked at."""
    march, rounded = March(sheets), gaps is None
    march.place(pieces[0], first_pose(pieces, start, begin), 0.0, 0.0, None, rounded)
    for piece in pieces[1:]:
        joints = sheets.onto(piece.mark, march.poses)
        places = [march.after(j, sheets.pieces[j["a"]].length, rounded) for j in joints]
        if not rounded:
            for other in places[1:]:
                gaps.poses("second joint", other[0], places[0][0], piece.mark)
        march.place(piece, *places[0], rounded)
    return march


def joint_turn(joint, rounded=False):
    """Clock on the end of piece a at which the scribe line of b stands: clock_b meets clock_a."""
    clocks = [float(joint[c]) for c in ("clock_a_deg", "clock_b_deg")]
    if rounded:
        clocks = [round(c, 1) for c in clocks]
    return clocks[0] - clocks[1]


def turned_onto(sheets, end, joint):
    """The pose of piece b when the end of a stands at `end`."""
    return set_onto(sheets, joint, end)[0].turned(joint_turn(joint))


def onto_leg(sheets, run, march, demanded, gaps):
    """Where the run ends on a leg, the leg begins there, turned as the joint says."""
    merge, dot_, number = run["to"].rpartition(".")
    if not dot_:
        return
    leg = next((p for p in sheets.of_merge(merge) if p.kind == "leg" and p.order == int(number)), None)
    if leg is None:
        raise Fault(f"no leg {run['to']}")
    gaps.poses("leg", leg.pose, demanded, leg.mark, clock=False)
    for joint in sheets.onto(leg.mark, march.poses):
        gaps.poses("chained leg", turned_onto(sheets, march.ends[joint["a"]], joint), leg.pose, leg.mark)


WELDED, UNWELDED = ("butt", "step", "socket", "mitre"), ("slip", "clamp", "bolted")


def check_rings(sheets, gaps):
    """Square joints and mitres: the kind, the point, both clocks, and the weld's length."""
    for joint in sheets.joints:
        a, b = sheets.pieces[joint["a"]], sheets.pieces[joint["b"]]
        if joint["b_end"] != "start" or joint["a_end"] == "wall" or a.kind == "leg":
            continue
        end, kind, overlap = a.end(a.pose), joint["kind"], float(joint["overlap_mm"])
        ends = a.outside(a.length), b.outside(0.0)
        outer, inner = max(ends), min(ends)
        edge = end.at if outer != ends[1] else b.pose.at
        if kind == "mitre":
            edge = end.go(-a.reach("end")).at
        gaps.see("joint mm", math.dist(place(joint), edge), MM, joint["mark"])
        gaps.poses("ring", turned_onto(sheets, end, joint), b.pose, joint["mark"])
        if kind not in WELDED + UNWELDED:
            raise Fault(f"{joint['mark']}: a ring of the kind {kind}")
        weld = 2.0 * math.pi * inner if kind in WELDED else 0.0
        if kind == "mitre":
            weld = ellipse(a.radius, a.cut("end")[0])
        gaps.see("weld mm", abs(float(joint["weld_mm"]) - weld), MM, joint["mark"])
        if kind in ("slip", "socket"):
            wall = a.walls[1] if ends[0] == outer else b.walls[0]
            gaps.see("into the wall mm", max(inner - (outer - wall), 0.0), MM, joint["mark"])
        elif kind in ("butt", "step", "mitre"):
            gaps.see("overlap mm", abs(overlap), MM, joint["mark"])


def ellipse(radius, tilt):
    """Length of a mitre around a tube: the ellipse of a plane cut, by its chords."""
    rise = radius * math.tan(math.radians(tilt))
    turns = [math.radians(i / 10.0) for i in range(3601)]
    points = [(radius * math.cos(t), radius * math.sin(t), rise * math.cos(t)) for t in turns]
    return sum(math.dist(p, q) for p, q in zip(points, points[1:]))


def straight_at(piece, station):
    """The pose on a piece's axis at a station, which has to lie on a straight."""
    here, plane, begin = piece.pose, 0.0, 0.0
    for feed, rotate, bend, radius in piece.bends:
        if station <= begin + feed:
            return here.go(station - begin)
        plane += rotate
        here = here.go(feed).turned(plane).bent(radius, bend).turned(-plane)
        begin += feed + math.radians(bend) * radius
        if station < begin:
            raise Fault(f"{piece.mark}: {station} mm lies in a bend")
    return here.go(station - begin)


class Hole:
    """A hole, and the axis of what stands in it."""

    def __init__(self, sheets, row):
        self.host, self.of = sheets.pieces[row["piece"]], sheets.pieces[row["of"]]
        self.number, self.depth = row["hole"], {"in": 0.0, "on": 1.0}[row["set"]]
        self.station, clock, angle, offset, self.radius, foot = (
            float(row[c]) for c in ("station_mm", "clock_deg", "angle_deg", "offset_mm", "radius_mm", "foot_mm"))
        self.axis = straight_at(self.host, self.station)
        out, along = self.axis.outward(clock), self.axis.along
        lean = math.radians(angle)
        travel = add(tuple(math.cos(lean) * x for x in along), out, math.sin(lean))
        at = add(add(self.axis.at, along, foot - self.station), cross(along, out), offset)
        self.travel = Pose(at, travel, cross(travel, cross(along, out)))

    def surface(self, depth, station):
        """Radius of the host's bore (depth 0) or outside (1) at a station."""
        slope = self.host.slope()
        across = self.host.wall * math.hypot(1.0, slope)
        return self.host.outside(station) - (1.0 - depth) * across

    def off_surface(self, point, depth):
        along, away = self.axis.off_axis(point)
        return abs(math.sqrt(dot(away, away)) - self.surface(depth, self.station + along))

    def off_travel(self, point, radius=0.0):
        """How far a point lies from the cylinder of this radius around the axis of what stands in it."""
        _, away = self.travel.off_axis(point)
        return abs(math.sqrt(dot(away, away)) - radius)


def check_holes(sheets, gaps):
    """Each hole has a piece that stands in it, and each piece that starts on a wall has a hole."""
    stands = sorted(row["of"] for row in sheets.holes)
    starts = sorted(p.mark for p in sheets.pieces.values() if p.row["start_kind"] == "saddle")
    if stands != starts:
        raise Fault(f"holes for {stands}, saddles at the start of {starts}")
    for row in sheets.holes:
        hole = Hole(sheets, row)
        where = f"{hole.host.mark}, hole {hole.number}"
        (joint,) = [j for j in sheets.joints if (j["a_end"], j["b"]) == ("wall", hole.of.mark)]
        check_stand(sheets, hole, joint, gaps, where)
        check_edge(sheets, hole, gaps, where)
        check_saddle(joint, hole, gaps)


def check_stand(sheets, hole, joint, gaps, where):
    """Its piece stands on its axis, which pierces the outside where the joint and the run's start say; all
    of the piece's start lies on the surface that it is set on."""
    piece, pierced = hole.of, place(joint)
    gaps.see("axis mm", hole.off_travel(piece.pose.at), MM, where)
    gaps.see("axis deg", between(hole.travel.along, piece.pose.along), DEG, where)
    along, _ = hole.axis.off_axis(pierced)
    gaps.see("pierced mm", max(abs(along), hole.off_travel(pierced), hole.off_surface(pierced, 1.0)), MM, where)
    if piece.kind != "bung":
        (run,) = [run for run in sheets.runs if run["run"] == piece.owner]
        gaps.see("run's start mm", math.dist(pierced, pose(run, "start_").at), MM, where)
    wide = piece.radius - piece.wall if hole.depth else piece.radius
    gaps.see("hole mm", abs(hole.radius - wide), MM, where)
    for clock, outer, inner, _ in piece.edges["start"]:
        for station, radius in ((outer, piece.radius), (inner, piece.radius - piece.wall)):
            point = add(piece.pose.go(station).at, piece.pose.outward(clock), radius)
            gaps.see("foot mm", hole.off_surface(point, hole.depth), MM, where)


def check_edge(sheets, hole, gaps, where):
    """Every point of the hole's edge lies on the host's surface and on the hole's cylinder."""
    rows = [r for r in sheets.hole_edges if (r["piece"], r["hole"]) == (hole.host.mark, hole.number)]
    if len(rows) != 36:
        raise Fault(f"{where}: {len(rows)} points of its edge")
    for row in rows:
        for side, depth in (("outer", 1.0), ("inner", 0.0)):
            station, clock = float(row[f"{side}_mm"]), float(row[f"{side}_clock_deg"])
            if not 0.0 <= station <= hole.host.length:
                raise Fault(f"{where}: its edge leaves the piece")
            base = hole.axis.go(station - hole.station)
            point = add(base.at, base.outward(clock), hole.surface(depth, station))
            gaps.see("edge mm", max(hole.off_travel(point, hole.radius), hole.off_surface(point, depth)), MM, where)


def check_saddle(joint, hole, gaps):
    """The weld around the foot; and the two clocks that meet on its outside, toward the host's travel."""
    piece, clock = hole.of, float(joint["clock_b_deg"])
    ring = [point for _, point in edge_points(piece, "start")]
    weld_length(joint, ring + ring[:1], gaps)
    ahead = piece.pose.clock_of(hole.axis.along)
    gaps.see("clock b deg", abs(signed(ahead - clock)), DEG, joint["mark"])
    # Along the wall line at that clock, where it meets the surface: between the two stations of the cut.
    low, high = piece.edge_stations("start")
    line = add(piece.pose.at, piece.pose.outward(clock), piece.radius)
    station = meets(lambda s: hole.off_surface(add(line, piece.pose.along, s), hole.depth), low, high)
    point = add(line, piece.pose.along, station)
    seen = hole.axis.clock_of(sub(point, hole.axis.at))
    gaps.see("clock a deg", abs(signed(seen - float(joint["clock_a_deg"]))), DEG, joint["mark"])


def meets(off, low, high):
    """The station between two at which a distance that only falls and rises again is least."""
    for _ in range(100):
        third = (high - low) / 3.0
        low, high = (low + third, high) if off(low + third) > off(high - third) else (low, high - third)
    return (low + high) / 2.0


def check_forms(sheets, gaps):
    """A formed end keeps its volume: its wall goes as one over the root of its mean diameter, and it meets the
    next tube at that tube's diameter."""
    for piece in sheets.pieces.values():
        for end, radius, wall, (_, formed) in zip(("start", "end"), piece.radii, piece.walls, piece.forms):
            if piece.kind == "cone":
                continue
            if formed == 0.0:
                gaps.see("unformed mm", abs(radius - piece.radius) + abs(wall - piece.wall), 1e-6, piece.mark)
                continue
            wanted = piece.wall * math.sqrt((2.0 * piece.radius - piece.wall) / (2.0 * radius - wall))
            gaps.see("wall left mm", abs(wall - wanted), 1e-5, piece.mark)
            met = [j for j in sheets.joints if piece.mark == j["a" if end == "end" else "b"] and j["b_end"] == "start"]
            for joint in met:
                other = sheets.pieces[joint["b" if end == "end" else "a"]]
                theirs = other.outside(0.0) if end == "end" else other.outside(other.length)
                gaps.see("formed to mm", abs(theirs - radius), MM, joint["mark"])
    formed_raw(sheets, gaps)


def formed_raw(sheets, gaps):
    """What is sawn off the stock for a straight piece is its length, what forming its ends takes by volume, and
    the same for each of its welded ends."""
    if not any(formed for p in sheets.pieces.values() for _, formed in p.forms):
        return
    welded = set()
    for joint in sheets.joints:
        if joint["kind"] in ("butt", "step", "mouth"):
            welded |= {(joint["a"], joint["a_end"]), (joint["b"], joint["b_end"])}
    added = []
    for piece in sheets.pieces.values():
        ends = sum((piece.mark, end) in welded for end in ("start", "end"))
        if piece.kind == "straight" and piece.row["start_kind"] == piece.row["end_kind"] == "square" and ends:
            takes = sum(taken(piece, end) for end in (0, 1))
            added.append((piece.mark, (float(piece.row["raw_mm"]) - piece.length - takes) / ends))
    for mark, each in added:
        gaps.see("raw mm", abs(each - added[0][1]), MM, mark)


def taken(piece, end):
    """Tube that a formed end takes beyond its own length: that of its volume, taper and land."""
    land, formed = piece.forms[end]

    def frustum(a, b):
        return math.pi * (formed - land) / 3.0 * (a * a + a * b + b * b)

    own, to = piece.radius, piece.radii[end]
    own_bore, bore = own - piece.wall, to - piece.walls[end]
    volume = frustum(own, to) - frustum(own_bore, bore) + math.pi * (to * to - bore * bore) * land
    return volume / (math.pi * (own * own - own_bore * own_bore)) - formed


def check_cuts(sheets, gaps):
    """Every end reaches to station 0 or the cut length and no further; the printed line is the longer of
    the two edges; square and plane ends stand where their kind, angle and roll say."""
    for piece in sheets.pieces.values():
        for end, sign, furthest in (("start", -1.0, 0.0), ("end", 1.0, piece.length)):
            edges, kind = piece.edges[end], piece.row[f"{end}_kind"]
            angle, roll = (float(piece.row[f"{end}_{name}_deg"]) for name in ("angle", "roll"))
            where = f"{piece.mark} {end}"
            if len(edges) < (4 if kind == "square" else 72) or edges != sorted(edges):
                raise Fault(f"{where}: {len(edges)} clocks, or not in order")
            reach = max(sign * station for _, outer, inner, _ in edges for station in (outer, inner))
            gaps.see("reach mm", abs(sign * reach - furthest), MM, where)
            for clock, outer, inner, printed in edges:
                gaps.see("printed mm", abs(printed - sign * max(sign * outer, sign * inner)), 1e-6, where)
                if kind not in ("square", "plane"):
                    continue
                lean = sign * math.tan(math.radians(angle)) * (1.0 - math.cos(math.radians(clock - roll)))
                for station, less in ((outer, 0.0), (inner, piece.wall)):
                    # The inner edge is the same plane, nearer to the axis: shorter at the long point.
                    short = sign * math.tan(math.radians(angle)) * less
                    radius = piece.radius - less
                    gaps.see("cut mm", abs(station - (furthest - short - radius * lean)), MM, where)


def check_merge(sheets, name, gaps):
    legs = [p for p in sheets.of_merge(name) if p.kind == "leg"]
    joints = [j for j in sheets.joints if j["a_end"] == "end" and j["a"] in {p.mark for p in legs}]
    seams = [j for j in joints if j["b_end"] == "end"]
    mouths = [j for j in joints if j["b_end"] == "start"]
    if len(mouths) != len(legs) or len(seams) != (1 if len(legs) == 2 else len(legs)):
        raise Fault(f"{len(legs)} legs, {len(seams)} seams, {len(mouths)} mouth joints")
    used = {leg.mark: set() for leg in legs}
    for joint in seams:
        check_seam(sheets, joint, used, gaps)
    for joint in mouths:
        check_mouth(sheets, joint, legs, used, gaps)
    for leg in legs:
        stray = [leg.edges["end"][i][0] for i in range(len(leg.edges["end"])) if i not in used[leg.mark]]
        if stray:
            gaps.faults.append(f"{leg.mark}: edge at clock {stray[0]:.3f} meets nothing ({len(stray)} points)")


def edge_points(piece, end):
    return [(clock, piece.edge_point(end, clock, outer)) for clock, outer, *_ in piece.edges[end]]


def from_axis(piece, point):
    """Distance of a point outside a piece's surface (inside: below 0), and its clock there."""
    station, away = piece.pose.off_axis(point)
    return math.sqrt(dot(away, away)) - piece.outside(station), piece.pose.clock_of(away)


def check_seam(sheets, joint, used, gaps):
    """Points of either leg in the plane midway between the two are shared by both, at mirrored clocks."""
    a, b = sheets.pieces[joint["a"]], sheets.pieces[joint["b"]]
    clock_a, clock_b = float(joint["clock_a_deg"]), float(joint["clock_b_deg"])
    # Legs of equal length and tilt are each other's image in this plane.
    normal, middle = unit(sub(b.pose.at, a.pose.at)), tuple((p + q) / 2 for p, q in zip(a.pose.at, b.pose.at))
    ends = []
    for own, other, own_clock, other_clock in ((a, b, clock_a, clock_b), (b, a, clock_b, clock_a)):
        seam = []
        for i, (clock, point) in enumerate(edge_points(own, "end")):
            if abs(dot(sub(point, middle), normal)) > MM:
                continue
            used[own.mark].add(i)
            outside, there = from_axis(other, point)
            gaps.see("seam mm", abs(outside), MM, f"{joint['mark']} on {own.mark}")
            mirrored = other_clock - (clock - own_clock)
            gaps.see("seam clock deg", abs(signed(there - mirrored)), DEG, f"{joint['mark']} on {own.mark}")
            seam.append((signed(clock - own_clock), point))
        if len(seam) < 8:
            raise Fault(f"{joint['mark']}: only {len(seam)} points of {own.mark} on the seam")
        seam.sort()
        ends.append((seam[0][1], seam[-1][1]))
        weld_length(joint, [point for _, point in seam], gaps)
    for p, q in zip(ends[0], reversed(ends[1])):
        gaps.see("seam ends mm", math.dist(p, q), MM, joint["mark"])
    at = place(joint)
    for own, clock in ((a, clock_a), (b, clock_b)):
        outside, there = from_axis(own, at)
        gaps.see("joint mm", abs(outside), MM, joint["mark"])
        gaps.see("joint clock deg", abs(signed(there - clock)), DEG, joint["mark"])
    gaps.see("joint mm", abs(dot(sub(at, middle), normal)), MM, joint["mark"])


def check_mouth(sheets, joint, legs, used, gaps):
    """A leg's edge on the saw plane or on the outside of the outlet (or cone)."""
    leg, onto = sheets.pieces[joint["a"]], sheets.pieces[joint["b"]]
    sawn = onto.row["start_kind"] == "square"

    def off(point):
        return onto.pose.off_axis(point)[0] if sawn else from_axis(onto, point)[0]

    clock_a, mouth = float(joint["clock_a_deg"]), []
    for i, (clock, point) in enumerate(edge_points(leg, "end")):
        if abs(off(point)) <= MM:
            gaps.see("mouth mm", abs(off(point)), MM, joint["mark"])
            used[leg.mark].add(i)
            mouth.append((signed(clock - clock_a), point))
    if len(mouth) < 5:
        raise Fault(f"{joint['mark']}: only {len(mouth)} points of {leg.mark} at the mouth")
    mouth.sort()
    weld_length(joint, [point for _, point in mouth], gaps)
    at = place(joint)
    outside, there = from_axis(leg, at)
    gaps.see("joint mm", max(abs(outside), abs(off(at))), MM, joint["mark"])
    gaps.see("joint clock deg", abs(signed(there - clock_a)), DEG, joint["mark"])
    on_outlet = signed(onto.pose.clock_of(onto.pose.off_axis(at)[1]) - float(joint["clock_b_deg"]))
    gaps.see("joint clock deg", abs(on_outlet), DEG, joint["mark"])
    if not sawn:
        scallop(onto, legs, gaps)


def scallop(outlet, legs, gaps):
    """A fitted outlet's edges at its outside and bore stand on the bore of the leg in whose sector they
    lie: the legs' bores are parted by the planes midway between them.

    A wall line that passes through a leg's wall beside the bore ends where it comes closest to it.
    """
    on_bore = 0
    for clock, outer, inner, _ in outlet.edges["start"]:
        away = outlet.pose.outward(clock)
        # The leg that stands on this side: its inlet face is furthest this way.
        reach = [dot(sub(leg.pose.at, outlet.pose.at), away) for leg in legs]
        near = [leg for leg, far in zip(legs, reach) if far > max(reach) - MM]
        for station, depth in ((outer, 0.0), (inner, -outlet.wall)):
            point = add(outlet.pose.go(station).at, away, outlet.outside(station) + depth)
            gap = min((from_axis(leg, point)[0] + leg.wall for leg in near), key=abs)
            gaps.see("into a bore mm", max(-gap, 0.0), MM, outlet.mark)
            gaps.see("beyond a leg mm", max(gap - near[0].wall, 0.0), MM, outlet.mark)
            on_bore += abs(gap) <= MM
    if on_bore < len(outlet.edges["start"]) / 2:
        gaps.faults.append(f"{outlet.mark}: only {on_bore} edge points on a leg's bore")


def weld_length(joint, points, gaps):
    length = sum(math.dist(p, q) for p, q in zip(points, points[1:]))
    stated = float(joint["weld_mm"])
    gaps.see("weld share", abs(stated - length) / stated, 0.003, joint["mark"])


def check_packet(packet):
    sheets = Sheets(packet / "sheets")
    report = json.loads((packet / "report.json").read_text(encoding="utf-8"))
    print_error = {run["name"]: run["print_error"] for run in report["runs"]}
    jobs = [(f"run {r['run']}", lambda g, r=r: rebuild_run(sheets, r, print_error[r["run"]], g)) for r in sheets.runs]
    merges = sorted({p.owner for p in sheets.pieces.values() if not p.of_run})
    jobs += [(f"merge {m}", lambda g, m=m: check_merge(sheets, m, g)) for m in merges]
    jobs.append(("formed ends", lambda g: check_forms(sheets, g)))
    jobs.append(("cuts", lambda g: check_cuts(sheets, g)))
    jobs.append(("holes", lambda g: check_holes(sheets, g)))
    jobs.append(("joints", lambda g: check_rings(sheets, g)))
    bad = 0 if sheets.runs else 1
    for name, job in jobs:
        gaps = Gaps()
        try:
            job(gaps)
        except Fault as fault:
            gaps.faults.append(str(fault))
        bad += len(gaps.faults)
        print(f"{name}: {gaps.words()}: {'; '.join(gaps.faults[:5]) or 'ok'}")
    return 1 if bad else 0


# --- self-test -----------------------------------------------------------------------------------


def self_test():
    """The march against a worked example that a vector formula and a second method agree on: rows of
    a tube with radius 60 through these six points, to the 4 decimals that it was written down with."""
    points = [(0, 0, 0), (200, 0, 0), (310, 150, 0), (430, 190, 150), (430, 360, 250), (570, 430, 130)]
    rows = [(169.5957, 0.0, 53.7462), (122.1693, 115.9859, 58.2606), (131.0659, -124.5724, 55.7146),
            (105.3652, -92.9688, 90.1473)]
    here, plane = Pose(points[0], (1, 0, 0), (0, 1, 0)), 0.0
    for i, (feed, rotate, bend) in enumerate(rows):
        plane += rotate
        here = here.go(feed).turned(plane)
        corner = add(here.at, here.along, 60.0 * math.tan(math.radians(bend / 2)))
        assert math.dist(corner, points[i + 1]) < 1e-3, (i, corner)
        here = here.bent(60.0, bend).turned(-plane)
    end = here.go(137.0764)
    assert math.dist(end.at, points[5]) < 1e-3, end.at
    assert abs(end.clock_of(end.outward(33.0)) - 33.0) < 1e-9
    assert signed(270.0) == -90.0 and signed(-180.0) == 180.0
    gaps = Gaps()
    gaps.see("gap", math.nan, MM)
    assert gaps.faults, "a NaN is a fault"
    print("self-test: ok")
    return 0


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        sys.exit(self_test())
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    try:
        sys.exit(check_packet(Path(sys.argv[1])))
    except OSError as error:
        print(error)
        sys.exit(2)
