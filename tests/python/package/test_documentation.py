"""docs/python.md: its programs run, it shows what they show, and it names all there is."""

import re
import shutil

import arcplunge as ap

from conftest import ROOT

PAGE = (ROOT / "docs" / "python.md").read_text()


def test_its_programs_run(tmp_path, monkeypatch, capsys):
    shutil.copy(ROOT / "examples" / "sound-weld.toml", tmp_path / "weld.toml")
    monkeypatch.chdir(tmp_path)
    names = {}
    programs = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    for program in programs:
        exec(program, names)
    assert len(programs) == 2 and capsys.readouterr().out.startswith("sound ")
    # The last line of the second says what it gives.
    assert str(names["grid"]["fill_ratio"].shape) == re.search(r"\.shape  # (.*)", PAGE)[1]


def test_the_error_is_as_it_shows_it():
    line, shown = re.search(r"```text\n>>> (.*?)\n(.*?)\n```", PAGE, re.DOTALL).groups()
    try:
        exec(line, {"ap": ap})
    except ap.CaseError as error:
        kind = type(error)
        assert f"{kind.__module__}.{kind.__qualname__}: {error}" == shown
    else:
        raise AssertionError("no error")


def test_it_names_all_there_is():
    calls = {name: re.search(rf"\b{name}\b", PAGE) for name in ap.__all__ if name not in ("Residual", "Shot")}
    assert all(calls.values()), [name for name, found in calls.items() if not found]
    for kind in (ap.Case, ap.Shot):
        parts = [part for part in vars(kind) if not part.startswith("_")]
        assert all(re.search(rf"\b{part}\b", PAGE) for part in parts), parts
    said = set(re.findall(r"`(?:Case\.)?(\w+)\(", PAGE)) - {"set"}
    assert all(hasattr(ap, name) or hasattr(ap.Case, name) or hasattr(ap.Shot, name) for name in said), said
    fault = ap.Fault.__dataclass_fields__
    assert all(f"`{part}`" in PAGE for part in fault)
