#!/usr/bin/env python3
"""One scattered study split over many machines by Dask; the workers fire in their own process.

    pip install ./src/python "dask[distributed]" pandas
    ./dask_study.py weld.toml --shots 1000000 --parts 64 --csv whole.csv
    ./dask_study.py weld.toml --scheduler tcp://head:8786 --shots 100000000 --parts 640 --folder /shared/parts --csv whole.csv

Without --scheduler two worker processes run on this machine. With one, every worker needs the package and the folder of
the parts; the case goes to them with the work. If a worker dies, another fires its part; as a shot depends only on seed and
number, the file is the same, bit for bit, as of one run on one machine. Run it again after a stop: finished parts are not
fired again. A part's name carries a hash of case, seed and version, so that a changed case is fired anew.
"""

import argparse
import hashlib
import shutil
import uuid
from pathlib import Path

import arcplunge as ap
import pandas as pd
from dask.distributed import Client, LocalCluster, as_completed


def name(case, shots, seed):
    """Twelve digits that stand for the study."""
    return hashlib.sha256(f"{case.hash} {shots} {seed} {ap.__version__}".encode()).hexdigest()[:12]


def fire(part, span, case, shots, seed):
    """Fires the shots of a span into a file, which is renamed when complete: two workers on one part do no harm."""
    first, last = span
    if not part.exists():
        own = part.with_suffix(f".{uuid.uuid4().hex}")
        rows = ap.scatter(case, shots, seed=seed, first=first, last=last, threads=1)
        pd.DataFrame(rows, index=pd.RangeIndex(first, last, name="shot")).to_csv(own, header=first == 0)
        own.replace(part)
    return part


def run(client, case, shots, seed, parts, folder, csv, seen=lambda part: None):
    """Fires all parts on the client's workers and puts them together; `seen` is called for each."""
    folder = Path(folder).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    parts = min(parts, shots)
    ends = [shots * k // parts for k in range(parts + 1)]
    files = [folder / f"part-{name(case, shots, seed)}-{k}-of-{parts}.csv" for k in range(1, parts + 1)]
    study = {"case": case, "shots": shots, "seed": seed}
    for future in as_completed(client.map(fire, files, list(zip(ends, ends[1:])), **study, pure=False, retries=3)):
        seen(future.result())
    with open(csv, "wb") as whole:
        for file in files:
            with open(file, "rb") as part:
                shutil.copyfileobj(part, whole)


def main():
    about = argparse.ArgumentParser(description="One scattered study split over many machines by Dask.")
    about.add_argument("case", nargs="?", help="case file; the demonstration case unless given")
    about.add_argument("--shots", type=int, default=100_000)
    about.add_argument("--seed", type=int, default=1)
    about.add_argument("--scheduler", help="address of a Dask scheduler; without it, workers on this machine")
    about.add_argument("--workers", type=int, default=2, help="worker processes on this machine")
    about.add_argument("--parts", type=int, default=64, help="number of parts, several per worker")
    about.add_argument("--folder", default="parts", help="folder for the parts")
    about.add_argument("--csv", required=True, help="file of all rows")
    given = about.parse_args()
    case = ap.Case.load(given.case) if given.case else ap.Case()
    here = {"n_workers": given.workers, "threads_per_worker": 1, "dashboard_address": None}
    client = Client(given.scheduler or LocalCluster(**here))
    done = []

    def seen(part):
        done.append(part)
        print(f"{len(done)} parts of {min(given.parts, given.shots)}", flush=True)

    with client:
        run(client, case, given.shots, given.seed, given.parts, given.folder, given.csv, seen)


if __name__ == "__main__":
    main()
