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
    """An array of numbers, which are SI: a text with a unit is none."""
    try:
        return np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise refused(key, given, f"expected numbers in SI units, not {given!r:.60}") from error
