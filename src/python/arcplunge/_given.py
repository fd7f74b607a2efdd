"""What calls are given, in the forms that people give it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from ._error import refused


def names(given: str | Sequence[str]) -> list[str]:
    """A list of names; a text is one of them, not its letters."""
    return [given] if isinstance(given, str) else list(given)


def numbers(key: str, given: Any) -> np.ndarray:
    """An array of numbers, which are SI: a text with a unit is none, nor is a complex number. What is masked is not a number."""
    why = f"expected numbers in SI units, not {given!r:.60}"
    if np.ma.isMaskedArray(given):
        given = given.astype(np.float64).filled(np.nan)
    try:
        if np.iscomplexobj(given):
            raise TypeError(why)
        return np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        words = np.asarray(given, dtype=object).ravel()
        help = "; words and texts with units are set case by case, with `case.set`" if any(isinstance(word, str) for word in words) else ""
        raise refused(key, given, why + help) from error
