"""Reads packets' models/header.3mf with lib3mf (PyPI; the 3MF Consortium's own library).

    python threemf.py PACKET_DIR...

Strict mode, no warning; millimetres; one object for each piece of report.json, named by its mark, with
one build item; base materials are the first resource, one for each run, merge and flange,
each object in its owner's; every mesh is manifold and oriented, and its volume (trimesh, PyPI, from
lib3mf's vertices) is volume_mm3 within surface times the chord tolerance (0.05 mm). Exit 1 on any
fault, 2 without a packet.
"""

import json

import lib3mf
import numpy
import trimesh

import packets

CHORD_MM = 0.05


def iterated(iterator, get):
    while iterator.MoveNext():
        yield get(iterator)


def mesh_faults(item, piece):
    faults = []
    if not item.IsManifoldAndOriented():
        faults.append("not manifold and oriented")
    points = numpy.array([list(v.Coordinates) for v in item.GetVertices()])
    faces = numpy.array([list(t.Indices) for t in item.GetTriangleIndices()])
    mesh = trimesh.Trimesh(points, faces, process=False)
    off = mesh.volume - piece["volume_mm3"]
    if not (mesh.volume > 0.0 and abs(off) <= mesh.area * CHORD_MM):
        faults.append(f"volume off by {off:.2f} mm3")
    return faults


def check(packet):
    report = json.loads((packet / "report.json").read_text(encoding="utf-8"))
    pieces = {piece["mark"]: piece for piece in report["pieces"]}
    for owner, _, part in packets.plates(report):
        pieces[part["mark"]] = part | {"group": owner}
    for part in report.get("transitions", []):
        pieces[part["mark"]] = part | {"group": "transitions"}
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    try:
        reader.ReadFromFile(str(packet / "models" / "header.3mf"))
    except lib3mf.ELib3MFException as error:
        return [f"refused: {error}"]
    faults = [f"warning: {reader.GetWarning(i)}" for i in range(reader.GetWarningCount())]
    if model.GetUnit() != lib3mf.ModelUnit.MilliMeter:
        faults.append(f"unit {model.GetUnit()}")
    groups = list(iterated(model.GetBaseMaterialGroups(), lambda i: i.GetCurrentBaseMaterialGroup()))
    if len(groups) != 1 or groups[0].GetResourceID() != 1:
        return faults + ["not one group of base materials with id 1"]
    names = {number: groups[0].GetName(number) for number in groups[0].GetAllPropertyIDs()}
    owners = [f"run.{run['name']}" for run in report["runs"]]
    owners += [f"merge.{merge['name']}" for merge in report.get("merges", [])]
    further = [piece["group"] for piece in pieces.values() if "group" in piece]
    owners = list(dict.fromkeys(owners + further))
    if list(names.values()) != owners:
        faults.append(f"materials {list(names.values())}, not {owners}")
    found = []
    for item in iterated(model.GetMeshObjects(), lambda i: i.GetCurrentMeshObject()):
        mark = item.GetName()
        found.append(mark)
        if mark not in pieces:
            faults.append(f"object {mark!r} is no piece")
            continue
        _, material, given = item.GetObjectLevelProperty()
        owner = pieces[mark].get("group") or next(f"{table}.{pieces[mark][table]}" for table in ("run", "merge") if table in pieces[mark])
        if not given or names.get(material) != owner:
            faults.append(f"{mark}: material {names.get(material)!r}, not {owner!r}")
        faults += [f"{mark}: {fault}" for fault in mesh_faults(item, pieces[mark])]
    if sorted(found) != sorted(pieces):
        faults.append(f"objects {found}, not {list(pieces)}")
    built = sum(1 for _ in iterated(model.GetBuildItems(), lambda i: i.GetCurrent()))
    if built != len(pieces):
        faults.append(f"{built} build items, not {len(pieces)}")
    return faults


if __name__ == "__main__":
    packets.run("threemf.py", check)
