"""A virtual bender that obeys words, not signs (plain Python; PyMuPDF to read the printed sheets).

    python virtual_bender.py PACKET_DIR [SHOP.toml]
    python virtual_bender.py --self-test

The machine: the tube lies in the collet and points along +x at the bend head. It always bends toward
+y; the plane is fixed, so the tube is turned in the collet. `Clockwise, seen from the collet towards the
bend head` is a turn that takes +y to +z, for the looker looks along +x. A bend opens by the shop's
springback once it is let go, and the tube grows in it by the die's stretch (both from the shop file;
none without a shop file, or where it lists no die that fits).

Each drawn piece is made three times:

- from bends.csv, start end in first, and again end in first (bends in reverse order, the same words for
  the same rotates), a positive rotate read as `clockwise`. The made tube has to be the one that its rows
  describe within 0.01 mm up to a rigid motion: all distances between its points, and all signed volumes
  of four of them, which a mirror image fails. Each time a bender that turns the other way is tried
  too, and has to be refused where the tube is not flat;
- from the words printed in packet.pdf alone, with the end in first, the scribe line, the tape marks and
  their reference, the turns and the set angles that they name. Laid with its start and its scribe line
  on the piece's start, no point may be off by more than the printed figures' last place allows, and
  each figure has to be that of bends.csv; the printed distance of the raw ends is measured on it.

Prints a line a piece; exit 1 on any fault, 2 where a file cannot be read or there is no such packet.
"""

import csv
import itertools
import math
import re
import sys
import tomllib
from pathlib import Path

from vectors import add, cross, dot, sub, unit

MM = 0.01
INCH = 25.4


# --- the machine ---------------------------------------------------------------------------------


def about_x(p, degrees):
    """Turned in the collet: clockwise as seen looking along +x, which takes +y to +z."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (p[0], c * p[1] - s * p[2], s * p[1] + c * p[2])


def about_die(p, radius, degrees):
    """Swung round the die, whose axis stands on +y at `radius`: what points along +x swings to +y."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    x, y = p[0], p[1] - radius
    return (c * x - s * y, s * x + c * y + radius, p[2])


class Die:
    """How this tube answers to this die."""

    def __init__(self, radius, springback=0.0, fixed=0.0, stretch=0.0):
        self.radius, self.springback, self.fixed, self.stretch = radius, springback, fixed, stretch

    def bent(self, set_angle):
        """The angle that stays when the machine is set to `set_angle`: a bend opens by
        `springback` over 90 degrees, in proportion, and by `fixed`."""
        return (set_angle - self.fixed) / (1.0 + self.springback / 90.0)


class Bender:
    """The tube in the machine: what is in front of the bend head, front end first."""

    def __init__(self, die, raw_length, scribe=0.0):
        self.die, self.raw_length = die, raw_length
        self.front = [(0.0, 0.0, 0.0)]
        # A dot beside the front end, over the scribe line, and where the line stands in the collet.
        self.scribe = scribe
        self.dot = about_x((0.0, 1.0, 0.0), scribe)
        self.station, self.angles, self.faults = 0.0, [], []

    def move(self, how):
        self.front, self.dot = [how(p) for p in self.front], how(self.dot)

    def slide_to(self, station):
        """Until `station` of the raw tube stands at the start of the bend."""
        if station < self.station - 1e-3:
            self.faults.append(f"mark {station:.2f} lies in the bend before, which ends at {self.station:.2f}")
        by = station - self.station
        self.move(lambda p: (p[0] + by, p[1], p[2]))
        self.station = station

    def turn_clockwise(self, degrees):
        self.move(lambda p: about_x(p, degrees))
        self.scribe += degrees

    def bend(self, set_angle):
        angle, radius = self.die.bent(set_angle), self.die.radius
        self.front.append((0.0, 0.0, 0.0))
        self.move(lambda p: about_die(p, radius, angle))
        self.front.append(about_die((0.0, 0.0, 0.0), radius, angle / 2.0))
        self.front.append((0.0, 0.0, 0.0))
        self.station += math.radians(angle) * radius - self.die.stretch * angle / 90.0
        self.angles.append(angle)

    def take_out(self, first_in):
        """Its points from start to end, and a dot over the scribe line beside the start."""
        self.slide_to(self.raw_length)
        points = self.front + [(0.0, 0.0, 0.0)]
        if first_in == "start":
            return points, self.dot
        return points[::-1], about_x((0.0, 1.0, 0.0), self.scribe)


