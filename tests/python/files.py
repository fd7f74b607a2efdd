"""The CSV files as pandas reads them.

usage: files.py PROGRAM
"""

import io
import json
import math
import subprocess
import sys

import pandas as pd


def run(program, *arguments):
    return subprocess.run([program, *arguments], check=True, capture_output=True, text=True).stdout


def the_trace_is_a_table_of_numbers(program):
    trace = pd.read_csv(io.StringIO(run(program, "fire", "--csv", "-")))
    shot = json.loads(run(program, "fire", "--json", "-", "--no-band"))
    figures = shot["figures"]
    numbers = trace.drop(columns="phase")
    assert all(dtype == "float64" for dtype in numbers.dtypes), numbers.dtypes
    assert not trace.isna().any().any(), "an empty cell"
    assert trace.time_s.is_monotonic_increasing
    # A row each 2 µs misses the top of the curve by a hair.
    assert 0 <= 1 - trace.current_A.max() / figures["peak_current_A"] < 1e-5
    assert set(trace.phase) <= {"approach", "fuse", "arc", "forge", "rest", "short"}
    # Power and current as they stand in the file give the arc's energy.
    arc = trace[trace.phase == "arc"]
    step = arc.time_s.diff().iloc[1:]
    energy = (0.5 * (arc.weld_W + arc.weld_W.shift()).iloc[1:] * step).sum()
    assert abs(energy / figures["arc_energy_J"] - 1) < 1e-4, energy
    events = {event["name"]: event["time_s"] for event in shot["events"]}
    for name in ("ignition", "touchdown"):
        rows = (trace.time_s - events[name]).abs() < 1e-12
        assert rows.sum() == 2, f"{name}: a row on either side"


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


if __name__ == "__main__":
    for test in (the_trace_is_a_table_of_numbers, scattered_shots_are_a_table):
        test(sys.argv[1])
        print(f"{test.__name__}: ok")
