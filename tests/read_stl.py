"""Reads STL files with trimesh and prints for each: path, whether it is watertight, how many closed
bodies it holds, its volume in mm3."""

import sys

import trimesh

for path in sys.argv[1:]:
    mesh = trimesh.load(path, file_type="stl")
    bodies = mesh.body_count
    print(path, mesh.is_watertight and mesh.is_winding_consistent, bodies, repr(float(mesh.volume)), sep="\t")
