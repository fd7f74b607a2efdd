"""Cases: read, changed, written, told what is wrong."""

import pickle
import random

import arcplunge as ap
import pytest

from conftest import ROOT


def test_numbers_are_si_and_text_has_its_unit():
    case = ap.Case()
    other = case.set(**{"bank.voltage": "113 V", "stud.cone": 0.05})
    assert (case["bank.voltage"], other["bank.voltage"], other["stud.cone"]) == (112.0, 113.0, 0.05)
    assert other == case.set({"bank.voltage": 113, "stud.cone": 0.05}) != case
    assert other.set(**{"earth.1": None}) != other
    scale = case.set({"tool.scale": [[1, "40 N"], [5, "120 N"]]}).set({"tool.spring_mark": 2})
    assert scale["tool.spring_force"] == pytest.approx(60.0, rel=1e-12)


def test_numbers_keep_their_bits():
    draw = random.Random(1)
    for key, low, high in [("bank.voltage", 40, 200), ("stud.cone", 0.01, 0.1), ("lead.length", 1, 20), ("bank.esr", 1e-4, 1e-2)]:
        for _ in range(50):
            value = draw.uniform(low, high)
            assert ap.Case().set({key: value})[key] == value, key


@pytest.mark.parametrize("example", ["sound-weld", "loose-clamp", "gap-aluminium", "shift"])
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
    assert (name.key, name.hint) == ("lead.lenght", "did you mean `length`?")
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
    with pytest.raises(ap.CaseError, match="bank.voltage"):
        case["bank.volage"]
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
    with pytest.raises(ValueError, match="threads"):
        ap.fire_many(case, {"bank.voltage": [100.0]}, threads=0)


def test_a_likely_slip_warns():
    with pytest.warns(UserWarning):
        ap.Case().set({"bank.capacitance": "72 uF"})
