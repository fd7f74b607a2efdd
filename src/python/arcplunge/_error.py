"""What is wrong with a case or a call."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing wrong."""

    message: str
    """What is wrong, in words."""
    key: str | None = None
    """Full name of the key, where one is concerned."""
    written: str | None = None
    """What stands at the caret: a value, or a wrong name."""
    line: int | None = None
    """Line of the case file, counted from 1."""
    column: int | None = None
    """Column in characters, counted from 1."""
    hint: str | None = None
    """What was probably meant."""
    help: str | None = None
    """What could be done about it."""
    shown: str = ""
    """The fault with its line and a caret, as the command line shows it."""


class CaseError(ValueError):
    """A case, or what a call was asked for, is wrong. Its text shows every fault with a caret; `faults` has them in parts."""

    def __init__(self, message: str, faults: list[Fault] | tuple[Fault, ...] = ()):
        super().__init__(message)
        self.faults = list(faults)

    def __reduce__(self):
        return type(self), (str(self), self.faults)


# Tracebacks name them as they are imported.
Fault.__module__ = CaseError.__module__ = "arcplunge"


def refused(key: str, written: object, why: str, nearest: str | None = None) -> CaseError:
    """What is wrong with an argument, or with the values of a key, and the name that was probably meant."""
    message = f"`{key}`: {why}"
    hint = f"did you mean `{nearest}`?" if nearest else None
    shown = f"{message}; {hint}" if hint else message
    return CaseError(shown, [Fault(message, key=key, written=str(written), hint=hint, shown=shown)])
