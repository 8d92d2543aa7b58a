"""Measures every PDF of a packet: a 100 mm check bar must come out as 283.46 points, whatever drew it.

    python tools/audit_pdf.py PACKET_FOLDER PLAN_JSON

Each page: a size of ISO 216 or Letter, user unit 1, words that can be read. Each page whose words name a check bar, check square or
"100 mm": one line of 283.46 pt ± 0.05 along the page. At least one page of the packet has one.
"""

import re
import sys

import pdfplumber

from blanks import AuditError, files_under, read_blanks, run

PAPERS_MM = {
    "A4": (210, 297), "A3": (297, 420), "A2": (420, 594), "A1": (594, 841), "A0": (841, 1189), "Letter": (215.9, 279.4),
}  # fmt: skip
POINTS_PER_MM = 72 / 25.4
BAR_PT = 100 * POINTS_PER_MM
BAR_TOLERANCE_PT = 0.05
# Shorter or longer than this, a line is no attempt at a 100 mm bar but something else on the page.
BAR_LIKE_PT = 3.0
NAMES_A_BAR = re.compile(r"\bcheck\s+(?:bar|square)\b|\b(?:bar|line|square)\b[^.\n]{0,40}(?<!per )\b100\s*mm\b", re.IGNORECASE)


def paper(page):
    """Name of the page's paper, upright or on its side."""
    for name, size_mm in PAPERS_MM.items():
        if all(abs(a - b * POINTS_PER_MM) < 0.5 for a, b in zip(sorted((page.width, page.height)), size_mm)):
            return name
    raise AuditError(f"{page.width:.2f} x {page.height:.2f} pt is none of {', '.join(PAPERS_MM)}")


def lengths_pt(page):
    """Lengths along x and y of everything drawn with a pen or filled, in points after all transforms."""
    for item in (*page.lines, *page.rects, *page.curves):
        yield item["x1"] - item["x0"]
        yield item["bottom"] - item["top"]


def bar_pt(page):
    """Length of the page's check bar, or `None` when its words name none."""
    if not NAMES_A_BAR.search(page.extract_text()):
        return None
    candidates = [length for length in lengths_pt(page) if abs(length - BAR_PT) < BAR_LIKE_PT]
    if not candidates:
        raise AuditError("the words name a check bar but no line is near 100 mm")
    return min(candidates, key=lambda length: abs(length - BAR_PT))


def audit_page(page):
    """Name of the paper and length of the bar of one page."""
    if page.page_obj.attrs.get("UserUnit", 1) != 1:
        raise AuditError(f"user unit is {page.page_obj.attrs['UserUnit']}, want 1")
    if not page.extract_text().strip():
        raise AuditError("no words can be read")
    length = bar_pt(page)
    if length is not None and abs(length - BAR_PT) > BAR_TOLERANCE_PT:
        raise AuditError(f"the 100 mm bar is {length:.3f} pt, want {BAR_PT:.2f} ± {BAR_TOLERANCE_PT}")
    return paper(page), length


def audit(folder, plan_path):
    """Report lines for one packet."""
    read_blanks(plan_path)
    bars = 0
    for path in files_under(folder, ".pdf"):
        with pdfplumber.open(path) as document:
            for page in document.pages:
                try:
                    name, length = audit_page(page)
                except AuditError as error:
                    raise AuditError(f"{path} page {page.page_number}: {error}") from error
                bars += length is not None
            yield f"{path.name}: {len(document.pages)} pages, last on {name}"
    if bars == 0:
        raise AuditError(f"{folder}: no page of any PDF has a check bar")
    yield f"{bars} check bars of {BAR_PT:.2f} pt ± {BAR_TOLERANCE_PT}"


if __name__ == "__main__":
    sys.exit(run(audit, sys.argv))
