#!/usr/bin/env python3
"""What a measured current says of a rig: the posterior of two keys by emcee, the discharge computed in process.

    pip install ./src/python emcee
"""

import sys
from pathlib import Path

import arcplunge as ap
import emcee
import numpy as np

# Computed, with noise: not measured.
SCOPE = Path(__file__).resolve().parents[1] / "scope.csv"


def posterior(keys=("bank.esr", "lead.length"), steps=400, walkers=16):
    """Samples, one column a value, and the names of the values."""
    left = ap.residual(ap.Case(), ap.read_trace(SCOPE, time_unit="ms", scale="10 kA"), keys)
    low, high = left.bounds

    def log_density(values):
        inside = np.all((low < values) & (values < high))
        return -0.5 * np.sum(left(values) ** 2) if inside else -np.inf

    start = ap.fit(ap.Case(), ap.read_trace(SCOPE, time_unit="ms", scale="10 kA"), keys)
    best = {value["key"]: (value["value"], value["standard_error"]) for value in start["values"]}
    middle, width = np.array([best.get(name, (0.0, 1.0)) for name in left.names]).T
    np.random.seed(1)
    sampler = emcee.EnsembleSampler(walkers, len(left.names), log_density)
    sampler.run_mcmc(middle + width * np.random.normal(size=(walkers, len(middle))), steps)
    return sampler.get_chain(discard=steps // 2, flat=True), left.names


if __name__ == "__main__":
    chain, names = posterior(steps=int(sys.argv[1]) if len(sys.argv) > 1 else 400)
    for name, column in zip(names, chain.T):
        print(f"{name:12} {column.mean():.6g} ± {column.std():.2g}")
