"""Tubes from a spec's own words, in numpy: a port, straights and bends. None of our geometry."""

import numpy as np


def turned(points, axis, degrees):
    """Points turned about an axis through 0, right-handed (Rodrigues' formula)."""
    axis = np.array(axis, dtype=np.float64)
    axis /= np.linalg.norm(axis)
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    along = points @ axis
    return c * points + s * np.cross(axis, points) + (1.0 - c) * along[..., None] * axis


class Length:
    """A straight (no radius) or a bend: where it begins, its direction of travel, the side toward which it bends."""

    def __init__(self, begin, at, along, inside, length, radius=None):
        self.begin, self.at, self.along, self.inside = begin, at, along, inside
        self.length, self.radius = length, radius

    def frames(self, off):
        """Points and directions of travel and of the inside, so far along it."""
        off = np.asarray(off, dtype=np.float64)[..., None]
        if self.radius is None:
            at = self.at + off * self.along
            return at, np.broadcast_to(self.along, at.shape), np.broadcast_to(self.inside, at.shape)
        c, s = np.cos(off / self.radius), np.sin(off / self.radius)
        at = self.at + self.radius * (s * self.along + (1.0 - c) * self.inside)
        return at, c * self.along + s * self.inside, c * self.inside - s * self.along

    def distance(self, point):
        """From its centreline between its end planes to a point; infinite beyond them."""
        way = point - self.at
        if self.radius is None:
            off = way @ self.along
            return np.linalg.norm(way - off * self.along) if 0.0 <= off <= self.length else np.inf
        centre = self.at + self.radius * self.inside
        out = point - centre
        y, x = out @ self.along, -(out @ self.inside)
        angle = np.arctan2(y, x) % (2.0 * np.pi)
        if angle * self.radius > self.length:
            return np.inf
        return np.linalg.norm(point - self.frames(angle * self.radius)[0])


class Line:
    """A centreline."""

    def __init__(self, lengths):
        self.lengths = lengths
        self.length = lengths[-1].begin + lengths[-1].length

    def frames(self, stations):
        """Points, directions of travel and sides of the bends at stations."""
        found = [np.empty((len(stations), 3)) for _ in range(3)]
        for length in self.lengths:
            last = length is self.lengths[-1]
            here = (stations >= length.begin) & (last | (stations < length.begin + length.length))
            for all_, some in zip(found, length.frames(stations[here] - length.begin)):
                all_[here] = some
        return found

    def points(self, stations):
        return self.frames(stations)[0]

    def distance(self, point):
        """From the centreline to a point beside it."""
        return min(length.distance(point) for length in self.lengths)


def line(spec, name):
    """The centreline of a run that begins at a port and is told by straights and bends with one radius."""
    run = spec["run"][name]
    port = spec["port"][run["from"]]
    at, along = (np.array(port[key], dtype=np.float64) for key in ("at", "along"))
    along /= np.linalg.norm(along)
    inside = np.array(run["inside"], dtype=np.float64)
    inside -= (inside @ along) * along
    inside /= np.linalg.norm(inside)
    lengths, begin = [], 0.0
    for row in run["path"]:
        if "straight" in row:
            length = Length(begin, at, along, inside, float(row["straight"]))
        else:
            inside = turned(inside, along, row.get("rotate", 0.0))
            radius = float(run["radius"])
            length = Length(begin, at, along, inside, radius * np.radians(row["bend"]), radius)
        at, along, inside = length.frames(length.length)
        begin += length.length
        lengths.append(length)
    return Line(lengths)
