"""Reference numbers of the check `checks/tests/it/smoothing_splines.rs`, from scipy and numpy.

    python tools/surface_fit_reference.py        (a Python with numpy and scipy; made with numpy 2.4.6, scipy 1.17.1)

The tensor fit worked out a second time, sharing nothing with the program: scipy's own B-splines and their derivatives, roughness by
Gauss quadrature over them, dense inverse instead of a sparse factor, no plane taken off first. Prints heights, standard deviations,
the number of unknowns that the readings fix, and the smoothing that cross-validation and the discrepancy principle choose.
"""
import numpy as np
from scipy.interpolate import BSpline
from scipy.optimize import minimize_scalar

LOW, HIGH, SPANS = (0.0, 0.0), (420.0, 360.0), (9, 7)


def readings():
    """The same readings as the check makes: a lattice moved by sines, heights with a tremor of sines, σ in two sizes."""
    data = []
    for i in range(8):
        for j in range(9):
            k = 9 * i + j
            u = 60.0 * i + 7.0 * np.sin(3.0 * k) * (0 < i < 7)
            v = 45.0 * j + 6.0 * np.sin(5.0 * k) * (0 < j < 8)
            z = 40 - (u - 200) ** 2 / 1100 - (v - 170) ** 2 / 900 + (u / 100) * (v / 100) ** 2 / 3 + 0.3 * np.sin(7.0 * k * k)
            data.append((u, v, z, 0.25 if k % 3 else 0.4))
    return np.array(data)


def splines(axis):
    """All cubic B-splines of one axis on uniform knots that run on beyond the ends."""
    step = (HIGH[axis] - LOW[axis]) / SPANS[axis]
    knots = LOW[axis] + step * np.arange(-3, SPANS[axis] + 4)
    return knots, [BSpline(knots, np.eye(SPANS[axis] + 3)[k], 3) for k in range(SPANS[axis] + 3)]


def products(axis, order):
    knots, all_of_them = splines(axis)
    nodes, weights = np.polynomial.legendre.leggauss(5)
    total = 0.0
    for a, b in zip(knots[3:-4], knots[4:-3]):
        x = 0.5 * (a + b) + 0.5 * (b - a) * nodes
        values = np.array([s(x, nu=order) for s in all_of_them])
        total = total + (values * weights * 0.5 * (b - a)) @ values.T
    return total


def rows(places):
    def along(axis, x):
        knots, _ = splines(axis)
        return BSpline.design_matrix(x, knots, 3).toarray()

    u, v = along(0, places[:, 0]), along(1, places[:, 1])
    return np.einsum("ni,nj->nij", u, v).reshape(len(places), -1)


def roughness():
    u, v = [products(0, k) for k in range(4)], [products(1, k) for k in range(4)]
    area = (HIGH[0] - LOW[0]) * (HIGH[1] - LOW[1])
    change = np.kron(u[3], v[0]) + 3 * np.kron(u[2], v[1]) + 3 * np.kron(u[1], v[2]) + np.kron(u[0], v[3])
    curvature = np.kron(u[2], v[0]) + 2 * np.kron(u[1], v[1]) + np.kron(u[0], v[2])
    return area * change + 0.25 * curvature


def fit(data, smoothing):
    b, w, r = rows(data), data[:, 3] ** -2.0, roughness()
    inverse = np.linalg.inv(b.T @ (w[:, None] * b) + smoothing * r)
    coefficients = inverse @ (b.T @ (w * data[:, 2]))
    trace = np.einsum("ni,ij,nj,n->", b, inverse, b, w)
    misfit = (w * (data[:, 2] - b @ coefficients) ** 2).sum()
    return coefficients, inverse, trace, misfit


def score(data, smoothing):
    _, _, trace, misfit = fit(data, smoothing)
    free = len(data) - 1.4 * trace
    return len(data) * misfit / free**2 if free > 0 else np.inf


def main():
    data = readings()
    places = np.array([(33.0, 21.0), (211.0, 180.0), (420.0, 360.0), (390.0, 12.0), (140.0, 300.0)])
    for smoothing in (1.0, 40.0, 2000.0):
        coefficients, inverse, trace, misfit = fit(data, smoothing)
        b = rows(places)
        n = len(data)
        spread = max(1.0, misfit / max(n - 1.4 * trace, 0.1 * (n - trace)))
        sigma = np.sqrt(spread * np.einsum("ni,ij,nj->n", b, inverse, b))
        print(f"smoothing {smoothing}: unknowns {trace:.9f} misfit {misfit:.9f}")
        print("  heights", np.array2string(b @ coefficients, precision=9, separator=", "))
        print("  sigmas ", np.array2string(sigma, precision=9, separator=", "))
    powers = np.linspace(-6, 6, 241)
    scores = [score(data, 10**p) for p in powers]
    near = powers[int(np.argmin(scores))]
    best = minimize_scalar(lambda p: score(data, 10**p), bounds=(near - 0.1, near + 0.1), method="bounded", options={"xatol": 1e-9})
    print(f"cross-validation: smoothing {10**best.x:.6f} score {best.fun:.9f}")
    low, high = 1e-6, 1e6
    while high / low > 1 + 1e-12:
        middle = (low * high) ** 0.5
        low, high = (middle, high) if fit(data, middle)[3] <= len(data) else (low, middle)
    print(f"discrepancy: smoothing {low:.9f}")


main()
