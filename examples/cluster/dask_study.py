#!/usr/bin/env python3
"""One study split over many machines by Dask.

    pip install "dask[distributed]"
    ./dask_study.py --parts 64 --csv whole.csv scatter weld.toml --shots 1000000
    ./dask_study.py --scheduler tcp://head:8786 --parts 640 --folder /shared/parts --csv whole.csv scatter ...

Without --scheduler two worker processes run on this machine. With one, every machine needs arcplunge
and access to the same folder and case file. If a worker dies, another fires its part; as a shot
depends only on seed and index, the result is the same, bit for bit, as on one machine. Run it
again after a stop: finished parts are not fired again. A part's name carries a hash of the study's arguments and
files, so that a changed case or flag is fired anew.
"""

import argparse
import hashlib
import os
import subprocess
import uuid
from pathlib import Path

from dask.distributed import Client, LocalCluster, as_completed


def name(study):
    """Twelve digits that stand for the study's arguments and the files among them."""
    content = hashlib.sha256()
    for argument in map(str, study):
        content.update(argument.encode() + b"\0")
        if Path(argument).is_file():
            content.update(Path(argument).read_bytes())
    return content.hexdigest()[:12]


def fire(program, study, number, of, folder):
    """Fires one part; its file is renamed when complete, so two workers on the same part do no harm."""
    part = Path(folder) / f"part-{name(study)}-{number}-of-{of}.csv"
    if not part.exists():
        own = part.with_suffix(f".{uuid.uuid4().hex}")
        threads = os.environ.get("RAYON_NUM_THREADS", "1")
        subprocess.run(
            [program, *study, "--part", f"{number}/{of}", "--csv", own],
            check=True,
            stdout=subprocess.DEVNULL,
            env=os.environ | {"RAYON_NUM_THREADS": threads},
        )
        # What the part belongs to goes first: the part stands only beside it.
        Path(f"{own}.meta.json").replace(f"{part}.meta.json")
        own.replace(part)
    return str(part)


def run(client, program, study, parts, folder, csv, seen=lambda part: None):
    """Fires all parts on the client's workers and joins them; `seen` is called for each."""
    folder = Path(folder).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    futures = [
        client.submit(fire, program, study, number, parts, str(folder), pure=False, retries=3)
        for number in range(1, parts + 1)
    ]
    files = []
    for future in as_completed(futures):
        files.append(future.result())
        seen(files[-1])
    subprocess.run([program, "join", *files, "--csv", csv], check=True)


def main():
    about = argparse.ArgumentParser(description="One study split over many machines by Dask.")
    about.add_argument("--program", default="arcplunge")
    about.add_argument("--scheduler", help="address of a Dask scheduler; without it, workers on this machine")
    about.add_argument("--workers", type=int, default=2, help="worker processes on this machine")
    about.add_argument("--parts", type=int, default=64, help="number of parts, several per worker")
    about.add_argument("--folder", default="parts", help="folder for the parts")
    about.add_argument("--csv", required=True, help="file of the joined rows")
    about.add_argument("study", nargs=argparse.REMAINDER, help="sweep or scatter with its arguments")
    given = about.parse_args()
    if given.scheduler:
        client = Client(given.scheduler)
    else:
        cluster = LocalCluster(n_workers=given.workers, threads_per_worker=1, dashboard_address=None)
        client = Client(cluster)
    done = []

    def seen(part):
        done.append(part)
        print(f"{len(done)} of {given.parts} parts", flush=True)

    with client:
        run(client, given.program, given.study, given.parts, given.folder, given.csv, seen)


if __name__ == "__main__":
    main()
