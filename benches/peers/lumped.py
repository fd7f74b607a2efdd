"""A case file -> the lumped numbers a peer needs, from the second solver in tests/reference.

Every peer reads the same lines `name value value ...` (SI), so that all solve the same equations on the same mesh."""
import math
import pathlib
import sys

REFERENCE = pathlib.Path(__file__).resolve().parents[2] / "tests" / "reference"
sys.path.insert(0, str(REFERENCE))

import numpy as np               # noqa: E402

import heat                      # noqa: E402
from case import MU0, T0, load   # noqa: E402
import cycle as solver           # noqa: E402
from cycle import Cycle          # noqa: E402

# The peers integrate the laws of the first edition; set beside those of another one they would only seem to be wrong.
if not hasattr(solver, "FORGE_SHORT"):
    sys.exit("benches/peers: the peers know the laws of the first edition only; check out commit 2418ad58 to run them")


def numbers(path, mesh):
    """Circuit, pip, plunge, arc and mesh of the case; `mesh` is (cell at the face m, fine depth m, growth)."""
    cycle = Cycle(load(path))
    c, m, tool, arc = cycle.circuit, cycle.metal, cycle.tool, cycle.case["arc"]
    if not cycle.contact or cycle.bolted or c.n != 2 or c.branch_drop.any():
        raise ValueError(f"{path}: the peers know the contact method with a pip, two earth leads and no sparking joint")
    out = {
        "u0": c.bank["voltage"], "C": c.C, "esr": c.bank["esr"], "diode": c.bank["diode_drop"], "drop": c.drop, "Rs": c.Rs,
        "R": c.R, "Linv": np.linalg.inv(c.L).ravel(),
        "vol": cycle.volume, "sink": cycle.sink, "mp": m["density"] * cycle.volume, "hsol": cycle.h_sol, "Lf": m["Lf"],
        "hburst": cycle.h_burst, "rho20": m["rho20"], "rhom": m["rhom"], "rhol": m["rhol"], "p": m["p"],
        "sheet_rho20": cycle.sheet["rho20"], "strength": m["strength"],
        "spot2": tool["spring_force"] / (math.pi * cycle.hardness), "blow": MU0 / (4 * math.pi), "rim": cycle.rim,
        "mass": tool["moving_mass"], "rate": tool["spring_rate"], "gap0": cycle.start_gap, "gap_down": cycle.gap_down,
        "push": tool["spring_force"] + cycle.gravity - tool["friction"], "yield": 1e-9 * tool["spring_force"],
        "arc_v": arc["fall"] + arc["field"] * 2 / 3 * cycle.rim * cycle.cone, "field": arc["field"], "arc_r": arc["resistance"],
        "short": solver.FORGE_SHORT, "share": [arc["to_stud"] / cycle.area, arc["to_sheet"] / cycle.area], "to_faces": arc["to_stud"] + arc["to_sheet"], "T0": T0}
    heat.CELL, heat.FINE_DEPTH, heat.GROWTH = mesh
    faces = heat.Faces(m, cycle.sheet, cycle.case["sheet"]["thickness"])
    out |= {"cells": [faces.n, faces.dx.size - faces.n], "dx": faces.dx}
    for key in "density Tm Tb Lf cs cl ks kl".split():
        out["body_" + key] = [m[key], cycle.sheet[key]]
    return out, faces


def write(path, table):
    line = lambda v: " ".join(repr(float(x)) for x in (v if hasattr(v, "__len__") else [v]))
    pathlib.Path(path).write_text("".join(f"{k} {line(v)}\n" for k, v in table.items()))
