"""Studies whose results are trees: dicts and lists as the command line writes them to JSON files (docs/output.md)."""

from __future__ import annotations

import operator
import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from . import _native
from ._error import refused
from ._given import names, numbers
from ._native import Case, Residual

Progress = Callable[[int, int], Any]
Trace = Sequence[Any]
"""Time [s], current [A] and perhaps the voltage at the weld [V], an array each."""


def _traces(traces: Sequence[Trace]) -> list[list[np.ndarray]]:
    """The traces, or the only one; a trace may be a table of pandas."""
    if hasattr(traces, "columns"):
        traces = [traces]
    first = next(iter(traces), ())
    if not hasattr(first, "columns") and all(np.ndim(value) == 0 for value in list(first)[:1]):
        traces = [traces]
    return [[_column(column) for column in _columns(trace)] for trace in traces]


def _columns(trace: Trace) -> Sequence[Any]:
    return [trace[name] for name in trace.columns] if hasattr(trace, "columns") else trace


def _column(column: Any) -> np.ndarray:
    values = np.ascontiguousarray(numbers("traces", column))
    if values.ndim != 1:
        raise refused("traces", values.shape, f"a column is a list of numbers, not of the shape {values.shape}")
    return values


def _place(column: str | int | None) -> str | None:
    """Name or number of a column."""
    return column if column is None or isinstance(column, str) else str(operator.index(column))


def _scale(scale: str | float, unit: str) -> str:
    return scale if isinstance(scale, str) else f"{float(scale)!r} {unit}"


def read_trace(
    path: str | os.PathLike,
    *,
    time: str | int | None = None,
    current: str | int | None = None,
    voltage: str | int | None = None,
    time_unit: str | float = "s",
    scale: str | float = "1 A",
    voltage_scale: str | float = "1 V",
) -> list[np.ndarray]:
    """Reads an oscilloscope's file as it is: time [s], current [A] and, where its column is named, voltage [V].

    Columns by name or number, counted from 1; the first two unless said. `scale` is the current per unit of the file, as
    "10 kA"; bare numbers are SI.
    """
    columns = [_place(time), _place(current), _place(voltage)]
    units = [_scale(time_unit, "s"), _scale(scale, "A"), _scale(voltage_scale, "V")]
    return _native.read_trace(os.fspath(path), columns, units)


def fit(
    case: Case,
    traces: Sequence[Trace],
    vary: str | Sequence[str],
    *,
    vary_each: str | Sequence[str] = (),
    trigger_at_zero: bool = False,
    threads: int | None = None,
) -> dict[str, Any]:
    """Fits keys of a case to measured currents: a trace, or a list of traces of one rig.

    `vary` are keys with one value in all traces, as "joints.tool" or "lead.length=2..9m"; `vary_each` those with one in each.
    Keys that are not fitted count with their spreads. Returns the tree of `arcplunge fit --json`, and under `cases` the
    fitted case of each trace.
    """
    keys = {"vary": names(vary), "vary_each": names(vary_each), "trigger_at_zero": trigger_at_zero}
    tree, cases = _native.fit(case, _traces(traces), keys, threads)
    return {**tree, "cases": cases}


def residual(
    case: Case,
    traces: Sequence[Trace],
    vary: str | Sequence[str],
    *,
    vary_each: str | Sequence[str] = (),
    trigger_at_zero: bool = False,
) -> Residual:
    """What a guess leaves of measured currents, for SciPy's searches or a sampler: a function of an array of values.

    `names`, `units`, `start` and `bounds` say what the values are: the keys, and of each trace the offset [A], the
    trigger [s] and perhaps a drift. It returns computed less measured, each over the noise of its row; infinite where the
    values make no case. All other keys are exact.
    """
    keys = {"vary": names(vary), "vary_each": names(vary_each), "trigger_at_zero": trigger_at_zero}
    return _native.residual(case, _traces(traces), keys)


def calibrate(
    case: Case,
    welds: str | os.PathLike,
    *,
    traces: Mapping[str, Trace] | None = None,
    next: int = 0,
    vary: str | Sequence[str] = ("bank.voltage",),
    step: float | None = None,
    particles: int = 256,
    seed: int = 1,
    threads: int | None = None,
    progress: Progress | None = None,
) -> dict[str, Any]:
    """Learns a rig from its test welds, a CSV file or its text (docs/calibrate.md), and advises on the `next` ones.

    `traces` are those that the table's column `trace` names, as of `read_trace`; `step` is that of the first key's dial [SI].
    Returns the tree of `arcplunge calibrate --json`; `calibrated` is the case it leads to, or None. `progress` is called with
    about the hundredths of the way done, and 100.
    """
    table = _table(welds)
    asked = {"next": next, "vary": names(vary), "step": step, "particles": particles, "seed": seed}
    named = {name: _traces(trace)[0] for name, trace in (traces or {}).items()}
    tree, calibrated = _native.calibrate(case, table, named, asked, threads, progress)
    return {**tree, "calibrated": calibrated}


def _table(welds: str | os.PathLike) -> bytes:
    """A table's text, or that of its file."""
    if isinstance(welds, str) and "\n" in welds:
        return welds.encode()
    try:
        return Path(welds).read_bytes()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise refused("welds", welds, f"{welds}: cannot read the table: {why}") from error


def sensitivity(
    case: Case,
    figures: str | Sequence[str] = ("fill_ratio", "vapour_share", "arc_energy_J", "sound"),
    *,
    samples: int = 1024,
    seed: int = 1,
    sampling: str = "sobol",
    model: bool = False,
    threads: int | None = None,
    progress: Progress | None = None,
) -> dict[str, Any]:
    """Which tolerances the scatter of the figures comes from: Sobol indices. `sound` is 1 for a sound weld, 0 for others.

    Fires samples·(keys + 2) shots. Returns the tree of `arcplunge sensitivity --json`.
    """
    draws = {"shots": samples, "seed": seed, "sampling": sampling, "model": model}
    return _native.sensitivity(case, names(figures), draws, threads, progress)


def _pair(pair: Sequence[str]) -> tuple[str, str]:
    if isinstance(pair, str) or len(pair) != 2:
        raise refused("pairs", pair, f"{pair!r} is no pair of metals (stud, sheet)")
    return pair[0], pair[1]


def chart(
    case: Case,
    *,
    studs: str | Sequence[str] | None = None,
    pairs: Sequence[tuple[str, str]] | None = None,
    one_spring: bool = False,
    threads: int | None = None,
    progress: Progress | None = None,
) -> dict[str, Any]:
    """Voltage and spring force of a rig for each stud size and pair of metals (stud, sheet); all usual ones unless said.

    Returns the tree of `arcplunge chart --json`. A stud the rig cannot weld is a result.
    """
    sizes = None if studs is None else names(studs)
    metals = None if pairs is None else [_pair(pair) for pair in pairs]
    return _native.settings_chart(case, sizes, metals, one_spring, threads, progress)
