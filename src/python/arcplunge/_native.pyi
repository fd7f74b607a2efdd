"""The compiled half of the package."""

import os
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Optional, Union, final

import numpy as np
import numpy.typing as npt

__version__: str
FIGURES: list[str]
"""Names of all figures, the SI unit in the name."""

_Floats = npt.NDArray[np.float64]
_Value = Union[None, float, str, Sequence[Any], Mapping[str, Any], npt.NDArray[Any], np.generic]
_Progress = Optional[Callable[[int, int], Any]]

@final
class Case:
    """A rig, a stud and a sheet: all that decides a weld. Cases do not change; `set` gives another one."""

    def __init__(self) -> None:
        """The demonstration case."""
    @staticmethod
    def load(path: Union[str, os.PathLike[str]]) -> Case:
        """Reads a case file, TOML or JSON; what it does not say is as in the demonstration case."""
    @staticmethod
    def from_toml(text: str) -> Case:
        """Reads a case from the text of a case file."""
    @staticmethod
    def from_json(text: str) -> Case:
        """Reads a case from JSON: its own, or that of a shot with the case inside. Numbers are SI."""
    def set(self, changes: Optional[Mapping[str, _Value]] = None, /, **more: _Value) -> Case:
        """The case with other values: numbers in SI, or text with a unit, by full key; None takes an earth lead away.

        Keys of one call number the leads as they were before it.
        """
    def __getitem__(self, key: str, /) -> Any:
        """The number of a key in SI units; of a key that is a word the text that `set` takes."""
    def to_toml(self) -> str:
        """The case as a case file, every key with its unit, and the spreads it gives; it reads back the same."""
    def to_json(self) -> str:
        """The case as JSON, numbers in SI, names as in the case file; without spreads."""
    @property
    def hash(self) -> str:
        """SHA-256 of `to_toml()` in hexadecimal digits."""
    @property
    def title(self) -> str: ...

@final
class Shot:
    """One weld, fired. Each figure is an attribute, its SI unit in the name; None where its event did not come."""

    @property
    def case(self) -> Case: ...
    @property
    def verdict(self) -> Optional[str]:
        """`cold`, `one-sided`, `sound`, `hot` or `burn-through`; None for a discharge test."""
    @property
    def cause(self) -> str:
        """What decided the verdict, in a word."""
    @property
    def figures(self) -> dict[str, Optional[float]]:
        """Every figure by its name, SI."""
    @property
    def events(self) -> list[dict[str, Any]]:
        """Events in order of time: name, time [s], joint."""
    @property
    def ledger(self) -> dict[str, float]:
        """Where every joule went [J], by name of the element."""
    @property
    def joints(self) -> list[dict[str, Any]]:
        """What became of each joint of the loop: peak_V, spot_K, energy_J and more."""
    @property
    def holds(self) -> dict[str, Any]:
        """Loads at which weld, stud and sheet break."""
    @property
    def reasons(self) -> list[str]:
        """Why the verdict is what it is, without what takes further shots."""
    def report(self, *, band: bool = True, remedies: bool = True, threads: Optional[int] = None) -> dict[str, Any]:
        """All that `arcplunge fire --json` writes; band and remedies take some hundred shots each."""
    @property
    def stored_energy_J(self) -> float:
        """Energy of the charged bank [J]."""
    @property
    def peak_current_A(self) -> Optional[float]:
        """Largest current [A]."""
    @property
    def time_of_peak_s(self) -> Optional[float]:
        """When it flowed [s]."""
    @property
    def pip_touch_s(self) -> Optional[float]:
        """Gap method: the pip meets the sheet [s]."""
    @property
    def pip_yield_s(self) -> Optional[float]:
        """Contact method: the stud begins to move [s]."""
    @property
    def ignition_s(self) -> Optional[float]:
        """The pip bursts [s]."""
    @property
    def touchdown_s(self) -> Optional[float]:
        """The flange meets the sheet [s]."""
    @property
    def arc_time_s(self) -> Optional[float]:
        """From ignition to touchdown or to the arc's end [s]."""
    @property
    def touchdown_speed_m_per_s(self) -> Optional[float]:
        """Speed of the stud at touchdown [m/s]."""
    @property
    def touchdown_current_A(self) -> Optional[float]:
        """Current at touchdown [A]."""
    @property
    def gap_at_ignition_m(self) -> Optional[float]:
        """Gap at ignition [m]."""
    @property
    def action_A2s(self) -> float:
        """Action ∫i² of the whole discharge [A²s]."""
    @property
    def current_end_s(self) -> Optional[float]:
        """The current ends [s]."""
    @property
    def melt_stud_m(self) -> Optional[float]:
        """Melt on the stud's face at touchdown [m]."""
    @property
    def melt_sheet_m(self) -> Optional[float]:
        """Melt on the sheet's face at touchdown [m]."""
    @property
    def melt_sheet_max_m(self) -> Optional[float]:
        """Deepest melt of the sheet [m]."""
    @property
    def squeeze_travel_m(self) -> Optional[float]:
        """Travel of the stud after touchdown, through the melt [m]."""
    @property
    def fill_ratio(self) -> Optional[float]:
        """Filler over the space under the cone; 1 just fills it."""
    @property
    def rim_fill_min(self) -> Optional[float]:
        """Least fill round the rim, with tilt and arc blow."""
    @property
    def rim_fill_min_at(self) -> Optional[float]:
        """Hour of the clock at which it is; None where the rim is even all round too."""
    @property
    def welded_share(self) -> Optional[float]:
        """Share of the flange that is welded."""
    @property
    def vapour_share(self) -> Optional[float]:
        """Share of the arc's energy that boiled metal off."""
    @property
    def arc_energy_J(self) -> Optional[float]:
        """Energy of the arc [J]."""
    @property
    def freeze_s(self) -> Optional[float]:
        """The last melt of the joint freezes [s]."""
    @property
    def cooling_rate_K_per_s(self) -> Optional[float]:
        """Cooling rate of the joint over its first 100 K [K/s]."""
    @property
    def back_face_K(self) -> Optional[float]:
        """Hottest back face of the sheet [K]."""
    @property
    def loop_resistance_ohm(self) -> float:
        """Fixed resistance of the loop [Ω]."""
    @property
    def loop_inductance_H(self) -> float:
        """Inductance of the loop [H]."""

