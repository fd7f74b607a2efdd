"""Cases: read, changed, written, told what is wrong."""

import pickle
import random
from decimal import Decimal

import arcplunge as ap
import numpy as np
import pandas as pd
import pytest

from conftest import ROOT

# Marks of a scale, and the force at each.
SCALE = [[1, "40 N"], [5, "120 N"]]


def test_numbers_are_si_and_text_has_its_unit():
    case = ap.Case()
    other = case.set(**{"bank.voltage": "113 V", "stud.cone": 0.05})
    assert (case["bank.voltage"], other["bank.voltage"], other["stud.cone"]) == (112.0, 113.0, 0.05)
    assert other == case.set({"bank.voltage": 113, "stud.cone": 0.05}) != case
    assert other.set(**{"earth.1": None}) != other
    words = {"stud.size": "M6", "tool.method": "gap", "earth.0.clamp": "worn", "sheet.metal": "copper"}
    worded = case.set(words)
    assert {key: worded[key] for key in words} == words
    mark = case.set({"sheet.centre_mark": {"depth": "0.7 mm", "angle": "90 deg"}})
    assert case.set({"sheet.centre_mark": mark["sheet.centre_mark"]}) == mark
    scale = case.set({"tool.scale": SCALE}).set({"tool.spring_mark": 2})
    assert scale["tool.spring_force"] == pytest.approx(60.0, rel=1e-12)


@pytest.mark.parametrize("number", [np.float64(113), np.float32(113), np.int64(113), np.array(113.0), Decimal(113), 113])
def test_numbers_of_any_kind_are_numbers(number):
    case = ap.Case()
    assert case.set({"bank.voltage": number}) == case.set({"bank.voltage": "113 V"})
    wide = {"spread": number, "shape": "truncated", "limit": number}
    words = {"spread": "113 V", "shape": "truncated", "limit": "113 V"}
    assert case.set({"tolerance.bank.voltage": wide}) == case.set({"tolerance.bank.voltage": words})
    assert case.set({"tolerance.batch_size": number}) == case.set({"tolerance.batch_size": 113})
    pairs = case.set({"tool.scale": [[1, "40 N"], [5, number]]})
    assert pairs == case.set({"tool.scale": [[1, "40 N"], [5, "113 N"]]})


@pytest.mark.parametrize(
    "key, bare, text",
    [
        ("tolerance.bank.voltage", 2.0, "2 V"),
        ("tolerance.lead.temperature", 5, "5 K"),
        ("tolerance.stud.pip_length", {"spread": 2e-5}, {"spread": "20 um"}),
        ("uncertainty.arc.fall", np.float64(1.5), "1.5 V"),
        ("tool.scale", np.array([[1, 40.0], [5, 120]]), SCALE),
        ("joints.tool", 1e-3, "1 mohm"),
        ("joints.tool", {"resistance": 1e-3, "force": 50}, {"resistance": "1 mohm", "force": "50 N"}),
        ("earth.0.at", (0.1, np.float64(0.2)), ["100 mm", "200 mm"]),
        ("sheet.centre_mark", 5e-4, "0.5 mm"),
        ("metal.copper.arc_fall", np.float64(15), "15 V"),
    ],
)
def test_bare_numbers_are_si_wherever_a_unit_can_stand(key, bare, text):
    base = ap.Case().set({"stud.metal": "copper"}) if "copper" in key else ap.Case()
    assert base.set({key: bare}) == base.set({key: text}) != base


def test_numbers_of_keys_that_scatter_together_may_be_of_numpy():
    both = [ap.Case().set({"tolerance.correlation": {"stud.cone": {"stud.pip_length": c}}}) for c in (0.6, np.float64(0.6))]
    assert both[0] == both[1] != ap.Case()


def test_what_is_no_number_is_told():
    for value in (True, np.True_, [113.0], np.array([113.0, 114.0]), pd.Series([113.0]), {"value": 113.0}):
        with pytest.raises(ap.CaseError, match="bank.voltage"):
            ap.Case().set({"bank.voltage": value})
    with pytest.raises(TypeError, match="`tool.scale`.* not object"):
        ap.Case().set({"tool.scale": [[1, object()]]})
    with pytest.raises(TypeError, match="not list"):
        ap.Case().set([1])


def test_a_row_of_a_table_gives_keys():
    row = pd.DataFrame({"bank.voltage": [100.0, 113.0], "stud.cone": [0.05, 0.04]}).iloc[1]
    assert ap.Case().set(row) == ap.Case().set({"bank.voltage": 113.0, "stud.cone": 0.04})


