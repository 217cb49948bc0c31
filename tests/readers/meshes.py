"""Reads a packet's STL pieces with trimesh (PyPI; links none of our geometry) and checks each solid.

    python meshes.py PACKET_DIR

Every models/pieces/<mark>.stl must be watertight, consistently wound and of positive volume, within
its surface times the chord tolerance (0.05 mm) of report.json's volume_mm3; models/header.stl must
hold exactly the pieces' triangles. Prints a line each; exit 1 on any fault, 2 without a packet.
"""

import json
import sys
from pathlib import Path

import trimesh

import packets

CHORD_MM = 0.05


def piece_faults(mesh, stated):
    """What is wrong with one piece's mesh, in words."""
    faults = []
    if not mesh.is_watertight:
        faults.append("not watertight")
    if not mesh.is_winding_consistent:
        faults.append("winding not consistent")
    if not mesh.volume > 0.0:
        faults.append("volume not positive")
    allowed = mesh.area * CHORD_MM
    if not abs(mesh.volume - stated) <= allowed:
        faults.append(f"off by {mesh.volume - stated:.2f} mm3, allowed {allowed:.2f}")
    return faults


def main(packet):
    report = json.loads((packet / "report.json").read_text(encoding="utf-8"))
    pieces = {piece["mark"]: piece for piece in report["pieces"]}
    pieces |= {part["mark"]: part for _, _, part in packets.plates(report)}
    pieces |= {part["mark"]: part for part in report.get("transitions", [])}
    files = {path.stem: path for path in sorted((packet / "models" / "pieces").glob("*.stl"))}
    bad = 0
    for mark in sorted(pieces.keys() ^ files.keys()):
        print(f"{mark}: in the {'report' if mark in pieces else 'folder'} only")
        bad += 1
    triangles = 0
    for mark in sorted(pieces.keys() & files.keys()):
        mesh = trimesh.load(files[mark], file_type="stl")
        stated = pieces[mark]["volume_mm3"]
        faults = piece_faults(mesh, stated)
        triangles += len(mesh.faces)
        bad += bool(faults)
        print(f"{mark}: {len(mesh.faces)} triangles, {mesh.volume:.1f} of {stated:.1f} mm3: {'; '.join(faults) or 'ok'}")
    if not pieces:
        print("the report has no pieces")
        bad += 1
    header = trimesh.load(packet / "models" / "header.stl", file_type="stl", process=False)
    whole = len(header.faces) == triangles
    bad += not whole
    print(f"header.stl: {len(header.faces)} triangles of {triangles}: {'ok' if whole else 'not the pieces'}")
    return 1 if bad else 0


if __name__ == "__main__":
    if len(sys.argv) != 2 or not (Path(sys.argv[1]) / "report.json").is_file():
        print("usage: meshes.py PACKET_DIR", file=sys.stderr)
        sys.exit(2)
    sys.exit(main(Path(sys.argv[1])))
