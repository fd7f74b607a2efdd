#!/usr/bin/env python3
"""Discharge of the demonstration case's loop by ngspice; writes discharge_ngspice.json and discharge_ngspice.csv.

The stud is a bolted short of 1 mohm or a fixed drop of 20 V (an ideal arc). The thyristor is its drop V_T and r_T in
series; every curve is cut where the total current falls to zero, which is where an ideal thyristor stops.
Three free-wheel branches: none; "true", a nearly ideal diode (N = 0.001) behind V_D across the bank's terminals;
"rule", the take-over at u = 0 of the physics handbook (source -V_D, ESR out of the loop, u held), as two runs.
Where the two earth leads are alike, every curve without a true diode has a closed form, and is checked against it.
"""
import csv
import datetime
import json
import math
import pathlib
import re
import string
import subprocess
import tempfile

import numpy as np

from case import load
from circuit import Circuit, mutual_inductance, self_inductance

HERE = pathlib.Path(__file__).parent
SOURCES = {
    "none": "Resr cap term $esr",
    "true": "Resr cap term $esr\nVfw 0 fw DC $V_D\nDfw fw term ideal\n.model ideal D(IS=1e-12 N=0.001)",
    "rule": "Resr cap term $esr",                       # up to u = 0; then a second run from there:
    "tail": "Rcap cap 0 1e9\nVfw term 0 DC -$V_D",
}
LOADS = {"bolted": (1e-3, 0.0), "arc 20 V": (0.0, 20.0)}     # ohm in series, volts
EARTHS = {"equal": 5.0, "unequal": 3.0}                      # length of the second earth lead, m
VARIANTS = [(load_, "equal", diode) for load_ in LOADS for diode in ("none", "true", "rule")]
VARIANTS += [("bolted", "unequal", "none"), ("bolted", "unequal", "rule")]


def values(load_name, earths):
    case = load()
    case["earth"][1]["length"] = EARTHS[earths]
    c, bank, gun = Circuit(case), case["bank"], case["lead"]
    ohm, volt = LOADS[load_name]
    own = [self_inductance(e["length"], e["section"]) for e in case["earth"]]
    to_gun = [mutual_inductance(min(gun["length"], e["length"]), gun["spacing"]) for e in case["earth"]]
    between = mutual_inductance(min(e["length"] for e in case["earth"]), gun["spacing"])
    L_g = self_inductance(gun["length"], gun["section"])
    return c, {
        "C": c.C, "V0": bank["voltage"], "esr": bank["esr"], "V_D": bank["diode_drop"], "V_T": c.drop,
        "R_s": c.Rs + ohm, "V_weld": volt, "L_int": bank["internal_inductance"], "L_g": L_g,
        "R_1": c.R[0], "R_2": c.R[1], "L_1": own[0], "L_2": own[1],
        "M_g1": to_gun[0], "M_g2": to_gun[1], "M_12": between,
        "k_g1": to_gun[0] / math.sqrt(L_g * own[0]), "k_g2": to_gun[1] / math.sqrt(L_g * own[1]),
        "k_12": between / math.sqrt(own[0] * own[1])}


def spice(value, title, diode, start):
    """Run ngspice from start = (u, i_1, i_2); returns its measurements and the table time, i, u, i_1, i_2."""
    with tempfile.TemporaryDirectory() as folder:
        fill = {k: repr(float(v)) for k, v in value.items()}
        fill |= {"source": string.Template(SOURCES[diode]).substitute(fill), "title": title, "V_takeover": repr(-value["V_D"]),
                 "u_0": repr(start[0]), "i_0": repr(start[1] + start[2]), "i_1": repr(start[1]), "i_2": repr(start[2])}
        deck = pathlib.Path(folder, "deck.cir")
        deck.write_text(string.Template((HERE / "discharge.cir").read_text()).substitute(fill))
        ran = subprocess.run(["ngspice", "-b", deck.name], cwd=folder, capture_output=True, text=True)
        if not (deck.parent / "table.data").exists():
            raise RuntimeError(ran.stdout + ran.stderr)
        table = np.loadtxt(deck.parent / "table.data")[:, [0, 1, 3, 5, 7]]
    found = {k: float(v) for k, v in re.findall(r"^(\w+)\s+=\s+([-+.\de]+)", ran.stdout, re.M)}
    return found, table


