"""Reads a packet's models/header.step with OCCT (PyPI cadquery-ocp; links none of our geometry).

    python step.py PACKET_DIR...

For each packet: the file loads and transfers without a warning or a fail; names and nesting are those
of report.json; each solid passes BRepCheck_Analyzer, is closed, of positive volume and has tolerances
no wider than a fresh one's; ShapeFix finds nothing to mend; its volume and area are report.json's
volume_mm3 and area_mm2 within 1e-6 of themselves where all cuts are square or planes, else 1e-5.
Prints a line for each solid; exit 1 on any fault, 2 without a packet.
"""

import json

from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance
from OCP.ShapeFix import ShapeFix_Shape
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDF import TDF_Label
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp_Explorer
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from OCP.collections import Sequence_TDF_Label

import packets

OWN_TOLERANCE_MM = 1e-7  # OCCT's Precision::Confusion, what a shape has that was never mended
FLAT = {"square", "plane"}


def name_of(label):
    held = TDataStd_Name()
    return held.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), held) else ""


def members(label):
    """The labels that an assembly uses, each resolved to what it stands for, in order."""
    used = Sequence_TDF_Label()
    XCAFDoc_ShapeTool.GetComponents_s(label, used)
    found = []
    for i in range(1, used.Length() + 1):
        product = TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(used.Value(i), product)
        found.append((name_of(used.Value(i)), product))
    return found


def explored(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def complaints(checks):
    """What the reader's own list of checks holds, in words."""
    told = []
    checks.Start()
    while checks.More():
        check = checks.Value()
        for count, text in ((check.NbFails(), check.CFail), (check.NbWarnings(), check.CWarning)):
            told += [text(i) for i in range(1, count + 1)]
        checks.Next()
    return told


def solid_faults(solid):
    """What OCCT finds wrong with a solid, in words."""
    faults = []
    if not BRepCheck_Analyzer(solid, True).IsValid():
        faults.append("not valid")
    shells = list(explored(solid, TopAbs_SHELL))
    if len(shells) != 1 or not BRep_Tool.IsClosed_s(shells[0]):
        faults.append("not one closed shell")
    widest = max(
        ShapeAnalysis_ShapeTolerance().Tolerance(solid, 1, kind)
        for kind in (TopAbs_FACE, TopAbs_EDGE, TopAbs_VERTEX)
    )
    if widest > 1.001 * OWN_TOLERANCE_MM:
        faults.append(f"a tolerance was widened to {widest:.1e} mm")
    if ShapeFix_Shape(solid).Perform():
        faults.append("needs mending")
    return faults


def measured(solid):
    volume, area = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, volume, 1e-9)
    BRepGProp.SurfaceProperties_s(solid, area, 1e-9)
    return volume.Mass(), area.Mass()


def piece_faults(label, piece):
    shape = XCAFDoc_ShapeTool.GetShape_s(label)
    solids = list(explored(shape, TopAbs_SOLID))
    if len(solids) != 1:
        return [f"{len(solids)} solids"], 0.0
    faults = solid_faults(solids[0])
    volume, area = measured(solids[0])
    flat = {piece["start_cut"]["kind"], piece["end_cut"]["kind"]} <= FLAT
    allowed = 1e-6 if flat else 1e-5
    off = volume / piece["volume_mm3"] - 1.0
    if not (volume > 0.0 and abs(off) <= allowed):
        faults.append(f"volume off by {off:.1e} of itself, allowed {allowed:.0e}")
    if "area_mm2" in piece:
        off_area = area / piece["area_mm2"] - 1.0
        off = max(abs(off), abs(off_area))
        if not abs(off_area) <= allowed:
            faults.append(f"area off by {off_area:.1e} of itself, allowed {allowed:.0e}")
    return faults, off


def plates(report):
    """The parts of plates, with the volume and area that their outlines have, and transitions."""
    parts = {}
    for owner, thickness, part in packets.plates(report):
        parts[part["mark"]] = {
            "group": owner,
            "volume_mm3": part["volume_mm3"],
            "area_mm2": 2.0 * part["area_mm2"] + part["perimeter"] * thickness,
            "start_cut": {"kind": "plane"},
            "end_cut": {"kind": "plane"},
        }
    for part in report.get("transitions", []):
        cut = {"kind": "faceted"}
        parts[part["mark"]] = {"group": "transitions", "volume_mm3": part["volume_mm3"], "start_cut": cut, "end_cut": cut}
    return parts


def check(packet):
    report = json.loads((packet / "report.json").read_text(encoding="utf-8"))
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    status = reader.ReadFile(str(packet / "models" / "header.step"))
    if status != IFSelect_ReturnStatus.IFSelect_RetDone:
        return [f"the file does not load: {status}"]
    session = reader.ChangeReader().WS()
    faults = complaints(session.ModelCheckList())
    if not reader.Transfer(document):
        return faults + ["the file does not transfer"]
    transfer = session.TransferReader()
    faults += complaints(transfer.CheckList(session.Model(), 0))
    faults += complaints(transfer.LastCheckList())

    shapes = Sequence_TDF_Label()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(shapes)
    if shapes.Length() != 1:
        return faults + [f"{shapes.Length()} roots, not one"]
    root = shapes.Value(1)
    if name_of(root) != report["spec"]:
        faults.append(f"the whole is named {name_of(root)!r}")
    pieces = {piece["mark"]: piece for piece in report["pieces"]} | plates(report)
    expected = {}
    for piece in report["pieces"]:
        owner = next(f"{table}.{piece[table]}" for table in ("run", "merge") if table in piece)
        expected.setdefault(owner, []).append(piece["mark"])
    for mark, part in plates(report).items():
        expected.setdefault(part["group"], []).append(mark)
    found = {}
    for group, label in members(root):
        found[group] = [mark for mark, _ in members(label)]
        for mark, product in members(label):
            if name_of(product) != mark:
                faults.append(f"{mark}: its product is named {name_of(product)!r}")
            if mark in pieces:
                wrong, off = piece_faults(product, pieces[mark])
                print(f"{report['spec']} {mark}: off by {off:.1e}: {'; '.join(wrong) or 'ok'}")
                faults += [f"{mark}: {fault}" for fault in wrong]
    if found != expected:
        faults.append(f"nested as {found}, not as {expected}")
    return faults


if __name__ == "__main__":
    packets.run("step.py", check)
