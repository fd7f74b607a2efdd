#!/usr/bin/env python3
"""What Python costs: `fire_many` and `fire` beside the same shots in Rust, by turns.

    pip install ./src/python
    benches/python/compare.py [ROWS [TURNS]]
"""

import subprocess
import sys
import time
from pathlib import Path

import arcplunge as ap
import numpy as np

ROOT = Path(__file__).resolve().parents[2]
SINGLE = 2000


def theirs(rows, threads):
    """Microseconds a shot of the batch and a single one in Rust, and the mean fill."""
    command = ["cargo", "bench", "--quiet", "--workspace", "--bench", "python", "--", str(rows), str(threads)]
    said = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT).stdout
    return [float(number) for number in said.split()]


def ours(rows, threads):
    """The same from Python."""
    steps = np.arange(rows)
    keys = {
        "bank.voltage": 90 + 40 * (steps * 0.61803398875 % 1),
        "tool.spring_force": 60 + 50 * (steps * 0.75487766625 % 1),
    }
    case = ap.Case()
    start = time.perf_counter()
    fill = ap.fire_many(case, keys, ["fill_ratio"], threads=threads)["fill_ratio"]
    many = (time.perf_counter() - start) * 1e6 / rows
    for _ in range(SINGLE // 10):
        ap.fire(case).fill_ratio
    start = time.perf_counter()
    for _ in range(SINGLE):
        ap.fire(case).fill_ratio
    return [many, (time.perf_counter() - start) * 1e6 / SINGLE, np.nansum(fill) / rows]


def main():
    rows, turns = (int(text) for text in (sys.argv[1:] + ["20000", "7"][len(sys.argv) - 1:])[:2])
    print("| threads | | Rust, µs a shot | Python, µs a shot | difference |\n|---|---|---|---|---|")
    for threads in (1, 2):
        both = [(theirs(rows, threads), ours(rows, threads)) for _ in range(turns)]
        # The other work of the machine only makes a run longer.
        rust, python = (np.min([one[k][:2] for one in both], axis=0) for k in (0, 1))
        fills = {round(one[k][2], 8) for one in both for k in (0, 1)}
        assert len(fills) == 1, fills
        print(f"| {threads} | `fire_many` | {rust[0]:.1f} | {python[0]:.1f} | {python[0] / rust[0] - 1:+.1%} |")
        if threads == 1:
            print(f"| 1 | `fire` | {rust[1]:.1f} | {python[1]:.1f} | {python[1] - rust[1]:+.1f} µs |")


if __name__ == "__main__":
    main()
