"""Times OCCT and hotside over the same tubes; see bench_step.sh.

    python bench_step.py TARGET SPEC RUNS
"""

import json
import math
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
from OCP.GC import GC_MakeArcOfCircle
from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
from OCP.StlAPI import StlAPI_Writer
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt


def spine(piece):
    """The piece's centreline as a wire, marched from its start pose and bends."""
    at, along, inside = (numpy.array(piece["start"][key]) for key in ("at", "along", "inside"))
    wire = BRepBuilderAPI_MakeWire()
    start = gp_Ax2(gp_Pnt(*at), gp_Dir(*along))

    def straight(length):
        nonlocal at
        if length > 1e-6:
            to = at + along * length
            wire.Add(BRepBuilderAPI_MakeEdge(gp_Pnt(*at), gp_Pnt(*to)).Edge())
            at = to

    for bend in piece["bends"]:
        straight(bend["feed"])
        turn, angle, radius = math.radians(bend["rotate"]), math.radians(bend["angle"]), bend["radius"]
        inside = inside * math.cos(turn) + numpy.cross(along, inside) * math.sin(turn)

        def reach(part):
            return at + radius * (along * math.sin(part) + inside * (1.0 - math.cos(part)))

        middle, to = reach(0.5 * angle), reach(angle)
        arc = GC_MakeArcOfCircle(gp_Pnt(*at), gp_Pnt(*middle), gp_Pnt(*to)).Value()
        wire.Add(BRepBuilderAPI_MakeEdge(arc).Edge())
        at = to
        along, inside = (
            along * math.cos(angle) + inside * math.sin(angle),
            inside * math.cos(angle) - along * math.sin(angle),
        )
    straight(piece["tail"])
    return wire.Wire(), start


def tube(piece):
    """The piece with square ends: two solids swept, one cut out of the other."""
    wire, start = spine(piece)

    def swept(radius):
        edge = BRepBuilderAPI_MakeEdge(gp_Circ(start, radius)).Edge()
        face = BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(edge).Wire()).Face()
        return BRepOffsetAPI_MakePipe(wire, face).Shape()

    outer = 0.5 * piece["od"]
    return BRepAlgoAPI_Cut(swept(outer), swept(outer - piece["wall"])).Shape()


def by_occt(pieces, folder):
    begin = time.perf_counter()
    step, stl = STEPControl_Writer(), StlAPI_Writer()
    for piece in pieces:
        shape = tube(piece)
        BRepMesh_IncrementalMesh(shape, 0.05, False, 0.5, False)
        stl.Write(shape, str(folder / f"{piece['mark']}.stl"))
        step.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    step.Write(str(folder / "header.step"))
    return time.perf_counter() - begin


def by_hotside(command):
    begin = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begin


def main(target, spec, runs):
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        build = [f"{target}/hotside", "build", spec, "--out", str(scratch / "packet")]
        cad = [f"{target}/examples/header_models", spec, str(scratch)]
        by_hotside(build)
        report = json.loads((scratch / "packet/report.json").read_text(encoding="utf-8"))
        pieces = [piece for piece in report["pieces"] if "end_od" not in piece]
        times = [(by_occt(pieces, scratch), by_hotside(cad), by_hotside(build)) for _ in range(runs)]
    occt, cad, build = (statistics.median(column) for column in zip(*times))
    print(
        f"{spec}: {len(pieces)} tubes, median of {runs} runs: OCCT {occt:.3f} s; hotside's CAD alone {cad:.3f} s, "
        f"{occt / cad:.1f} times as fast; its whole build {build:.3f} s, {occt / build:.1f} times",
        file=sys.stderr,  # OCCT talks on stdout
    )


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
