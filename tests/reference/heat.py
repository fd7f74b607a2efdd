"""Melting of the two faces: one-dimensional enthalpy conduction, finite volumes, method of lines with LSODA.

Depths are those of the solid the melt came from; the melt is thicker by s = density/density_liquid, so that it conducts
with k_l/s in this measure. Cells run stud back ... stud face | sheet face ... sheet back; each body's vapour heat (J/m2) sits beside its face cell
so that the Jacobian stays banded. h is J/kg above 20 degC, depths are m, fluxes W/m2.
"""
import numpy as np
from scipy.integrate import solve_ivp

from case import T0

STUD_DEPTH = 4e-3
FINE_DEPTH, GROWTH = 130e-6, 1.05   # uniform cells to this depth, then growing
CELL = 0.25e-6                      # m at the face in mild steel; other metals by the square root of diffusivity
RTOL, ATOL = 1e-5, 1e-2             # of LSODA; absolute in J/kg


def cell_size(metal):
    return CELL * (metal["ks"] / metal["density"] / metal["cs"] / 6.18e-6)**0.5


def mesh(depth, dx):
    """Cell widths from the face to the back, the face cells dx wide."""
    widths = [dx] * round(min(FINE_DEPTH / CELL * dx, depth) / dx)
    while sum(widths) < depth:
        widths.append(widths[-1] * GROWTH)
    widths = np.array(widths)
    grown = widths[widths > dx * 1.0001]
    if grown.size:                  # stretch the growing part so that the sum is exact
        widths[widths > dx * 1.0001] *= 1 + (depth - widths.sum()) / grown.sum()
    return widths


class Faces:
    def __init__(self, stud, sheet, thickness):
        a, b = mesh(STUD_DEPTH, cell_size(stud))[::-1], mesh(thickness, cell_size(sheet))
        self.n, self.dx = a.size, np.concatenate([a, b])
        per_cell = lambda key: np.concatenate([np.full(a.size, stud[key]), np.full(b.size, sheet[key])])
        (self.rho, self.Tm, self.Tb, self.Lf, self.cs, self.cl, self.ks, self.kl) = map(
            per_cell, "density Tm Tb Lf cs cl ks kl".split())
        self.kl = self.kl * per_cell("density_liquid") / self.rho
        self.h_sol = self.cs * (self.Tm - T0)
        self.mass = self.rho * self.dx
        self.stud, self.sheet = slice(0, self.n), slice(self.n, None)
        self.h = np.zeros(self.dx.size)
        self.vapour = np.zeros(2)   # J/m2 of stud and sheet

    def state(self):
        return np.concatenate([self.h[:self.n], self.vapour, self.h[self.n:]])

    def split(self, y):
        return np.concatenate([y[:self.n], y[self.n + 2:]]), y[self.n:self.n + 2]

    def share(self, h):
        return np.clip((h - self.h_sol) / self.Lf, 0.0, 1.0)

    def temperature(self, h):
        return T0 + np.minimum(h, self.h_sol) / self.cs + np.maximum(h - self.h_sol - self.Lf, 0.0) / self.cl

    def melts(self, h):
        """Melt depth of both faces. The latent shares alone make the depth step from cell to cell, and so does the
        T_m isotherm, in turn; their mean stays within a quarter of a cell of the front."""
        T, share, depths = self.temperature(h), self.share(h), []
        for part, inward in ((self.stud, -1), (self.sheet, 1)):
            f, dx, T_part, Tm = share[part][::inward], self.dx[part][::inward], T[part][::inward], self.Tm[part][0]
            depth = (f * dx).sum()
            molten = np.flatnonzero(f > 0)
            if molten.size and molten[-1] + 1 < f.size:
                i = molten[-1]
                if f[i] < 1:        # isotherm in the middle of the cell
                    depth += 0.5 * (0.5 - f[i]) * dx[i]
                else:               # isotherm between two middles
                    apart = 0.5 * (dx[i] + dx[i + 1])
                    depth += 0.5 * (apart * (T_part[i] - Tm) / (T_part[i] - T_part[i + 1]) - 0.5 * dx[i])
            depths.append(depth)
        return depths

    def conduction(self, h):
        """Temperatures, half-cell resistances and the flux across every inner cell border (m2 K/W, W/m2)."""
        T = self.temperature(h)
        half = 0.5 * self.dx / (self.ks + (self.kl - self.ks) * self.share(h))
        return T, half, (T[:-1] - T[1:]) / (half[:-1] + half[1:])

    def rate(self, t, y, flux, joined):
        h, _ = self.split(y)
        T, half, q = self.conduction(h)
        n, vapour = self.n, np.zeros(2)
        dh = np.zeros(h.size)
        if not joined:
            q[n - 1] = 0.0
        dh[:-1] -= q
        dh[1:] += q
        if flux is not None:        # arc: the face itself stays at or below T_b, the rest of the flux is vapour
            offered = flux(t)
            for face, cell in ((0, n - 1), (1, n)):
                taken = min(offered[face], (self.Tb[cell] - T[cell]) / half[cell])
                dh[cell] += taken
                vapour[face] = offered[face] - taken
        dh /= self.mass
        return np.concatenate([dh[:n], vapour, dh[n:]])

    def run(self, t0, t1, times, flux=None, joined=False, until=None):
        """Integrate to t1 = times[-1], or to until(h) = 0; returns the sampled times, the enthalpies there, the end."""
        events = None
        if until is not None:
            stop = lambda t, y: until(self.split(y)[0])
            stop.terminal, stop.direction = True, -1
            events = [stop]
        atol = np.full(self.h.size + 2, ATOL)
        got = solve_ivp(lambda t, y: self.rate(t, y, flux, joined), (t0, t1), self.state(), "LSODA", times,
                        events=events, rtol=RTOL, atol=atol, lband=3, uband=3)
        if not got.success:
            raise RuntimeError(got.message)
        end, y = t1, got.y[:, -1]
        if events:
            if not got.t_events[0].size:
                raise RuntimeError("the awaited temperature never came")
            end, y = got.t_events[0][0], got.y_events[0][0]
        self.h, self.vapour = self.split(y)
        return got.t, [self.split(v)[0] for v in got.y.T], end

    def joint_temperature(self, h):
        T, half, _ = self.conduction(h)
        n = self.n
        return (T[n - 1] / half[n - 1] + T[n] / half[n]) / (1 / half[n - 1] + 1 / half[n])
