#!/usr/bin/env python3
"""Current in the sheet by finite differences: resistance from the stud's rim to its clamps, over rho/(2 pi t).

Laplace's equation in log-polar coordinates u = ln r about the stud, where cells are square and conduct alike. The rim
is one potential, each clamp another over its disc, the sheet ends insulated at EDGE; half a plane, for the clamps
stand on the axis of symmetry. Apart from the law of docs/physics.md, which adds point sinks in a wide plate.

    python3 sheet.py
"""
import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

RIM, CLAMP, FAR, EDGE = 3.25e-3, 15e-3, 0.2, 10.0  # metres


def resistance(places, cells):
    """Whole voltage over whole current, over rho/(2 pi t); `cells` to half a turn, clamps at x = `places`."""
    h = np.pi / cells
    rings = round(np.log(EDGE / RIM) / h)
    r = RIM * np.exp(h * (np.arange(rings) + 0.5))
    angle = h * (np.arange(cells) + 0.5)
    x, y = np.outer(r, np.cos(angle)), np.outer(r, np.sin(angle))
    clamped = np.zeros(x.shape, bool)
    for place in places:
        clamped |= np.hypot(x - place, y) < CLAMP
    number = np.arange(x.size).reshape(x.shape)
    free = ~clamped
    diagonal, rows, columns, right = np.zeros(x.size), [], [], np.zeros(x.size)
    pairs = [(number[:-1], number[1:]), (number[:, :-1], number[:, 1:])]
    for a, b in pairs:
        for one, other in ((a.ravel(), b.ravel()), (b.ravel(), a.ravel())):
            np.add.at(diagonal, one, 1.0)
            inside = free.ravel()[other]
            rows.append(one[inside])
            columns.append(other[inside])
    # The rim at 1 V is half a cell from the innermost ring.
    diagonal[number[0]] += 2.0
    right[number[0]] = 2.0
    rows, columns = np.concatenate(rows), np.concatenate(columns)
    values = -np.ones(rows.size)
    keep = free.ravel()[rows]
    rows, columns, values = rows[keep], columns[keep], values[keep]
    held = np.where(free.ravel(), diagonal, 1.0)
    right[~free.ravel()] = 0.0
    own = np.arange(x.size)
    matrix = coo_matrix(
        (np.concatenate([values, held]), (np.concatenate([rows, own]), np.concatenate([columns, own]))),
        shape=(x.size, x.size),
    )
    potential = spsolve(matrix.tocsc(), right)
    current = 2.0 * np.sum(2.0 * (1.0 - potential[number[0]]))  # both halves
    return 2.0 * np.pi / current


if __name__ == "__main__":
    for name, places in (("one clamp", [FAR]), ("two opposite", [FAR, -FAR])):
        print(name, *(f"{resistance(places, cells):.5f}" for cells in (200, 400, 800)))
