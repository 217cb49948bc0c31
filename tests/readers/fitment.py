"""Checks fitment models from outside: trimesh, manifold3d, lib3mf, libigl and scipy (PyPI), none of our geometry.

    python fitment.py FITMENT_DIR...

Of each folder, by its fitment.json:
- every STL is watertight, wound alike, a manifold to manifold3d, of positive volume, and of its reported volume;
- every plate's 3MF is read by lib3mf in strict mode without a warning: millimetres, an object for each thing on it,
  manifold and oriented, within the bed and height, standing on the bed, and `apart` from its neighbours (their hulls
  from above, by separating lines);
- turned and moved back by its written transform each part is the part in the header's axes;
- parts do not overlap, nothing of them stands out of the undivided header but the bosses behind datums in thin walls,
  and its surface is theirs within 0.02 mm, but for figures and datums, which are no deeper than 2 mm, and bosses, and no
  more than 5 % of it;
- what is missing between them is the room in the joints, from the joints' numbers, and what was sunk: within
  1e-4 of the header;
- every spigot is the gap away from its socket (libigl's distances; in corners, where both have one, up to half as
  much more), and at every other clock, in steps of 10 degrees, it cannot stand there: it and the socket's metal overlap;
- every part that is not said to touch others is moved off those before it, straight as far as its spigots reach and on
  in the direction written, by steps of 4 mm, and overlaps none by more than 20 mm3, what plastic gives (solid models);
- figures and datum look up or sideways on the bed, or down no further than the printer's overhang, but for parts that a
  finding names, and where a datum is the part's surface is 1.06 mm away (a cone of 90 degrees, 3 mm across);
- sections of each part across the plate, a quarter of a millimetre apart, are closed loops (trimesh).
Exit 1 on any fault, 2 without a folder.
"""

import json
import math
import pathlib
import sys

import igl
import lib3mf
import manifold3d
import numpy
import scipy.spatial
import trimesh

OUTSIDE_MM = 0.02
FIT_MM = 0.003
LAYER_MM = 0.25
SUNK_MM = 2.0
SUNK_SHARE = 0.05
CONSERVED = 1e-4
STEP_MM = 4.0
GIVES_MM3 = 20.0
MOST_LEAN = 25.0


def loaded(path):
    return trimesh.load(path, file_type="stl", process=True)


def manifold(mesh):
    return manifold3d.Manifold(
        manifold3d.Mesh64(
            numpy.asarray(mesh.vertices, dtype=numpy.float64), numpy.asarray(mesh.faces, dtype=numpy.uint64)
        )
    )


def solid_faults(name, mesh, volume=None):
    faults = []
    if not mesh.is_watertight:
        faults.append(f"{name}: not watertight")
    if not mesh.is_winding_consistent:
        faults.append(f"{name}: not wound alike")
    if mesh.volume <= 0.0:
        faults.append(f"{name}: volume {mesh.volume}")
    status = manifold(mesh).status()
    if status != manifold3d.Error.NoError:
        faults.append(f"{name}: {status}")
    if volume is not None and abs(mesh.volume - volume) > 1e-5 * volume + 0.05:
        faults.append(f"{name}: volume {mesh.volume:.3f}, reported {volume:.3f}")
    return faults


def iterated(iterator, get):
    while iterator.MoveNext():
        yield get(iterator)


