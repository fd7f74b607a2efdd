#!/usr/bin/env python3
"""From one weld to its window, in pictures: curves, fill over voltage and spring, scatter. Cells as of a notebook.

    pip install ./src/python matplotlib xarray
    ./window.py FOLDER
"""

# %% The case: the demonstration weld with a longer gun lead, and the voltage that makes up for it.
import sys
from pathlib import Path

import arcplunge as ap
import matplotlib.pyplot as plt
import numpy as np

folder = Path(sys.argv[1] if len(sys.argv) > 1 else ".")
case = ap.Case().set(**{"lead.length": "7 m", "bank.voltage": "122 V"})
shot = ap.fire(case)
print(shot)
print(*shot.reasons, sep="\n")

# %% Its curves.
curves = ap.curves(case)
figure, axes = plt.subplots(3, sharex=True, figsize=(7, 7), layout="constrained")
drawn = {"current, kA": curves.current_A / 1e3, "gap, mm": curves.gap_m * 1e3, "melt of the stud, µm": curves.melt_stud_m * 1e6}
for axis, (label, values) in zip(axes, drawn.items()):
    axis.plot(curves.time_s * 1e3, values)
    axis.set_ylabel(label)
    for event in shot.events:
        axis.axvline(event["time_s"] * 1e3, color="0.85", zorder=0)
axes[-1].set_xlabel("time from the trigger, ms")
figure.savefig(folder / "curves.png", dpi=150)

# %% Where the weld is sound: a grid fired at once.
volts, force = np.linspace(90, 160, 48), np.linspace(40, 140, 32)
grid = ap.fire_many(case, {"bank.voltage": volts, "tool.spring_force": force[:, None]}, ["fill_ratio", "verdict"])
print("sound:", f"{np.mean(grid['verdict'] == 'sound'):.0%} of the grid")
figure, axis = plt.subplots(figsize=(7, 5), layout="constrained")
fill = axis.pcolormesh(volts, force, np.where(grid["verdict"] == "sound", grid["fill_ratio"], np.nan))
axis.plot(case["bank.voltage"], case["tool.spring_force"], "r+")
axis.set(xlabel="charging voltage, V", ylabel="spring force, N")
figure.colorbar(fill, label="fill of the sound welds")
figure.savefig(folder / "window.png", dpi=150)

# %% How it scatters.
many = ap.scatter(case, 2000, ["fill_ratio", "verdict"])
figure, axis = plt.subplots(figsize=(7, 4), layout="constrained")
kinds = sorted(set(many["verdict"]))
axis.hist([many["fill_ratio"][many["verdict"] == kind] for kind in kinds], bins=40, stacked=True, label=kinds)
axis.set(xlabel="fill", ylabel="welds")
axis.legend()
figure.savefig(folder / "scatter.png", dpi=150)
