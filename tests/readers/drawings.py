#!/usr/bin/env python3
"""Reads the drawings of a packet's plates with ezdxf, and holds them against report.json.

    drawings.py PACKET

Each DXF passes ezdxf's audit without an error or a mend, is R2000 in mm, holds only closed polylines and circles
on `cut`, and encloses the part's area and perimeter (true arcs, by ezdxf's own geometry, not ours). Each SVG has its
size in mm, 1 user unit a mm, the three layers, and as much room around the part as it says. The parts' meshes, read
by trimesh, are closed and enclose the part's volume within the chord error. Prints a JSON report.
"""

import json
import math
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import trimesh
from ezdxf.math import bulge_to_arc

import packets

CHORD = 0.05  # mm, of the packet's meshes


def polyline(entity):
    """Signed area and length of a closed light-weight polyline with bulges."""
    points = list(entity.get_points("xyb"))
    area = length = 0.0
    for k, (x0, y0, bulge) in enumerate(points):
        x1, y1, _ = points[(k + 1) % len(points)]
        area += 0.5 * (x0 * y1 - x1 * y0)
        if bulge == 0:
            length += math.hypot(x1 - x0, y1 - y0)
            continue
        _, start, end, radius = bulge_to_arc((x0, y0), (x1, y1), bulge)
        turn = (end - start) % math.tau
        length += radius * turn
        area += math.copysign(0.5 * radius * radius * (turn - math.sin(turn)), bulge)
    return area, length


def cut_loops(path):
    """Area and length of each loop on layer `cut`, after checking what the file is."""
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    problems = [e.message for e in audit.errors] + [e.message for e in audit.fixes]
    assert not problems, (path, problems)
    assert drawing.dxfversion == "AC1015", drawing.dxfversion
    assert drawing.units == 4, drawing.units
    loops, layers = [], set()
    for entity in drawing.modelspace():
        layers.add(entity.dxf.layer)
        if entity.dxf.layer != "cut":
            continue
        if entity.dxftype() == "CIRCLE":
            radius = entity.dxf.radius
            loops.append((math.pi * radius * radius, math.tau * radius))
        else:
            assert entity.dxftype() == "LWPOLYLINE" and entity.closed, (path, entity.dxftype())
            area, length = polyline(entity)
            loops.append((abs(area), length))
    assert layers <= {"cut", "etch", "centre"}, layers
    for layer in ("cut", "etch", "centre"):
        assert layer in drawing.layers, (path, layer)
    return loops


def close(value, told, tolerance, what):
    assert abs(value - told) <= tolerance, f"{what}: {value} instead of {told}"


def check_svg(path, blank):
    root = ET.parse(path).getroot()
    width, height = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    view = [float(v) for v in root.attrib["viewBox"].split()]
    assert view == [0, 0, width, height], view
    names = [g.attrib["id"] for g in root.findall("{http://www.w3.org/2000/svg}g")]
    assert names == ["cut", "etch", "centre"], names
    # 2 mm of room on each side, more where centre lines reach beyond the part.
    assert blank[0] + 4 - 1e-5 <= width <= blank[0] + 60, (width, blank)
    assert blank[1] + 4 - 1e-5 <= height <= blank[1] + 60, (height, blank)


def check_mesh(path, part):
    mesh = trimesh.load(path)
    assert mesh.is_watertight and mesh.is_winding_consistent, path
    # A chord takes up to two thirds of its height times its length off each loop.
    most = part["perimeter"] * CHORD * part["volume_mm3"] / part["area_mm2"]
    close(mesh.volume, part["volume_mm3"], most, path.name)
    return abs(mesh.volume / part["volume_mm3"] - 1)


def main():
    packet = Path(sys.argv[1])
    report = json.loads((packet / "report.json").read_text())
    found = []
    for _, _, part in packets.plates(report):
        mark = part["mark"]
        loops = cut_loops(packet / "flanges" / f"{mark}.dxf")
        outer = max(area for area, _ in loops)
        close(2 * outer - sum(area for area, _ in loops), part["area_mm2"], 1e-5, f"{mark}: area")
        close(sum(length for _, length in loops), part["perimeter"], 1e-5, f"{mark}: perimeter")
        check_svg(packet / "flanges" / f"{mark}.svg", part["blank"])
        off = check_mesh(packet / "models" / "pieces" / f"{mark}.stl", part)
        found.append({"mark": mark, "loops": len(loops), "area_mm2": part["area_mm2"], "mesh_off": off})
    named = sorted(p.stem for p in (packet / "flanges").glob("*.dxf")) if (packet / "flanges").is_dir() else []
    assert named == sorted(row["mark"] for row in found), named
    print(json.dumps({"plates": found}))


if __name__ == "__main__":
    main()
