"""Small scans written by other programs' libraries, and what those libraries read back from them.

Run in a Python with trimesh, scipy, plyfile, laspy and pye57 from PyPI (made with trimesh 5.2.0, plyfile 1.1.5,
laspy 2.7.0, pye57 0.4.19):

    python tests/reference/scans.py

It writes scans/<name>.<format> and scans/<name>.<format>.csv beside itself, for crates/scan/tests/written.rs.
A CSV has a line for each triangle (`triangle` and its corners' nine coordinates, in order), each point of no
triangle (`point` and three coordinates, in order), and `skipped` with a count. All shapes are invented.
"""

from pathlib import Path

import laspy
import numpy as np
import pye57
import trimesh
from plyfile import PlyData, PlyElement, PlyListProperty
from pye57 import libe57

FOLDER = Path(__file__).parent / "scans"
RNG = np.random.default_rng(20260101)


def expect(name, triangles=(), points=(), skipped=0):
    """Writes the CSV beside the scan `name`."""
    rows = [("triangle", *np.ravel(t)) for t in triangles] + [("point", *p) for p in points]
    lines = [",".join([kind, *(repr(float(v)) for v in values)]) for kind, *values in rows]
    lines.append(f"skipped,{skipped}")
    (FOLDER / f"{name}.csv").write_text("\n".join(lines) + "\n")


def bracket():
    """A dented sheet of 32 triangles with a hole, and coordinates that single precision cannot hold."""
    n = 5
    x, y = np.meshgrid(np.arange(n), np.arange(n), indexing="ij")
    points = np.stack([x * 12.1, y * 7.3, np.sin(x * 1.0) * np.cos(y * 2.0) * 9.7], -1).reshape(-1, 3)
    at = (x[:-1, :-1] * n + y[:-1, :-1]).ravel()[[k for k in range(16) if k != 5]]
    faces = np.concatenate([np.stack([at, at + n, at + 1], 1), np.stack([at + 1, at + n, at + n + 1], 1)])
    return points - [20.0, 10.0, 0.0], faces


POINTS, FACES = bracket()
CLOUD = RNG.normal(size=(40, 3)) * [300.0, 100.0, 20.0] + [1000.0, 0.0, -200.0]


def stl():
    mesh = trimesh.Trimesh(POINTS, FACES, process=False)
    for name, kind in [("binary.stl", "stl"), ("text.stl", "stl_ascii")]:
        written = mesh.export(file_type=kind)
        (FOLDER / name).write_bytes(written if isinstance(written, bytes) else written.encode())
    binary = trimesh.load(FOLDER / "binary.stl", process=False)
    expect("binary.stl", binary.triangles)
    text = trimesh.load(FOLDER / "text.stl", process=False, file_type="stl_ascii")
    expect("text.stl", text.triangles)


def vertices(kind, extra=()):
    fields = [("x", kind), ("y", kind), ("z", kind), *extra]
    out = np.zeros(len(POINTS), dtype=fields)
    scale = 100.0 if np.dtype(kind).kind == "i" else 1.0
    for axis, column in zip("xyz", (POINTS * scale).T):
        out[axis] = column.round() if scale > 1 else column
    for field, _ in extra:
        out[field] = RNG.integers(0, 255, len(out))
    return out


def fanned(points, polygons):
    """Triangles of polygons, all from the first corner."""
    corners = [(p[0], p[k], p[k + 1]) for p in polygons for k in range(1, len(p) - 1)]
    return [points[list(c)] for c in corners]


def plain(points):
    return np.stack([points["x"], points["y"], points["z"]], -1).astype(float)