def discharge(value, title, diode):
    found, table = spice(value, title, diode, (value["V0"], 0.0, 0.0))
    if diode == "rule" and "t_empty" in found and found["t_empty"] < found["t_end"]:
        t = found["t_empty"]
        tail, after = spice(value, title, "tail", (0.0, found["i_1_empty"], found["i_2_empty"]))
        after[:, 0] += t
        table = np.vstack([table[table[:, 0] < t], after])
        found["t_end"] = t + tail["t_end"]
    elif found.get("t_empty", 0.0) > found["t_end"]:
        found = {k: v for k, v in found.items() if "empty" not in k}    # after the thyristor has stopped
    table = table[table[:, 0] <= found["t_end"]]
    found["action"] = float(np.trapezoid(table[:, 1]**2, table[:, 0]))
    return found, table


def closed_form(c, value, diode):
    """i(t), u(t) and the instants of the single-loop discharge: damped sine, then an exponential under the diode."""
    R = value["esr"] + value["R_s"] + 1 / (1 / c.R).sum()
    L, C, V = c.loop_inductance, value["C"], value["V0"] - value["V_T"] - value["V_weld"]
    left = value["V_T"] + value["V_weld"]
    a = R / (2 * L)
    w = math.sqrt(1 / (L * C) - a * a)
    ring_i = lambda t: V / (w * L) * np.exp(-a * t) * np.sin(w * t)
    ring_u = lambda t: left + V * np.exp(-a * t) * (np.cos(w * t) + a / w * np.sin(w * t))
    t_peak, t_end = math.atan(w / a) / w, math.pi / w
    t_empty = None
    if ring_u(t_end) < 0:
        low, high = t_peak, t_end
        for _ in range(80):                     # u falls all the way: halve
            mid = 0.5 * (low + high)
            low, high = (mid, high) if ring_u(mid) > 0 else (low, mid)
        t_empty = low
    i, u = ring_i, ring_u
    if diode == "rule" and t_empty:
        R_tail, drop, i_1 = R - value["esr"], left + value["V_D"], ring_i(t_empty)
        tail = lambda t: (i_1 + drop / R_tail) * np.exp(-R_tail / L * np.maximum(t - t_empty, 0)) - drop / R_tail
        i = lambda t: np.where(t < t_empty, ring_i(t), tail(t))
        u = lambda t: np.where(t < t_empty, ring_u(t), 0.0)
        t_end = t_empty + L / R_tail * math.log(1 + i_1 * R_tail / drop)
    return i, u, {"peak": float(ring_i(t_peak)), "t_peak": t_peak, "t_empty": t_empty, "t_end": t_end}


def main():
    version = re.search(r"ngspice-\d+\S*", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout)[0]
    header = {"command": "python3 make_discharge.py", "ngspice": version, "date": datetime.date.today().isoformat(),
              "method": "trapezoidal, steps of 0.05 us at most, reltol 1e-7; table each 2 us (in the csv each 20 us), cut at zero current",
              "digits": "measurements carry seven digits; t_peak is the nearest step (0.05 us)",
              "valid": "diode none and rule: the whole curve; diode true: up to t_takeover, after which a true diode and "
                       "the bank share the current and the rule of the physics handbook no longer describes it"}
    runs, rows = [], []
    for load_name, earths, diode in VARIANTS:
        c, value = values(load_name, earths)
        found, table = discharge(value, f"{load_name}, {earths} earth leads, diode {diode}", diode)
        run = {"stud": load_name, "earth_leads": earths, "diode": diode, "parameters": value, "ngspice": found}
        if earths == "equal" and diode != "true":
            i, u, exact = closed_form(c, value, diode)
            t = table[:, 0]
            run["closed_form"] = exact
            run["max_error"] = {"current_share_of_peak": float(np.abs(table[:, 1] - i(t)).max() / exact["peak"]),
                                "bank_V": float(np.abs(table[:, 2] - u(t)).max()),
                                "t_end_s": float(abs(found["t_end"] - exact["t_end"]))}
        runs.append(run)
        rows += [[load_name, earths, diode, *(f"{x:.9g}" for x in line)] for line in table[::10]]
        print(load_name, earths, diode, found, run.get("max_error"))
    (HERE / "discharge_ngspice.json").write_text(json.dumps({"header": header, "runs": runs}, indent=1) + "\n")
    with open(HERE / "discharge_ngspice.csv", "w", newline="") as file:
        file.write(f"# {header['command']}, {version}, {header['date']}; {header['method']}\n")
        out = csv.writer(file, lineterminator="\n")
        out.writerow("stud earth_leads diode time_s current_A bank_V earth_1_A earth_2_A".split())
        out.writerows(rows)


if __name__ == "__main__":
    main()
