#!/usr/bin/env python3
"""A scattered weld, fired by arcplunge and by SciPy: shots a second of one core, and how the answers agree.

usage: scatter.py [PROGRAM] [--shots N] [--peer-shots M]

The peer fires the first M of the N shots, at the values that arcplunge drew (their columns in its CSV), with the fastest setting
found that keeps either aim over a hundred shots: those of benches/peers/run, found on three cases, are off by up to 1.5 % here. Everything is counted, in processor time of one core: the case,
the numbers, the solves and, with arcplunge, the rows written and summed up. The peer leaves out what it leaves out there.
"""
import argparse
import csv
import os
import pathlib
import platform
import resource
import subprocess
import sys
import tempfile
import time

import numpy
import scipy

import lumped
import scipy_peer

ROOT = pathlib.Path(__file__).resolve().parents[2]
# Aim, mesh (cell, fine depth, growth), method and tolerance of the discharge, of the heat.
AIMS = [
    ("2e-6, 0.8 %", (3e-6, 60e-6, 1.4), "LSODA", 3e-7, ("LSODA", 3e-3, 4e3)),
    ("1e-8, 0.5 %", (2e-6, 80e-6, 1.3), "LSODA", 1e-9, ("LSODA", 1e-3, 1e3)),
]


def arcplunge(program, shots, folder):
    """Seconds of processor time, and the rows."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    rows = folder / "rows.csv"
    began = time.perf_counter()
    subprocess.run([program, "scatter", "--shots", str(shots), "--csv", rows], check=True, stdout=subprocess.DEVNULL)
    wall = time.perf_counter() - began
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, wall, list(csv.DictReader(rows.open(newline="")))


def case_of(row, path):
    """The drawn keys of a row as a case file."""
    sections = {}
    for column in list(row)[1:]:
        if column == "stored_energy_J":
            break
        key, unit = column.rsplit("_", 1)
        section, name = key.split(".", 1)
        if name.endswith(".resistance"):
            name = name.removesuffix(".resistance")
        sections.setdefault(section, {})[name] = f"{row[column]} {unit}"
    lines = [f"[{s}]\n" + "".join(f'{k} = "{v}"\n' for k, v in keys.items()) for s, keys in sections.items()]
    path.write_text("".join(lines))


def peer(rows, folder, mesh, method, rtol, heat):
    """Seconds of processor time, and the largest relative deviation of the figures from arcplunge's."""
    path, off = folder / "case.toml", {}
    spent = 0.0
    for k, row in enumerate([rows[0], *rows]):          # the first warms up
        began = time.process_time()
        case_of(row, path)
        n, faces = lumped.numbers(path, mesh)
        course = scipy_peer.Discharge(n, method, rtol).run()
        melts, freeze, _ = scipy_peer.Heat(n, faces, *heat).run(course)
        if k == 0:
            continue
        spent += time.process_time() - began
        found = {"touchdown_s": course["touchdown"], "arc_energy_J": course["arc"], "melt_stud_m": melts[0],
                 "melt_sheet_m": melts[1], "freeze_s": freeze}
        for name, value in found.items():
            off[name] = max(off.get(name, 0.0), abs(value / float(row[name]) - 1))
    return spent, off


def main():
    about = argparse.ArgumentParser()
    about.add_argument("program", nargs="?", default="arcplunge")
    about.add_argument("--shots", type=int, default=100_000)
    about.add_argument("--peer-shots", type=int, default=100)
    given = about.parse_args()
    print(f"Python {platform.python_version()}, NumPy {numpy.__version__}, SciPy {scipy.__version__}\n")
    print("| | target | shots | ms per shot | shots per second and core | ratio | touchdown | arc energy | melt | freezing |")
    print("|---|---|---:|---:|---:|---:|---:|---:|---:|---:|")
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place)
        ours, wall, rows = arcplunge(given.program, given.shots, folder)
        each = ours / given.shots
        print(f"| arcplunge scatter | | {given.shots} | {1e3 * each:.3f} | {1 / each:.0f} | 1 | | | | |")
        agree = True
        for aim, *setting in AIMS:
            some = rows[:given.peer_shots]
            spent, off = peer(some, folder, *setting)
            spent /= len(some)
            melt = max(off["melt_stud_m"], off["melt_sheet_m"])
            print(f"| SciPy {setting[1]}, heat {setting[3][0]} | {aim} | {len(some)} | {1e3 * spent:.1f} | {1 / spent:.1f} "
                  f"| {spent / each:.0f} | {off['touchdown_s']:.0e} | {off['arc_energy_J']:.0e} | {100 * melt:.2f} % "
                  f"| {100 * off['freeze_s']:.2f} % |", flush=True)
            agree &= max(off["touchdown_s"], off["arc_energy_J"]) < 2e-6 and max(melt, off["freeze_s"]) < 0.01
    print(f"\narcplunge took {wall:.1f} s by the clock on {len(os.sched_getaffinity(0))} cores, shared with other work.")
    # The same bounds as in benches/peers/run.
    return 0 if agree else 1


if __name__ == "__main__":
    sys.exit(main())
