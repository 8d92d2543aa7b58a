"""Signed areas of closed loops made of straights and circular arcs, by Green's theorem, exact to rounding.

Units: what goes in squared, so mm gives mm². Anticlockwise is positive. Shares nothing with the program under test.
"""

from math import atan, sin


def straight_mm2(start, end):
    """Contribution of one straight: half the cross product of its ends."""
    return (start[0] * end[1] - start[1] * end[0]) / 2


def segment_mm2(radius_mm, sweep_rad):
    """Signed area between an arc and its chord; `sweep_rad` is positive when the arc turns anticlockwise."""
    return radius_mm * radius_mm * (sweep_rad - sin(sweep_rad)) / 2


def bulged_loop_mm2(points):
    """Area of a closed light polyline given as (x, y, bulge); bulge is the tangent of a quarter of the sweep."""
    total = 0.0
    for index, (x, y, bulge) in enumerate(points):
        end = points[(index + 1) % len(points)]
        total += straight_mm2((x, y), end)
        if bulge:
            chord_mm = ((end[0] - x) ** 2 + (end[1] - y) ** 2) ** 0.5
            sweep_rad = 4 * atan(bulge)
            radius_mm = abs(chord_mm / (2 * sin(sweep_rad / 2)))
            total += segment_mm2(radius_mm, sweep_rad)
    return total


def relative_difference(a, b):
    """Difference of two areas over the larger of them."""
    return abs(a - b) / max(abs(a), abs(b), 1e-300)
