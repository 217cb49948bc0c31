"""Holes and saddles by Open CASCADE, as reference values for tests/reference.rs.

Run in a Python with cadquery-ocp (made with 8.0.1.1.0):

    python tests/reference/holes.py

It writes holes_cases.csv and holes_points.csv beside itself. Nothing of hotside's own geometry is used:
the host stands on the z axis, clock 0 at +x, clocks right-handed about +z; bodies are placed by their
axes, and points come from section curves of Open CASCADE's own cylinders and cones. All sizes are invented.

A case: host diameters outside at both ends, its length and wall; the branch's angle, clock, offset, the
height of its foot; which way it is set; the branch's outside diameter and wall. The hole is the branch's
bore where it is set on, its outside where it is set in.

A point of holes_points.csv lies on a section curve: `hole` is of the hole's cylinder with the host's bore
or outside, `saddle` of the branch's bore or outside with what it is set on. phi is right-handed about the
branch, from the host's axis made square to it.
"""

import csv
import math
from pathlib import Path

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Section
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
from OCP.GProp import GProp_GProps
from OCP.GeomAPI import GeomAPI_IntCS
from OCP.Geom import Geom_Plane
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.gp import gp_Ax2, gp_Ax3, gp_Cone, gp_Cylinder, gp_Dir, gp_Pln, gp_Pnt

#        name                 od1   od2   length wall  angle clock offset foot  set   od     wall
CASES = [
    ("square-on",             76.2, 76.2, 400, 1.65,   90,   0,    0,     200,  "on", 44.45, 1.65),
    ("shallow-on",            63.5, 63.5, 400, 1.6,    30,   40,   0,     120,  "on", 44.45, 1.2),
    ("wastegate-in",          63.5, 63.5, 400, 1.6,    35,   -75,  0,     120,  "in", 44.45, 1.65),
    ("offset-to-limit-on",    76.2, 76.2, 400, 1.65,   45,   20,   14.225, 150, "on", 45.0,  1.05),
    ("offset-to-limit-in",    76.2, 76.2, 400, 1.65,   60,   110,  -17.45, 170, "in", 38.0,  1.5),
    ("equal-square-on",       50.8, 50.8, 300, 1.65,   90,   0,    0,     150,  "on", 50.8,  1.65),
    ("equal-45-on",           50.8, 50.8, 400, 1.65,   45,   10,   0,     150,  "on", 50.8,  1.65),
    ("equal-60-in",           50.8, 50.8, 400, 1.65,   60,   200,  0,     150,  "in", 47.5,  1.5),
    ("leans-back-on",         76.2, 76.2, 400, 1.65,   140,  300,  6,     260,  "on", 38.1,  1.2),
    ("cone-on",               88.9, 63.5, 300, 1.6,    60,   30,   8,     120,  "on", 44.45, 1.65),
    ("cone-in",               88.9, 63.5, 300, 1.6,    35,   -20,  0,     90,   "in", 38.1,  1.2),
    ("cone-widens-back-on",   60.3, 101.6, 300, 2.0,   125,  170,  -9,    180,  "on", 42.4,  1.5),
    ("bung-in",               44.45, 44.45, 200, 1.65, 90,   -45,  0,     50,   "in", 18.0,  3.5),
    ("bung-offset-on",        44.45, 44.45, 200, 1.65, 90,   120,  9,     60,   "on", 20.0,  4.5),
]

REACH = 220.0  # length of a branch from its foot, mm


def add(point, direction, length):
    return [p + length * d for p, d in zip(point, direction)]


def frame_of(case):
    """Foot, branch's direction, and the direction of phi = 0."""
    _, _, _, _, _, angle, clock, offset, foot, *_ = case
    a, k = math.radians(angle), math.radians(clock)
    outward = [math.cos(k), math.sin(k), 0.0]
    side = [-math.sin(k), math.cos(k), 0.0]
    at = add([0.0, 0.0, foot], side, offset)
    along = [math.sin(a) * outward[0], math.sin(a) * outward[1], math.cos(a)]
    zero = add([0.0, 0.0, 1.0], along, -math.cos(a))
    size = math.sqrt(sum(x * x for x in zero))
    return at, along, [x / size for x in zero]


def host_radii(case, depth):
    """Radii of the host's surface at both ends: `wall` is square to the surface."""
    _, od1, od2, length, wall, *_ = case
    slope = (od2 - od1) / 2 / length
    inward = (1 - depth) * wall * math.sqrt(1 + slope * slope)
    return od1 / 2 - inward, od2 / 2 - inward


def host_surface(case, depth):
    r1, r2 = host_radii(case, depth)
    length = case[3]
    axes = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
    if r1 == r2:
        return BRepBuilderAPI_MakeFace(gp_Cylinder(axes, r1), 0, 2 * math.pi, -length, 2 * length).Face()
    half = math.atan((r2 - r1) / length)
    scale = 1 / math.cos(half)
    return BRepBuilderAPI_MakeFace(gp_Cone(axes, half, r1), 0, 2 * math.pi, -40 * scale, (length + 40) * scale).Face()