def ply():
    polygons = [FACES[k] for k in range(0, 20)] + [np.array([0, 5, 6, 1]), np.array([10, 15, 20, 21, 16, 11])]
    used = set(np.concatenate(polygons).tolist())

    def faces(kind):
        out = np.empty(len(polygons), dtype=[("flags", "u1"), ("vertex_indices", "O"), ("weight", "f8")])
        for k, polygon in enumerate(polygons):
            out[k] = (k % 7, polygon.astype(kind), 0.5 * k)
        return PlyElement.describe(out, "face", val_types={"vertex_indices": kind}, len_types={"vertex_indices": "u1"})

    edge = np.array([(0, 1), (1, 2)], dtype=[("vertex1", "i4"), ("vertex2", "i4")])
    other = np.empty(2, dtype=[("note", "O"), ("at", "f4")])
    other[0] = (np.array([1.5, 2.5], dtype="f4"), 3.0)
    other[1] = (np.array([], dtype="f4"), 4.0)
    cases = [
        ("little_float.ply", "f4", "i4", dict(text=False, byte_order="<")),
        ("big_double.ply", "f8", "u2", dict(text=False, byte_order=">")),
        ("big_short.ply", "i2", "u1", dict(text=False, byte_order=">")),
        ("text_double.ply", "f8", "i4", dict(text=True)),
        ("text_int.ply", "i4", "u4", dict(text=True)),
    ]
    for name, real, whole, how in cases:
        points = PlyElement.describe(vertices(real, [("red", "u1"), ("nx", "f8")]), "vertex")
        notes = PlyElement.describe(other, "note", val_types={"note": "f4"}, len_types={"note": "u2"})
        parts = [PlyElement.describe(edge, "edge"), points, notes, faces(whole)]
        PlyData(parts, comments=["invented"], obj_info=["none"], **how).write(str(FOLDER / name))
        back = PlyData.read(str(FOLDER / name))
        points = plain(back["vertex"].data)
        triangles = fanned(points, back["face"]["vertex_indices"])
        expect(name, triangles, [p for k, p in enumerate(points) if k not in used])
    cloud = np.array([tuple(p) for p in CLOUD], dtype=[("z", "f8"), ("x", "f8"), ("y", "f8")])
    PlyData([PlyElement.describe(cloud, "vertex")], byte_order="<").write(str(FOLDER / "cloud.ply"))
    expect("cloud.ply", points=plain(PlyData.read(str(FOLDER / "cloud.ply"))["vertex"].data))
    mesh = trimesh.Trimesh(POINTS, FACES, process=False)
    (FOLDER / "mesh.ply").write_bytes(mesh.export(file_type="ply"))
    expect("mesh.ply", trimesh.load(FOLDER / "mesh.ply", process=False).triangles)


def obj():
    mesh = trimesh.Trimesh(POINTS, FACES, process=False)
    mesh.visual = trimesh.visual.TextureVisuals(uv=RNG.random((len(POINTS), 2)))
    (FOLDER / "mesh.obj").write_text(mesh.export(file_type="obj", include_normals=True, digits=12))
    back = trimesh.load(FOLDER / "mesh.obj", process=False)
    expect("mesh.obj", back.triangles)


def xyz():
    for name, part in [("blank.xyz", " "), ("comma.xyz", ", "), ("semicolon.xyz", ";"), ("tab.xyz", "\t")]:
        extra = RNG.integers(0, 255, (len(CLOUD), 3))
        np.savetxt(FOLDER / name, np.hstack([CLOUD, extra]), fmt="%.17g", delimiter=part, header="x y z r g b")
        expect(name, points=np.loadtxt(FOLDER / name, delimiter=part.strip(" ") or None)[:, :3])
    cloud = trimesh.PointCloud(CLOUD)
    (FOLDER / "cloud.xyz").write_text(cloud.export(file_type="xyz"))
    expect("cloud.xyz", points=trimesh.load(FOLDER / "cloud.xyz").vertices)


def e57_cloud(file, number, columns, pose):
    """One cloud; `columns` are {field: (node of the prototype, values)}."""
    image = file.image_file
    scan = libe57.StructureNode(image)
    scan.set("guid", libe57.StringNode(image, f"{{00000000-0000-0000-0000-{number:012}}}"))
    scan.set("name", libe57.StringNode(image, f"invented {number}"))
    if pose:
        node, rotation, translation = (libe57.StructureNode(image) for _ in range(3))
        for key, value in zip("wxyz", pose[0]):
            rotation.set(key, libe57.FloatNode(image, value))
        for key, value in zip("xyz", pose[1]):
            translation.set(key, libe57.FloatNode(image, value))
        scan.set("pose", node)
        node.set("rotation", rotation)
        node.set("translation", translation)
    prototype = libe57.StructureNode(image)
    for field, (node, _) in columns.items():
        prototype.set(field, node)
    points = libe57.CompressedVectorNode(image, prototype, libe57.VectorNode(image, True))
    scan.set("points", points)
    file.data3d.append(scan)
    count = len(next(iter(columns.values()))[1])
    arrays, buffers = file.make_buffers(list(columns), count)
    for field, (_, values) in columns.items():
        arrays[field][:] = values
    writer = points.writer(buffers)
    writer.write(count)
    writer.close()


