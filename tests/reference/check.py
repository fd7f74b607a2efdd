#!/usr/bin/env python3
"""Checks of this second solver against closed forms and ngspice, and of its mesh; about four minutes."""
import json
import math
import pathlib

import numpy as np
from scipy.optimize import brentq
from scipy.special import erf

import heat
from case import METALS, T0, load
from cycle import Cycle
from make_discharge import closed_form, values

HERE = pathlib.Path(__file__).parent
STEEL = METALS["mild steel"] | {"Tm": 1773.15, "Lf": 270e3, "cs": 680, "cl": 680, "ks": 30, "kl": 30}


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
    c, value = values("bolted", "equal")
    _, _, exact = closed_form(c, value, "rule")
    got = Cycle(load(HERE / "cases" / "bolted.toml")).run()["figures"]
    for name, key in (("peak", "peak_current_A"), ("t_peak", "time_of_peak_s"), ("t_end", "current_end_s")):
        line(f"bolted discharge, closed form: {name}", exact[name], got[key])
    runs = json.loads((HERE / "discharge_ngspice.json").read_text())["runs"]
    for earths, length in (("equal", 5.0), ("unequal", 3.0)):
        spice = next(r["ngspice"] for r in runs if (r["stud"], r["earth_leads"], r["diode"]) == ("bolted", earths, "rule"))
        case = load(HERE / "cases" / "bolted.toml")
        case["earth"][1]["length"] = length
        cycle = Cycle(case)
        got = cycle.run()["figures"]
        for name, key in (("peak", "peak_current_A"), ("t_end", "current_end_s"), ("action", "action_A2s")):
            line(f"bolted, {earths} earth leads, ngspice: {name}", spice[name], got[key])
        empty, state = cycle.at["bank-empty"]
        line(f"bolted, {earths} earth leads, ngspice: bank empty, s", spice["t_empty"], empty)
        line(f"bolted, {earths} earth leads, ngspice: i_1 then", spice["i_1_empty"], state[cycle.I][0])


def mesh_checks():
    keys = "melt_stud_m melt_sheet_m melt_sheet_max_m squeeze_travel_m fill_ratio vapour_share freeze_s cooling_rate_K_per_s back_face_K".split()
    for name in ("demonstration", "gap-aluminium", "stainless-m4"):
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
    mesh_checks()
