#!/usr/bin/env python3
"""The weld cycle with SciPy's solve_ivp: discharge with events, then heat by the enthalpy method of lines.

usage: scipy_peer.py CASE.toml CELL FINE GROWTH METHOD RTOL HEAT_METHOD HEAT_RTOL HEAT_ATOL SHOTS
prints figures and the seconds of processor time of each shot as JSON; only the solves are timed

The equations are those of tests/reference, with every constant folded in beforehand: plain floats for the seven states
of the discharge (NumPy is slower on so few), whole-array NumPy without temporaries for the heat.
"""
import json
import math
import sys
from time import process_time

import lumped
import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline
from scipy.sparse import diags

SCALE = np.array([1, 10, 10, 1e4, 1e-5, 1e-2, 1e-1])    # sizes of u, i1, i2, h, gap, w, arc energy


class Discharge:
    def __init__(self, n, method, rtol):
        self.n, self.options = n, {"method": method, "rtol": rtol, "atol": 10 * rtol * SCALE}

    def pip_law(self):
        """(h, gap, i) -> column resistance, whole resistance, what holds the pip."""
        n = self.n
        hsol, p, rho20, rhom, rhol, lf = (n[k] for k in "hsol p rho20 rhom rhol Lf".split())
        sink, vol, spot2, melting, crush, blow, rim = (
            n[k] for k in "sink vol spot2 melting strength blow rim".split())
        width, sqrt, log = vol / math.pi, math.sqrt, math.log

        def pip(h, gap, i):
            length, x = max(gap + sink, 1e-9), h / hsol
            b = sqrt(width / length)
            if x < 1:
                soft = min(1.0, 1 - x)
                rho = rho20 + (rhom - rho20) * (1 - (1 - x)**p)
                a = min(b, sqrt(spot2 / soft))
                # above the melting voltage the spot is wider
                a = min(b, max(a, i * (rho * (1 - a / b)**1.5 + rho20) / melting))
            else:
                soft, a = 0.0, b
                rho = rhom + (rhol - rhom) * min(1.0, (h - hsol) / lf)
            column = rho * length * length / vol
            whole = column + (rho * (1 - a / b)**1.5 + rho20) / (4 * a)
            return column, whole, crush * soft * vol / length + blow * i * i * max(0.0, log(rim / a))

        return pip

    def laws(self):
        """Right-hand side of each phase, and the guards that can end it."""
        n, pip = self.n, self.pip_law()
        c, esr, diode, drop, rs = (n[k] for k in "C esr diode drop Rs".split())
        (r11, r12, r21, r22), (l11, l12, l21, l22) = n["R"].tolist(), n["Linv"].tolist()
        mp, push, rate, gap0, mass = (n[k] for k in "mp push rate gap0 mass".split())
        arc_v, field, arc_r, short = (n[k] for k in "arc_v field arc_r short".split())

        def slopes(phase, on):
            def f(t, y):
                u, i1, i2, h, gap, w, _ = y.tolist()
                i, dh, dgap, dw, power = i1 + i2, 0.0, 0.0, 0.0, 0.0
                if phase in ("still", "sinking"):
                    column, whole, holds = pip(h, gap, i)
                    volt, dh = whole * i, i * i * column / mp
                    if phase == "sinking":
                        dgap, dw = -w, (push - rate * (gap0 - gap) - holds) / mass
                elif phase == "burning":
                    volt = arc_v + field * gap + arc_r * i
                    power, dgap, dw = volt * i, -w, (push - rate * (gap0 - gap)) / mass
                else:
                    volt = short * i
                e = (-diode if on else u - esr * i) - drop - rs * i - volt
                f1, f2 = e - r11 * i1 - r12 * i2, e - r21 * i1 - r22 * i2
                return -((u + diode) / esr if on else i) / c, l11 * f1 + l12 * f2, l21 * f1 + l22 * f2, dh, dgap, dw, power
            return f

        def moves(t, y):
            _, i1, i2, h, gap, _, _ = y.tolist()
            return pip(h, gap, i1 + i2)[2] + n["yield"] - push + rate * (gap0 - gap)

        def blocks(t, y):       # once the bank's share is small, only the current's end is left
            share = (y[0] + diode) / esr
            return y[1] + y[2] - share if share > n["least"] else 1.0

        guards = {"move": moves, "ignition": lambda t, y: n["hburst"] - y[3], "touchdown": lambda t, y: y[4] - n["gap_down"],
                  "diode-conducts": lambda t, y: y[0] - esr * (y[1] + y[2]) + diode, "diode-blocks": blocks,
                  "current-end": lambda t, y: y[1] + y[2]}
        for guard in guards.values():
            guard.terminal, guard.direction = True, -1
        return slopes, guards

    def run(self):
        slopes, guards = self.laws()
        watch = {"still": ("move", "ignition"), "sinking": ("ignition", "touchdown", "current-end"),
                 "burning": ("touchdown", "current-end"), "shorted": ("current-end",)}
        n, t, phase, on, out, arc = self.n, 0.0, "still", False, {}, []
        y = np.array([n["u0"], 0, 0, 0, n["gap0"], 0, 0])
        while True:
            names = (*watch[phase], "diode-blocks" if on else "diode-conducts")
            got = solve_ivp(slopes(phase, on), (t, t + 0.2), y, events=[guards[k] for k in names], **self.options)
            if got.status != 1:
                raise RuntimeError(got.message)
            if got.y[5].min() < 0:
                raise RuntimeError("the stud comes to rest, which the peers do not know")
            name = next(k for k, times in zip(names, got.t_events) if times.size)
            if phase == "burning":
                arc.append((got.t, got.y))
            t, y = got.t[-1], got.y[:, -1].copy()
            out[name] = t
            if name == "current-end":
                break
            if name in ("diode-conducts", "diode-blocks"):
                on = name == "diode-conducts"
            elif name == "touchdown":
                if phase != "burning":
                    raise RuntimeError("the pip is crushed before it bursts")
                phase, out["arc"] = "shorted", y[6]
            else:
                phase = {"move": "sinking", "ignition": "burning"}[name]
        # cubic through energy and power at the solver's own steps
        knots = [(n["arc_v"] + n["field"] * z[4] + n["arc_r"] * (z[1] + z[2])) * (z[1] + z[2]) for _, z in arc]
        cuts = [(times, CubicHermiteSpline(times, z[6], power).derivative()) for (times, z), power in zip(arc, knots)]
        out["power"] = cuts
        return out


