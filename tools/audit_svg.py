"""Audits every SVG of a packet with a general SVG reader and compares its areas with the plan.

    python tools/audit_svg.py PACKET_FOLDER PLAN_JSON

Each file: width and height in millimetres, drawn at 1:1. Each blank of the plan: one file whose cut outlines have its
outline and net area to 1e-6.
"""

import re
import sys
from io import StringIO
from xml.etree import ElementTree

from svgelements import SVG, Arc, Close, CubicBezier, Group, Line, Move, Path, QuadraticBezier, Shape

from blanks import BLANK_EDGES, AuditError, CutOutlines, files_under, match, read_blanks, run
from loop_area import relative_difference, segment_mm2, straight_mm2

MILLIMETRES = re.compile(r"([0-9.]+(?:e-?[0-9]+)?)mm")

# Gauss-Legendre nodes and weights on 0..1, four points: exact for the area of a cubic Bézier (degree 5).
GAUSS = (
    (0.06943184420297371, 0.17392742256872692),
    (0.33000947820757187, 0.32607257743127307),
    (0.6699905217924281, 0.32607257743127307),
    (0.9305681557970263, 0.17392742256872692),
)


def bezier_mm2(points):
    """Contribution of a Bézier curve of degree 2 or 3 to the area, by quadrature that is exact for it."""
    total = 0.0
    for t, weight in GAUSS:
        current = [complex(p.x, p.y) for p in points]
        degree = len(current) - 1
        while len(current) > 2:
            current = [a + (b - a) * t for a, b in zip(current, current[1:])]
        place, velocity = current[0] + (current[1] - current[0]) * t, degree * (current[1] - current[0])
        total += weight * (place.real * velocity.imag - place.imag * velocity.real) / 2
    return total


def piece_mm2(path, segment):
    """Contribution of one segment of a path."""
    if isinstance(segment, (Line, Close)):
        return straight_mm2(segment.start, segment.end)
    if isinstance(segment, Arc):
        if abs(segment.rx - segment.ry) > 1e-9 * segment.rx:
            raise AuditError(f"{path}: an elliptical arc in a cut outline")
        return straight_mm2(segment.start, segment.end) + segment_mm2(segment.rx, segment.sweep)
    if isinstance(segment, QuadraticBezier):
        return bezier_mm2((segment.start, segment.control, segment.end))
    if isinstance(segment, CubicBezier):
        return bezier_mm2((segment.start, segment.control1, segment.control2, segment.end))
    raise AuditError(f"{path}: a cut outline has a {type(segment).__name__}")


def loops_mm2(path, shape):
    """Areas of the closed loops of one shape; refuses an open one."""
    for loop in Path(shape).as_subpaths():
        segments = [segment for segment in loop if not isinstance(segment, Move)]
        if not segments:
            continue
        if segments[0].start != segments[-1].end:
            raise AuditError(f"{path}: a cut outline does not close")
        yield abs(sum(piece_mm2(path, segment) for segment in segments))


def cut_shapes(element, inside_cut=False):
    """Shapes that carry the cut class, themselves or through a group around them."""
    cut = inside_cut or not BLANK_EDGES.isdisjoint(str(element.values.get("class") or "").split())
    if isinstance(element, Group):
        for child in element:
            yield from cut_shapes(child, cut)
    elif cut and isinstance(element, Shape):
        yield element


def length_mm(path, root, name):
    """Width or height of the drawing, which must be given in millimetres."""
    written = MILLIMETRES.fullmatch(root.get(name, ""))
    if written is None:
        raise AuditError(f"{path}: {name} is {root.get(name)!r}, want millimetres")
    return float(written[1])


def read_outlines(path):
    """Cut outlines of one SVG, or `None` when it has none (a picture of the finished piece, say)."""
    root = ElementTree.parse(path).getroot()
    size_mm = [length_mm(path, root, name) for name in ("width", "height")]
    view = [float(number) for number in root.get("viewBox", "").replace(",", " ").split()]
    if len(view) != 4:
        raise AuditError(f"{path}: no viewBox of four numbers")
    scales = [size / units for size, units in zip(size_mm, view[2:])]
    if relative_difference(*scales) > 1e-9:
        raise AuditError(f"{path}: {scales[0]!r} mm a unit across but {scales[1]!r} up")
    # the reader's own millimetre is off by 5e-7, so it is given user units and the scale is applied here
    root.set("width", str(view[2]))
    root.set("height", str(view[3]))
    drawing = SVG.parse(StringIO(ElementTree.tostring(root, encoding="unicode")), reify=True)
    areas = [area * scales[0] ** 2 for shape in cut_shapes(drawing) for area in loops_mm2(path, shape)]
    return CutOutlines(path, tuple(sorted(areas, reverse=True))) if areas else None


def audit(folder, plan_path):
    """Report lines for one packet."""
    drawings = [read_outlines(path) for path in files_under(folder, ".svg")]
    return match(read_blanks(plan_path), [drawing for drawing in drawings if drawing is not None])


if __name__ == "__main__":
    sys.exit(run(audit, sys.argv))