# --- the wanted tube -----------------------------------------------------------------------------


def march(rows, tail, before=0.0, after=0.0):
    """The points of a tube from its rows: start, each bend's begin, middle and end, end. It starts at
    the origin along +x, its first bend toward +y; rotate turns the plane right-handed about travel.
    `before` and `after` are straights added at its ends."""
    at, along, inside = (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    points = [(-before, 0.0, 0.0)]
    for feed, rotate, angle, radius in rows:
        at = add(at, along, feed)
        c, s = math.cos(math.radians(rotate)), math.sin(math.radians(rotate))
        inside = add(tuple(c * x for x in inside), cross(along, inside), s)
        centre = add(at, inside, radius)
        points.append(at)
        for part in (0.5, 1.0):
            c, s = math.cos(math.radians(angle * part)), math.sin(math.radians(angle * part))
            points.append(add(add(centre, inside, -radius * c), along, radius * s))
        along, inside = (
            add(tuple(c * x for x in along), inside, s),
            add(tuple(c * x for x in inside), along, -s),
        )
        at = points[-1]
    points.append(add(at, along, tail + after))
    return points


# --- comparing -----------------------------------------------------------------------------------


def volume(points):
    """Six times the signed volume of four points."""
    a, b, c = (sub(p, points[0]) for p in points[1:])
    return dot(a, cross(b, c))


def volumes(points):
    return [volume(four) for four in itertools.combinations(points, 4)]


def distance_gap(made, wanted):
    pairs = list(itertools.combinations(range(len(wanted)), 2))
    return max(abs(math.dist(made[i], made[j]) - math.dist(wanted[i], wanted[j])) for i, j in pairs)


def handed_gap(made, wanted):
    """How far the signed volumes are apart, as the height in mm over the largest face there is."""
    size = max(math.dist(p, q) for p, q in itertools.combinations(wanted, 2))
    return max(abs(a - b) for a, b in zip(volumes(made), volumes(wanted))) / (size * size)


def same(made, wanted, tolerance=MM):
    return distance_gap(made, wanted) <= tolerance and handed_gap(made, wanted) <= tolerance


def is_flat(points):
    size = max(math.dist(p, q) for p, q in itertools.combinations(points, 2))
    return max(abs(v) for v in volumes(points)) / (size * size) <= 2.0 * MM


def seated(points, scribe):
    """The points with the start at the origin, travel along +x and the scribe line toward +y."""
    along = unit(sub(points[1], points[0]))
    up = sub(scribe, points[0])
    up = unit(add(up, along, -dot(up, along)))
    side = cross(along, up)
    return [tuple(dot(sub(p, points[0]), axis) for axis in (along, up, side)) for p in points]


# --- pieces of a packet --------------------------------------------------------------------------


class Piece:
    """A drawn piece as pieces.csv and bends.csv give it."""

    def __init__(self, row):
        self.mark, self.od, self.raw_length = row["mark"], float(row["od_mm"]), float(row["raw_mm"])
        self.rows, self.marks, self.tapes, self.tail, self.goes_first = [], [], [], 0.0, None

    def before(self):
        """Raw tube ahead of the piece's start."""
        return self.marks[0][1] - self.rows[0][0]

    def after(self):
        return self.raw_length - self.marks[-1][2] - self.tail

    def wanted(self):
        """The raw tube, bent, untrimmed."""
        return march(self.rows, self.tail, self.before(), self.after())


def drawn_pieces(packet):
    def table(name):
        with open(packet / "sheets" / f"{name}.csv", encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    pieces = {row["mark"]: Piece(row) for row in table("pieces") if row["kind"] == "drawn"}
    for row in table("bends"):
        piece = pieces.get(row["piece"])
        if piece is None:
            continue
        if not row["bend_deg"]:
            piece.tail = float(row["feed_mm"])
            continue
        piece.rows.append(tuple(float(row[c]) for c in ("feed_mm", "rotate_deg", "bend_deg", "clr_mm")))
        piece.goes_first = row["goes_first"]
        piece.tapes.append(float(row["tape_mm"]))
        piece.marks.append(tuple(float(row[c]) for c in ("set_deg", "mark_begin_mm", "mark_end_mm")))
    return list(pieces.values())


def length(value, units):
    """A length of a shop file, mm."""
    if not isinstance(value, str):
        return value * (INCH if units == "in" else 1.0)
    number, _, unit_name = value.strip().rpartition(" ")
    total = 0.0
    for part in number.split():
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return total * {"mm": 1.0, "in": INCH}[unit_name]


def die_for(piece, shop):
    """The shop's die for a piece; one that neither opens nor stretches where none fits."""
    units, radius = shop.get("units"), piece.rows[0][3]
    for die in shop.get("die", {}).values():
        fits = abs(length(die["od"], units) - piece.od) < 0.01
        if fits and abs(length(die["clr"], units) - radius) < 0.01:
            stretch = length(die.get("stretch", 0), units)
            return Die(radius, float(die.get("springback", 0)), float(die.get("springback_fixed", 0)), stretch)
    return Die(radius)


# --- made from bends.csv -------------------------------------------------------------------------


def make(piece, die, first_in, sense=1.0):
    """Makes it with `first_in` in first; `sense` -1 is a bender that turns the other way."""
    bender = Bender(die, piece.raw_length)
    order = list(range(len(piece.rows)))
    if first_in == "end":
        order.reverse()
    for done, i in enumerate(order):
        set_angle, begin, end = piece.marks[i]
        bender.slide_to(begin if first_in == "start" else piece.raw_length - end)
        if done > 0:
            rotate = piece.rows[max(i, order[done - 1])][1]
            bender.turn_clockwise(sense * rotate)
        bender.bend(set_angle)
    points, _ = bender.take_out(first_in)
    return points, bender


def check_rows(piece, die):
    """Faults of the piece as made from bends.csv, and what to print."""
    faults, wanted, gaps = [], piece.wanted(), []
    flat = is_flat(wanted)
    if piece.before() < -1e-5 or piece.after() < -1e-5:
        faults.append("the raw tube is shorter than the piece")
    for first_in in ("start", "end"):
        made, bender = make(piece, die, first_in)
        faults += [f"{first_in} in first: {fault}" for fault in bender.faults]
        gaps.append(max(distance_gap(made, wanted), handed_gap(made, wanted)))
        if not same(made, wanted):
            faults.append(f"{first_in} in first: off by {gaps[-1]:.4f}")
        mirrored, _ = make(piece, die, first_in, sense=-1.0)
        if not flat and same(mirrored, wanted):
            faults.append(f"{first_in} in first: turned the other way it passes too")
        if distance_gap([(x, y, -z) for x, y, z in wanted], mirrored) > MM:
            faults.append(f"{first_in} in first: turned the other way it is not the mirror image")
    if (die.springback > 0 or die.fixed > 0) and any(m[0] <= r[2] for m, r in zip(piece.marks, piece.rows)):
        faults.append("a set angle has no springback in it")
    return faults, f"from rows {max(gaps):.6f} mm{' (flat)' if flat else ''}"


# --- made from the printed words -----------------------------------------------------------------

LENGTH = r"(-?[0-9]+(?:\.[0-9]+)?) (mm|in)"
ANGLE = r"([0-9]+(?:\.[0-9]+)?) degrees"
LOADING = re.compile(
    r"The (START|END) of the piece goes in first, into the bend head\. At the first bend the scribe line "
    rf"(?:faces the inside of the bend|stands {ANGLE} (clockwise|counter-clockwise) \([0-9.]+ (?:mm|in) "
    r"round the outside\) from the inside of the bend, seen from the collet towards the bend head)\. Every tape "
    r"mark is measured from the raw (START|END) and is (?:the (start|middle) of the bend|the outer face of the clamp, "
    rf"{LENGTH}[^.]*? ahead of the start of the bend)\."
)
STEP = re.compile(
    rf"Slide to the tape mark at {LENGTH}[^;]*; (?:do not turn the tube; [^.;]*?(?:[0-9.]+ degrees|to 0)"
    rf"|turn the tube (clockwise|counter-clockwise), seen from the collet towards the bend head, by {ANGLE}; "
    rf"the dial then reads {ANGLE})\. (?:Set {ANGLE}; it opens to {ANGLE}|Bend it to {ANGLE} net)\."
)
ROUND = re.compile(rf"{ANGLE} [a-z-]+ \({LENGTH} round the outside\)")
APART = re.compile(rf"centre to centre of the ends: {LENGTH}[^;]*? after trimming, {LENGTH}[^.]*? before\.")


def said(step):
    """Tape mark, its unit, way, turn, dial, angle to set and angle wanted; net, both angles are one."""
    *figures, set_angle, opens_to, net = step.groups()
    return *figures, set_angle or net, opens_to or net


def printed_sheets(packet):
    """The words of each bend sheet, by the piece's mark, on one line."""
    import pymupdf

    sheets = {}
    with pymupdf.open(packet / "packet.pdf") as document:
        for page in document:
            lines = [line.strip() for line in page.get_text().splitlines() if line.strip()]
            if "Bend sheet" in lines[1:2]:
                mark = lines[0]
                # Splitting also takes the spaces that no line breaks at.
                sheets[mark] = " ".join([sheets.get(mark, ""), *" ".join(lines).split()]).strip()
    return sheets


def mm(number, unit_name):
    return float(number) * (INCH if unit_name == "in" else 1.0)


def check_words(piece, die, words):
    """Faults of the piece as made from the printed words, and what to print."""
    loading, steps, apart = LOADING.search(words), list(STEP.finditer(words)), APART.search(words)
    if loading is None or apart is None or len(steps) != len(piece.rows):
        missing = "loading" if loading is None else "distance" if apart is None else f"{len(steps)} steps"
        return [f"cannot follow the printed words: {missing}"], "not made"
    end, scribe, way, measured_from = loading.groups()[:4]
    faults = [] if end == measured_from else ["tape marks are measured from the other end"]
    if piece.goes_first != end.lower():
        faults.append("bends.csv says that the other end goes first")
    place = 0.05 if steps[0].group(2) == "mm" else 0.005 * INCH
    for angle, arc, unit_name in ROUND.findall(loading.group()):
        off = mm(arc, unit_name) - math.radians(float(angle)) * piece.od / 2.0
        if abs(off) > 0.05 + math.radians(0.0501) * piece.od / 2.0:
            faults.append(f"the scribe line's arc is off by {off:.2f} mm")
    faults += unlike_rows(piece, die, loading, steps, place)
    scribe_turn = float(scribe or 0) * (1.0 if way == "clockwise" else -1.0)
    made, mirrored = (follow(piece, die, loading, steps, scribe_turn, sense) for sense in (1.0, -1.0))
    wanted, allowed = seated(piece.wanted(), add(piece.wanted()[0], (0, 1, 0))), last_places(piece, place)
    gap = max(math.dist(p, q) for p, q in zip(made, wanted))
    other = max(math.dist(p, q) for p, q in zip(mirrored, wanted))
    if gap > allowed:
        faults.append(f"made from the words it is off by {gap:.2f} mm, allowed {allowed:.2f}")
    if not is_flat(wanted) and other <= gap:
        faults.append("turned the other way it comes no worse")
    measured = math.dist(made[0], made[-1])
    if abs(measured - mm(*apart.group(3, 4))) > allowed:
        faults.append(f"raw ends {measured:.2f} mm apart, printed {apart.group(3)} {apart.group(4)}")
    return faults, f"from words, {end} first, {gap:.3f} of {allowed:.2f} mm (turned wrongly {other:.1f})"


def follow(piece, die, loading, steps, scribe_turn, sense):
    """The tube that the words give, seated on its start and its scribe line."""
    first_in = loading.group(1).lower()
    bender = Bender(die, piece.raw_length, scribe_turn * sense)
    dial = 0.0
    for step in steps:
        mark, unit_name, way, by, reads, set_angle, _ = said(step)
        bender.slide_to(begin_of(die, loading, mm(mark, unit_name), float(set_angle)))
        if way is not None:
            turn = float(by) if way == "clockwise" else -float(by)
            dial = (dial + turn) % 360.0
            apart = abs((dial - float(reads) + 180.0) % 360.0 - 180.0)
            if apart > 0.06 * len(steps) + 1e-9:
                raise ValueError(f"{piece.mark}: the dial reads {reads}, the turns sum to {dial:.1f}")
            bender.turn_clockwise(sense * turn)
        bender.bend(float(set_angle))
    points, scribe = bender.take_out(first_in)
    return seated(points, scribe)


def begin_of(die, loading, mark, set_angle):
    """Where on the raw tube the bend begins whose tape mark stands at `mark`."""
    reference, ahead, unit_name = loading.group(5, 6, 7)
    if reference == "middle":
        angle = die.bent(set_angle)
        return mark - 0.5 * (math.radians(angle) * die.radius - die.stretch * angle / 90.0)
    # A clamp's face stands ahead of the bend: nearer to the end that went in first.
    return mark if reference == "start" else mark + mm(ahead, unit_name)


def unlike_rows(piece, die, loading, steps, place):
    """Printed figures that are not those of bends.csv to their last place."""
    end_first = loading.group(1) == "END"
    order = range(len(steps) - 1, -1, -1) if end_first else range(len(steps))
    faults = []
    for done, (i, step) in enumerate(zip(order, steps)):
        mark, unit_name, way, by, _, set_angle, opens_to = said(step)
        set_listed, begin, end = piece.marks[i]
        begin = piece.raw_length - end if end_first else begin
        turn = (float(by) if way == "clockwise" else -float(by)) if way else 0.0
        listed = piece.rows[i + end_first][1] if done > 0 else 0.0
        apart = abs(turn - listed) % 360.0
        places = [
            ("tape mark as listed", mm(mark, unit_name) - piece.tapes[i], (1.01 if unit_name == "mm" else 0.11) * place),
            # Inch marks are printed to 0.001 in; the clamp's distance, as all lengths, to 0.01.
            ("tape mark", begin_of(die, loading, mm(mark, unit_name), set_listed) - begin,
             (2.01 if unit_name == "mm" else 1.11) * place),
            ("turn", min(apart, 360.0 - apart), 0.0501),
            ("set angle", float(set_angle) - set_listed, 0.0501),
            ("wanted angle", float(opens_to) - piece.rows[i][2], 0.0501),
        ]
        faults += [f"bend {i + 1}: {what} off by {off:.3f}" for what, off, most in places if not abs(off) <= most]
    return faults


def last_places(piece, place):
    """How far a point can be off when each printed length is off by `place` and each angle by 0.05
    degree: every one swings the rest of the tube at most by its whole length."""
    angles = 0.05 * (2 * len(piece.rows) + 1)
    return place * 2 * (len(piece.rows) + 1) + math.radians(angles) * piece.raw_length


def check_packet(packet, shop_file):
    shop = tomllib.loads(shop_file.read_text(encoding="utf-8")) if shop_file else {}
    sheets, bad = printed_sheets(packet), 0
    pieces = drawn_pieces(packet)
    for piece in pieces:
        die = die_for(piece, shop)
        faults, told = check_rows(piece, die)
        more, words = check_words(piece, die, sheets.get(piece.mark, ""))
        faults += more
        bad += len(faults)
        print(f"{piece.mark}: {told}; {words}: {'; '.join(faults) or 'ok'}")
    if not pieces:
        print("no drawn pieces")
    return 1 if bad else 0


# --- self-test -----------------------------------------------------------------------------------


def self_test():
    """A worked example on which a vector formula and a marching method agree, to 4 decimals: a tube of
    radius 60 through six points. Here its wanted points come from the vertices, not from the rows."""
    vertices = [(0, 0, 0), (200, 0, 0), (310, 150, 0), (430, 190, 150), (430, 360, 250), (570, 430, 130)]
    feeds = [169.5957, 122.1693, 131.0659, 105.3652]
    rotates = [0.0, 115.9859, -124.5724, -92.9688]
    angles = [53.7462, 58.2606, 55.7146, 90.1473]
    marks = [(169.596, 225.879), (348.048, 409.058), (540.124, 598.468), (703.834, 798.236)]
    wanted = [vertices[0]]
    for before, corner, after in zip(vertices, vertices[1:], vertices[2:]):
        u, v = unit(sub(corner, before)), unit(sub(after, corner))
        half = 0.5 * math.acos(dot(u, v))
        toward = unit(sub(v, u))
        middle = add(corner, toward, 60.0 / math.cos(half) - 60.0)
        wanted += [add(corner, u, -60.0 * math.tan(half)), middle, add(corner, v, 60.0 * math.tan(half))]
    wanted.append(vertices[-1])

    piece = Piece({"mark": "example", "od_mm": "40", "raw_mm": "935.312"})
    piece.rows = [(f, r, a, 60.0) for f, r, a in zip(feeds, rotates, angles)]
    piece.marks = [(a, *m) for a, m in zip(angles, marks)]
    piece.tail = 137.0764
    assert same(march(piece.rows, piece.tail), wanted, 0.002)
    plain = Die(60.0)
    for first_in in ("start", "end"):
        assert same(make(piece, plain, first_in)[0], wanted, 0.005), first_in
        mirrored = make(piece, plain, first_in, sense=-1.0)[0]
        assert distance_gap(mirrored, wanted) < 0.005 and handed_gap(mirrored, wanted) > 1.0, first_in
    # With springback and stretch: set more, and put the marks closer.
    die = Die(60.0, springback=2.0, fixed=0.5, stretch=1.2)
    station, piece.marks = 0.0, []
    for feed, _, angle, radius in piece.rows:
        begin = station + feed
        station = begin + math.radians(angle) * radius - 1.2 * angle / 90.0
        piece.marks.append((angle + 2.0 * angle / 90.0 + 0.5, begin, station))
    piece.raw_length = station + piece.tail
    for first_in in ("start", "end"):
        assert same(make(piece, die, first_in)[0], wanted, 0.005), first_in
        assert not same(make(piece, plain, first_in)[0], wanted, 0.5), "the springback has to matter"
    assert length("1 5/8 in", "mm") == 41.275 and length(2.5, "in") == 63.5 and length(76.2, "mm") == 76.2
    print("self-test: ok")
    return 0


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        sys.exit(self_test())
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    try:
        sys.exit(check_packet(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) == 3 else None))
    except (OSError, ValueError) as error:
        print(error)
        sys.exit(2)
