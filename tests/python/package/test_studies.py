"""Studies: the trees of the program's JSON."""

import signal
import threading

import arcplunge as ap
import numpy as np
import pandas as pd
import pytest
from scipy.optimize import least_squares

from conftest import ROOT

SCOPE = ROOT / "examples" / "scope.csv"
OPTIONS = ["--trace", SCOPE, "--time-unit", "ms", "--scale", "10kA", "--vary", "bank.esr,lead.length"]
KEYS = ["bank.esr", "lead.length"]


@pytest.fixture(scope="module")
def trace():
    return ap.read_trace(SCOPE, time_unit="ms", scale="10 kA")


def test_a_fit_is_that_of_the_program(trace, told):
    tree, found = told("fit", *OPTIONS), ap.fit(ap.Case(), trace, KEYS)
    assert found["values"] == tree["values"] and found["case"] == tree["case"]
    (case,) = found["cases"]
    assert case["bank.esr"] == found["values"][0]["value"]
    both = ap.fit(ap.Case(), [trace, trace], KEYS[:1], vary_each=KEYS[1:])
    assert [v["trace"] for v in both["values"][:3]] == [None, 1, 2] and len(both["cases"]) == 2


def test_traces_are_any_sequences(trace):
    frame = pd.DataFrame({"t": trace[0], "i": trace[1]}, index=np.arange(7, 7 + len(trace[0])))
    assert ap.residual(ap.Case(), [frame, frame], KEYS).names[-1].endswith("[1]")
    start = ap.residual(ap.Case(), trace, KEYS).start
    for same in ((frame.t, frame.i), [list(trace[0]), list(trace[1])], np.array(trace), [(frame.t, frame.i)], frame, [frame]):
        left = ap.residual(ap.Case(), same, KEYS)
        assert left(start).tobytes() == ap.residual(ap.Case(), trace, KEYS)(start).tobytes()
    for none in ([], [[], []], [[]]):
        with pytest.raises(ap.CaseError):
            ap.residual(ap.Case(), none, KEYS)


@pytest.mark.skipif(not hasattr(signal, "pthread_kill"), reason="no signals of threads on this system")
def test_ctrl_c_ends_a_fit(trace, heard):
    main = threading.main_thread().ident
    threading.Timer(0.1, signal.pthread_kill, (main, signal.SIGINT)).start()
    with pytest.raises(KeyboardInterrupt):
        # Many traces: more than a moment's work.
        ap.fit(ap.Case(), [trace] * 40, KEYS[:1], vary_each=KEYS[1:])


def test_scipy_finds_what_the_fit_finds(trace):
    """Two searches: SciPy's trust region over all values, and the fit without spreads of its other keys."""
    case = ap.Case().set({"tolerance.others": "none"})
    found = {v["key"]: v["value"] for v in ap.fit(case, trace, KEYS)["values"]}
    left = ap.residual(case, trace, KEYS)
    assert left.names[:4] == [*KEYS, "offset", "trigger"] and left.units[:4] == ["ohm", "m", "A", "s"]
    low, high = left.bounds
    scale = np.where(left.start == 0, high, np.abs(left.start))
    own = least_squares(left, left.start, bounds=(low, high), x_scale=scale, diff_step=1e-4)
    for key, value in zip(KEYS, own.x):
        assert value == pytest.approx(found[key], rel=2e-3), key
    assert np.isinf(left(np.full(len(left.names), -1.0))).all()
    with pytest.raises(ap.CaseError, match="expected"):
        left(np.zeros(1))
    assert left(list(left.start)).tobytes() == left(left.start).tobytes()
    assert "bank.esr" in repr(left)


def test_traces_that_are_none_are_told(trace):
    with pytest.raises(ap.CaseError, match="bank.esr"):
        ap.fit(ap.Case(), trace, ["bank.ers"])
    with pytest.raises(ap.CaseError, match="peak"):
        ap.fit(ap.Case(), [trace[0], trace[1] / 1e3], KEYS)
    with pytest.raises(ap.CaseError, match="trace 2: arrays of length 700, 699"):
        ap.fit(ap.Case(), [trace, [trace[0], trace[1][:-1]]], KEYS)
    with pytest.raises(ap.CaseError, match="trace 1: the time decreases.*element 2"):
        ap.fit(ap.Case(), [trace[0][::-1], trace[1]], KEYS)
    for none in (float("nan"), float("inf")):
        times = trace[0].copy()
        times[3] = none
        with pytest.raises(ap.CaseError, match="trace 1: the time of element 4 is no number"):
            ap.fit(ap.Case(), [times, trace[1]], KEYS)
    with pytest.raises(ap.CaseError, match="shape"):
        ap.fit(ap.Case(), [[trace[0].reshape(2, -1), trace[1]]], KEYS)
    with pytest.raises(ap.CaseError, match="trace `scope.csv`: the time decreases"):
        welds = "bank.voltage [V],witness,trace\n112,full,scope.csv\n"
        ap.calibrate(ap.Case(), welds, traces={"scope.csv": [trace[0][::-1], trace[1]]})


