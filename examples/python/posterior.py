#!/usr/bin/env python3
"""What a measured current says of a rig: the posterior of two keys by emcee, the discharge computed in process.

    pip install ./src/python emcee
"""

from pathlib import Path

import arcplunge as ap
import emcee
import numpy as np

# Computed, with noise: not measured.
SCOPE = Path(__file__).resolve().parents[1] / "scope.csv"


def posterior(keys=("bank.esr", "lead.length"), steps=400, walkers=16):
    """Samples, one column a value, and the names of the values."""
    case, trace = ap.Case(), ap.read_trace(SCOPE, time_unit="ms", scale="10 kA")
    left = ap.residual(case, trace, keys)
    low, high = left.bounds

    def log_density(values):
        inside = np.all((low < values) & (values < high))
        return -0.5 * np.sum(left(values) ** 2) if inside else -np.inf

    found = ap.fit(case, trace, keys)["values"]
    middle, width = np.array([(value["value"], value["standard_error"]) for value in found]).T
    np.random.seed(1)
    sampler = emcee.EnsembleSampler(walkers, len(left.names), log_density)
    sampler.run_mcmc(middle + width * np.random.normal(size=(walkers, len(middle))), steps)
    return sampler.get_chain(discard=steps // 2, flat=True), left.names


if __name__ == "__main__":
    chain, names = posterior()
    for name, column in zip(names, chain.T):
        print(f"{name:12} {column.mean():.6g} ± {column.std():.2g}")
