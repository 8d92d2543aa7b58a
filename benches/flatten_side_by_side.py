"""Flattening beside the reference library (libigl 2.6.3: its scalable injective map), same meshes, same energy, same stop.

    python benches/flatten_side_by_side.py [SIZE or SKIN ...]        (a Python with libigl, numpy and scipy)

Runs `cargo bench -p benches --bench flatten` on the symmetric Dirichlet energy, which also writes its skins; then the reference
on each of them, from its least-squares conformal map, until the energy minus 4 falls by less than 1e-4 of itself in a step.
Prints one table: processor seconds, energies, ratios. A ratio of energies of at most 1 and of seconds of at least 5 is wanted.
"""
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import igl
import numpy as np

TOLERANCE = 1e-4


def read_obj(path):
    lines = path.read_text().split("\n")
    points = np.array([line.split()[1:] for line in lines if line.startswith("v ")], float)
    faces = np.array([line.split()[1:] for line in lines if line.startswith("f ")], np.int64) - 1
    return points, faces


def panel(points, faces):
    """Inverse edge matrix of every triangle in its own plane, and its share of the area."""
    e, f = points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    base = np.linalg.norm(e, axis=1)
    along, height = (e * f).sum(1) / base, np.linalg.norm(np.cross(e, f), axis=1) / base
    inverse = np.stack([1 / base, -along / base / height, 0 * base, 1 / height], 1).reshape(-1, 2, 2)
    return inverse, base * height / (base @ height)


def energy(geometry, faces, flat):
    """Mean of |J|^2 + |1/J|^2 over the panel, minus 4, written as a sum of (s - 1/s)^2; infinite with a triangle turned over."""
    inverse, share = geometry
    j = np.stack([flat[faces[:, 1]] - flat[faces[:, 0]], flat[faces[:, 2]] - flat[faces[:, 0]]], 2) @ inverse
    det = j[:, 0, 0] * j[:, 1, 1] - j[:, 0, 1] * j[:, 1, 0]
    if det.min() <= 0:
        return np.inf
    large = (np.hypot(j[:, 0, 0] + j[:, 1, 1], j[:, 1, 0] - j[:, 0, 1])
             + np.hypot(j[:, 0, 0] - j[:, 1, 1], j[:, 1, 0] + j[:, 0, 1])) / 2
    small = det / large
    return share @ ((large - 1 / large)**2 + (small - 1 / small)**2)


def reference(points, faces):
    """Processor seconds and energy of the reference."""
    geometry = panel(points, faces)
    begin = time.process_time()
    rim = igl.boundary_loop(faces)
    far = rim[np.argmax(np.linalg.norm(points[rim] - points[rim[0]], axis=1))]
    flat = igl.lscm(points, faces, np.array([rim[0], far]), np.array([[0.0, 0], [1, 0]]))[0]
    edges = flat[faces[:, 1:]] - flat[faces[:, :1]]
    area = np.linalg.norm(np.cross(points[faces[:, 1]] - points[faces[:, 0]],
                                   points[faces[:, 2]] - points[faces[:, 0]]), axis=1).sum()
    flat = flat * np.sqrt(area / np.abs(np.linalg.det(edges)).sum())
    if np.linalg.det(edges).sum() < 0:
        flat = flat * [1, -1]
    data = igl.slim_precompute(np.asfortranarray(points), np.asfortranarray(faces.astype(np.int32)),
                               np.asfortranarray(flat), igl.SYMMETRIC_DIRICHLET, np.zeros(0, np.int32),
                               np.zeros((0, 2), order="F"), 0.0)
    before = energy(geometry, faces, flat)
    for _ in range(200):
        flat = np.asarray(igl.slim_solve(data, 1))[:, :2]
        now = energy(geometry, faces, flat)
        if before - now < TOLERANCE * now or now < 1e-10:
            break
        before = now
    return time.process_time() - begin, now


def main(sizes):
    with tempfile.TemporaryDirectory() as directory:
        run = ["cargo", "bench", "-p", "benches", "--bench", "flatten", "--", *sizes, "dirichlet", f"--write={directory}"]
        ours = subprocess.run(run, check=True, capture_output=True, text=True).stdout
        print("| skin | triangles | ours, processor s | reference | times faster | ours, energy | reference | ratio |")
        print("|---|---|---|---|---|---|---|---|")
        for line in ours.split("\n"):
            cells = [cell.strip() for cell in line.split("|")[1:-1]]
            if len(cells) != 10 or not re.fullmatch(r"\d+", cells[1]):
                continue
            name, triangles, own_s, own = cells[0], cells[1], float(cells[4]), float(cells[7])
            seconds, other = reference(*read_obj(Path(directory, f"{name}_{triangles}.obj")))
            print(f"| {name} | {triangles} | {own_s:.2f} | {seconds:.2f} | {seconds / max(own_s, 0.01):.1f} | {own:.6e} | "
                  f"{other:.6e} | {own / other:.6f} |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:] or ["20000"])
