"""Thin shells beside a general finite element solver (CalculiX 2.20, Debian package calculix-ccx), same surfaces and supports.

    python3 benches/shell_side_by_side.py [N ...] [plate|roof|buckling]   (nothing beyond the standard library; ccx on the path)

N rectangles each way (90: 50,000 unknowns of ours, 128: 100,000). Runs `weld`'s example `shell` on each problem as a process of
its own, then the reference on
- "triangles": quadratic shell elements S6 over the same triangles, their mid-side nodes on the true surface;
- "rectangles": quadratic shell elements S8R on a grid so coarse that it has about as many equations as we have unknowns.
One thread each, the reference with its default direct solver. Prints one table: processor seconds of the whole process, most
memory, unknowns, error, and how many times faster ours is. At least 3 times, at an error no larger than the reference's, is wanted.
"""
import math
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PLATE = dict(side=400.0, thickness=0.9, young=210e3, poisson=0.3, load=1e-4)
ROOF = dict(radius=25.0, half=40.0, thickness=0.25, young=4.32e8, poisson=0.0, load=90.0)


def run(command, directory=None):
    """Output, processor seconds and most memory (MB) of a process."""
    begin = time.monotonic()
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(command, stdout=out, stderr=subprocess.STDOUT, cwd=directory,
                                 env={**os.environ, "OMP_NUM_THREADS": "1", "CCX_NPROC_EQUATION_SOLVER": "1"})
        _, status, used = os.wait4(child.pid, 0)
        out.seek(0)
        text = out.read().decode(errors="replace")
    if status != 0:
        raise RuntimeError(f"{command}: status {status} after {time.monotonic() - begin:.1f} s\n{text[-2000:]}")
    return text, used.ru_utime + used.ru_stime, used.ru_maxrss * 1.024e-3


