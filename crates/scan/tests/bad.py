"""Scans with one fault each, for bad.rs beside it: `python crates/scan/tests/bad.py` writes them into bad/.

They are made from tests/reference/scans by changing as little as shows the fault. Those that are plain text are
written here in full. With pye57 from PyPI the two E57 files that need a writer are made anew too.
"""

import struct
import sys
from pathlib import Path

FOLDER = Path(__file__).parent / "bad"
GOOD = Path(__file__).parents[3] / "tests/reference/scans"

FACET = "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"
PLY = "ply\nformat ascii 1.0\nelement vertex 3\nproperty double x\nproperty double y\nproperty double z\n"
FACES = "element face 1\nproperty list uchar int vertex_indices\nend_header\n"
CORNERS = "0 0 0\n1 0 0\n0 1 0\n"
TRIANGLE = "v 0 0 0\nv 1 0 0\nv 0 1 0\n"


def good(name):
    return (GOOD / name).read_bytes()


def patched(name, *patches):
    """The good file `name` with bytes at places replaced."""
    data = bytearray(good(name))
    for at, new in patches:
        data[at : at + len(new)] = new
    return bytes(data)


def real(value):
    return struct.pack("<f", value)


def double(value):
    return struct.pack("<d", value)


def count(value):
    return struct.pack("<I", value)


STL = {
    "empty.stl": b"",
    "nothing.stl": bytes(84),
    "nothing-text.stl": "solid a\nendsolid a\n",
    "short.stl": b"\x01" * 60,
    "truncated.stl": good("binary.stl")[:-70],
    "truncated-text.stl": "solid a\n" + FACET,
    "count-high.stl": patched("binary.stl", (80, count(4_000_000_000))),
    "count-low.stl": patched("binary.stl", (80, count(29))),
    "nan.stl": patched("binary.stl", (84 + 50 + 12, real(float("nan"))), (84 + 200 + 28, real(float("inf")))),
    "inf-text.stl": "solid a\n" + FACET + FACET.replace("vertex 1 0 0", "vertex inf 0 0") + "endsolid\n",
    "too-far.stl": patched("binary.stl", (84 + 12, real(3e30))),
    "four-corners.stl": "solid a\n" + FACET.replace("endloop", "vertex 0 0 1\nendloop") + "endsolid\n",
    "two-numbers.stl": "solid a\n" + FACET.replace("vertex 1 0 0", "vertex 1 0") + "endsolid\n",
    "number.stl": "solid a\n" + FACET.replace("vertex 1 0 0", "vertex 1 o 0") + "endsolid\n",
    "decimal-comma.stl": "solid a\n" + FACET.replace("vertex 1 0 0", "vertex 1,5 0 0") + "endsolid\n",
    "word.stl": "solid a\n" + FACET.replace("endfacet", "endfacets") + "endsolid\n",
    "prose.stl": "This is the scan of the left side.\n",
    "zip.stl": b"PK\x03\x04" + bytes(100),
    "step.stl": "ISO-10303-21;\nHEADER;\n",
    "is-ply.stl": PLY + FACES + CORNERS + "3 0 1 2\n",
    "is-xyz.stl": CORNERS,
    "is-las.stl": good("v1_2_format1.las"),
}

