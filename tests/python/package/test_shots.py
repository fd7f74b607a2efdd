"""Shots: the same bits as the program's, and as arrays."""

import ast
import csv
import inspect
import io
import os
import pickle
import re
import signal
import subprocess
import sys
import threading
import time

import arcplunge as ap
import numpy as np
import pytest

from conftest import ROOT

# Minutes of work.
MANY = 1_000_000
CASES = [(), ("examples/loose-clamp.toml",), ("examples/gap-aluminium.toml",), ("--set", "stud.short_resistance=1mohm")]


def read(arguments):
    """The case of the program's arguments."""
    if "--set" in arguments:
        return ap.Case().set(dict([arguments[-1].split("=")]))
    return ap.Case.load(ROOT / arguments[0]) if arguments else ap.Case()


@pytest.mark.parametrize("arguments", CASES)
def test_a_shot_is_that_of_the_program(arguments, told):
    shot, tree = ap.fire(read(arguments)), told("fire", *arguments, "--no-band")
    assert shot.figures == tree["figures"] and list(shot.figures) == ap.FIGURES
    assert (shot.verdict, shot.cause) == (tree["verdict"], tree["cause"])
    assert (shot.events, shot.ledger, shot.joints, shot.holds) == tuple(
        tree[part] for part in ("events", "ledger_J", "joints", "holds")
    )
    assert shot.peak_current_A == tree["figures"]["peak_current_A"]
    assert shot.report(band=False) == tree
    assert shot.reasons[0] == tree["reasons"][0]
    assert sum(shot.ledger.values()) == pytest.approx(shot.stored_energy_J, rel=1e-6)


def test_the_whole_report_is_that_of_the_program(told):
    assert ap.fire(ap.Case()).report(threads=1) == told("fire")


def test_a_shot_lists_its_figures():
    shot = ap.fire(ap.Case())
    assert {"arc_energy_J", "verdict", "report"} <= set(dir(shot))
    assert set(ap.FIGURES) < set(dir(shot))
    with pytest.raises(AttributeError, match="did you mean `arc_energy_J`"):
        shot.arc_energy
    assert "sound" in repr(shot)


def test_a_shot_goes_to_another_process():
    shot = ap.fire(ap.Case().set(**{"bank.voltage": 99}))
    again = pickle.loads(pickle.dumps(shot))
    assert again.figures == shot.figures and again.case == shot.case


def test_units_are_those_of_the_documentation():
    rows = re.findall(r"^\| (`\w+`(?:, `\w+`)*) \| ([^|]*) \|", (ROOT / "docs/output.md").read_text(), re.MULTILINE)
    said = {name: unit for names, unit in reversed(rows) for name in re.findall(r"\w+", names)}
    # Ratios are bare numbers.
    bare = {name: "" if said[name] == "1" else said[name] for name in ap.FIGURES}
    assert {name: ap.unit(name) for name in ap.FIGURES} == bare
    assert ap.unit("action_A2s") == "A²s" and ap.unit("verdict") == ap.unit("phase") == ""
    with pytest.raises(ap.CaseError, match="did you mean `fill_ratio`"):
        ap.unit("fil_ratio")


def names_of(definition, own):
    """Parameters of a function of the stub."""
    given = definition.args
    every = [*given.posonlyargs, *given.args, *([given.vararg] if given.vararg else []), *given.kwonlyargs]
    every += [given.kwarg] if given.kwarg else []
    return [one.arg for one in every][own:]


def parameters(call):
    return [name for name in inspect.signature(call).parameters if name != "self"]


def test_the_stub_names_the_parameters_there_are():
    from arcplunge import _native

    stub = ast.parse((ROOT / "src/python/arcplunge/_native.pyi").read_text())
    compared = 0
    for part in stub.body:
        if isinstance(part, ast.FunctionDef):
            assert names_of(part, 0) == parameters(getattr(_native, part.name)), part.name
            compared += 1
        for inner in part.body if isinstance(part, ast.ClassDef) else []:
            if not isinstance(inner, ast.FunctionDef):
                continue
            marks = {mark.id for mark in inner.decorator_list if isinstance(mark, ast.Name)}
            if "property" in marks:
                continue
            there = getattr(getattr(_native, part.name), inner.name)
            if not inner.name.startswith("__"):
                assert names_of(inner, "staticmethod" not in marks) == parameters(there), inner.name
                compared += 1
    assert compared > 14


def test_the_stub_says_what_there_is():
    from arcplunge import _native

    stub = ast.parse((ROOT / "src/python/arcplunge/_native.pyi").read_text())
    kinds = {part.name: part for part in stub.body if isinstance(part, ast.ClassDef)}
    calls = {part.name for part in stub.body if isinstance(part, ast.FunctionDef)}
    there = {name for name in vars(_native) if not name.startswith("_")}
    assert {*kinds, *calls, "FIGURES"} == there
    for name, kind in kinds.items():
        said = {part.name for part in kind.body if isinstance(part, ast.FunctionDef) and not part.name.startswith("_")}
        own = {part for part in vars(getattr(_native, name)) if not part.startswith("_")}
        assert said == own | (set(ap.FIGURES) if name == "Shot" else set()), name


