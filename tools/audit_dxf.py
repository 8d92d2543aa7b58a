"""Audits every DXF of a packet with a general DXF library and compares its areas with the plan.

    python tools/audit_dxf.py PACKET_FOLDER PLAN_JSON

Each file: no error from the library's auditor, units set to millimetres, every outline on a cut layer a closed light
polyline or a circle, at least one of them. Each blank of the plan: one file whose outline and net area agree to 1e-6.
"""

import re
import sys
from math import pi

import ezdxf
from ezdxf import recover

from blanks import AuditError, CutOutlines, files_under, match, read_blanks, run
from loop_area import bulged_loop_mm2

CUT_LAYER = re.compile(r"cut|outline", re.IGNORECASE)
MILLIMETRES = 4  # value of $INSUNITS in the DXF reference


def cut_area_mm2(path, entity):
    """Area of one closed outline; refuses anything on a cut layer that does not close."""
    if entity.dxftype() == "LWPOLYLINE" and entity.closed:
        return abs(bulged_loop_mm2(list(entity.get_points("xyb"))))
    if entity.dxftype() == "CIRCLE":
        return pi * entity.dxf.radius**2
    raise AuditError(f"{path}: {entity.dxftype()} on layer {entity.dxf.layer} is not a closed outline")


def read_outlines(path):
    """Cut outlines of one DXF, after the library's own audit."""
    try:
        document, auditor = recover.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        raise AuditError(f"{path}: cannot be read: {error}") from error
    faults = [*auditor.errors, *auditor.fixes]
    if faults:
        raise AuditError(f"{path}: {len(faults)} faults, first: {faults[0].message}")
    if document.units != MILLIMETRES:
        raise AuditError(f"{path}: $INSUNITS is {document.units}, want {MILLIMETRES} (millimetres)")
    areas = [cut_area_mm2(path, e) for e in document.modelspace() if CUT_LAYER.search(e.dxf.layer)]
    if not areas:
        raise AuditError(f"{path}: nothing on a cut layer; layers: {[layer.dxf.name for layer in document.layers]}")
    return CutOutlines(path, tuple(sorted(areas, reverse=True)))


def audit(folder, plan_path):
    """Report lines for one packet."""
    return match(read_blanks(plan_path), [read_outlines(path) for path in files_under(folder, ".dxf")])


if __name__ == "__main__":
    sys.exit(run(audit, sys.argv))
