#!/usr/bin/env python3
"""The posterior of `arcplunge calibrate` beside that of a general-purpose sampler.

    python3 tests/reference/calibrate.py PROGRAM          (needs emcee, numpy and scipy)

emcee (D. Foreman-Mackey et al., Publ. Astron. Soc. Pac. 125 (2013) 306) samples the same four unknowns and four spreads.
The likelihood is written anew here from docs/calibrate.md; the program only fires the welds, through `sweep --design`.
Fails where a mean differs by more than a quarter, or a spread by more than a quarter, of the spread of emcee's.
"""

import csv
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import emcee
import numpy as np
from scipy.stats import norm

WELDS = [  # voltage, witness, spatter, arc time in ms; invented
    (85, "part", "little", 1.50),
    (95, "part", "little", 1.47),
    (105, "full", "little", 1.44),
    (115, "full", "some", 1.45),
    (125, "full", "some", 1.40),
    (140, "full", "much", 1.36),
]
# Unknown, lowest and highest value: uniform, as the catalogue has them about the demonstration case.
UNKNOWNS = {
    "arc.to_both": (0.70, 0.82),
    "arc.fall": None,
    "model.hot_share": (0.07, 0.13),
    "model.overfill": (2.0, 5.0),
}
# Median and logarithmic deviation: lognormal.
SPREADS = {
    "fill_scatter": (0.08, 0.5),
    "rim_judged": (0.08, 0.5),
    "spatter_judged": (0.2, 0.5),
    "arc_time_scatter": (0.06, 0.5),
}
UNEVEN = 0.05  # no tilt
OUTLIERS = 0.05
WALKERS, STEPS, BURNT = 48, 700, 200


def run(program, *arguments):
    return subprocess.run(
        [program, *arguments], check=True, capture_output=True, text=True
    ).stdout


def spreads_of_the_model(program):
    """Every figure of the model with a spread of its own in the demonstration case, but for the unknowns."""
    text = run(program, "calibrate", "--welds", "welds.csv", "--particles", "64", "--json", "-")
    keys = json.loads(text)["unknowns"]
    return keys


def values(z, ends):
    return np.stack(
        [low + norm.cdf(z[:, k]) * (high - low) for k, (low, high) in enumerate(ends)], axis=1
    )


def log_likelihood(z, program, ends):
    """Of many samples at once: a row for each sample and weld."""
    unknowns = values(z, ends)
    spreads = {
        name: median * np.exp(wide * z[:, len(UNKNOWNS) + k])
        for k, (name, (median, wide)) in enumerate(SPREADS.items())
    }
    with open("points.csv", "w", newline="") as out:
        table = csv.writer(out)
        table.writerow(["bank.voltage_V", *heads])
        for row in unknowns:
            table.writerows([voltage, *map(repr, row.tolist())] for voltage, *_ in WELDS)
    run(program, "sweep", "case.toml", "--design", "points.csv", "--csv", "shots.csv")
    with open("shots.csv", newline="") as shots:
        rows = list(csv.DictReader(shots))
    Path("shots.csv").unlink()

    def column(name):
        cells = [float(r[name] or "nan") for r in rows]
        return np.array(cells).reshape(len(z), len(WELDS))

    fill, least = column("fill_ratio"), column("rim_fill_min")
    boiled, arc = column("vapour_share"), column("arc_time_s")
    keys = list(UNKNOWNS)
    hot = unknowns[:, [keys.index("model.hot_share")]]
    over = unknowns[:, [keys.index("model.overfill")]]
    thrown = np.maximum(boiled / hot, fill / over)
    total = np.zeros(len(z))
    nodes, weights = np.polynomial.hermite_e.hermegauss(41)
    weights = weights / weights.sum()
    for k, (_, witness, spatter, time) in enumerate(WELDS):
        swing = np.maximum(np.log(fill[:, k]) - np.log(least[:, k]), UNEVEN)
        mean = np.log(fill[:, k])[:, None] + nodes * spreads["fill_scatter"][:, None]
        eye = spreads["rim_judged"][:, None]
        full = norm.cdf((mean - swing[:, None]) / eye)
        none = norm.cdf(-(mean + swing[:, None]) / eye)
        rim = {"full": full, "none": none, "part": 1 - full - none}[witness] @ weights
        above = [norm.cdf((thrown[:, k] - limit) / spreads["spatter_judged"]) for limit in (0.5, 1)]
        seen = {"little": 1 - above[0], "some": above[0] - above[1], "much": above[1]}[spatter]
        off = np.log(time * 1e-3 / arc[:, k])
        fitting = np.log(rim.clip(1e-300)) + np.log(seen.clip(1e-300))
        fitting += norm.logpdf(off, scale=spreads["arc_time_scatter"])
        astray = -2 * np.log(3) + norm.logpdf(off)
        total += np.logaddexp(np.log1p(-OUTLIERS) + fitting, np.log(OUTLIERS) + astray)
    return np.where(np.isfinite(total), total, -np.inf)