def test_a_column_is_named_or_numbered(trace):
    for time, current in [(1, 2), (np.int64(1), "2"), ("Time", "shunt"), (None, 2)]:
        same = ap.read_trace(SCOPE, time=time, current=current, time_unit=1e-3, scale=np.float64(10e3))
        assert all(np.allclose(a, b, rtol=1e-15) for a, b in zip(same, trace, strict=True))


@pytest.mark.parametrize(
    "given, key, why",
    [
        ({"time": 0}, "time", "no column `0`; the file has 1 .Time., 2 .Shunt."),
        ({"current": "Shnt"}, "current", "did you mean `Shunt`"),
        ({"time": 2}, "current", "`time` and `current` are the same column, 2"),
        ({"voltage": "Shunt"}, "voltage", "`current` and `voltage` are the same column, 2"),
        ({"time_unit": "mV"}, "time_unit", "a unit of voltage; expected a time"),
        ({"time_unit": "-1 ms"}, "time_unit", "-1 ms"),
        ({"scale": 0}, "scale", "leaves nothing"),
        ({"scale": "10 kB"}, "scale", "kB"),
    ],
)
def test_a_column_that_is_none_is_told(given, key, why):
    with pytest.raises(ap.CaseError, match=why) as caught:
        ap.read_trace(SCOPE, **given)
    assert caught.value.faults[0].key == key
    assert key in ("time_unit", "scale") or "scope.csv" in str(caught.value)


def test_a_file_that_is_none_is_told_by_its_name(tmp_path):
    for read in (ap.read_trace, lambda path: ap.calibrate(ap.Case(), path)):
        with pytest.raises(ap.CaseError, match="none.csv: cannot read .*no such file"):
            read(tmp_path / "none.csv")
    with pytest.raises(ap.CaseError, match="loose-clamp.toml: no rows"):
        ap.read_trace(ROOT / "examples" / "loose-clamp.toml")


def test_one_name_needs_no_list(trace):
    assert ap.fit(ap.Case(), trace, "bank.esr")["values"] == ap.fit(ap.Case(), trace, ["bank.esr"])["values"]
    assert list(ap.sensitivity(ap.Case(), "sound", samples=16)["figures"]) == ["sound"]
    with pytest.raises(ap.CaseError, match="no pair of metals"):
        ap.chart(ap.Case(), pairs=["mild steel"])


def test_a_calibration_with_a_trace_is_that_of_the_program(trace, told, tmp_path):
    table = "bank.voltage [V],witness,spatter,trace\n112,full,little,scope.csv\n95,part,,\n"
    (tmp_path / "welds.csv").write_text(table)
    (tmp_path / "scope.csv").write_bytes(SCOPE.read_bytes())
    units = ["--time-unit", "ms", "--scale", "10kA"]
    tree, steps = told("calibrate", "--welds", tmp_path / "welds.csv", "--particles", "64", *units), []
    asked = {"traces": {"scope.csv": trace}, "particles": 64, "progress": lambda *at: steps.append(at)}
    found = ap.calibrate(ap.Case(), tmp_path / "welds.csv", **asked)
    assert steps == sorted(steps) and steps[-1] == (90, 100) and isinstance(found.pop("calibrated"), ap.Case)
    # The program's title has the day.
    tree["case"].pop("title"), found["case"].pop("title")
    assert found == tree
    with pytest.raises(ap.CaseError, match="`scope.csv` is none of the traces"):
        ap.calibrate(ap.Case(), table)
    with pytest.raises(ap.CaseError, match="witness"):
        ap.calibrate(ap.Case(), "bank.voltage [V],witnes\n100,full\n")


def test_sensitivity_and_chart_are_those_of_the_program(told):
    case = ap.Case().set({"tolerance.tool.tilt": "none"})
    tree = told("sensitivity", "--set", "tolerance.tool.tilt=none", "--samples", "16", "--show", "fill_ratio,sound")
    assert ap.sensitivity(case, ["fill_ratio", "sound"], samples=16) == tree
    tree = told("chart", "--stud", "M4,M5", "--metal", "mild steel on mild steel")
    assert ap.chart(ap.Case(), studs=["M4", "M5"], pairs=[("mild steel", "mild steel")]) == tree
