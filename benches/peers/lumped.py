"""A case file -> the lumped numbers a peer needs, from the second solver in tests/reference.

Every peer reads the same lines `name value value ...` (SI), so that all solve the same equations on the same mesh.
What the peers leave out is refused here, so that no case is answered without a law that acts in it."""
import math
import pathlib
import sys

REFERENCE = pathlib.Path(__file__).resolve().parents[2] / "tests" / "reference"
sys.path.insert(0, str(REFERENCE))

import numpy as np                                       # noqa: E402

import heat                                              # noqa: E402
from case import MU0, load                               # noqa: E402
from circuit import BLOW, MELTING                        # noqa: E402
from march import FORGE_SHORT, LEAST_BLOCK, March        # noqa: E402


def refuse(path, march):
    """Cases with what the peers do not know."""
    c = march.circuit
    if not march.contact or "short_resistance" in march.case["stud"] or c.n != 2:
        raise ValueError(f"{path}: the peers know the contact method with a pip, and two earth leads")
    if march.metal is not march.sheet:
        raise ValueError(f"{path}: the peers know stud and sheet of one metal")
    volt, inverse = c.bank["voltage"], np.linalg.inv(c.L)
    if not c.bank["esr"] or volt <= c.drop:
        raise ValueError(f"{path}: the peers know a bank with a series resistance that overcomes the drop of its switch")
    # No current can hold more energy in the leads than was in the bank.
    for j in c.joints:
        most = volt * math.sqrt(c.C * (inverse.sum() if j.branch is None else inverse[j.branch, j.branch]))
        if j.state == "parted" or j.R * most >= MELTING or BLOW * most**2 >= j.force:
            raise ValueError(f"{path}: the peers know joints that neither melt nor part, which the {j.name} might")


def numbers(path, mesh):
    """Circuit, pip, plunge, arc and mesh of the case; `mesh` is (cell at the face m, fine depth m, growth)."""
    march = March(load(path))
    refuse(path, march)
    c, pip, m, tool, arc = march.circuit, march.pip, march.metal, march.tool, march.case["arc"]
    melt_k = m["kl"] * m["density_liquid"] / m["density"]      # depths are those of the solid
    out = {
        "u0": c.bank["voltage"], "C": c.C, "esr": c.bank["esr"], "diode": c.bank["diode_drop"], "least": LEAST_BLOCK,
        "drop": c.drop, "Rs": c.Rs, "R": c.R.ravel(), "Linv": np.linalg.inv(c.L).ravel(),
        "vol": pip.volume, "sink": pip.sink, "mp": pip.mass, "hsol": pip.h_sol, "Lf": m["Lf"], "hburst": pip.h_burst,
        "rho20": m["rho20"], "rhom": m["rhom"], "rhol": m["rhol"], "p": m["p"], "strength": m["flow_stress"],
        "spot2": pip.spot_force / (math.pi * pip.hardness), "melting": 4 * pip.melting_volt,
        "blow": MU0 / (4 * math.pi), "rim": march.radius,
        "mass": tool["moving_mass"], "rate": tool["spring_rate"], "gap0": pip.start_gap, "gap_down": march.gap_down,
        "push": march.push(0.0), "yield": 1e-9 * tool["spring_force"],
        "arc_v": arc["fall"] + arc["field"] * 2 / 3 * march.radius * march.cone, "field": arc["field"],
        "arc_r": arc["resistance"], "short": FORGE_SHORT,
        "share": [arc["to_stud"] / march.area, arc["to_sheet"] / march.area], "to_faces": arc["to_stud"] + arc["to_sheet"],
        # conduction by Kirchhoff's potential (W/m): solid*min(h, hsol) + molten*max(h, hsol + Lf), at most `boil`
        "density": m["density"], "solid": m["ks"] / m["cs"], "molten": melt_k / m["cl"]}
    out["boil"] = out["solid"] * pip.h_sol + out["molten"] * (pip.h_sol + m["Lf"] + m["cl"] * (m["Tb"] - m["Tm"]))
    heat.CELL, heat.FINE_DEPTH, heat.GROWTH = mesh
    faces = heat.Faces(m, march.sheet, march.case["sheet"]["thickness"])
    return out | {"cells": [faces.n, faces.dx.size - faces.n], "dx": faces.dx}, faces


def write(path, table):
    line = lambda v: " ".join(repr(float(x)) for x in (v if hasattr(v, "__len__") else [v]))
    pathlib.Path(path).write_text("".join(f"{k} {line(v)}\n" for k, v in table.items()))
