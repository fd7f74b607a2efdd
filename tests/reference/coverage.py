"""How often the intervals of `arcplunge fit` hold the truth: traces of a discharge test by an independent circuit.

    python3 coverage.py PATH/TO/arcplunge [TRACES]

The discharge is integrated by SciPy with a Shockley diode and its series resistance, which the program knows only as a
constant drop that may grow. Each set spoils the traces in one way, and its case says how well the rig and the probe are known; the truths
are drawn from that. Prints the table of docs/validation.md.
"""
import json
import math
import os
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from scipy.integrate import solve_ivp

from case import load
from circuit import Circuit

KELVIN = 293.15
IDEALITY, SERIES = 1.8, 0.05e-3                 # of the diode: 107 mV per decade, and 50 uohm
THERMAL = 1.380649e-23 * 298.15 / 1.602176634e-19
SPACING, BEFORE, ROWS = 4e-6, 0.6e-3, 3000
FULL_SCALE = 10e3                               # A over 256 steps
FITTED = ("bank.esr", "lead.length")

# What each set does to a trace, and what its case says: keys, and spreads that the truths are drawn from.
DIODE = {"bank.diode_drop": ("0.2 V", 0.1)}
COIL = {"probe.bandwidth": ("20 %", 0.2), "probe.low_cutoff": ("20 %", 0.2)}
HUM = {"probe.hum_cosine": ("30 A", None), "probe.hum_sine": ("30 A", None)}
SETS = {
    "white noise of 40 A": dict(noise=40.0),
    "8 bit": dict(bits=True),
    "4 A of noise under 8 bit": dict(noise=4.0, bits=True),
    "gain off by 2 % (standard deviation)": dict(noise=40.0, spreads={"probe.gain": ("2 %", 0.02)}),
    "coil of 50 kHz that droops (5 Hz)": dict(noise=40.0, coil=True, spreads=COIL),
    "hum of 40 A, 50 Hz": dict(noise=40.0, hum=40.0, spreads=HUM),
    "all together": dict(noise=4.0, bits=True, coil=True, hum=40.0, spreads={
        "probe.gain": ("2 %", 0.02), "bank.voltage": ("0.5 %", 0.005), "lead.temperature": ("5 K", 5.0), **COIL, **HUM}),
}


def discharge(case, drop):
    """Time and current of a bolted short, with a diode that drops `drop` at 2 kA."""
    circuit = Circuit(case)
    bank = case["bank"]
    slope = IDEALITY * THERMAL
    saturation = 2e3 * math.exp(-(drop - SERIES * 2e3) / slope)
    ohms = circuit.Rs + 1 / np.linalg.inv(circuit.R).sum()
    henries = circuit.loop_inductance

    def rate(_, y):
        """Bank and current; the diode takes what the capacitors, reversed, do not: Newton in x = ln(1 + i_d/Is)."""
        u, i = y
        free = i - u / bank["esr"]              # what it would carry if it dropped nothing
        taken = 0.0
        if free > 0:
            x = math.log1p(free / saturation)
            for _ in range(40):
                taken = saturation * math.expm1(x)
                slack = (slope * x + SERIES * taken) / bank["esr"] + taken - free
                step = slack / ((slope + SERIES * (taken + saturation)) / bank["esr"] + taken + saturation)
                x -= step
                if abs(step) < 1e-12:
                    break
            taken = saturation * math.expm1(x)
        volt = u - bank["esr"] * (i - taken)
        return [-(i - taken) / bank["capacitance"], (volt - bank["switch_drop"] - ohms * i) / henries]

    def ends(t, y):
        return y[1] if t > 1e-5 else 1.0
    ends.terminal, ends.direction = True, -1
    run = solve_ivp(rate, (0, 0.05), [bank["voltage"], 0.0], method="LSODA", rtol=1e-8, atol=1e-4, events=ends, max_step=2e-5,
                    dense_output=True)
    time = np.arange(0, run.t[-1], 0.5e-6)
    return time, run.sol(time)[1]


def filtered(time, current, bandwidth, cutoff):
    """Behind a coil: first order at both ends, in small steps."""
    step = time[1] - time[0]
    high, low = math.exp(-2 * math.pi * bandwidth * step), math.exp(-2 * math.pi * cutoff * step)
    out, fast, slow = np.empty_like(current), 0.0, 0.0
    last = 0.0
    for k, i in enumerate(current):
        mean = 0.5 * (i + last)
        last = i
        before = fast
        fast = high * fast + (1 - high) * mean
        slow = low * slow + (1 - low) * 0.5 * (fast + before)
        out[k] = fast - slow
    return out