NAN = ("\n0 1 0\n", "\nnan 1 0\n")
PLYS = {
    "no-end.ply": PLY,
    "no-format.ply": PLY.replace("format ascii 1.0\n", "") + FACES + CORNERS + "3 0 1 2\n",
    "version.ply": PLY.replace("1.0", "2.0") + FACES + CORNERS + "3 0 1 2\n",
    "type.ply": PLY.replace("double x", "half x") + FACES + CORNERS + "3 0 1 2\n",
    "element-count.ply": PLY.replace("vertex 3", "vertex -3") + FACES + CORNERS + "3 0 1 2\n",
    "no-z.ply": PLY.replace("double z", "double height") + FACES + CORNERS + "3 0 1 2\n",
    "nothing.ply": PLY.replace("vertex 3", "vertex 0") + "end_header\n",
    "index.ply": PLY + FACES.replace("face 1", "face 2") + CORNERS + "3 0 1 2\n3 0 3 -1\n",
    "two-corners.ply": PLY + FACES + CORNERS + "2 0 1\n",
    "minus-corners.ply": PLY + FACES.replace("uchar", "char") + CORNERS + "-3 0 1 2\n",
    "no-list.ply": PLY + FACES.replace("vertex_indices", "corners") + CORNERS + "3 0 1 2\n",
    "twice.ply": (PLY + PLY[len("ply\nformat ascii 1.0\n") :] + FACES + CORNERS + CORNERS + "3 0 1 2\n"),
    "line-element.ply": "ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\nproperty float z\nelement edge 1\nproperty int vertex1\nproperty int vertex2\nend_header\n0 0 0\n1 0 0\n0 1\n",
    "edge-of-no-face.ply": PLY.replace("vertex 3", "vertex 5")
    + FACES.replace("end_header", "element edge 3\nproperty int vertex1\nproperty int vertex2\nend_header")
    + CORNERS + "9 0 0\n9 9 0\n3 0 1 2\n1 0\n2 3\n3 4\n",
    "edge-of-no-points.ply": PLY
    + FACES.replace("end_header", "element edge 1\nproperty int vertex1\nproperty int red\nend_header")
    + CORNERS + "3 0 1 2\n1 0\n",
    "strips.ply": PLY + FACES.replace("face", "tristrips") + CORNERS + "3 0 1 2\n",
    "row-short.ply": PLY + FACES + CORNERS + "3 0 1\n",
    "row-long.ply": PLY + FACES + CORNERS.replace("1 0 0", "1 0 0 5") + "3 0 1 2\n",
    "half-index.ply": PLY + FACES + CORNERS + "3 0 1 1.5\n",
    "decimal-comma.ply": PLY + FACES + CORNERS.replace("1 0 0", "1,5 0 0") + "3 0 1 2\n",
    "nan.ply": PLY + FACES + CORNERS.replace(*NAN) + "3 0 1 2\n",
    "truncated-text.ply": PLY + FACES.replace("face 1", "face 2") + CORNERS.replace("0", "0.0000") + "3 0 1 2\n",
    "goes-on.ply": PLY + FACES + CORNERS + "3 0 1 2\n3 0 2 1\n",
    "count-high.ply": PLY.replace("vertex 3", "vertex 4000000000000") + FACES + CORNERS + "3 0 1 2\n",
    "truncated.ply": good("big_double.ply")[:-3],
    "count-low.ply": good("big_double.ply").replace(b"element face 22", b"element face 21"),
    "binary-count-high.ply": good("cloud.ply").replace(b"element vertex 40", b"element vertex 18446744073709551615"),
    "prose.ply": "polygons of the left side\n",
}

OBJS = {
    "nothing.obj": "# nothing here\no empty\n",
    "index.obj": TRIANGLE + "f 1 2 3\nf 1 2 4\nf -4 1 2\n",
    "zero.obj": TRIANGLE + "f 0 1 2\n",
    "corner.obj": TRIANGLE + "f 1 2 a/3\n",
    "two-corners.obj": TRIANGLE + "f 1 2\n",
    "two-numbers.obj": TRIANGLE + "v 1 2\n",
    "number.obj": TRIANGLE + "v 1 2 z\n",
    "decimal-comma.obj": TRIANGLE + "v 1 2,5 3\n",
    "nan.obj": TRIANGLE + "v NaN 0 0\nf 1 2 3\n",
    "word.obj": TRIANGLE + "w 1 2 3\nf 1 2 3\n",
    "line-element.obj": "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\nl 1 2\n",
    "free-form.obj": TRIANGLE + "cstype bspline\ndeg 3\nf 1 2 3\n",
    "bytes.obj": TRIANGLE.encode() + b"\x00\x01\x02",
    "is-stl.obj": "solid a\n" + FACET + "endsolid\n",
}