def plate_objects(path, faults):
    """Points and faces of each object of a plate, by name."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    try:
        reader.ReadFromFile(str(path))
    except lib3mf.ELib3MFException as error:
        faults.append(f"{path.name}: refused: {error}")
        return {}
    faults += [f"{path.name}: warning {reader.GetWarning(i)}" for i in range(reader.GetWarningCount())]
    if model.GetUnit() != lib3mf.ModelUnit.MilliMeter:
        faults.append(f"{path.name}: unit {model.GetUnit()}")
    objects = {}
    for item in iterated(model.GetMeshObjects(), lambda i: i.GetCurrentMeshObject()):
        if not item.IsManifoldAndOriented():
            faults.append(f"{path.name}: {item.GetName()} is not manifold and oriented")
        points = numpy.array([list(v.Coordinates) for v in item.GetVertices()])
        triangles = numpy.array([list(t.Indices) for t in item.GetTriangleIndices()])
        objects[item.GetName()] = (points, triangles)
    built = sum(1 for _ in iterated(model.GetBuildItems(), lambda i: i.GetCurrent()))
    if built != len(objects):
        faults.append(f"{path.name}: {built} items for {len(objects)} objects")
    return objects


def apart(a, b):
    """How far two sets of points lie apart in plan, by the best separating line; below 0 where none separates."""
    best = -math.inf
    hulls = [scipy.spatial.ConvexHull(p[:, :2]) for p in (a, b)]
    corners = [h.points[h.vertices] for h in hulls]
    for hull in hulls:
        for normal in hull.equations[:, :2]:
            for sign in (1.0, -1.0):
                n = sign * normal
                best = max(best, (corners[1] @ n).min() - (corners[0] @ n).max())
    return best


def plate_faults(folder, report, rows, names):
    faults, found = [], {}
    printer = report["printer"]
    for row in rows:
        objects = plate_objects(folder / row["files"][0], faults)
        mesh = loaded(folder / row["files"][1])
        if not mesh.is_watertight:
            faults.append(f"{row['files'][1]}: not watertight")
        if set(objects) != set(row["holds"]) or not objects:
            faults.append(f"{row['files'][0]}: holds {sorted(objects)}, reported {row['holds']}")
        room = numpy.array(printer["bed"] + [printer["height"]])
        placed = list(objects.items())
        for name, (points, _) in placed:
            least, most = points.min(axis=0), points.max(axis=0)
            if (least < -1e-3).any() or (most > room + 1e-3).any():
                faults.append(f"{row['files'][0]}: {name} from {least} to {most} leaves the room {room}")
            if abs(least[2]) > 1e-3:
                faults.append(f"{row['files'][0]}: {name} stands at {least[2]:.4f}")
        for i, (name, (points, _)) in enumerate(placed):
            for other, (others, _) in placed[:i]:
                gap = apart(points, others)
                if gap < printer["apart"] - 0.01:
                    faults.append(f"{row['files'][0]}: {name} and {other} {gap:.3f} mm apart")
        found.update(objects)
    missing = set(names) - set(found)
    if missing:
        faults.append(f"on no plate: {sorted(missing)}")
    return faults, found


def turned_back(points, transform, scale):
    turn = numpy.array(transform["turn"]).reshape(3, 3)
    return (points / numpy.array(scale)) @ turn.T + numpy.array(transform["by"])


def far(a, b):
    return scipy.spatial.cKDTree(b).query(a)[0].max()


def distances(points, mesh):
    squared = igl.point_mesh_squared_distance(
        numpy.ascontiguousarray(points),
        numpy.asarray(mesh.vertices, dtype=numpy.float64),
        numpy.asarray(mesh.faces, dtype=numpy.int64),
    )[0]
    return numpy.sqrt(numpy.maximum(squared, 0.0))


def prism(radius, rib_width, rib_height, length, draft, grown):
    """Volume of a round pin with a rib, every side moved out by `grown`, leaning by `draft`; a circle for the pin's flats."""

    def area(along):
        out = grown / math.cos(draft) - along * math.tan(draft)
        r, half, top = radius + out, 0.5 * rib_width + out, radius + rib_height + out
        root = math.sqrt(r * r - half * half)
        segment = r * r * math.asin(half / r) - half * root
        return math.pi * r * r + 2.0 * half * (top - root) - segment

    return length / 6.0 * (area(0.0) + 4.0 * area(0.5 * length) + area(length))


def joint_room(joint):
    radians = math.radians(joint["draft"])
    sizes = joint["radius"], joint["rib_width"], joint["rib_height"]
    spigot = prism(*sizes, joint["length"], radians, 0.0)
    return prism(*sizes, joint["length"] + joint["gap"], radians, joint["gap"]) - spigot


