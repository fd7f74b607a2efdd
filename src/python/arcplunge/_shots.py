"""Shots as arrays: many of them, and the curves of one."""

from __future__ import annotations

import difflib
import warnings
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from . import _native
from ._error import refused
from ._given import names, numbers
from ._native import Case

Progress = Callable[[int, int], Any]

_WORDS = ("verdict", "cause", "note")
_UNITS = {
    "m_per_s": "m/s", "K_per_s": "K/s", "A2s": "A²s", "ohm": "Ω",
    "A": "A", "H": "H", "J": "J", "K": "K", "V": "V", "W": "W", "m": "m", "s": "s",
}


# A figure whose name does not say it.
_OWN_UNITS = {"rim_fill_min_at": "h"}


def unit(name: str) -> str:
    """Unit of a figure or a column by its name: `unit("cooling_rate_K_per_s")` is `K/s`; nothing for a bare number."""
    known = (*_native.FIGURES, *_WORDS, "phase")
    if name not in known and not _unit(name):
        near = difflib.get_close_matches(name, known, 1)
        raise refused("name", name, f"no figure and no column is called `{name}`", near[0] if near else None)
    return _unit(name)


def _unit(name: str) -> str:
    tails = (unit for tail, unit in _UNITS.items() if name.endswith("_" + tail))
    return _OWN_UNITS.get(name) or next(tails, "")


def _arrays(columns: dict[str, Any], shape: tuple[int, ...]) -> dict[str, np.ndarray]:
    """Words as arrays of objects; all of the shape that was asked for."""
    made = {name: np.array(column, dtype=object) if name in _WORDS else column for name, column in columns.items()}
    return {name: column.reshape(shape) for name, column in made.items()}


def fire_many(
    case: Case,
    keys: Mapping[str, Any],
    figures: str | Sequence[str] | None = None,
    *,
    threads: int | None = None,
    progress: Progress | None = None,
) -> dict[str, np.ndarray]:
    """Fires a case once for each element of the arrays of `keys`: full key of a number to values in SI units.

    The arrays are broadcast against each other: `{"bank.voltage": v[:, None], "stud.cone": c}` fires a grid. `figures` are
    names of `FIGURES`, and `verdict`, `cause`, `note`; all of them unless said. Returns an array of the common shape for each:
    NaN, or None of a word, where it did not come; `note` says why a row makes no case, and a warning where none does. A masked
    value makes none. Keys that are words, as `stud.size`, are varied case by case, with `case.set`. The bits are the same for any number of
    `threads`. `progress` is called with the shots fired and all of them some times a second. Ctrl-C ends it.
    """
    given = {key: numbers(key, keys[key]) for key in keys}
    shapes = {key: array.shape for key, array in given.items()}
    try:
        arrays = np.broadcast_arrays(*given.values())
    except ValueError as error:
        told = ", ".join(f"`{key}` {shape}" for key, shape in shapes.items())
        raise refused("keys", told, f"the shapes do not fit together: {told}") from error
    # Without a key it is the case itself, once.
    columns = list(zip(given, arrays)) or [("bank.voltage", np.asarray(case["bank.voltage"]))]
    wanted = None if figures is None else names(figures)
    noted = wanted is None or "note" in wanted
    found = _arrays(_native.fire_many(case, columns, wanted if noted else [*wanted, "note"], threads, progress), columns[0][1].shape)
    notes = found["note"] if noted else found.pop("note")
    if notes.size and all(notes.flat):
        warnings.warn(f"no row makes a case: {notes.flat[0]}", UserWarning, stacklevel=2)
    return found


def scatter(
    case: Case,
    shots: int,
    figures: str | Sequence[str] | None = None,
    *,
    seed: int = 1,
    sampling: str = "sobol",
    model: bool = False,
    first: int = 0,
    last: int | None = None,
    threads: int | None = None,
    progress: Progress | None = None,
) -> dict[str, np.ndarray]:
    """Fires a case with its values drawn from its tolerances, as `arcplunge scatter` does.

    A shot depends only on seed and number, so that `first` and `last` (not fired itself) split a study: the parts put
    together have the bits of the whole. `model` draws the model's own uncertain figures too. Returns an array a drawn key
    [SI], by its full name, then those of the figures, as `fire_many`.
    """
    draws = {"shots": shots, "seed": seed, "sampling": sampling, "model": model}
    wanted = None if figures is None else names(figures)
    keys, columns = _native.scatter(case, draws, (first, last), wanted, threads, progress)
    return {**keys, **_arrays(columns, (-1,))}


def curves(case: Case, t: float | Sequence[float] | np.ndarray | None = None, *, both_sides: bool = False, xarray: bool | None = None):
    """Current, voltages, gap, speed and melt of one shot over the time from the trigger.

    `t` is the time between rows [s] (2 µs unless said), beside a row right after each event, with `both_sides` also one
    right before it; or an array of times [s] for values on straight lines between rows 2 µs apart, NaN outside the
    record. Returns an `xarray.Dataset` over `time_s` with units as attributes where xarray is installed, else a dict of
    arrays; `xarray=True` or `False` demands one of them.
    """
    given = None if t is None else numbers("t", t)
    if given is not None and given.ndim > 1:
        raise refused("t", t, "expected a time or a list of times")
    times = given if given is not None and given.ndim else None
    interval = None if given is None or given.ndim else float(given)
    columns = _native.curves(case, interval, both_sides and times is None)
    columns["phase"] = np.array(columns["phase"])
    if times is not None:
        columns = _at(columns, times)
    if xarray is False:
        return columns
    try:
        import xarray as xr
    except ImportError:
        if xarray:
            raise
        return columns
    told = {name: ("time_s", column, {"units": _unit(name)} if _unit(name) else {}) for name, column in columns.items()}
    time = told.pop("time_s")
    return xr.Dataset(told, coords={"time_s": time}, attrs={"title": case.title, "case_sha256": case.hash, "arcplunge_version": _native.__version__})


def _at(columns: dict[str, np.ndarray], times: np.ndarray) -> dict[str, np.ndarray]:
    """The columns at other times."""
    rows = columns["time_s"]
    inside = (times >= rows[0]) & (times <= rows[-1])
    last = np.clip(np.searchsorted(rows, times, side="right") - 1, 0, len(rows) - 1)
    out = {"time_s": times, "phase": np.where(inside, columns["phase"][last], "")}
    for name, column in columns.items():
        if name not in out:
            out[name] = np.interp(times, rows, column, left=np.nan, right=np.nan)
    return out