def e57():
    def real(file, low=-1e4, high=1e4, precision=libe57.E57_DOUBLE):
        return libe57.FloatNode(file.image_file, 0.0, precision, low, high)

    def write(name, *clouds):
        path = FOLDER / name
        path.unlink(missing_ok=True)
        with pye57.E57(str(path), mode="w") as file:
            for number, (make, pose) in enumerate(clouds):
                e57_cloud(file, number, make(file), pose)
        with pye57.E57(str(path)) as file:
            points, skipped = [], 0
            for k in range(file.scan_count):
                read = file.read_scan(k, ignore_missing_fields=True)
                points += list(np.stack([read["cartesianX"], read["cartesianY"], read["cartesianZ"]], -1))
                skipped += file.get_header(k).point_count
        expect(name, points=points, skipped=skipped - len(points))

    metres = CLOUD / 1000.0
    turn = np.array([0.8, 0.2, -0.4, 0.4])
    turn /= np.linalg.norm(turn)

    def doubles(file):
        state = libe57.IntegerNode(file.image_file, 0, 0, 2)
        values = {f"cartesian{axis}": (real(file), column) for axis, column in zip("XYZ", metres.T)}
        return values | {"cartesianInvalidState": (state, np.arange(len(metres)) % 3 // 2 * 2)}

    def singles(file):
        columns = zip("XYZ", metres.T)
        values = {f"cartesian{a}": (real(file, -1e3, 1e3, libe57.E57_SINGLE), c) for a, c in columns}
        row = libe57.IntegerNode(file.image_file, 0, 0, 0)
        return values | {"rowIndex": (row, np.zeros(len(metres)))}

    def scaled(file):
        node = lambda: libe57.ScaledIntegerNode(file.image_file, 0, -(2**20), 2**20, 0.0001, 0.25)
        return {f"cartesian{a}": (node(), (c - 0.25).round(4) + 0.25) for a, c in zip("XYZ", metres.T)}

    def spherical(file):
        distance = np.linalg.norm(metres, axis=1)
        azimuth = np.arctan2(metres[:, 1], metres[:, 0])
        return {
            "sphericalRange": (real(file, 0.0), distance),
            "sphericalAzimuth": (real(file, -4.0, 4.0), azimuth),
            "sphericalElevation": (real(file, -2.0, 2.0), np.arcsin(metres[:, 2] / distance)),
            "sphericalInvalidState": (libe57.IntegerNode(file.image_file, 0, 0, 2), np.arange(len(metres)) // 30),
        }

    write("doubles.e57", (doubles, None))
    write("singles.e57", (singles, (turn, [1.5, -2.0, 0.25])))
    write("scaled.e57", (scaled, None))
    write("several.e57", (doubles, (turn, [0.0, 0.0, 10.0])), (spherical, ([1.0, 0.0, 0.0, 0.0], [5.0, 0.0, 0.0])))


def las():
    cases = [("1.1", 0), ("1.2", 1), ("1.2", 3), ("1.3", 5), ("1.4", 6), ("1.4", 7), ("1.4", 10)]
    for version, kind in cases:
        name = f"v{version.replace('.', '_')}_format{kind}.las"
        header = laspy.LasHeader(version=version, point_format=kind)
        header.offsets, header.scales = [1000.0, -5.5, 0.25], [0.001, 0.0005, 0.01]
        header.vlrs.append(laspy.VLR("invented", 7, "", b"12345"))
        if version == "1.4":
            header.evlrs = laspy.vlrs.vlrlist.VLRList([laspy.VLR("invented", 8, "", bytes(200))])
        header.add_extra_dim(laspy.ExtraBytesParams(name="quality", type="u2"))
        data = laspy.LasData(header)
        data.xyz = CLOUD
        data.withheld[::9] = 1
        data.write(str(FOLDER / name))
        back = laspy.read(str(FOLDER / name))
        kept = np.asarray(back.withheld) == 0
        expect(name, points=np.asarray(back.xyz)[kept], skipped=int((~kept).sum()))


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for make in [stl, ply, obj, xyz, e57, las]:
        make()
