"""Audits every DXF of a packet with a general DXF library and compares its areas with the plan.

    python tools/audit_dxf.py PACKET_FOLDER PLAN_JSON

Each file: no error from the library's auditor, units set to millimetres, every edge of a blank or template a closed light
polyline or a circle, at least one of them. Each blank of the plan: one file whose outline and net area agree to 1e-6.
"""

import sys
from math import pi

import ezdxf
from ezdxf import recover

from blanks import BLANK_EDGES, TEMPLATE_EDGES, AuditError, CutOutlines, files_under, match, read_blanks, run
from loop_area import bulged_loop_mm2

MILLIMETRES = 4  # value of $INSUNITS in the DXF reference


def closed_area_mm2(path, entity):
    """Area of one closed outline; refuses what does not close."""
    if entity.dxftype() == "LWPOLYLINE" and entity.closed:
        return abs(bulged_loop_mm2(list(entity.get_points("xyb"))))
    if entity.dxftype() == "CIRCLE":
        return pi * entity.dxf.radius**2
    raise AuditError(f"{path}: {entity.dxftype()} on layer {entity.dxf.layer} is not a closed outline")


def edges_mm2(path, document, layers):
    """Areas of everything on some layers."""
    return [closed_area_mm2(path, entity) for entity in document.modelspace() if entity.dxf.layer in layers]


def read_outlines(path):
    """Edges of the blank in one DXF after the library's own audit, or `None` when it holds a template only."""
    try:
        document, auditor = recover.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        raise AuditError(f"{path}: cannot be read: {error}") from error
    faults = [*auditor.errors, *auditor.fixes]
    if faults:
        raise AuditError(f"{path}: {len(faults)} faults, first: {faults[0].message}")
    if document.units != MILLIMETRES:
        raise AuditError(f"{path}: $INSUNITS is {document.units}, want {MILLIMETRES} (millimetres)")
    areas = {names: edges_mm2(path, document, names) for names in (BLANK_EDGES, TEMPLATE_EDGES)}
    if not any(areas.values()):
        raise AuditError(f"{path}: nothing to cut; layers: {[layer.dxf.name for layer in document.layers]}")
    blank = areas[BLANK_EDGES]
    return CutOutlines(path, tuple(sorted(blank, reverse=True))) if blank else None


def audit(folder, plan_path):
    """Report lines for one packet."""
    drawings = [read_outlines(path) for path in files_under(folder, ".dxf")]
    return match(read_blanks(plan_path), [drawing for drawing in drawings if drawing is not None])


if __name__ == "__main__":
    sys.exit(run(audit, sys.argv))