def lengths(case):
    return [float(case[f"earth.{n}.length"]) for n in range(case.to_toml().count("[[earth]]"))]


def test_leads_behind_one_taken_away_have_its_number():
    three = ap.Case().set({"earth.0.length": 3, "earth.1.length": 4}).set({"earth.2.length": 5})
    assert lengths(three) == [3, 4, 5]
    two = three.set({"earth.0": None})
    assert lengths(two) == [4, 5]
    assert lengths(two.set({"earth.0.length": 6})) == [6, 5]
    assert lengths(two.set({"earth.1.length": 6})) == [4, 6]
    assert lengths(two.set({"earth.0": None})) == lengths(two.set({"earth.0": "none"})) == [5]
    assert lengths(two.set({"earth.2.length": 7, "earth.2.at": [0.3, 0.3]})) == [4, 5, 7]
    with pytest.raises(ap.CaseError, match="no earth lead 3"):
        two.set({"earth.3.length": 7})
    # Within one call the numbers are those before it.
    assert lengths(three.set({"earth.0": None, "earth.2.length": 8})) == [4, 8]


def test_what_follows_from_other_keys_does_so_after_a_lead_is_gone_and_in_another_process():
    gap = {"tool.method": "gap", "stud.size": "M6"}
    for case in (ap.Case(), ap.Case().set({"stud.flange": "7 mm", "bank.voltage": 99, "arc.to_stud": 0.4}), ap.Case().set({"tool.lift": 4e-4})):
        less = case.set({"earth.1": None})
        assert less.set(gap) == case.set(gap).set({"earth.1": None})
        again = pickle.loads(pickle.dumps(case))
        assert again == case and again.set(gap) == case.set(gap)


def test_the_last_word_on_a_key_holds():
    case, scale = ap.Case(), ap.Case().set({"tool.scale": SCALE})
    mark, force = {"tool.spring_mark": 2}, {"tool.spring_force": "70 N"}
    assert scale.set(mark).set(force)["tool.spring_force"] == 70.0
    assert scale.set(force).set(mark)["tool.spring_force"] == pytest.approx(60.0)
    assert case.set({"bank.voltage": 100}, **{"bank.voltage": 110})["bank.voltage"] == 110.0
    tight, wide = {"tolerance.bank.voltage": "1 V"}, {"tolerance.bank.voltage": {"spread": "6 V", "shape": "uniform"}}
    assert case.set(wide).set(tight) == case.set(tight) and case.set(tight).set(wide) == case.set(wide)
    pair = [{"tolerance.correlation": {"stud.cone": {"stud.pip_length": c}}} for c in (0.6, -0.2)]
    assert case.set(pair[0]).set(pair[1]) == case.set(pair[1])
    other = {"tolerance.correlation": {"stud.cone": {"stud.flange": 0.1}}}
    assert case.set(pair[0]).set(other) != case.set(other)
    for volts in range(100, 140):
        case = case.set({"bank.voltage": volts})
    assert case == ap.Case().set({"bank.voltage": 139})


def test_numbers_keep_their_bits():
    draw = random.Random(1)
    for key, low, high in [("bank.voltage", 40, 200), ("stud.cone", 0.01, 0.1), ("lead.length", 1, 20), ("bank.esr", 1e-4, 1e-2)]:
        for _ in range(50):
            value = draw.uniform(low, high)
            assert ap.Case().set({key: value})[key] == value, key


@pytest.mark.parametrize("example", sorted(path.stem for path in (ROOT / "examples").glob("*.toml")))
def test_a_case_reads_back_the_same(example, program):
    case = ap.Case.load(ROOT / "examples" / f"{example}.toml")
    again = [ap.Case.from_toml(case.to_toml()), pickle.loads(pickle.dumps(case))]
    assert all(other == case and other.hash == case.hash for other in again)
    assert ap.Case.from_json(case.to_json()).to_json() == case.to_json()
    assert hash(case) == hash(again[0]) and case != case.set(**{"bank.voltage": "99 V"})


def test_spreads_belong_to_the_case():
    case = ap.Case()
    wide = case.set({"tolerance.bank.voltage": {"spread": "6 V", "shape": "uniform"}})
    assert wide != case and wide.hash != case.hash
    assert ap.Case.from_toml(wide.to_toml()) == wide


def test_everything_wrong_is_told_with_key_value_and_caret():
    with pytest.raises(ap.CaseError) as caught:
        ap.Case().set(**{"bank.voltage": "113 W", "lead.lenght": "3 m"})
    value, name = caught.value.faults
    assert (value.key, value.written) == ("bank.voltage", "113 W")
    assert (name.key, name.hint) == ("lead.lenght", "did you mean `lead.length`?")
    assert "--> Case.set" in str(caught.value) and "^^^^^" in value.shown
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.faults == caught.value.faults and str(again) == str(caught.value)


