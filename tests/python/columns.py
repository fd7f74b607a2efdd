"""Parquet files as pyarrow reads them: the same table as the CSV.

usage: columns.py PROGRAM, built with --features parquet
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

STUDIES = [
    # More rows than a row group holds, and draws that make no case.
    ["scatter", "--shots", "40000", "--set", "tolerance.others=none", "--set", "stud.short_resistance=1mohm",
     "--set", "tolerance.bank.voltage=2V"],
    ["scatter", "--shots", "300", "--set", "tolerance.arc.to_stud={ spread = 0.38, shape = \"uniform\" }"],
    ["sweep", "--vary", "bank.voltage=20..140V/25"],
]


def same_table(program, study, folder):
    csv, parquet = folder / "rows.csv", folder / "rows.parquet"
    subprocess.run([program, *study, "--csv", csv, "--parquet", parquet], check=True, stdout=subprocess.DEVNULL)
    table = pq.read_table(parquet)
    rows = pd.read_csv(csv, dtype={"verdict": "str", "cause": "str", "note": "str"})
    assert table.column_names == list(rows.columns)
    assert table.num_rows == len(rows) > 0
    for name in table.column_names:
        column, cells = table.column(name), rows[name]
        kind = {"shot": pa.int64()}.get(name, pa.string() if name in ("verdict", "cause", "note") else pa.float64())
        assert column.type == kind, (name, column.type)
        assert column.null_count == cells.isna().sum(), name
        there = cells.dropna()
        found = column.to_pandas().dropna()
        assert (found.to_numpy() == there.to_numpy().astype(found.to_numpy().dtype)).all(), name
    return table


def joined(program, folder):
    study = ["scatter", "--shots", "101"]
    whole = folder / "one.parquet"
    subprocess.run([program, *study, "--csv", folder / "one.csv", "--parquet", whole], check=True, stdout=subprocess.DEVNULL)
    parts = [folder / f"{k}.csv" for k in (1, 2)]
    for k, part in enumerate(parts, 1):
        subprocess.run([program, *study, "--part", f"{k}/2", "--csv", part], check=True, stdout=subprocess.DEVNULL)
    both = folder / "both.parquet"
    subprocess.run([program, "join", *parts, "--csv", folder / "both.csv", "--parquet", both], check=True)
    assert pq.read_table(both).equals(pq.read_table(whole))
    said = [json.loads(pq.read_metadata(file).metadata[b"arcplunge"]) for file in (both, whole)]
    assert said[0]["study"] == said[1]["study"] and said[0]["study"]["case"]["bank"]["voltage"] == 112


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        tables = [same_table(sys.argv[1], study, Path(place)) for study in STUDIES]
        assert tables[1].column("note").null_count < 300, "no draw without a case"
        joined(sys.argv[1], Path(place))
    print("parquet files: ok")