@final
class Residual:
    """Computed less measured, for a search or a sampler of one's own."""

    @property
    def names(self) -> list[str]: ...
    @property
    def units(self) -> list[str]:
        """SI units of the values; empty for a bare number."""
    @property
    def start(self) -> _Floats:
        """The values at the start [SI]."""
    @property
    def bounds(self) -> list[_Floats]:
        """Least and largest of each value [SI]."""
    def __call__(self, values: npt.ArrayLike) -> _Floats:
        """Computed less measured, each over the noise of its row; infinite where the values make no case."""

def fire(case: Case) -> Shot:
    """Fires one weld."""
def fire_many(
    case: Case, keys: list[tuple[str, _Floats]], figures: Optional[list[str]], threads: Optional[int], progress: _Progress
) -> dict[str, Any]: ...
def scatter(
    case: Case, draws: dict[str, Any], span: tuple[int, Optional[int]], figures: Optional[list[str]], threads: Optional[int],
    progress: _Progress,
) -> tuple[dict[str, Any], dict[str, Any]]: ...
def curves(case: Case, interval: Optional[float], both_sides: bool) -> dict[str, Any]: ...
def fit(
    case: Case, traces: list[list[_Floats]], keys: dict[str, Any], threads: Optional[int]
) -> tuple[dict[str, Any], list[Case]]: ...
def residual(case: Case, traces: list[list[_Floats]], keys: dict[str, Any]) -> Residual: ...
def read_trace(path: str, columns: list[Optional[str]], units: list[str]) -> list[_Floats]: ...
def calibrate(
    case: Case, welds: bytes, traces: dict[str, list[_Floats]], asked: dict[str, Any], threads: Optional[int],
    progress: _Progress,
) -> tuple[dict[str, Any], Optional[Case]]: ...
def sensitivity(
    case: Case, figures: list[str], draws: dict[str, Any], threads: Optional[int], progress: _Progress
) -> dict[str, Any]: ...
def settings_chart(
    case: Case, studs: Optional[list[str]], pairs: Optional[list[tuple[str, str]]], one_spring: bool,
    threads: Optional[int], progress: _Progress,
) -> dict[str, Any]: ...