def main():
    program = str(Path(sys.argv[1]).resolve())
    global heads
    with tempfile.TemporaryDirectory() as folder:
        import os

        os.chdir(folder)
        with open("welds.csv", "w") as out:
            out.write("bank.voltage [V],witness,spatter,arc_time [ms]\n")
            out.writelines(",".join(map(str, weld)) + "\n" for weld in WELDS)
        all_keys = spreads_of_the_model(program)
        held = [key for key in all_keys if key not in UNKNOWNS]
        lines = ["[tolerance]", 'others = "none"']
        lines += [f"{json.dumps(key)} = \"none\"" for key in held]
        Path("case.toml").write_text("\n".join(lines) + "\n")
        text = run(
            program, "calibrate", "case.toml", "--welds", "welds.csv", "--particles", "1024", "--json", "-"
        )
        ours = json.loads(text)
        assert set(ours["unknowns"]) == set(UNKNOWNS), ours["unknowns"].keys()
        ends, heads = [], []
        units = {"arc.fall": "_V"}
        for key, given in UNKNOWNS.items():
            before = ours["unknowns"][key]["before"]
            # A uniform spread has nine tenths of its width between these.
            wide = (before["p95"] - before["p5"]) / 0.9
            found = (before["p5"] - 0.05 * wide, before["p95"] + 0.05 * wide)
            assert given is None or np.allclose(given, found), (key, given, found)
            ends.append(found)
            heads.append(key + units.get(key, ""))
        dimensions = len(UNKNOWNS) + len(SPREADS)

        def log_posterior(z):
            return log_likelihood(z, program, ends) - 0.5 * (z**2).sum(axis=1)

        random = np.random.default_rng(1)
        np.random.seed(1)
        sampler = emcee.EnsembleSampler(WALKERS, dimensions, log_posterior, vectorize=True)
        sampler.run_mcmc(random.standard_normal((WALKERS, dimensions)), STEPS)
        chain = sampler.get_chain(discard=BURNT, flat=True)
        slow = sampler.get_autocorr_time(discard=BURNT, quiet=True).max()
        print(f"emcee: {len(chain)} samples, longest autocorrelation {slow:.0f} steps")
        print("| | calibrate | emcee |")
        print("|---|---|---|")
        theirs = dict(zip(UNKNOWNS, values(chain, ends).T))
        theirs |= {
            name: median * np.exp(wide * chain[:, len(UNKNOWNS) + k])
            for k, (name, (median, wide)) in enumerate(SPREADS.items())
        }
        failed = []
        for name, sample in theirs.items():
            one = (ours["unknowns"] | ours["spreads"])[name]
            mean, deviation = sample.mean(), sample.std()
            print(f"| {name} | {one['mean']:.4g} ± {one['deviation']:.3g} | {mean:.4g} ± {deviation:.3g} |")
            if abs(one["mean"] - mean) > 0.25 * deviation or abs(one["deviation"] / deviation - 1) > 0.25:
                failed.append(name)
        if failed:
            sys.exit(f"differ: {', '.join(failed)}")


if __name__ == "__main__":
    main()