def whole_faults(folder, report, parts):
    whole = loaded(folder / report["whole"]["file"])
    faults = solid_faults("whole", whole, report["whole"]["volume_mm3"])
    solid = manifold(whole)
    solids = [manifold(mesh) for mesh in parts.values()]
    together = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    volume = solid.volume()
    overlap = sum(s.volume() for s in solids) - together.volume()
    if abs(overlap) > 1e-5 * volume:
        faults.append(f"parts overlap by {overlap:.2f} mm3")
    proud = (together - solid).volume() - sum(p["boss_mm3"] for p in report["parts"])
    if proud > 1e-5 * volume:
        faults.append(f"parts stand out of the header by {proud:.2f} mm3")
    # A boss is within a part and not within the header: what was sunk less what was added.
    sunk = sum(p["plain_volume_mm3"] - p["volume_mm3"] for p in report["parts"])
    missing = volume - together.volume() - sunk - sum(joint_room(j) for j in report["joints"])
    if abs(missing) > CONSERVED * volume:
        faults.append(f"{missing:.2f} mm3 of {volume:.0f} are unaccounted for")
    every = trimesh.util.concatenate(list(parts.values()))
    points, _ = trimesh.sample.sample_surface_even(whole, 40000, seed=1)
    off = distances(points, every)
    beyond = off > OUTSIDE_MM
    if off.max() > SUNK_MM or beyond.mean() > SUNK_SHARE:
        faults.append(f"the outside is off by up to {off.max():.3f} mm, {100 * beyond.mean():.2f} % of it beyond {OUTSIDE_MM}")
    return faults


def mark_faults(row, part, report):
    faults = []
    named = {f["where"] for f in report["findings"] if f["code"] == "part-marked-below"}
    up = numpy.array(row["to_header"]["turn"]).reshape(3, 3)[:, 2]
    for what in ("figures", "datum"):
        if row[what] is None:
            continue
        look = float(numpy.array(row[what]["out"]) @ up)
        if look < -math.sin(math.radians(report["printer"]["overhang"])) - 1e-3 and f"part {row['mark']}" not in named:
            faults.append(f"{row['mark']}: its {what} looks down by {look:.3f}")
    if row["datum"] is not None:
        deep = distances(numpy.array([row["datum"]["at"]]), part)[0]
        if abs(deep - 1.5 / math.sqrt(2.0)) > 0.03:
            faults.append(f"{row['mark']}: its datum is {deep:.3f} mm from its surface")
    return faults


def in_joint(mesh, joint):
    """A part in a joint's own axes: z the way its spigot points."""
    along, inside = numpy.array(joint["along"]), numpy.array(joint["inside"])
    way = 1.0 if joint["points_downstream"] else -1.0
    axes = numpy.array([inside, numpy.cross(along * way, inside), along * way])
    return trimesh.Trimesh((mesh.vertices - numpy.array(joint["at"])) @ axes.T, mesh.faces, process=False)


def joint_faults(joint, parts):
    name = f"joint {joint['number']}"
    spigot, socket = (in_joint(parts[joint[side]], joint) for side in ("spigot", "socket"))
    length, gap = joint["length"], joint["gap"]
    reach = math.hypot(joint["radius"] + joint["rib_height"] + gap, 0.5 * joint["rib_width"] + gap) + 0.1
    column = manifold3d.Manifold.cylinder(length + gap + 1.0, reach, reach, 128).translate((0.0, 0.0, 1e-3))
    pin, hole = manifold(spigot) ^ column, manifold(socket) ^ column
    if pin.is_empty() or hole.is_empty():
        return [f"{name}: no spigot or no socket"]
    faults = []
    made = prism(joint["radius"], joint["rib_width"], joint["rib_height"], length, math.radians(joint["draft"]), 0.0)
    if abs(pin.volume() - made) > 0.02 * made:
        faults.append(f"{name}: a spigot of {pin.volume():.1f} mm3 instead of {made:.1f}")
    corners = spigot.triangles[
        (numpy.linalg.norm(spigot.triangles[:, :, :2], axis=2) < reach - gap + 0.05).all(axis=1)
        & (spigot.triangles[:, :, 2] > -1e-3).all(axis=1)
        & (spigot.triangles[:, :, 2].max(axis=1) > 1e-2)
        & (spigot.triangles[:, :, 2].max(axis=1) < length + 1e-2)
    ]
    if len(corners) == 0:
        return faults + [f"{name}: the spigot's sides are not there"]
    points = numpy.vstack([corners.reshape(-1, 3), corners.mean(axis=1)])
    room = distances(points, socket)
    if room.min() < gap - FIT_MM or room.max() > 1.5 * gap or numpy.median(abs(room - gap)) > FIT_MM:
        faults.append(f"{name}: from {room.min():.4f} to {room.max():.4f} mm apart, not {gap}")
    for turn in range(0, 360, 10):
        overlap = (pin.rotate((0.0, 0.0, float(turn))) ^ hole).volume()
        if (turn == 0) != (overlap < 1e-3):
            faults.append(f"{name}: at {turn} degrees {overlap:.3f} mm3 overlap")
    return faults


