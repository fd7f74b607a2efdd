#!/usr/bin/env python3
"""Runs every case in cases/ and writes reference.json beside this file (about a quarter of an hour on one core)."""
import datetime
import json
import pathlib
import platform

import numpy
import scipy

import cycle
import heat
import march
from case import load

HERE = pathlib.Path(__file__).parent
COLUMNS = ["time_s", "current_A", "bank_V", "weld_V", "gap_m", "speed_m_per_s", "melt_stud_m", "melt_sheet_m"]


def rounded(value):
    """Every float to ten significant digits."""
    if isinstance(value, float):
        return float(f"{value:.10g}")
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    return [rounded(v) for v in value] if isinstance(value, list) else value


def main():
    header = {
        "command": "python3 make_reference.py", "date": datetime.date.today().isoformat(),
        "python": platform.python_version(), "numpy": numpy.__version__, "scipy": scipy.__version__,
        "tolerances": {"circuit_and_plunge": f"DOP853 rtol {march.RTOL:g}", "squeeze": "Radau rtol 1e-8",
                       "heat": f"LSODA rtol {heat.RTOL:g}, face cells {heat.CELL * 1e6:g} um in mild steel"},
        "curve": "each 20 us from the trigger to the last event; columns " + " ".join(COLUMNS)}
    cases = {}
    for path in sorted((HERE / "cases").glob("*.toml")):
        one = cycle.Cycle(load(path))
        result = one.run()
        result["curve"] = dict(zip(COLUMNS, one.curve().T.tolist()))
        cases[path.stem] = rounded(result)
        print(path.stem, flush=True)
    text = json.dumps({"header": header, "cases": cases}, separators=(",", ":"))
    (HERE / "reference.json").write_text(text.replace('},"', '},\n"') + "\n")


if __name__ == "__main__":
    main()
