#!/usr/bin/env python3
"""Checks of this second solver against closed forms and ngspice, and of its mesh; about a quarter of an hour."""
import json
import math
import pathlib

import numpy as np
from scipy.optimize import brentq
from scipy.special import erf

import heat
from case import METALS, T0, build, load
from circuit import Circuit, sheet_matrix
from cycle import Cycle
from make_discharge import VARIANTS, case_of, closed_form, values

HERE = pathlib.Path(__file__).parent
STEEL = METALS["mild steel"] | {"Tm": 1773.15, "Lf": 270e3, "cs": 680, "cl": 680, "ks": 30, "kl": 30, "density_liquid": 7850}


def line(name, exact, got):
    print(f"{name:58} {exact:.8g} {got:.8g} {abs(got / exact - 1):.1e}", flush=True)


def heat_checks():
    flux = 1e9                      # face starts to melt at pi k rho c (Tm - T0)^2 / (4 q^2), Carslaw & Jaeger
    exact = math.pi * 30 * 7850 * 680 * (1773.15 - T0)**2 / (4 * flux**2)
    faces = heat.Faces(STEEL, STEEL, 4e-3)
    n = faces.n
    # the first cell's middle lags the face by about q dx/2k: judge the extrapolated face
    face_T = lambda h: faces.Tm[n] - faces.temperature(h)[n] - flux * faces.dx[n] / 2 / 30
    _, _, end = faces.run(0, 2 * exact, np.linspace(0, 2 * exact, 5), flux=lambda t: (flux, flux), until=face_T)
    line("face reaches T_m under a constant flux, s", exact, end)

    ste = 680 * (1773.15 - T0) / 270e3
    lam = brentq(                   # melt at T_m between two cold halves, Neumann's solution
        lambda x: math.sqrt(math.pi) * x * math.exp(x * x) * (1 + erf(x)) - ste, 1e-3, 3)
    faces = heat.Faces(STEEL, STEEL, 4e-3)
    depth = np.abs(np.cumsum(faces.dx) - faces.dx / 2 - faces.dx[:n].sum())
    molten = depth < 50e-6
    faces.h = np.where(molten, faces.h_sol + faces.Lf, 0.0)
    half = faces.dx[molten].sum() / 2           # whole cells, so not just 50 um
    exact = half**2 / (4 * lam**2 * 30 / 7850 / 680)
    _, _, end = faces.run(0, 4 * exact, np.linspace(0, 4 * exact, 5), joined=True,
                          until=lambda h: ((h - faces.h_sol) / faces.Lf).max())
    line("film of 100 um freezes between cold halves, s", exact, end)


def circuit_checks():
    runs = {(r["stud"], r["earth_leads"], r["diode"]): r for r in json.loads((HERE / "discharge_ngspice.json").read_text())["runs"]}
    with open(HERE / "discharge_ngspice.csv") as file:
        lines = [line.rstrip().split(",") for line in file][2:]
    for load_name, earths, diode in VARIANTS:
        if diode == "none":
            continue
        case, name = case_of(load_name, earths), f"{load_name}, {earths} earth leads"
        cycle = Cycle(case)
        out = cycle.run()
        got, events, spice = out["figures"], cycle.at, runs[load_name, earths, diode]["ngspice"]
        own = {"peak": got["peak_current_A"], "t_peak": got["time_of_peak_s"], "t_end": got["current_end_s"],
               "action": got["action_A2s"], "esr_J": out["ledger_J"]["bank esr"], "u_end": events["current-end"][1][0]}
        if "diode-conducts" in events:
            own |= {"t_conducts": events["diode-conducts"][0], "i_conducts": events["diode-conducts"][1][cycle.I].sum(),
                    "diode_J": out["ledger_J"]["diode"]}
        for key in sorted(own.keys() & spice.keys()):
            line(f"{name}, ngspice: {key}", spice[key], own[key])
        if earths == "equal":
            c, value = values(load_name, earths)
            exact = closed_form(c, value, diode)[2]
            if "diode-blocks" in events:
                own["t_blocks"] = events["diode-blocks"][0]
            for key in sorted(k for k in exact.keys() & own.keys() if exact[k]):
                line(f"{name}, closed form: {key}", exact[key], own[key])
        table = np.array([[float(x) for x in l[3:]] for l in lines if tuple(l[:3]) == (load_name, earths, diode)])
        off = np.zeros(4)
        for _, a, b, sol in cycle.segments:
            part = table[(table[:, 0] >= a) & (table[:, 0] <= b)]
            if len(part):
                y = sol(part[:, 0])
                mine = np.array([y[cycle.I].sum(axis=0), y[0], y[1], y[2]]).T
                off = np.maximum(off, np.abs(mine - part[:, 1:]).max(axis=0))
        print(f"{name}: curves apart by at most {off[0]:.2g} A, {off[1]:.2g} V, earth leads {off[2]:.2g} A, {off[3]:.2g} A", flush=True)


