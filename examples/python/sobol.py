#!/usr/bin/env python3
"""Which keys the fill depends on: Sobol indices by SALib, the shots fired in process.

    pip install ./src/python SALib
"""

import arcplunge as ap
from SALib.analyze import sobol as analysis
from SALib.sample import sobol as sampling

# Ranges in SI units; invented for the example.
PROBLEM = {
    "names": ["bank.voltage", "tool.spring_force", "stud.cone", "lead.length"],
    "bounds": [[104, 120], [70, 90], [0.045, 0.06], [4.5, 5.5]],
}
PROBLEM["num_vars"] = len(PROBLEM["names"])


def study(samples=512):
    points = sampling.sample(PROBLEM, samples, calc_second_order=False, seed=1)
    shots = ap.fire_many(ap.Case(), dict(zip(PROBLEM["names"], points.T)), ["fill_ratio"])
    return analysis.analyze(PROBLEM, shots["fill_ratio"], calc_second_order=False, seed=1)


if __name__ == "__main__":
    found = study()
    for n, key in enumerate(PROBLEM["names"]):
        print(f"{key:18} first order {found['S1'][n]:6.3f}   total {found['ST'][n]:6.3f} ± {found['ST_conf'][n]:.3f}")