def test_many_shots_have_the_bits_of_a_sweep(told, program):
    grid = ["--vary", "bank.voltage=60..160V/9", "--vary", "stud.cone=1..4deg/4"]
    rows = told("sweep", *grid)["rows"]
    values = {key: np.array([row["values"][key] for row in rows]) for key in ("bank.voltage", "stud.cone")}
    found = ap.fire_many(ap.Case(), values, threads=2)
    for name in ap.FIGURES:
        wanted = np.array([row["figures"][name] for row in rows], dtype=float)
        assert found[name].tobytes() == wanted.tobytes(), name
    assert list(found["verdict"]) == [row["verdict"] for row in rows]
    assert list(found["cause"]) == [row["cause"] for row in rows]
    assert np.isnan(found["touchdown_s"]).any() and len(set(found["verdict"])) > 2
    # The CSV has ten digits.
    for row, n in zip(csv.DictReader(io.StringIO(program("sweep", *grid, "--csv", "-"))), range(len(rows))):
        cell = row["arc_energy_J"]
        assert float(cell or "nan") == pytest.approx(found["arc_energy_J"][n], rel=6e-10, nan_ok=True)


def test_arrays_are_broadcast_and_threads_change_no_bit():
    volts, cones = np.linspace(100, 130, 30), np.radians([2.0, 3.0])
    keys = {"bank.voltage": volts[:, None], "stud.cone": cones}
    one, four = (ap.fire_many(ap.Case(), keys, ["fill_ratio", "verdict"], threads=n) for n in (1, 4))
    assert one["fill_ratio"].shape == one["verdict"].shape == (30, 2)
    assert one["fill_ratio"].tobytes() == four["fill_ratio"].tobytes()
    single = ap.fire(ap.Case().set({"bank.voltage": volts[7], "stud.cone": cones[1]}))
    assert one["fill_ratio"][7, 1] == single.fill_ratio
    scalar = ap.fire_many(ap.Case(), {"bank.voltage": 112.0}, ["fill_ratio"])["fill_ratio"]
    assert scalar.shape == () and scalar == ap.fire(ap.Case()).fill_ratio
    alone = ap.fire_many(ap.Case(), {}, ["fill_ratio"])
    assert list(alone) == ["fill_ratio"] and alone["fill_ratio"].shape == () and alone["fill_ratio"] == scalar


def test_values_that_are_no_numbers_make_no_case_or_are_told():
    volts = np.ma.masked_greater([100.0, 112.0, 500.0], 400.0)
    found = ap.fire_many(ap.Case(), {"bank.voltage": volts}, ["fill_ratio", "note"])
    assert np.isnan(found["fill_ratio"]).tolist() == [False, False, True] and found["note"][2]
    with pytest.raises(ap.CaseError, match="expected numbers"):
        ap.fire_many(ap.Case(), {"bank.voltage": np.array([100 + 1j])})
    with pytest.raises(ap.CaseError, match=r"case\.set"):
        ap.fire_many(ap.Case(), {"stud.size": ["M5", "M6"]})
    with pytest.warns(UserWarning, match="no row makes a case"):
        found = ap.fire_many(ap.Case(), {"bank.voltage": [-1.0, -2.0]}, "fill_ratio")
    assert list(found) == ["fill_ratio"]


def test_a_grid_too_large_is_told_before_it_is_laid_out():
    far = np.linspace(50, 150, 200_000)
    with pytest.raises(ap.CaseError, match="80000000000 values of keys"):
        ap.fire_many(ap.Case(), {"bank.voltage": far[:, None], "stud.cone": far})
    with pytest.raises(ap.CaseError, match=r"`bank.voltage` \(2,\), `stud.cone` \(3,\)"):
        ap.fire_many(ap.Case(), {"bank.voltage": [1, 2], "stud.cone": [1, 2, 3]})


@pytest.mark.skipif(sys.platform != "linux", reason="the room of a process is bounded on Linux alone")
def test_what_does_not_fit_into_memory_is_told_at_once():
    program = """
import resource
import arcplunge as ap, numpy as np
resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
many = {"bank.voltage": np.broadcast_to(112.0, 10_000_000)}
for call in (lambda: ap.scatter(ap.Case(), 1_000_000_000), lambda: ap.fire_many(ap.Case(), many, threads=1),
             lambda: ap.sensitivity(ap.Case(), ap.FIGURES, samples=10_000_000)):
    try:
        call()
    except MemoryError as error:
        print(error)
assert len(ap.scatter(ap.Case(), 1_000_000_000, "fill_ratio", last=3)["fill_ratio"]) == 3
"""
    said = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True, timeout=60).stdout
    assert [line.split(" take ")[0] for line in said.splitlines()] == ["1000000000 shots", "10000000 shots", "10000000 samples"]


