"""The way from the test cube to a true print, from outside: trimesh and libigl (PyPI), none of our geometry.

    python cube.py measured FITMENT_DIR X Y Z    what calipers read on the cube as a printer makes it that makes all X, Y
                                                 and Z times as large: "cube = [...]" for the shop file, to 0.01 mm
    python cube.py true FITMENT_DIR X Y Z        what that printer makes of the plates, against the parts: as large
                                                 within 0.02 mm in 200 mm
    python cube.py fit FITMENT_DIR               the loose spigot in each socket of the cube: the stated gap away from it

Exit 1 on any fault.
"""

import json
import pathlib
import sys

import numpy
import trimesh

from fitment import distances, loaded, plate_objects

CALIPERS_MM = 0.01
TRUE = 0.02 / 200.0
SINGLE_MM = 1e-3
FIT_MM = 0.003


def cube_and_spigot(folder):
    mesh = loaded(folder / "test/cube.stl")
    return sorted(mesh.split(), key=lambda body: -body.volume)


def across(mesh, axis):
    """From the largest flat square to an axis to the largest that looks the other way."""
    along = mesh.triangles_center[:, axis]
    places = []
    for sign in (-1.0, 1.0):
        flat = sign * mesh.face_normals[:, axis] > 0.99999
        stations, which = numpy.unique(numpy.round(along[flat], 4), return_inverse=True)
        places.append(stations[numpy.bincount(which, weights=mesh.area_faces[flat]).argmax()])
    return places[1] - places[0]


def measured(folder, printer):
    cube, _ = cube_and_spigot(folder)
    printed = trimesh.Trimesh(cube.vertices * printer, cube.faces, process=False)
    read = [CALIPERS_MM * round(across(printed, axis) / CALIPERS_MM) for axis in range(3)]
    print("cube = [" + ", ".join(f"{length:.2f}" for length in read) + "]")
    return []


def true(folder, printer):
    faults = []
    report = json.loads((folder / "fitment.json").read_text(encoding="utf-8"))
    objects = {}
    for row in report["plates"]:
        objects.update(plate_objects(folder / row["files"][0], faults))
    for row in report["parts"]:
        points, _ = objects[row["mark"]]
        turn = numpy.array(row["to_header"]["turn"]).reshape(3, 3)
        made = (points * printer) @ turn.T
        wanted = points / numpy.array(report["printer"]["scale"]) @ turn.T
        own = numpy.asarray(loaded(folder / row["file"]).vertices) - numpy.array(row["to_header"]["by"])
        if not numpy.allclose(wanted.min(axis=0), own.min(axis=0), atol=SINGLE_MM):
            faults.append(f"{row['mark']}: the plate does not hold the part")
        # Distances between its points: from one of them to all others, in the header's axes.
        for k in range(0, len(points), max(1, len(points) // 50)):
            size = numpy.linalg.norm(wanted - wanted[k], axis=1)
            off = abs(numpy.linalg.norm(made - made[k], axis=1) - size)
            if (off > TRUE * size + SINGLE_MM).any():
                worst = (off - TRUE * size).argmax()
                faults.append(f"{row['mark']}: {size[worst]:.2f} mm come out {off[worst]:.3f} mm off")
                break
    return faults


def fit(folder):
    faults, gaps = [], []
    cube, spigot = cube_and_spigot(folder)
    top = cube.bounds[1][2]
    pin = spigot.vertices[spigot.vertices[:, 2] > spigot.vertices[:, 2].max() - 1e-3]
    foot = min(z for z in numpy.unique(numpy.round(spigot.vertices[:, 2], 4)) if z > 1.0)
    loops = sorted(cube.section([0, 0, 1], [0, 0, top - 5.0]).discrete, key=len)
    sockets = [loop for loop in loops if numpy.ptp(loop, axis=0)[0] < 25.0]
    for socket in sockets:
        centre = 0.5 * (socket.min(axis=0) + socket.max(axis=0))[:2]
        own = 0.5 * (pin.min(axis=0) + pin.max(axis=0))[:2]
        # Along the pin's sides, at three heights; turned over about x, its foot on the cube's top.
        heights = numpy.linspace(foot + 0.5, pin[:, 2].max(), 3)
        outline = pin[numpy.linalg.norm(pin[:, :2] - own, axis=1) > 4.5]
        sides = numpy.vstack([numpy.column_stack([outline[:, :2], numpy.full(len(outline), z)]) for z in heights])
        put = numpy.column_stack(
            [centre[0] + sides[:, 0] - own[0], centre[1] - sides[:, 1] + own[1], top + foot - sides[:, 2]]
        )
        room = distances(put, cube)
        gaps.append(float(numpy.round(numpy.median(room), 3)))
        if room.max() - room.min() > 0.5 * room.min() + FIT_MM:
            faults.append(f"a socket is from {room.min():.4f} to {room.max():.4f} mm away")
    report = json.loads((folder / "fitment.json").read_text(encoding="utf-8"))
    if len(gaps) != len(report["cube"]["gaps"]) or (
        abs(numpy.sort(gaps) - numpy.sort(report["cube"]["gaps"])) > FIT_MM
    ).any():
        faults.append(f"gaps of {sorted(gaps)}, reported {report['cube']['gaps']}")
    return faults


def main(way, folder, *printer):
    folder = pathlib.Path(folder)
    ways = {"measured": measured, "true": true, "fit": fit}
    faults = ways[way](folder, *([numpy.array(printer, dtype=float)] if printer else []))
    for fault in faults:
        print(f"{folder.name}: {fault}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
