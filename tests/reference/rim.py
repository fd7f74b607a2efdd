"""What the rim has: filler hour by hour under tilt and arc blow, and what breaks first."""
import math

import numpy as np

from case import MU0

HOURS = 36000       # sectors of the rim


def drift_of(case, paths, density, area):
    """Drift of the melt under the arc (m, x and y); paths: per arc segment the times and the branches' currents.

    The sheet's current alone: a gun lead that goes straight up and earth leads that lie flat push nothing aside."""
    at = np.array([e["at"] for e in case["earth"]])
    toward = at / (2 * math.pi * (at**2).sum(axis=1))[:, None]
    speed, place = np.zeros(2), np.zeros(2)
    for times, currents in paths:
        push = -MU0 / 2 * (currents.T @ toward) * currents.sum(axis=0)[:, None] / (area * density)
        dt = np.diff(times)[:, None]
        gain = np.vstack([np.zeros(2), np.cumsum(0.5 * (push[1:] + push[:-1]) * dt, axis=0)])
        inside = (2 * push[:-1] + push[1:]) * dt**2 / 6      # exact for a push that rises in a straight line
        place = place + ((speed + gain[:-1]) * dt + inside).sum(axis=0)
        speed = speed + gain[-1]
    return place


def rim(case, fill, drift, mark):
    """Least fill, its hour, welded share, and the fill that all the filler spread evenly would give."""
    radius, cone, tilt = case["stud"]["flange"] / 2, math.tan(case["stud"]["cone"]), math.tan(case["tool"]["tilt"])
    wedge = 2 * math.pi / 3 * radius**3 * cone
    low = math.radians(90 - 30 * case["tool"]["tilt_towards"])          # counterclockwise from x, which is 3 o'clock
    phi = (np.arange(HOURS)) * 2 * math.pi / HOURS                      # from x
    lift = 1.5 * max(0.0, tilt - cone) / cone
    q = 1 + tilt / cone * np.cos(phi - low - math.pi) + lift            # the high side is opposite
    room = wedge * q + mark
    filler = fill * (wedge + mark) * np.maximum(0.0, 1 + 2 / radius * (drift[0] * np.cos(phi) + drift[1] * np.sin(phi)))
    shares = np.full(HOURS, np.inf)                                     # no room counts as filled
    np.divide(filler, room, out=shares, where=room > 1e-12 * wedge)
    least = shares.argmin()
    hour = None
    if np.ptp(np.minimum(shares, 1e9)) > 1e-9 * max(1e-12, shares[least]):
        hour = (3 - math.degrees(phi[least]) / 30) % 12 or 12.0
    welded = np.minimum(1.0, np.minimum(shares, 1.0)**(2 / 3)).mean()
    return shares[least], hour, welded, fill * (wedge + mark) / (wedge * (1 + lift) + mark)


def holds(case, area, welded):
    """Loads at which weld, stud and sheet break (N), upper bounds; the least of them."""
    stud, sheet = case["stud"], case["sheet"]
    found = {"stud": stud["metal"]["strength"] * stud["stress_area"],
             "sheet": math.pi * stud["flange"] * sheet["thickness"] * 0.58 * sheet["metal"]["strength"]}
    if welded is not None:
        found["weld"] = min(stud["metal"]["strength"], sheet["metal"]["strength"]) * area * welded
    return found, min(found, key=found.get)
