"""Vectors and poses for the readers (plain Python, none of our geometry): mm and degrees, right-handed."""

import math


def add(a, b, scale=1.0):
    return tuple(x + scale * y for x, y in zip(a, b))


def sub(a, b):
    return tuple(x - y for x, y in zip(a, b))


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a):
    size = math.sqrt(dot(a, a))
    return tuple(x / size for x in a)


def turn(v, axis, degrees):
    """v turned about a unit axis, right-handed (Rodrigues' formula)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return add(add(tuple(c * x for x in v), cross(axis, v), s), axis, (1.0 - c) * dot(axis, v))


def between(a, b):
    """Angle between two directions, degrees."""
    n = cross(a, b)
    return math.degrees(math.atan2(math.sqrt(dot(n, n)), dot(a, b)))


def signed(degrees):
    """The same angle in (-180, 180]."""
    return 180.0 - (180.0 - degrees) % 360.0


class Pose:
    """A place on a tube: point, direction of travel, direction of clock 0."""

    def __init__(self, at, along, zero):
        along = unit(along)
        self.at, self.along = at, along
        self.zero = unit(add(zero, along, -dot(zero, along)))

    def go(self, length):
        return Pose(add(self.at, self.along, length), self.along, self.zero)

    def turned(self, degrees):
        return Pose(self.at, self.along, turn(self.zero, self.along, degrees))

    def outward(self, clock):
        return turn(self.zero, self.along, clock)

    def bent(self, radius, degrees):
        """After a bend toward clock 0."""
        centre = add(self.at, self.zero, radius)
        axis = cross(self.along, self.zero)
        at = add(centre, turn(sub(self.at, centre), axis, degrees))
        return Pose(at, turn(self.along, axis, degrees), turn(self.zero, axis, degrees))

    def clock_of(self, direction):
        side = cross(self.along, self.zero)
        return math.degrees(math.atan2(dot(direction, side), dot(direction, self.zero)))

    def off_axis(self, point):
        """Along the axis, and the way from the axis to the point."""
        way = sub(point, self.at)
        along = dot(way, self.along)
        return along, add(way, self.along, -along)


def upright(at, along):
    """Clock 0 nearest to +z, where travel is vertical +x."""
    vertical = abs(along[2]) > 1.0 - 1e-12
    return Pose(at, along, (1.0, 0.0, 0.0) if vertical else (0.0, 0.0, 1.0))