def trace(name, number, folder):
    """Writes one trace with its case; the truths of the fitted keys."""
    what = SETS[name]
    draw = np.random.default_rng([list(SETS).index(name), number])
    spreads = {**DIODE, **what.get("spreads", {})}
    truth = {"bank.esr": draw.uniform(1.5e-3, 3.5e-3), "lead.length": draw.uniform(4.5, 8.0)}
    case = load(os.path.join(os.path.dirname(os.path.abspath(__file__)), "cases", "bolted.toml"))
    case["stud"]["short_resistance"] = 1e-3
    case["bank"]["esr"], case["lead"]["length"] = truth.values()

    def drawn(key, usual, share=False):
        size = spreads.get(key, (None, 0.0))[1]
        return usual * (1 + size * draw.normal()) if share else usual + size * draw.normal()
    case["bank"]["voltage"] = drawn("bank.voltage", case["bank"]["voltage"], True)
    case["lead"]["temperature"] = drawn("lead.temperature", KELVIN)
    time, current = discharge(case, drawn("bank.diode_drop", 0.9))
    more = np.arange(time[-1] + 0.5e-6, ROWS * SPACING, 0.5e-6)
    time, current = np.append(time, more), np.append(current, np.zeros_like(more))
    if what.get("coil"):
        current = filtered(time, current, drawn("probe.bandwidth", 50e3, True), drawn("probe.low_cutoff", 5.0, True))
    trigger = draw.uniform(-2e-6, 2e-6)
    seen = SPACING * np.arange(ROWS) - BEFORE
    reading = drawn("probe.gain", 1.0) * np.interp(seen - trigger, time, current, left=0.0)
    reading += what.get("hum", 0.0) * np.cos(2 * math.pi * 50 * seen + draw.uniform(0, 2 * math.pi))
    reading += draw.uniform(-100, 100) + what.get("noise", 0.0) * draw.normal(size=ROWS)
    if what.get("bits"):
        step = FULL_SCALE / 256
        reading = step * np.round(reading / step)
    path = os.path.join(folder, f"{number}.csv")
    np.savetxt(path, np.column_stack([seen, reading]), fmt="%.9g", delimiter=",", header="time,current", comments="")
    return path, truth, spreads, bool(what.get("coil"))


def fit(program, name, number, folder):
    """How far each fitted key is off, in its stated standard errors."""
    path, truth, spreads, coil = trace(name, number, folder)
    sets = ["stud.short_resistance=1 mohm", "tolerance.others=none"]
    sets += ["probe.bandwidth=50 kHz", "probe.low_cutoff=5 Hz"] if coil else []
    sets += [f"tolerance.{key}={size}" for key, (size, _) in spreads.items()]
    command = [program, "fit", "--trace", path, "--vary", ",".join(FITTED), "--json", "-"]
    for one in sets:
        command += ["--set", one]
    out = json.loads(subprocess.run(command, check=True, capture_output=True, text=True,
                                    env={**os.environ, "RAYON_NUM_THREADS": "1"}).stdout)
    os.remove(path)
    found = []
    for value in out["values"][:len(FITTED)]:
        off = value["value"] - truth[value["key"]]
        error = value["standard_error"]
        found.append((off / error if error else math.inf, off / value["noise_error"] if error else math.inf, error))
    return found


def main():
    program, traces = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 200
    names = [n for n in SETS if len(sys.argv) < 4 or sys.argv[3] in n]
    print("| traces | intervals that hold the truth | were all other keys exact | median standard error |\n|---|---:|---:|---|")
    for name in names:
        with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(2) as pool:
            found = list(pool.map(lambda n: fit(program, name, n, folder), range(traces)))
        offs = np.array(found)
        share = [100 * np.mean(np.abs(offs[:, :, k]) <= 1.96) for k in range(2)]
        by_key = [100 * np.mean(np.abs(offs[:, k, 0]) <= 1.96) for k in range(len(FITTED))]
        ohm, metre = np.median(offs[:, 0, 2]), np.median(offs[:, 1, 2])
        keys = ", ".join(f"{s:.1f}" for s in by_key)
        print(f"| {name} | {share[0]:.1f} % ({keys}) | {share[1]:.1f} % | {ohm * 1e3:.2g} mΩ, {metre:.2g} m |", flush=True)


if __name__ == "__main__":
    main()