XYZS = {
    "nothing.xyz": "# x y z\n\n",
    "two-numbers.xyz": "1 2 3\n4 5\n",
    "count-first.xyz": "2\n1 2 3\n4 5 6\n",
    "word.xyz": "x y z\n1 2 three\n",
    "nan.xyz": "1 2 3\nnan 2 3\n1 inf 3\n",
    "too-far.xyz": "1 2 3\n1e13 2 3\n",
    "decimal-comma.xyz": "x;y;z\n1,5;2,5;3,5\n",
    "decimal-comma-blank.xyz": "1 2 3\n1,5 2,5 3,5\n",
    "decimal-comma-comma.xyz": "1,50,2,50,3,50\n1,05,2,05,3,05\n",
    "empty-field.xyz": "1;;3\n",
    "utf-16.xyz": "1 2 3\n".encode("utf-16"),
    "is-obj.xyz": TRIANGLE + "f 1 2 3\n",
    "is-e57.xyz": good("scaled.e57"),
    "bytes.xyz": b"1 2 3\n\x00\x00\x00",
    "web-page.xyz": "<!DOCTYPE html>\n<html></html>\n",
}

# Bytes of the head: version 24, begin 96, format 104, record 105, count 107, scale 131, offset 155.
V12, V14 = "v1_2_format1.las", "v1_4_format6.las"
LASS = {
    "prose.las": "points of the left side\n" * 20,
    "short.las": good(V12)[:100],
    "truncated.las": good(V12)[:-10],
    "truncated-1-4.las": good(V14)[:1000],
    "count-high.las": patched(V12, (107, count(4_000_000_000))),
    "count-low.las": patched(V12, (107, count(39))),
    "counts-differ.las": patched(V14, (107, count(39))),
    "nothing.las": patched(V12, (107, count(0))),
    "version.las": patched(V12, (24, b"\x02")),
    "compressed.las": patched(V12, (104, b"\x81")),
    "format.las": patched(V12, (104, b"\x0b")),
    "record.las": patched(V12, (105, b"\x1b\x00")),
    "begin.las": patched(V12, (96, count(100))),
    "scale.las": patched(V12, (131, double(0.0))),
    "offset.las": patched(V12, (155, double(float("nan")))),
    "too-far.las": patched(V12, (131, double(1e9))),
}

E57S = {
    "prose.e57": "points of the left side\n" * 20,
    "short.e57": good("doubles.e57")[:40],
    "truncated.e57": good("doubles.e57")[:2048],
    "longer.e57": good("doubles.e57") + bytes(1024),
    "checksum.e57": patched("doubles.e57", (400, b"\xaa")),
    "xml.e57": patched("doubles.e57", (24, struct.pack("<QQ", 1500, 50_000_000))),
}


def e57():
    """Two that a writer makes with fault and all."""
    sys.path.insert(0, str(GOOD.parent))
    import pye57
    import scans
    from pye57 import libe57

    for name, rotation, states in [("pose.e57", [0.5, 0.0, 0.0, 0.0], [0, 0, 2]), ("all-invalid.e57", None, [1, 2, 2])]:
        (FOLDER / name).unlink(missing_ok=True)
        with pye57.E57(str(FOLDER / name), mode="w") as file:
            real = lambda: libe57.FloatNode(file.image_file, 0.0, libe57.E57_DOUBLE, -9.0, 9.0)
            columns = {f"cartesian{axis}": (real(), [0.0, 1.0, 2.0]) for axis in "XYZ"}
            columns["cartesianInvalidState"] = (libe57.IntegerNode(file.image_file, 0, 0, 2), states)
            pose = rotation and (rotation, [0.0, 0.0, 0.0])
            scans.e57_cloud(file, 0, columns, pose)


FOLDER.mkdir(exist_ok=True)
for files in [STL, PLYS, OBJS, XYZS, LASS, E57S]:
    for name, content in files.items():
        (FOLDER / name).write_bytes(content if isinstance(content, bytes) else content.encode())
try:
    e57()
except ImportError as missing:
    print(f"the two files that pye57 makes stay as they are: {missing}")