class Mesh:
    """Quadratic elements over an n by n grid: nodes by their place on a grid twice as fine."""

    def __init__(self, n, place, kind):
        self.n, self.numbers, self.points, self.elements = n, {}, [], []
        self.kind, self.place = kind, place
        for j in range(0, 2 * n, 2):
            for i in range(0, 2 * n, 2):
                a, b, c, d = (i, j), (i + 2, j), (i + 2, j + 2), (i, j + 2)
                for corners in [[a, b, c, d]] if kind == "S8R" else [[a, b, c], [a, c, d]]:
                    middles = [((p[0] + q[0]) // 2, (p[1] + q[1]) // 2)
                               for p, q in zip(corners, corners[1:] + corners[:1])]
                    self.elements.append([self.node(at) for at in corners + middles])

    def node(self, at):
        if at not in self.numbers:
            self.points.append(self.place(at[0] / (2 * self.n), at[1] / (2 * self.n)))
            self.numbers[at] = len(self.points)
        return self.numbers[at]

    def line(self, axis, end):
        """Nodes on a side of the grid: first or second coordinate at its lower (0) or upper (1) end."""
        return [number for at, number in self.numbers.items() if at[axis] == end * 2 * self.n]

    def deck(self, material, supports, step):
        lines = ["*NODE, NSET=ALL"]
        lines += [f"{i}, {x:.17g}, {y:.17g}, {z:.17g}" for i, (x, y, z) in enumerate(self.points, 1)]
        lines.append(f"*ELEMENT, TYPE={self.kind}, ELSET=SHEET")
        lines += [", ".join(map(str, [i, *nodes])) for i, nodes in enumerate(self.elements, 1)]
        lines += ["*MATERIAL, NAME=METAL", "*ELASTIC", f"{material['young']:.17g}, {material['poisson']}"]
        if any("GRAV" in line for line in step):
            lines += ["*DENSITY", f"{material['load'] / material['thickness']:.17g}"]
        lines += ["*SHELL SECTION, ELSET=SHEET, MATERIAL=METAL", f"{material['thickness']}", "*BOUNDARY"]
        for nodes, unknowns in supports:
            lines += [f"{number}, {unknown}, {unknown}" for number in nodes for unknown in unknowns]
        return "\n".join([*lines, *step, ""])


def static(load, node):
    return ["*NSET, NSET=SEEN", str(node), "*STEP", "*STATIC", "*DLOAD", load,
            "*NODE PRINT, NSET=SEEN", "U", "*END STEP"]


def on_supports(n, kind):
    mesh = Mesh(n, lambda s, w: (PLATE["side"] * s, PLATE["side"] * w, 0.0), kind)
    rim = sorted({node for axis in (0, 1) for end in (0, 1) for node in mesh.line(axis, end)})
    corner, next_corner = mesh.numbers[(0, 0)], mesh.numbers[(2 * n, 0)]
    supports = [(rim, [3]), ([corner], [1, 2]), ([next_corner], [2])]
    return mesh, supports, PLATE["young"] * PLATE["thickness"]**3 / (12 * (1 - PLATE["poisson"]**2))


def plate(n, kind):
    mesh, supports, stiffness = on_supports(n, kind)
    expected = 0.0040624 * PLATE["load"] * PLATE["side"]**4 / stiffness
    return mesh.deck(PLATE, supports, static(f"SHEET, P, {PLATE['load']}", mesh.numbers[(n, n)])), 2, expected


def buckling(n, kind):
    """Pressed along x by 1 N/mm, one mode: 4 pi^2 D / b^2."""
    mesh, supports, stiffness = on_supports(n, kind)
    step = ["*STEP", "*BUCKLE", "1", "*CLOAD"]
    for end, sign in ((0, 1), (1, -1)):
        for at, number in sorted(mesh.numbers.items()):
            if at[0] == end * 2 * n:
                # a quadratic side takes a sixth of its load at each end and two thirds in the middle
                share = 2 / 3 if at[1] % 2 else 1 / 6 if at[1] in (0, 2 * n) else 1 / 3
                step.append(f"{number}, 1, {sign * share * PLATE['side'] / n:.17g}")
    expected = 4 * math.pi**2 * stiffness / PLATE["side"]**2
    return mesh.deck(PLATE, supports, [*step, "*END STEP"]), None, expected


def roof(n, kind):
    def place(s, w):
        angle = math.radians(ROOF["half"]) * s
        return ROOF["radius"] * math.sin(angle), ROOF["radius"] * w, ROOF["radius"] * math.cos(angle)
    mesh = Mesh(n, place, kind)
    # a drilling rotation held there too would hold the expanded elements: the reference has none of its own
    supports = [(mesh.line(1, 0), [1, 3]), (mesh.line(1, 1), [2, 4]), (mesh.line(0, 0), [1, 5])]
    step = static("SHEET, GRAV, 1., 0., 0., -1.", mesh.numbers[(2 * n, 2 * n)])
    return mesh.deck(ROOF, supports, step), 2, -0.3006


# each by its name in the example and the function that writes the reference's deck
PROBLEMS = [("plate", plate), ("roof", roof), ("buckling", buckling)]


def reference(problem, n, kind):
    """Processor seconds, MB, equations, error in %."""
    deck, axis, expected = problem(n, kind)
    with tempfile.TemporaryDirectory() as directory:
        Path(directory, "job.inp").write_text(deck)
        text, seconds, memory = run(["ccx", "-i", "job"], directory)
        equations = int(re.search(r"number of equations\s+(\d+)", text)[1])
        rows = [line.split() for line in Path(directory, "job.dat").read_text().split("\n")]
        # number and displacements of a node, or number and factor of a mode
        size = 2 if axis is None else 4
        found = next([float(x) for x in row[1:]] for row in rows if len(row) == size and row[0].isdigit())
    return seconds, memory, equations, 100 * (found[axis or 0] / expected - 1)


def main(words):
    subprocess.run(["cargo", "build", "--release", "-p", "weld", "--example", "shell"], cwd=ROOT, check=True)
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    program = target / "release/examples/shell"
    sizes = [int(word) for word in words if word.isdigit()] or [90, 128]
    chosen = [word for word in words if not word.isdigit()] or [name for name, _ in PROBLEMS]
    print("| problem | solver | processor s | MB | unknowns | error, % | ours is faster |")
    print("|---|---|---|---|---|---|---|")
    for name, problem in [pair for pair in PROBLEMS if pair[0] in chosen]:
        for n in sizes:
            text, own_s, memory = run([str(program), name, str(n)])
            cells = [cell.strip() for cell in text.strip().split("\n")[-1].split("|")[1:-1]]
            print(f"| {name} {n} × {n} | ours | {own_s:.2f} | {memory:.0f} | {cells[1]} | {cells[-1]} | |", flush=True)
            # an S8R grid has about 21 equations a rectangle, ours 6; an even number keeps a node in the middle
            coarse = 2 * round(n * math.sqrt(6 / 21) / 2)
            for kind, title, size in [("S6", "triangles", n), ("S8R", "rectangles", coarse)]:
                seconds, memory, equations, error = reference(problem, size, kind)
                print(f"| {name} {n} × {n} | reference, {title} {size} × {size} | {seconds:.2f} | {memory:.0f} | "
                      f"{equations} | {error:+.3f} | {seconds / own_s:.1f} |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
