"""The audits prove themselves: each accepts a right file and refuses one wrong in each way it looks for.

    python -m unittest discover -s tools
"""

import json
import tempfile
import unittest
from math import pi
from pathlib import Path

import ezdxf

import audit_dxf
import audit_pdf
import audit_svg
from blanks import AuditError

# A 200 x 80 mm plate whose right end is a half circle of radius 40, with a 10 mm hole at (50, 40).
OUTLINE_MM2 = 160 * 80 + pi * 40**2 / 2
HOLE_MM2 = pi * 5**2
# the plan's outline is a polygon: chords of 0.01° keep its area within 1e-6 of the true one
STEPS = 18_000


def plan_text(net_mm2=OUTLINE_MM2 - HOLE_MM2):
    from math import cos, sin

    arc = [(160 + 40 * sin(pi * i / STEPS), 40 - 40 * cos(pi * i / STEPS)) for i in range(STEPS + 1)]
    return json.dumps({"blanks": [{"piece": "plate", "outline_mm": [(0, 0), *arc, (0, 80)], "area_mm2": net_mm2}]})


def write_dxf(path, *, units=4, closed=True, bulge=1.0, layer="cut"):
    document = ezdxf.new("R2010", units=units)
    document.layers.add(layer)
    space = document.modelspace()
    points = [(0, 0, 0), (160, 0, bulge), (160, 80, 0), (0, 80, 0)]
    space.add_lwpolyline(points, format="xyb", close=closed, dxfattribs={"layer": layer})
    space.add_circle((50, 40), 5, dxfattribs={"layer": "hole" if layer == "cut" else layer})
    document.saveas(path)


def svg_text(*, size="200mm", view="0 0 200 80", css_class="cut", end="Z", transform=""):
    return f"""<svg xmlns="http://www.w3.org/2000/svg" width="{size}" height="80mm" viewBox="{view}">
      <g class="{css_class}" transform="{transform}"><path d="M0 0 H160 A40 40 0 0 1 160 80 H0 {end}"/>
      <circle cx="50" cy="40" r="5"/></g><path class="fold" d="M10 0 V80"/></svg>"""


def pdf_bytes(*, bar_pt=100 / 25.4 * 72, words="check bar 100 mm", size=(595.276, 841.89), user_unit=1):
    content = f"BT /F1 12 Tf 50 60 Td ({words}) Tj ET 50 50 m {50 + bar_pt} 50 l S".encode()
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>"
    page = (
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {size[0]} {size[1]}] /UserUnit {user_unit} "
        "/Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>"
    ).encode()
    stream = b"<< /Length %d >>\nstream\n%s\nendstream" % (len(content), content)
    bodies = [b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>", page, stream, font]
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(bodies, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return out + b"xref\n0 6\n0000000000 65535 f \n%strailer << /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF" % (
        table,
        len(out),
    )


class Packet(unittest.TestCase):
    def setUp(self):
        place = tempfile.TemporaryDirectory()
        self.addCleanup(place.cleanup)
        self.folder = Path(place.name)
        self.plan = self.folder / "plan.json"
        self.plan.write_text(plan_text())

    def refuses(self, audit, pattern):
        with self.assertRaisesRegex(AuditError, pattern):
            list(audit(self.folder, self.plan))


class Dxf(Packet):
    def write(self, **how):
        write_dxf(self.folder / "plate-blank.dxf", **how)

    def test_right_file_is_accepted(self):
        self.write()
        self.assertEqual(len(audit_dxf.audit(self.folder, self.plan)), 1)

    def test_wrong_units_are_refused(self):
        self.write(units=1)
        self.refuses(audit_dxf.audit, "INSUNITS")

    def test_open_outline_is_refused(self):
        self.write(closed=False)
        self.refuses(audit_dxf.audit, "not a closed outline")

    def test_wrong_area_is_refused(self):
        self.write(bulge=1.00001)
        self.refuses(audit_dxf.audit, "in no drawing")

    def test_wrong_net_area_is_refused(self):
        self.write()
        self.plan.write_text(plan_text(net_mm2=OUTLINE_MM2))
        self.refuses(audit_dxf.audit, "net area")

    def test_nothing_to_cut_is_refused(self):
        self.write(layer="fold")
        self.refuses(audit_dxf.audit, "nothing to cut")

    def test_a_template_is_no_blank_but_must_close_too(self):
        self.write()
        write_dxf(self.folder / "arch-template.dxf", layer="template")
        self.assertEqual(len(audit_dxf.audit(self.folder, self.plan)), 1)
        write_dxf(self.folder / "arch-template.dxf", layer="template", closed=False)
        self.refuses(audit_dxf.audit, "not a closed outline")

    def test_a_blank_more_than_the_plan_has_is_refused(self):
        self.write()
        write_dxf(self.folder / "other-blank.dxf")
        self.refuses(audit_dxf.audit, "not in the plan")

    def test_packet_without_a_file_is_refused(self):
        self.refuses(audit_dxf.audit, "no .dxf file")


class Svg(Packet):
    def write(self, **how):
        (self.folder / "plate.svg").write_text(svg_text(**how))

    def test_right_file_is_accepted(self):
        self.write()
        self.assertEqual(len(audit_svg.audit(self.folder, self.plan)), 1)

    def test_turned_and_moved_outline_is_accepted(self):
        self.write(transform="translate(30 100) rotate(37) scale(1 -1)")
        self.assertEqual(len(audit_svg.audit(self.folder, self.plan)), 1)

    def test_other_scale_is_refused(self):
        self.write(view="0 0 200.001 80.0004")
        self.refuses(audit_svg.audit, "in no drawing")

    def test_unequal_scales_are_refused(self):
        self.write(view="0 0 200.001 80")
        self.refuses(audit_svg.audit, "mm a unit across")

    def test_size_in_pixels_is_refused(self):
        self.write(size="200")
        self.refuses(audit_svg.audit, "want millimetres")

    def test_open_outline_is_refused(self):
        self.write(end="V1")
        self.refuses(audit_svg.audit, "does not close")

    def test_nothing_to_cut_is_refused(self):
        self.write(css_class="visible")
        self.refuses(audit_svg.audit, "in no drawing")


class Pdf(Packet):
    def write(self, **how):
        (self.folder / "templates.pdf").write_bytes(pdf_bytes(**how))

    def test_right_file_is_accepted(self):
        self.write()
        self.assertEqual(len(list(audit_pdf.audit(self.folder, self.plan))), 2)

    def test_bar_off_by_more_than_its_tolerance_is_refused(self):
        for off in (-0.06, 0.06, 2.5):
            self.write(bar_pt=283.4646 + off)
            self.refuses(audit_pdf.audit, "100 mm bar is")

    def test_bar_scaled_to_fit_is_refused(self):
        self.write(bar_pt=283.46 * 0.97)
        self.refuses(audit_pdf.audit, "no line is near")

    def test_packet_without_a_bar_is_refused(self):
        self.write(words="quote")
        self.refuses(audit_pdf.audit, "no page of any PDF")

    def test_other_paper_is_refused(self):
        self.write(size=(600, 800))
        self.refuses(audit_pdf.audit, "pt is none of")

    def test_other_user_unit_is_refused(self):
        self.write(user_unit=2)
        self.refuses(audit_pdf.audit, "user unit")


if __name__ == "__main__":
    unittest.main()
