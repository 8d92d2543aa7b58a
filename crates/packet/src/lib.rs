//! Drawings once, rendered as SVG, DXF and PDF; the documents that leave the shop.
