"""The Python programs of examples/ run and find what they should."""

import os
import subprocess
import sys

import arcplunge as ap
import numpy as np
import pytest

from conftest import ROOT

EXAMPLES = ROOT / "examples" / "python"
sys.path.insert(0, str(EXAMPLES))


def test_agrees_with_salib_sobol_indices():
    """SALib's indices (W. J. Herman and W. Usher) on Python's side, and the study's own estimators on the same spreads."""
    import sobol

    found = sobol.study(512)
    order = np.argsort(found["ST"])[::-1]
    assert np.all(found["ST"] > found["S1"] - 0.1) and 0.8 < np.sum(found["S1"]) < 1.1
    spreads = {}
    for key, (low, high) in zip(sobol.PROBLEM["names"], sobol.PROBLEM["bounds"]):
        unit = {"bank.voltage": "V", "tool.spring_force": "N", "stud.cone": "rad", "lead.length": "m"}[key]
        half, middle = (high - low) / 2, (high + low) / 2
        spreads |= {key: middle, f"tolerance.{key}": {"spread": f"{half!r} {unit}", "shape": "uniform"}}
    case = ap.Case().set({**spreads, "tolerance.others": "none"})
    own = ap.sensitivity(case, ["fill_ratio"], samples=1024)["figures"]["fill_ratio"]["indices"]
    for n in order:
        # Both are estimates: half-widths of theirs (95 %) and of ours together.
        total = own[sobol.PROBLEM["names"][n]]["total"]
        assert abs(total["value"] - found["ST"][n]) < found["ST_conf"][n] + 0.03, sobol.PROBLEM["names"][n]


def test_agrees_with_emcee_posterior():
    """The posterior of emcee (D. Foreman-Mackey et al. 2013) against the fit's least squares and their errors."""
    import posterior

    chain, names = posterior.posterior(steps=160)
    fit = ap.fit(ap.Case(), ap.read_trace(posterior.SCOPE, time_unit="ms", scale="10 kA"), names[:2])
    for value in fit["values"][:2]:
        column = chain[:, names.index(value["key"])]
        # All other keys are exact here, so that the posterior is as wide as the noise alone leaves it.
        assert abs(column.mean() - value["value"]) < 3 * value["standard_error"], value["key"]
        assert 0.4 < column.std() / value["noise_error"] < 2.5, (column.std(), value)


def test_the_pictures_are_drawn(tmp_path):
    command = [sys.executable, EXAMPLES / "window.py", tmp_path]
    said = subprocess.run(command, check=True, capture_output=True, text=True, env=os.environ | {"MPLBACKEND": "Agg"}).stdout
    assert "sound" in said
    for name in ("curves", "window", "scatter"):
        picture = (tmp_path / f"{name}.png").read_bytes()
        assert picture.startswith(b"\x89PNG") and len(picture) > 20_000, name