def lead_checks():
    """Loop of unequal leads against the independent program; the sheet against images in an insulated plate of 1.6 m."""
    for lengths, exact in (((2, 5, 5), 3.851), ((3, 5, 5), 4.521), ((5, 5, 5), 5.881), ((6, 5, 5), 6.513), ((8, 5, 5), 7.852),
                           ((12, 5, 5), 10.532), ((8, 3, 9), 7.671), ((8, 3, 3), 7.148), ((8, 9, 9), 9.280)):
        gun, *earths = (f"{x} m" for x in lengths)
        case = build({"lead": {"length": gun}, "earth": [{"length": e, "at": [f"{x} mm", "0 mm"]} for e, x in zip(earths, (-200, 200))]})
        line(f"loop of {lengths} m, uH", exact, Circuit(case).loop_inductance * 1e6)

    side, rim_r, clamp_r, far, orders = 1.6, 3.25e-3, 15e-3, 0.2, np.arange(-12, 13)
    turned, shift = (-1.0)**orders, orders * side
    def potential(x, y, poles):     # of point poles (strength, x) on the x axis, in units of g
        return sum(-q * np.log(np.hypot(x - shift[:, None] - turned[:, None] * at, y - shift[None, :])).sum() for q, at in poles)
    def ring(x, r, poles):
        return np.mean([potential(x + r * np.cos(a), r * np.sin(a), poles) for a in np.arange(16) * math.pi / 8 + 0.1])
    for places in ((far,), (far, -far)):
        poles = [(1.0, 0.0)] + [(-1.0 / len(places), x) for x in places]
        case = build({"earth": [{"at": [f"{x * 1e3} mm", "0 mm"]} for x in places]})
        own = sheet_matrix(case) / (case["sheet"]["metal"]["rho20"] / (2 * math.pi * case["sheet"]["thickness"]))
        line(f"sheet, {len(places)} clamp(s), images, g", ring(0, rim_r, poles) - ring(far, clamp_r, poles), 1 / np.linalg.inv(own).sum())


def rim_checks():
    """Room under a tilted cone by quadrature of its height over the sheet, against W q(phi)."""
    radius, cone = 3.25e-3, math.radians(3)
    for degrees in (1, 2, 5, 12):
        tilt, r = math.radians(degrees), (np.arange(20000) + 0.5) * radius / 20000
        for phi in (0.0, 2.0):
            height = r * (math.tan(cone) + math.tan(tilt) * math.cos(phi)) + max(0, radius * (math.tan(tilt) - math.tan(cone)))
            room = (height * r).sum() * radius / 20000 * 2 * math.pi
            q = 1 + (math.tan(tilt) * math.cos(phi) + 1.5 * max(0, math.tan(tilt) - math.tan(cone))) / math.tan(cone)
            line(f"room at {phi} rad under {degrees} deg, m3", room, 2 * math.pi / 3 * radius**3 * math.tan(cone) * q)


def mesh_checks():
    keys = "melt_stud_m melt_sheet_m melt_sheet_max_m squeeze_travel_m fill_ratio vapour_share freeze_s cooling_rate_K_per_s back_face_K".split()
    for name in ("demonstration", "gap-aluminium", "stainless-m4", "brass-on-steel"):
        coarse = Cycle(load(HERE / "cases" / f"{name}.toml")).run()["figures"]
        heat.CELL, cell = heat.CELL / 2, heat.CELL
        fine = Cycle(load(HERE / "cases" / f"{name}.toml")).run()["figures"]
        heat.CELL = cell
        for key in keys:
            if fine[key]:
                line(f"{name}, cells halved: {key}", fine[key], coarse[key])


if __name__ == "__main__":
    print(f"{'what':58} reference, this solver, relative deviation")
    heat_checks()
    circuit_checks()
    lead_checks()
    rim_checks()
    mesh_checks()
