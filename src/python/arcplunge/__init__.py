"""One capacitor-discharge stud weld, simulated in process: current, plunge, arc, melt, and where every joule goes.

    import arcplunge as ap

    case = ap.Case.load("weld.toml").set(**{"bank.voltage": "113 V"})
    shot = ap.fire(case)
    print(shot.verdict, shot.arc_energy_J, shot.reasons)

Numbers are SI, the unit stands in the name: `arc_energy_J`. Text has its own unit: `"113 V"`. Cases and shots do not change.
A verdict is a screen, never an acceptance: test welds decide. The work can hurt people; the maker's instructions, local
rules and qualified practice come first.
"""

from ._error import CaseError, Fault
from ._native import FIGURES, Case, Residual, Shot, __version__, fire
from ._shots import curves, fire_many, scatter, unit
from ._studies import calibrate, chart, fit, read_trace, residual, sensitivity

__all__ = [
    "FIGURES", "Case", "CaseError", "Fault", "Residual", "Shot", "__version__", "calibrate", "chart", "curves", "fire",
    "fire_many", "fit", "read_trace", "residual", "scatter", "sensitivity", "unit",
]