def host_solid(case, depth):
    r1, r2 = host_radii(case, depth)
    axes = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    if r1 == r2:
        return BRepPrimAPI_MakeCylinder(axes, r1, case[3]).Shape()
    return BRepPrimAPI_MakeCone(axes, r1, r2, case[3]).Shape()


def host_reach(case, depth):
    """The host's solid, but long enough that a branch's foot is inside."""
    r1, r2 = host_radii(case, depth)
    slope, length, more = (r2 - r1) / case[3], case[3], 60
    axes = gp_Ax2(gp_Pnt(0, 0, -more), gp_Dir(0, 0, 1))
    if r1 == r2:
        return BRepPrimAPI_MakeCylinder(axes, r1, length + 2 * more).Shape()
    return BRepPrimAPI_MakeCone(axes, r1 - more * slope, r2 + more * slope, length + 2 * more).Shape()


def branch_surface(case, radius):
    at, along, zero = frame_of(case)
    axes = gp_Ax3(gp_Pnt(*at), gp_Dir(*along), gp_Dir(*zero))
    return BRepBuilderAPI_MakeFace(gp_Cylinder(axes, radius), 0, 2 * math.pi, 0, REACH).Face()


def branch_solid(case, radius):
    at, along, zero = frame_of(case)
    return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(*at), gp_Dir(*along), gp_Dir(*zero)), radius, REACH).Shape()


def cut(shape, tool):
    operation = BRepAlgoAPI_Cut(shape, tool)
    assert operation.IsDone()
    return operation.Shape()


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-9)
    return props.Mass()


def section_points(case, depth, radius):
    """phi in degrees and the point of the section curve there, every 5 degrees."""
    section = BRepAlgoAPI_Section(host_surface(case, depth), branch_surface(case, radius), False)
    section.Approximation(True)
    section.Build()
    assert section.IsDone(), case[0]
    curves = []
    explorer = TopExp_Explorer(section.Shape(), TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge(explorer.Current())
        curves.append(BRep_Tool.Curve_s(edge, 0.0, 0.0))
        explorer.Next()
    at, along, zero = frame_of(case)
    third = [along[1] * zero[2] - along[2] * zero[1], along[2] * zero[0] - along[0] * zero[2],
             along[0] * zero[1] - along[1] * zero[0]]
    for step in range(72):
        phi = math.radians(5 * step)
        out = [math.cos(phi) * z + math.sin(phi) * t for z, t in zip(zero, third)]
        normal = [-math.sin(phi) * z + math.cos(phi) * t for z, t in zip(zero, third)]
        plane = Geom_Plane(gp_Pln(gp_Pnt(*at), gp_Dir(*normal)))
        found = []
        for curve in curves:
            meeting = GeomAPI_IntCS(curve, plane)
            for i in range(meeting.NbPoints()):
                p = meeting.Point(i + 1)
                local = [c - a for c, a in zip((p.X(), p.Y(), p.Z()), at)]
                if sum(l * o for l, o in zip(local, out)) > 0.5 * radius:
                    found.append((sum(l * b for l, b in zip(local, along)), (p.X(), p.Y(), p.Z())))
        assert found, (case[0], depth, radius, 5 * step)
        yield 5 * step, max(found)[1]


def main():
    here = Path(__file__).parent
    cases, points = [], []
    for case in CASES:
        name, od1, od2, length, wall, angle, clock, offset, foot, way, od, branch_wall = case
        hole = od / 2 - branch_wall if way == "on" else od / 2
        surface = 1 if way == "on" else 0
        tube = cut(host_solid(case, 1), host_reach(case, 0))
        holed = volume(cut(tube, branch_solid(case, hole)))
        branch = cut(branch_solid(case, od / 2), branch_solid(case, od / 2 - branch_wall))
        fitted = volume(cut(branch, host_reach(case, surface)))
        cases.append([*case, repr(volume(tube)), repr(holed), repr(fitted)])
        wanted = [("hole", depth, depth, hole) for depth in (0, 1)]
        wanted += [("saddle", depth, surface, od / 2 - (1 - depth) * branch_wall) for depth in (0, 1)]
        for kind, depth, on, radius in wanted:
            for phi, point in section_points(case, on, radius):
                points.append([name, kind, depth, phi, *(f"{x:.8f}" for x in point)])
        print(name, volume(tube), holed, fitted)
    head = "name,od_start,od_end,length,wall,angle_deg,clock_deg,offset,foot,set,branch_od,branch_wall"
    with open(here / "holes_cases.csv", "w", newline="\n") as file:
        file.write(head + ",tube_mm3,holed_mm3,branch_mm3\n")
        csv.writer(file, lineterminator="\n").writerows(cases)
    with open(here / "holes_points.csv", "w", newline="\n") as file:
        file.write("name,kind,depth,phi_deg,x,y,z\n")
        csv.writer(file, lineterminator="\n").writerows(points)


main()
