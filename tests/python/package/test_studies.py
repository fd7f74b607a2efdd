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
    start = ap.residual(ap.Case(), trace, KEYS).start
    for same in ((frame.t, frame.i), [list(trace[0]), list(trace[1])], np.array(trace), [(frame.t, frame.i)]):
        left = ap.residual(ap.Case(), same, KEYS)
        assert left(start).tobytes() == ap.residual(ap.Case(), trace, KEYS)(start).tobytes()
    for none in ([], [[], []], [[]]):
        with pytest.raises(ap.CaseError):
            ap.residual(ap.Case(), none, KEYS)


@pytest.mark.skipif(not hasattr(signal, "pthread_kill"), reason="no signals of threads on this system")
def test_ctrl_c_ends_a_fit(trace):
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


def test_traces_that_are_none_are_told(trace):
    with pytest.raises(ap.CaseError, match="bank.esr"):
        ap.fit(ap.Case(), trace, ["bank.ers"])
    with pytest.raises(ap.CaseError, match="peak"):
        ap.fit(ap.Case(), [trace[0], trace[1] / 1e3], KEYS)
    with pytest.raises(ap.CaseError, match="length"):
        ap.fit(ap.Case(), [trace[0], trace[1][:-1]], KEYS)


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