def test_values_that_make_no_case_are_told_in_their_row():
    found = ap.fire_many(ap.Case(), {"arc.to_stud": [0.3, 0.9, np.nan]}, ["fill_ratio", "note", "verdict"])
    assert np.isnan(found["fill_ratio"]).tolist() == [False, True, True]
    assert found["note"][0] is None and "power" in found["note"][1] and found["verdict"][2] is None


def test_a_scattered_study_is_that_of_the_program_whole_or_in_parts(program):
    rows = list(csv.DictReader(io.StringIO(program("scatter", "--shots", 600, "--seed", 3, "--csv", "-"))))
    whole = ap.scatter(ap.Case(), 600, seed=3)
    volts = [float(row["bank.voltage_V"]) for row in rows]
    assert whole["bank.voltage"] == pytest.approx(volts, rel=6e-10)
    assert list(whole["verdict"]) == [row["verdict"] for row in rows]
    parts = [ap.scatter(ap.Case(), 600, seed=3, first=a, last=b, threads=1) for a, b in [(0, 201), (201, 600)]]
    for name, column in whole.items():
        joined = np.concatenate([part[name] for part in parts])
        assert (joined == column).all() if column.dtype == object else joined.tobytes() == column.tobytes(), name


def test_curves_are_those_of_the_program(program):
    rows = list(csv.DictReader(io.StringIO(program("fire", "--no-band", "--interval", "5us", "--csv", "-"))))
    found = ap.curves(ap.Case(), 5e-6, xarray=False)
    assert [row["phase"] for row in rows] == list(found["phase"])
    for name, column in found.items():
        if name != "phase":
            assert column == pytest.approx([float(row[name]) for row in rows], rel=6e-10), name
    both = ap.curves(ap.Case(), 5e-6, xarray=False, both_sides=True)
    assert len(both["time_s"]) > len(found["time_s"]) and (np.diff(found["time_s"]) > 0).all()


def test_curves_carry_their_units():
    data = ap.curves(ap.Case())
    assert data["current_A"].attrs["units"] == "A" and data["speed_m_per_s"].attrs["units"] == "m/s"
    assert float(data["current_A"].max()) == pytest.approx(ap.fire(ap.Case()).peak_current_A, rel=1e-5)
    times = np.linspace(0, 4e-3, 401)
    at = ap.curves(ap.Case(), times)
    assert at["current_A"].values == pytest.approx(data["current_A"].interp(time_s=times).values, nan_ok=True)
    assert np.isnan(at["current_A"].values[-1]) and at["phase"].values[0] == "fuse"
    with pytest.raises(ap.CaseError, match="a time or a list of times"):
        ap.curves(ap.Case(), np.zeros((2, 2)))


@pytest.mark.skipif(not hasattr(signal, "pthread_kill"), reason="no signals of threads on this system")
def test_ctrl_c_ends_many_shots(heard):
    seen, sent = [], []

    def progress(done, total):
        # From another thread once shots have been fired, as a terminal would.
        if done and not sent:
            sent.append(done)
            threading.Timer(0.02, signal.pthread_kill, (threading.main_thread().ident, signal.SIGINT)).start()
        seen.append((done, total))

    with pytest.raises(KeyboardInterrupt):
        ap.fire_many(ap.Case(), {"bank.voltage": np.full(MANY, 112.0)}, ["fill_ratio"], progress=progress)
    assert 0 < seen[-1][0] < MANY == seen[-1][1]


def test_other_threads_run_meanwhile_and_a_failing_progress_ends_it():
    counted = []

    def fails(done, total):
        counted.append(done)
        if len(counted) > 2:
            raise LookupError("enough")

    with pytest.raises(LookupError, match="enough"):
        ap.fire_many(ap.Case(), {"bank.voltage": np.full(MANY, 112.0)}, ["fill_ratio"], progress=fails)
    done = threading.Event()
    worker = threading.Thread(target=lambda: (ap.fire_many(ap.Case(), {"bank.voltage": np.full(4000, 112.0)}, ["fill_ratio"]), done.set()))
    worker.start()
    turns = 0
    while not done.is_set():
        turns += 1
        time.sleep(0.001)
    worker.join()
    assert turns > 3


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")
def test_a_forked_process_fires_too():
    wanted = ap.fire_many(ap.Case(), {"bank.voltage": [100.0, 112.0]}, ["fill_ratio"])["fill_ratio"]
    child = os.fork()
    if not child:
        found = ap.fire_many(ap.Case(), {"bank.voltage": [100.0, 112.0]}, ["fill_ratio"])["fill_ratio"]
        os._exit(0 if found.tobytes() == wanted.tobytes() else 1)
    assert os.waitpid(child, 0)[1] == 0
