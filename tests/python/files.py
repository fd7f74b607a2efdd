"""The CSV files as pandas reads them.

usage: files.py PROGRAM
"""

import io
import json
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
import pandas as pd


def run(program, *arguments):
    return subprocess.run([program, *arguments], check=True, capture_output=True, text=True).stdout


def the_trace_is_a_table_of_numbers(program):
    trace = pd.read_csv(io.StringIO(run(program, "fire", "--csv", "-")))
    shot = json.loads(run(program, "fire", "--json", "-", "--no-band"))
    figures = shot["figures"]
    numbers = trace.drop(columns=["phase", "event"])
    assert all(dtype == "float64" for dtype in numbers.dtypes), numbers.dtypes
    assert not numbers.isna().any().any(), "an empty cell"
    assert trace.time_s.is_monotonic_increasing and trace.time_s.is_unique
    # A row each 2 µs misses the top of the curve by a hair.
    assert 0 <= 1 - trace.current_A.max() / figures["peak_current_A"] < 1e-5
    assert set(trace.phase) <= {"approach", "fuse", "arc", "forge", "rest", "short"}
    # Power as it stands in the file, up to both ends of the arc, gives its energy.
    sides = pd.read_csv(io.StringIO(run(program, "fire", "--csv", "-", "--both-sides")))
    arc = sides[sides.phase == "arc"]
    step = arc.time_s.diff().iloc[1:]
    energy = (0.5 * (arc.weld_W + arc.weld_W.shift()).iloc[1:] * step).sum()
    assert abs(energy / figures["arc_energy_J"] - 1) < 1e-4, energy
    told = trace.dropna(subset="event").set_index("event").time_s
    assert list(told.index) == [event["name"] for event in shot["events"]]
    assert np.allclose(told, [event["time_s"] for event in shot["events"]], rtol=1e-9, atol=0)
    # Each time comes once, so that the curves can be taken at other times.
    curves = numbers.set_index("time_s")
    between = curves.reindex(curves.index.union([1.2345e-3])).interpolate("index").loc[1.2345e-3]
    near = np.interp(1.2345e-3, curves.index, curves.current_A)
    assert abs(between.current_A / near - 1) < 1e-12


def scattered_shots_are_a_table(program):
    rows = pd.read_csv(io.StringIO(run(program, "scatter", "--shots", "500", "--csv", "-")), index_col="shot")
    told = json.loads(run(program, "scatter", "--shots", "500", "--json", "-"))
    assert len(rows) == 500
    assert sum(row["count"] for row in told["verdicts"]) == 500
    for row in told["verdicts"]:
        assert (rows.verdict == row["verdict"]).sum() == row["count"]
    assert sum(figure["count"] > 0 for figure in told["figures"].values()) > 20
    for name, figure in told["figures"].items():
        column = rows[name].dropna()
        assert len(column) == figure["count"], name
        assert bool(figure["quantiles"]) == bool(figure["count"]), name
        for q in figure["quantiles"]:
            exact = column.sort_values().iloc[max(1, math.ceil(q["share"] * len(column))) - 1]
            # The sketch's bound, 0.01 % of the value.
            assert abs(q["value"] - exact) <= 1.001e-4 * abs(exact) + 1e-12, (name, q, exact)
    own = rows[["stud.cone_rad", "fill_ratio"]].corr(method="spearman").iloc[0, 1]
    assert abs(own - told["rank_correlations"]["fill_ratio"]["stud.cone"]) < 1e-9


def a_hypercube_is_fired(program):
    """A Latin hypercube made here, fired row by row."""
    rng = np.random.default_rng(1)
    rows = 40
    cells = (rng.permuted(np.tile(np.arange(rows), (2, 1)), axis=1).T + rng.random((rows, 2))) / rows
    design = pd.DataFrame({"bank.voltage [V]": 95 + 40 * cells[:, 0], "stud.cone [deg]": 2 + 2 * cells[:, 1]})
    with tempfile.TemporaryDirectory() as place:
        table = os.path.join(place, "design.csv")
        design.to_csv(table)
        fired = pd.read_csv(io.StringIO(run(program, "sweep", "--design", table, "--csv", "-")))
    assert np.allclose(fired["bank.voltage_V"], design["bank.voltage [V]"], rtol=1e-9)
    assert np.allclose(np.degrees(fired["stud.cone_rad"]), design["stud.cone [deg]"], rtol=1e-9)
    assert np.allclose(fired.stored_energy_J, 0.5 * 72e-3 * fired["bank.voltage_V"] ** 2, rtol=1e-9)
    assert fired.verdict.nunique() > 1


if __name__ == "__main__":
    for test in (the_trace_is_a_table_of_numbers, scattered_shots_are_a_table, a_hypercube_is_fired):
        test(sys.argv[1])
        print(f"{test.__name__}: ok")