class Heat:
    """Enthalpies h; the flux between two cells is the difference of their Kirchhoff potentials over their distance."""

    def __init__(self, n, faces, method, rtol, atol):
        self.n, self.faces, self.method = n, faces, method
        self.options = {"method": method, "rtol": rtol, "atol": atol}
        dx, self.stud, self.cells = faces.dx, faces.n, faces.dx.size
        self.inverse_mass, self.border = 1 / (n["density"] * dx), 2 / (dx[:-1] + dx[1:])
        self.face = [2 / dx[faces.n - 1], 2 / dx[faces.n]]
        self.hsol, self.hliq = n["hsol"], n["hsol"] + n["Lf"]
        self.potential, self.over, self.q = np.empty(self.cells), np.empty(self.cells), np.zeros(self.cells + 1)

    def law(self, power):
        """power(t) in W, or None once the faces are joined."""
        p, over, q, n, inner = self.potential, self.over, self.q, self.stud, self.q[1:-1]
        hsol, hliq, border, im = self.hsol, self.hliq, self.border, self.inverse_mass
        solid, molten, boil = (self.n[k] for k in ("solid", "molten", "boil"))
        (a1, a2), (s1, s2), i1, i2 = self.face, self.n["share"], float(im[n - 1]), float(im[n])

        def f(t, h):
            np.minimum(h, hsol, out=p)
            np.multiply(p, solid, out=p)
            np.maximum(h, hliq, out=over)
            np.multiply(over, molten, out=over)
            np.add(p, over, out=p)
            np.subtract(p[:-1], p[1:], out=inner)
            np.multiply(inner, border, out=inner)
            if power is not None:
                q[n] = 0.0
            d = q[:-1] - q[1:]
            np.multiply(d, im, out=d)
            if power is not None:
                watt = power(t)
                d[n - 1] += min(s1 * watt, (boil - p[n - 1]) * a1) * i1
                d[n] += min(s2 * watt, (boil - p[n]) * a2) * i2
            return d

        return f

    def jacobian(self, power, packed):
        """Tridiagonal: packed by rows of diagonals for LSODA, sparse for BDF."""
        n, im = self.stud, self.inverse_mass
        solid, molten, boil = (self.n[k] for k in ("solid", "molten", "boil"))
        g = self.border.copy()
        if power is not None:
            g[n - 1] = 0.0
        total = np.concatenate([g, [0]]) + np.concatenate([[0], g])
        rows = np.zeros((3, self.cells))

        def jac(t, h):
            slope = np.where(h < self.hsol, solid, np.where(h > self.hliq, molten, 0.0))
            own = total.copy()
            if power is not None:
                watt = power(t)
                for face, j in ((0, n - 1), (1, n)):
                    left = boil - solid * min(h[j], self.hsol) - molten * max(h[j], self.hliq)
                    if self.n["share"][face] * watt > left * self.face[face]:
                        own[j] += self.face[face]
            if packed:
                rows[0, 1:], rows[1], rows[2, :-1] = g * slope[1:] * im[:-1], -own * slope * im, g * slope[:-1] * im[1:]
                return rows
            return diags([g * slope[:-1] * im[1:], -own * slope * im, g * slope[1:] * im[:-1]], [-1, 0, 1], format="csc")

        return jac

    def stretch(self, power, t0, t1, h, **more):
        if self.method == "LSODA":
            more |= {"lband": 1, "uband": 1, "jac": self.jacobian(power, True)}
        elif self.method == "BDF":
            more["jac"] = self.jacobian(power, False)
        got = solve_ivp(self.law(power), (t0, t1), h, **self.options, **more)
        if not got.success:
            raise RuntimeError(got.message)
        return got

    def run(self, course):
        f, h, t0 = self.faces, np.zeros(self.cells), course["ignition"]
        for times, spline in course["power"]:
            t1, steps = times[-1], 400
            table, scale = spline(np.linspace(times[0], t1, steps + 1)).tolist(), steps / (t1 - times[0])

            def power(t, start=times[0]):
                x = (t - start) * scale
                k = min(int(x), steps - 1)
                return table[k] + (x - k) * (table[k + 1] - table[k])

            h = self.stretch(power, t0, t1, h, t_eval=[t1]).y[:, -1]
            t0 = t1
        melts = f.melts(h)
        held, offered = (f.mass * h).sum(), sum(self.n["share"]) * course["arc"]
        frozen = lambda t, h: h.max() - self.hsol
        frozen.terminal, frozen.direction = True, -1
        got = self.stretch(None, t0, t0 + 0.5, h, events=[frozen])
        return melts, got.t_events[0][0], self.n["to_faces"] * (1 - held / offered)


def main(path, cell, fine, growth, method, rtol, heat_method, heat_rtol, heat_atol, shots):
    n, faces = lumped.numbers(path, (float(cell), float(fine), float(growth)))
    discharge = Discharge(n, method, float(rtol))
    heat = Heat(n, faces, heat_method, float(heat_rtol), float(heat_atol))
    march_s, heat_s = [], []
    for _ in range(int(shots) + 1):
        a = process_time()
        course = discharge.run()
        b = process_time()
        melts, freeze, vapour = heat.run(course)
        march_s.append(b - a)
        heat_s.append(process_time() - b)
    print(json.dumps({
        "touchdown_s": course["touchdown"], "current_end_s": course["current-end"], "arc_energy_J": course["arc"],
        "melt_stud_m": melts[0], "melt_sheet_m": melts[1], "freeze_s": freeze, "vapour_share": vapour,
        "ignition_s": course["ignition"], "march_s": march_s[1:], "heat_s": heat_s[1:]}))    # the first warms up


if __name__ == "__main__":
    main(*sys.argv[1:])
