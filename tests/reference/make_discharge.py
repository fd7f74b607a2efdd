#!/usr/bin/env python3
"""Discharge of the demonstration case's loop by ngspice; writes discharge_ngspice.json and discharge_ngspice.csv.

The stud is a bolted short of 1 mohm or a fixed drop of 20 V (an ideal arc). The thyristor is its drop V_T and r_T in
series; every curve is cut where the total current falls to zero, which is where an ideal thyristor stops.
Free-wheel diode: none, or "true", a nearly ideal diode (N = 0.001) behind V_D across the bank's terminals. Earth leads
"equal", "unequal" (the second 3 m long), or "arcing": equal, and the first behind a diode and 13 V, a clamp that is apart.
Where the two earth leads are alike and carry alike, every curve has a closed form, and is checked against it.
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

from case import build, load
from circuit import Circuit, inductances

HERE = pathlib.Path(__file__).parent
SOURCES = {"none": "Resr cap term $esr", "true": "Resr cap term $esr\nVfw 0 fw DC $V_D\nDfw fw term ideal"}
LOADS = {"bolted": (1e-3, 0.0), "arc 20 V": (0.0, 20.0)}     # ohm in series, volts
EARTHS = {"equal": {}, "unequal": {"length": "3 m"}, "arcing": {}}
VARIANTS = [(load_, earths, diode) for load_ in LOADS for earths in ("equal", "unequal") for diode in SOURCES]
VARIANTS += [("bolted", "arcing", "true")]


def case_of(load_name, earths):
    """The case whose shot is the run of this name, the load in the switch and the bolted short."""
    ohm, volt = LOADS[load_name]
    first = {"clamp": "arcing"} if earths == "arcing" else {}
    given = {"earth": [{"at": ["-200 mm", "0 mm"]} | first, {"at": ["200 mm", "0 mm"]} | EARTHS[earths]],
             "stud": {"short_resistance": f"{ohm} ohm"}}
    case = build(given)
    case["bank"]["switch_drop"] += volt
    return case


def values(load_name, earths):
    case = case_of(load_name, earths)
    c, bank = Circuit(case), case["bank"]
    volt = LOADS[load_name][1]
    _, L_g, own, mutual = inductances(case)
    L_g -= bank["internal_inductance"]
    return c, {
        "C": c.C, "V0": bank["voltage"], "esr": bank["esr"], "V_D": bank["diode_drop"], "V_T": c.drop - volt,
        "R_s": c.Rs, "V_weld": volt, "L_int": bank["internal_inductance"], "L_g": L_g,
        "R_1": float(c.R[0, 0]), "R_2": float(c.R[1, 1]), "R_12": float(c.R[0, 1]), "U_1": float(c.branch_drop[0]), "L_1": own[0], "L_2": own[1],
        "M": mutual, "k_g1": mutual / math.sqrt(L_g * own[0]), "k_g2": mutual / math.sqrt(L_g * own[1]),
        "k_12": mutual / math.sqrt(own[0] * own[1])}


def discharge(value, title, diode):
    """Run ngspice; returns its measurements and the table time, i, u, i_1, i_2, terminal voltage."""
    with tempfile.TemporaryDirectory() as folder:
        fill = {k: repr(float(v)) for k, v in value.items()}
        fill |= {f"R_{k}_alone": repr(float(value[f"R_{k}"] - value["R_12"])) for k in (1, 2)}
        first = f"Vapart m1 d1 DC {fill['U_1']}\nDapart d1 p1 soft\nRapart d1 p1 1e3" if value["U_1"] else "Vapart m1 p1 DC 0"
        fill |= {"source": string.Template(SOURCES[diode]).substitute(fill), "title": title, "first": first,
                 "V_conducts": repr(-value["V_D"])}
        deck = pathlib.Path(folder, "deck.cir")
        deck.write_text(string.Template((HERE / "discharge.cir").read_text()).substitute(fill))
        ran = subprocess.run(["ngspice", "-b", deck.name], cwd=folder, capture_output=True, text=True)
        if not (deck.parent / "table.data").exists():
            raise RuntimeError(ran.stdout + ran.stderr)
        table = np.loadtxt(deck.parent / "table.data")[:, [0, 1, 3, 5, 7, 9]]
    found = {k: float(v) for k, v in re.findall(r"^(\w+)\s+=\s+([-+.\de]+)", ran.stdout, re.M)}
    if diode == "none" or found.get("t_conducts", 1.0) > found["t_end"]:
        found = {k: v for k, v in found.items() if "conducts" not in k}
    if not value["U_1"]:
        found = {k: v for k, v in found.items() if k not in ("t_closes", "t_opens")}
    table = table[table[:, 0] <= found["t_end"]]
    t, i = table[:, 0], table[:, 1]
    banks = (table[:, 2] - table[:, 5]) / value["esr"]
    found["action"] = float(np.trapezoid(i**2, t))
    found["esr_J"] = float(value["esr"] * np.trapezoid(banks**2, t))
    found["diode_J"] = float(value["V_D"] * np.trapezoid(i - banks, t)) if diode == "true" else 0.0
    return found, table


def closed_form(c, value, diode):
    """i(t), u(t) and the instants of the single-loop discharge: damped sine, then exponentials under the diode."""
    R = value["esr"] + value["R_s"] + 1 / np.linalg.inv(c.R).sum()
    L, C, V, V_D, esr = c.loop_inductance, value["C"], value["V0"] - value["V_T"] - value["V_weld"], value["V_D"], value["esr"]
    left = value["V_T"] + value["V_weld"]
    a = R / (2 * L)
    w = math.sqrt(1 / (L * C) - a * a)
    ring_i = lambda t: V / (w * L) * np.exp(-a * t) * np.sin(w * t)
    ring_u = lambda t: left + V * np.exp(-a * t) * (np.cos(w * t) + a / w * np.sin(w * t))
    t_peak, t_end = math.atan(w / a) / w, math.pi / w
    t_conducts = None
    if diode == "true" and ring_u(t_end) < -V_D:
        low, high = t_peak, t_end
        for _ in range(80):                     # u - esr i falls all the way: halve
            mid = 0.5 * (low + high)
            low, high = (mid, high) if ring_u(mid) - esr * ring_i(mid) > -V_D else (low, mid)
        t_conducts = low
    i, u, t_blocks = ring_i, ring_u, None
    if t_conducts:
        R_tail, drop, i_1, u_1 = R - esr, left + V_D, ring_i(t_conducts), ring_u(t_conducts)
        since = lambda t: np.maximum(t - t_conducts, 0)
        tail = lambda t: (i_1 + drop / R_tail) * np.exp(-R_tail / L * since(t)) - drop / R_tail
        i = lambda t: np.where(t < t_conducts, ring_i(t), tail(t))
        u = lambda t: np.where(t < t_conducts, ring_u(t), (u_1 + V_D) * np.exp(-since(t) / (esr * C)) - V_D)
        t_end = t_conducts + L / R_tail * math.log(1 + i_1 * R_tail / drop)
        low, high = t_conducts, t_end           # i falls below the bank's share: halve
        for _ in range(80):
            mid = 0.5 * (low + high)
            low, high = (mid, high) if i(mid) > (u(mid) + V_D) / esr else (low, mid)
        if i(low) > 1:                          # then the diode blocks for good before the end
            t_blocks, t_end = low, None
    return i, u, {"peak": float(ring_i(t_peak)), "t_peak": t_peak, "t_conducts": t_conducts, "t_blocks": t_blocks, "t_end": t_end}


def main():
    version = re.search(r"ngspice-\d+\S*", subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout)[0]
    header = {"command": "python3 make_discharge.py", "ngspice": version, "date": datetime.date.today().isoformat(),
              "method": "trapezoidal, steps of 0.05 us at most, reltol 1e-7; table each 2 us (in the csv each 20 us), cut at zero current",
              "digits": "measurements carry seven digits; t_peak is the nearest step (0.05 us)",
              "valid": "the whole curve; the nearly ideal diodes drop about 1 mV"}
    runs, rows = [], []
    for load_name, earths, diode in VARIANTS:
        c, value = values(load_name, earths)
        found, table = discharge(value, f"{load_name}, {earths} earth leads, diode {diode}", diode)
        run = {"stud": load_name, "earth_leads": earths, "diode": diode, "parameters": value, "ngspice": found}
        if earths == "equal":
            i, u, exact = closed_form(c, value, diode)
            part = table[table[:, 0] < (exact["t_blocks"] or exact["t_end"])]
            t = part[:, 0]
            run["closed_form"] = exact
            run["max_error"] = {"current_share_of_peak": float(np.abs(part[:, 1] - i(t)).max() / exact["peak"]),
                                "bank_V": float(np.abs(part[:, 2] - u(t)).max())}
            if exact["t_end"]:
                run["max_error"]["t_end_s"] = float(abs(found["t_end"] - exact["t_end"]))
        runs.append(run)
        rows += [[load_name, earths, diode, *(f"{x:.9g}" for x in line[:5])] for line in table[::10]]
        print(load_name, earths, diode, found, run.get("max_error"))
    (HERE / "discharge_ngspice.json").write_text(json.dumps({"header": header, "runs": runs}, indent=1) + "\n")
    with open(HERE / "discharge_ngspice.csv", "w", newline="") as file:
        file.write(f"# {header['command']}, {version}, {header['date']}; {header['method']}\n")
        out = csv.writer(file, lineterminator="\n")
        out.writerow("stud earth_leads diode time_s current_A bank_V earth_1_A earth_2_A".split())
        out.writerows(rows)


if __name__ == "__main__":
    main()
