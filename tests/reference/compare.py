#!/usr/bin/env python3
"""Holds this solver's figures against those of the independent program with fixed small steps: python3 compare.py [FRESH]

Arc blow is not in that program's rim, so the rim is reckoned without drift here. Reads reference.json, or solves the rows anew with any argument. Columns: peak A, ignition ms, arc ms, touchdown A,
arc J, joints J, melt of stud and sheet um, fill, least at the rim, welded share, boiled %, frozen ms.
"""
import json
import pathlib
import sys

from case import load
from cycle import Cycle
from pip import Pip
from rim import rim

HERE = pathlib.Path(__file__).parent
KEYS = [("peak_current_A", 1, 0.003), ("ignition_s", 1e3, 0.003), ("arc_time_s", 1e3, 0.003), ("touchdown_current_A", 1, 0.003),
        ("arc_energy_J", 1, 0.003), ("joints_J", 1, 0.003), ("melt_stud_m", 1e6, 0.02), ("melt_sheet_m", 1e6, 0.02),
        ("fill_ratio", 1, 0.02), ("rim_fill_min", 1, 0.02), ("welded_share", 1, 0.02), ("vapour_share", 100, 0.02),
        ("freeze_s", 1e3, 0.03)]
N = None
ROWS = {
    "demonstration": (6297.2, 0.447, 1.449, 1376, 126.06, 2.48, 62.6, 62.6, 1.411, 1.411, 1.000, 0, 3.308),
    "tool-terminal-loose": (5578.1, 0.4674, 1.433, 900, 105.46, 93.48, 44.7, 44.7, 0.975, 0.975, 0.983, 0, 2.636),
    "chuck-worn-m6": (7515.6, 0.3832, 1.475, 1306, 148.99, 89.16, 51.0, 51.0, 0.930, 0.930, 0.953, 0, 2.778),
    "loose-clamp": (6285.3, 0.4476, 1.449, 1372, 125.77, 3.84, 62.6, 62.6, 1.411, 1.411, 1.000, 0, 3.298),
    "loose-clamp-15m": (5359.6, 0.5024, 1.425, 1295, 105.16, 54.21, 44.7, 44.7, 0.993, 0.993, 0.995, 0, 2.682),
    "arcing-clamp": (5903.9, 0.4706, 1.439, 1506, 116.32, 29.83, 54.2, 54.2, 1.228, 1.228, 1.000, 0, 2.996),
    "gun-lead-12m": (4554.5, 0.6916, 1.355, 2311, 96.72, 1.78, 38.7, 38.7, 0.885, 0.885, 0.922, 0, 2.665),
    "centre-mark": (6337.2, 0.447, 1.082, 3371, 106.39, 2.67, 51.0, 51.0, 1.088, 1.088, 1.000, 0, 2.567),
    "centre-mark-tilt-1": (6337.2, 0.447, 1.082, 3371, 106.39, 2.67, 51.0, 51.0, 1.088, 0.835, 0.969, 0, 2.567),
    "spring-60N": (6295.6, 0.4467, 1.721, 253, 130.66, 2.45, 64.3, 64.3, 1.370, 1.370, 1.000, 0, 3.509),
    "spring-50N": (6294.8, 0.4466, 1.787, N, 131.21, 2.44, N, N, N, N, N, 0, N),
    "one-earth": (5335.8, 0.5469, 1.41, 1906, 110.89, 2.56, 50.1, 50.1, 1.149, 1.149, 1.000, 0, 2.922),
    "m6-135V": (7737.6, 0.3825, 1.476, 2216, 164.44, 3.85, 60.0, 60.0, 1.152, 1.152, 1.000, 0, 3.193),
    "m8-190V": (11287.3, 0.2923, 1.56, 3918, 259.43, 8.44, 68.0, 68.0, 1.062, 1.062, 1.000, 0, 3.597),
    "m4-86V": (4680.2, 0.4397, 1.167, 1993, 81.35, 1.40, 55.5, 55.5, 1.511, 1.511, 1.000, 0, 2.804),
    "tilt-2": (6297.2, 0.447, 1.449, 1376, 126.06, 2.48, 62.6, 62.6, 1.411, 0.847, 0.980, 0, 3.308),
    "tilt-5": (6297.2, 0.447, 1.331, 1941, 122.69, 2.52, 60.9, 60.9, 1.402, 0.382, 0.788, 0, 3.164),
    "stainless-thin-sheet": (5978.4, 0.4591, 1.442, 1350, 118.64, 2.25, 56.3, 74.5, 1.515, 1.515, 1.000, 0, 3.252),
    "gap-steel": (6926.7, 2.779, 1.347, 1910, 128.42, 3.02, 64.4, 64.4, 1.474, 1.474, 1.000, 0, 5.692),
    "gap-aluminium-118V": (7675.9, 3.279, 0.6819, 2833, 61.46, 3.54, 109.3, 109.3, 2.394, 2.394, 1.000, 0, 5.237),
}
# Its 3.252 ms are the instant at which the sheet's face freezes; a pocket deeper in the sheet, which melts at less than the stud, takes longer.
OTHER = {("stainless-thin-sheet", "freeze_s")}


def decimals(value):
    text = repr(value)
    return len(text.split(".")[1]) if "." in text else 0


def square(case, figures):
    """The figures with the rim that no arc blow moves."""
    if figures["rim_fill_min"] is None:
        return figures
    least, _, welded, _ = rim(case, figures["fill_ratio"], (0.0, 0.0), Pip(case).mark)
    return figures | {"rim_fill_min": least, "welded_share": welded}


def main(fresh):
    stored = json.loads((HERE / "reference.json").read_text())["cases"]
    wrong, worst = 0, {}
    for name, row in ROWS.items():
        case = load(HERE / "cases" / f"{name}.toml")
        result = Cycle(case).run() if fresh else stored[name]
        told, got = [], square(case, result["figures"] | result["further"])
        for (key, factor, allowed), theirs in zip(KEYS, row):
            own = got[key]
            if theirs is None or own is None:
                bad = (theirs is None) != (own is None)
                told.append(f"{key}: {theirs} {own} {'WRONG' if bad else ''}")
                wrong += bad
                continue
            own *= factor
            rounding = 0.5 * 10.0**-decimals(theirs)
            off = own - theirs
            other = (name, key) in OTHER
            bad = abs(off) > allowed * abs(theirs) + rounding and not other
            wrong += bad
            share = off / theirs if theirs else off
            if not other and abs(share) > abs(worst.get(key, (0.0, ""))[0]):
                worst[key] = share, name
            told.append(f"{own:.5g} ({share:+.2%}){' WRONG' if bad else ' another instant' if other else ''}")
        print(f"{name:22}", "  ".join(told), flush=True)
    for key, (share, name) in worst.items():
        print(f"largest deviation of {key}: {share:+.2%} ({name})")
    print(f"{wrong} figures beyond what is allowed")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(len(sys.argv) > 1))
