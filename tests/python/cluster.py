"""The cluster examples on one machine: a Dask study that loses a worker, a Slurm array played by hand. Needs the package.

usage: cluster.py PROGRAM
"""

import io
import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "examples" / "cluster"
sys.path.insert(0, str(EXAMPLES))


def one_run(program, study, folder):
    """The study as one machine gives it."""
    whole = Path(folder) / "one.csv"
    subprocess.run([program, *study, "--csv", whole], check=True, stdout=subprocess.DEVNULL)
    return whole.read_bytes()


def dask_study_that_loses_a_worker(program, folder):
    import arcplunge as ap
    import dask
    import pandas as pd
    from dask.distributed import Client, LocalCluster

    import dask_study

    dask.config.set({"distributed.scheduler.allowed-failures": 10})
    case, shots, seed = ap.Case().set({"bank.voltage": "110 V", "tolerance.bank.voltage": "3 V"}), 6000, 3
    killed = []
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        with Client(cluster) as client:
            first = dict(client.run(os.getpid))

            def seen(_):
                # In the middle of the study one of the two goes.
                if not killed:
                    killed.append(first.popitem()[1])
                    os.kill(killed[0], signal.SIGKILL)

            csv = Path(folder) / "whole.csv"
            dask_study.run(client, case, shots, seed, 8, Path(folder) / "parts", csv, seen)
            alive = set(client.run(os.getpid).values())
    assert killed and killed[0] not in alive, "the worker was not killed"
    one = pd.DataFrame(ap.scatter(case, shots, seed=seed)).to_csv(index_label="shot")
    assert one.count("\n") == shots + 1, one.count("\n")
    assert csv.read_bytes() == one.encode(), "not what one run gives"
    # And the program's rows, to the ten digits it writes.
    sets = ["--set", "bank.voltage=110 V", "--set", "tolerance.bank.voltage=3 V"]
    study = ["scatter", "--shots", str(shots), "--seed", str(seed), *sets]
    theirs = pd.read_csv(io.BytesIO(one_run(program, study, folder)))
    ours = pd.read_csv(csv)
    assert (ours.verdict == theirs.verdict).all()
    gap = (ours.arc_energy_J / theirs.arc_energy_J - 1).abs().max()
    assert gap < 6e-10, gap


def slurm_array(program, folder):
    folder = Path(folder)
    script = EXAMPLES / "study.slurm"
    subprocess.run(["bash", "-n", script], check=True)
    (folder / "weld.toml").write_text('[bank]\nvoltage = "115 V"\n')
    shots = {"ARCPLUNGE": str(Path(program).resolve()), "SHOTS": "500", "SLURM_CPUS_PER_TASK": "1"}
    for number in (2, 3, 1, 3):  # one of them twice, as after a requeue
        array = {"SLURM_ARRAY_TASK_ID": str(number), "SLURM_ARRAY_TASK_COUNT": "3"}
        subprocess.run([script], check=True, cwd=folder, env=os.environ | shots | array, stdout=subprocess.DEVNULL)
    parts = sorted(folder.glob("part-*.csv"))
    subprocess.run([program, "join", *parts, "--csv", folder / "whole.csv"], check=True)
    study = ["scatter", str(folder / "weld.toml"), "--shots", "500", "--seed", "1"]
    assert (folder / "whole.csv").read_bytes() == one_run(program, study, folder)


if __name__ == "__main__":
    for test in (slurm_array, dask_study_that_loses_a_worker):
        with tempfile.TemporaryDirectory() as place:
            test(sys.argv[1], place)
            print(f"{test.__name__}: ok")
