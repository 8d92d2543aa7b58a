"""The blanks of a plan, as `soundmetal plan JOB --json` prints them, and what the audits compare with them."""

import json
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import Polygon

from loop_area import relative_difference

# Areas of DXF, SVG and plan must agree to this, relative.
AREA_TOLERANCE = 1e-6

# Names of crates/packet/src/drawing/layer.rs, as DXF layers and SVG classes: edges of a blank, edges of a template.
BLANK_EDGES = frozenset({"cut", "hole"})
TEMPLATE_EDGES = frozenset({"template"})


@dataclass(frozen=True)
class Blank:
    """One developed piece: its name, the area inside its outline and the net area that the plan states, mm²."""

    piece: str
    outline_mm2: float
    net_mm2: float


@dataclass(frozen=True)
class CutOutlines:
    """Closed outlines on the cutting layers of one drawing: areas without sign, largest first, mm²."""

    path: Path
    areas_mm2: tuple[float, ...]

    @property
    def outline_mm2(self):
        return self.areas_mm2[0]

    @property
    def net_mm2(self):
        return self.areas_mm2[0] - sum(self.areas_mm2[1:])


class AuditError(Exception):
    """Something in the program's output is not as it must be."""


def point(value):
    """A point of the plan as (x, y), mm, whether written as a pair or with named members."""
    return (value["x"], value["y"]) if isinstance(value, dict) else tuple(value)


def objects_with(value, keys):
    """Every object in a JSON value that has all of `keys`, wherever it stands."""
    if isinstance(value, dict):
        if all(key in value for key in keys):
            yield value
        for child in value.values():
            yield from objects_with(child, keys)
    elif isinstance(value, list):
        for child in value:
            yield from objects_with(child, keys)


def read_blanks(plan_path):
    """Blanks of a plan; refuses a plan without any, or with an outline that is not a simple polygon."""
    plan = json.loads(Path(plan_path).read_text(encoding="utf-8"))
    blanks = []
    for found in objects_with(plan, ("piece", "outline_mm", "area_mm2")):
        polygon = Polygon([point(p) for p in found["outline_mm"]])
        if not polygon.is_valid:
            raise AuditError(f"{plan_path}: the outline of {found['piece']} is not a simple polygon")
        blanks.append(Blank(found["piece"], polygon.area, found["area_mm2"]))
    if not blanks:
        raise AuditError(f"{plan_path}: no blank with piece, outline_mm and area_mm2")
    return blanks


def match(blanks, drawings):
    """Pairs every blank with a drawing of its own whose outline and net area agree with it; returns report lines.

    Drawings may outnumber blanks (templates are drawings too); a blank without a drawing, or a drawing named as a
    blank without a place in the plan, is an error.
    """
    left = list(drawings)
    lines = []
    for blank in blanks:
        fitting = [d for d in left if relative_difference(d.outline_mm2, blank.outline_mm2) <= AREA_TOLERANCE]
        if not fitting:
            nearest = min(left, key=lambda d: relative_difference(d.outline_mm2, blank.outline_mm2), default=None)
            found = "no drawing left" if nearest is None else f"nearest is {nearest.path} with {nearest.outline_mm2!r}"
            raise AuditError(f"{blank.piece}: outline of {blank.outline_mm2!r} mm² is in no drawing; {found}")
        drawing = min(fitting, key=lambda d: relative_difference(d.net_mm2, blank.net_mm2))
        off = relative_difference(drawing.net_mm2, blank.net_mm2)
        if off > AREA_TOLERANCE:
            raise AuditError(
                f"{drawing.path}: net area {drawing.net_mm2!r} mm², the plan says {blank.net_mm2!r} for {blank.piece}"
            )
        left.remove(drawing)
        lines.append(f"{drawing.path.name}: {blank.piece}, net {blank.net_mm2:.3f} mm², off by {off:.1e}")
    strays = [str(d.path) for d in left if "blank" in d.path.stem.lower()]
    if strays:
        raise AuditError(f"named as blanks but not in the plan: {', '.join(strays)}")
    return lines


def files_under(folder, ending):
    """Files of one kind in a packet; refuses a packet without any."""
    found = sorted(Path(folder).rglob(f"*{ending}"))
    if not found:
        raise AuditError(f"{folder}: the packet has no {ending} file")
    return found


def run(audit, argv):
    """Runs `audit(folder, plan)` and turns an audit error into one line and exit code 1."""
    import sys

    if len(argv) != 3:
        print(f"usage: {Path(argv[0]).name} PACKET_FOLDER PLAN_JSON", file=sys.stderr)
        return 2
    try:
        for line in audit(argv[1], argv[2]):
            print(line)
    except AuditError as error:
        print(error, file=sys.stderr)
        return 1
    return 0