def clear_of(a, b):
    return any(a[i] > b[i + 3] or b[i] > a[i + 3] for i in range(3))


def passage_faults(report, parts):
    """The order of parts, backwards: each goes off those before it."""
    solids = {mark: manifold(mesh).simplify(0.05) for mark, mesh in parts.items()}
    printer, faults = report["printer"], []
    out = (printer["spigot"] + printer["fit_gap"]) / math.cos(math.radians(MOST_LEAN))
    rows = sorted(report["parts"], key=lambda row: row["order"])
    for place, row in enumerate(rows):
        if row["put_in"] is None or row["touching"]:
            continue
        others = [solids[other["mark"]] for other in rows[:place]]
        boxes = numpy.array([other.bounding_box() for other in others])
        far = numpy.linalg.norm(boxes[:, 3:].max(axis=0) - boxes[:, :3].min(axis=0))
        first = -numpy.array(row["put_in"])
        on = -numpy.array(row.get("aside", row["put_in"]))
        stops = [first * t for t in numpy.arange(0.25 * STEP_MM, out, STEP_MM)]
        stops += [first * out + on * t for t in numpy.arange(0.0, 2.0 * far, STEP_MM)]
        for stop in stops:
            moved = solids[row["mark"]].translate(tuple(stop))
            near = [other for other in others if not clear_of(moved.bounding_box(), other.bounding_box())]
            overlap = sum((moved ^ other).volume() for other in near)
            if overlap > GIVES_MM3:
                faults.append(f"{row['mark']}: {overlap:.0f} mm3 in the way {numpy.linalg.norm(stop):.0f} mm out")
                break
    return faults


def section_faults(name, points, triangles):
    mesh = trimesh.Trimesh(points, triangles, process=True)
    heights = numpy.arange(0.37 * LAYER_MM, mesh.bounds[1][2], LAYER_MM)
    faults = []
    for lines, height in zip(trimesh.intersections.mesh_multiplane(mesh, [0, 0, 0], [0, 0, 1], heights)[0], heights):
        ends = numpy.round(numpy.asarray(lines).reshape(-1, 2), 6)
        _, times = numpy.unique(ends, axis=0, return_counts=True)
        if len(ends) == 0 or (times % 2).any():
            faults.append(f"{name}: the section at {height:.2f} mm is not closed")
    return faults[:3]


def check(folder):
    report = json.loads((folder / "fitment.json").read_text(encoding="utf-8"))
    faults, parts = [], {}
    for row in report["parts"]:
        parts[row["mark"]] = loaded(folder / row["file"])
        faults += solid_faults(row["mark"], parts[row["mark"]], row["volume_mm3"])
        faults += mark_faults(row, parts[row["mark"]], report)
    for row in report["collars"]:
        faults += solid_faults(row["file"], loaded(folder / row["file"]), row["volume_mm3"])
    for file in report["cube"]["files"]:
        if file.endswith(".stl"):
            faults += solid_faults(file, loaded(folder / file))
    found, objects = plate_faults(folder, report, report["plates"], parts)
    faults += found
    faults += plate_faults(folder, report, report["collar_plates"], [])[0]
    scale = report["printer"]["scale"]
    for row in report["parts"]:
        if row["mark"] in objects:
            points, triangles = objects[row["mark"]]
            back = turned_back(points, row["to_header"], scale)
            own = numpy.asarray(parts[row["mark"]].vertices)
            off = max(far(back, own), far(own, back))
            if off > 1e-3:
                faults.append(f"{row['mark']}: put back it is off by {off:.5f} mm")
            faults += section_faults(row["mark"], points, triangles)
    faults += whole_faults(folder, report, parts)
    for joint in report["joints"]:
        faults += joint_faults(joint, parts)
    if report["variant"] == "solid":
        faults += passage_faults(report, parts)
    return faults


def main(folders):
    bad = 0
    for folder in map(pathlib.Path, folders):
        faults = check(folder)
        for fault in faults:
            print(f"{folder.name}: {fault}")
        print(f"{folder.name}: {'ok' if not faults else f'{len(faults)} faults'}")
        bad += len(faults)
    return 2 if not folders else 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