def test_a_file_is_told_by_line_and_column(tmp_path):
    (tmp_path / "bad.toml").write_text('title = "x"\n[lead]\nlenght = "12 m"\n')
    with pytest.raises(ap.CaseError, match="bad.toml:3:1") as caught:
        ap.Case.load(tmp_path / "bad.toml")
    (fault,) = caught.value.faults
    assert (fault.line, fault.column, fault.key) == (3, 1, "lead.lenght")
    with pytest.raises(ap.CaseError, match="cannot read"):
        ap.Case.load(tmp_path / "none.toml")


def test_wrong_calls_are_told():
    case = ap.Case()
    with pytest.raises(ap.CaseError, match="bank.voltage") as caught:
        case["bank.volage"]
    assert caught.value.faults[0].key == "bank.volage"
    with pytest.raises(ap.CaseError):
        case.set({"bank.voltage": float("nan")})
    with pytest.raises(TypeError, match="not object"):
        case.set({"bank.voltage": object()})
    with pytest.raises(ap.CaseError, match="arc_energy_J"):
        ap.fire_many(case, {"bank.voltage": [100.0]}, ["arc_energy"])
    with pytest.raises(ap.CaseError, match="did you mean `bank.voltage`"):
        ap.fire_many(case, {"bank.volage": [100.0]})
    with pytest.raises(ap.CaseError, match="M5"):
        ap.chart(case, studs=["M5x"])
    with pytest.raises(ap.CaseError):
        ap.sensitivity(case, ["sond"])
    with pytest.raises(TypeError, match="iterable"):
        list(case)


ONE = {"bank.voltage": [100.0]}


@pytest.mark.parametrize(
    "key, value, call",
    [
        ("threads", 0, lambda v: ap.fire_many(ap.Case(), ONE, threads=v)),
        ("threads", -1, lambda v: ap.fire(ap.Case()).report(threads=v)),
        ("threads", 1025, lambda v: ap.scatter(ap.Case(), 1, threads=v)),
        ("shots", 0, lambda v: ap.scatter(ap.Case(), v)),
        ("shots", -3, lambda v: ap.scatter(ap.Case(), v)),
        ("shots", 2**70, lambda v: ap.scatter(ap.Case(), v)),
        ("seed", -1, lambda v: ap.scatter(ap.Case(), 1, seed=v)),
        ("first", 11, lambda v: ap.scatter(ap.Case(), 10, first=v)),
        ("last", 3, lambda v: ap.scatter(ap.Case(), 10, first=4, last=v)),
        ("last", 11, lambda v: ap.scatter(ap.Case(), 10, last=v)),
        ("samples", 15, lambda v: ap.sensitivity(ap.Case(), samples=v)),
        ("next", 6, lambda v: ap.calibrate(ap.Case(), "bank.voltage [V],witness\n112,full\n", next=v)),
        ("particles", 66, lambda v: ap.calibrate(ap.Case(), "bank.voltage [V],witness\n112,full\n", particles=v)),
        ("step", -1.0, lambda v: ap.calibrate(ap.Case(), "bank.voltage [V],witness\n112,full\n", step=v)),
        ("t", 0.0, lambda v: ap.curves(ap.Case(), v)),
        ("t", 2.0, lambda v: ap.curves(ap.Case(), v)),
        ("sampling", "sobel", lambda v: ap.scatter(ap.Case(), 1, sampling=v)),
        ("figures", "arc_energy", lambda v: ap.fire_many(ap.Case(), ONE, v)),
        ("studs", "M55", lambda v: ap.chart(ap.Case(), studs=v)),
        ("bank.voltage", "100 V", lambda v: ap.fire_many(ap.Case(), {"bank.voltage": v})),
    ],
)
def test_arguments_out_of_bounds_are_told_with_key_and_value(key, value, call):
    with pytest.raises(ap.CaseError) as caught:
        call(value)
    (fault,) = caught.value.faults
    said = float(fault.written) == value if isinstance(value, float) else fault.written == str(value)
    assert fault.key == key and said and key in str(caught.value)


def test_counts_are_whole_numbers():
    assert len(ap.scatter(ap.Case(), np.int64(3), "fill_ratio")["fill_ratio"]) == 3
    with pytest.raises(TypeError, match="`shots` is a whole number, not float"):
        ap.scatter(ap.Case(), 3.0)


def test_a_likely_slip_warns():
    with pytest.warns(UserWarning):
        ap.Case().set({"bank.capacitance": "72 uF"})
