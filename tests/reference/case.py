"""Case file (TOML) -> plain dictionary in SI units. Missing keys take the demonstration case."""
import copy
import math
import re
import tomllib

T0 = 293.15            # K, start temperature of stud and sheet
G = 9.80665            # m/s2
MU0 = 4e-7 * math.pi   # H/m

BASE = {"m": 1.0, "in": 0.0254, "ft": 0.3048, "ohm": 1.0, "Ω": 1.0, "F": 1.0, "H": 1.0, "V": 1.0, "A": 1.0,
        "N": 1.0, "lbf": 4.4482216152605, "g": 1e-3, "s": 1.0, "K": 1.0, "deg": math.pi / 180, "rad": 1.0,
        "Pa": 1.0, "J": 1.0, "W": 1.0}
PREFIX = {"": 1.0, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "c": 1e-2, "k": 1e3, "M": 1e6}


def unit_factor(unit):
    factor = 1.0
    for place, part in enumerate(unit.replace("²", "2").split("/")):
        symbol, power = (part[:-1], int(part[-1])) if part[-1:].isdigit() else (part, 1)
        for prefix in sorted(PREFIX, key=len):
            if symbol.startswith(prefix) and symbol[len(prefix):] in BASE:
                factor *= (PREFIX[prefix] * BASE[symbol[len(prefix):]]) ** (power if place == 0 else -power)
                break
        else:
            raise ValueError(f"unknown unit {unit!r}")
    return factor


def si(text):
    """'72 mF' -> 0.072; temperatures in degC become kelvin."""
    match = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*(\S+)\s*", text)
    if not match:
        raise ValueError(f"a quantity with its unit is wanted, not {text!r}")
    number, unit = float(match[1]), match[2]
    return number + 273.15 if unit == "degC" else number * unit_factor(unit)


# density, T_m, T_b, L_f, L_v, c_s, c_l, k_s, k_l, rho_20, rho_m, rho_l (micro-ohm m), p, H, sigma_0 (MPa), mu (mPa s),
# density of the melt, arc fall (V), tensile strength (MPa)
NAMES = "density Tm Tb Lf Lv cs cl ks kl rho20 rhom rhol p hardness flow_stress viscosity density_liquid fall strength".split()
SCALE = dict(rho20=1e-6, rhom=1e-6, rhol=1e-6, hardness=1e6, flow_stress=1e6, viscosity=1e-3, strength=1e6)
TABLE = {
    "mild steel":          (7850, 1793, 3133, 2.6e5, 6.1e6, 680, 820, 33, 40, 0.15, 1.27, 1.38, 1.6, 1300, 350, 5.5,
                            6490, 16.7, 420),
    "stainless 18/8":      (7900, 1720, 3100, 2.6e5, 6.3e6, 610, 790, 24, 40, 0.72, 1.25, 1.30, 1.6, 1700, 310, 6.0,
                            6420, 16.7, 500),
    "aluminium Mg alloy":  (2680, 910, 2740, 3.9e5, 1.05e7, 1050, 1150, 140, 108, 0.049, 0.13, 0.25, 1, 700, 170, 1.2,
                            2060, 16.5, 230),
    "brass 63/37":         (8440, 1190, 2100, 1.7e5, 3.5e6, 420, 490, 125, 75, 0.066, 0.19, 0.40, 1, 1100, 220, 3.5,
                            7500, 16.5, 370),
    "copper":              (8930, 1358, 2835, 2.05e5, 4.73e6, 430, 495, 360, 175, 0.0172, 0.098, 0.21, 1, 700, 150, 4.0,
                            7470, 16.5, 240),
}
METALS = {name: {k: v * SCALE.get(k, 1.0) for k, v in zip(NAMES, row)} for name, row in TABLE.items()}
STUDS = {"M3": (4.5, 0.60, 0.55, 5.03), "M4": (5.5, 0.65, 0.55, 8.78),      # flange, pip d, pip l in mm, A_s in mm2
         "M5": (6.5, 0.75, 0.80, 14.2), "M6": (7.5, 0.75, 0.80, 20.1), "M8": (9.0, 0.75, 0.85, 36.6)}
LEAST_ARC = 13.0                                                            # V, a joint once apart
JOINTS = {"tight": {"R": 15e-6, "F": 300.0}, "worn": {"R": 0.2e-3, "F": 25.0}, "loose": {"R": 2e-3, "F": 5.0},
          "arcing": {"F": 0.0}}

DEFAULTS = tomllib.loads("""
title = "demonstration case"
[bank]
capacitance = "72 mF"
voltage = "112 V"
esr = "2 mohm"
switch_drop = "1.1 V"
switch_slope = "0.2 mohm"
internal_resistance = "0.3 mohm"
internal_inductance = "0.8 uH"
diode_drop = "0.9 V"
[lead]
length = "5 m"
section = "35 mm2"
spacing = "0.1 m"
turns = 0
coil_diameter = "0.4 m"
temperature = "20 degC"
[joints]
bank = "tight"
tool = "tight"
chuck = "tight"
[tool]
method = "contact"
friction = "5 N"
attitude = "down"
tilt = "0 deg"
tilt_towards = 12
[stud]
size = "M5"
metal = "mild steel"
polarity = "negative"
cone = "3 deg"
[sheet]
metal = "mild steel"
thickness = "1.5 mm"
[arc]
field = "3 V/mm"
resistance = "0 mohm"
to_cathode = 0.38
to_anode = 0.38
[model]
overfill = 3
""")
USUAL = {   # what the tool is unless the case says otherwise
    "contact": {"lift": "0.3 mm", "moving_mass": "120 g", "spring_force": "80 N", "spring_rate": "3 N/mm"},
    "gap": {"lift": "0.5 mm", "moving_mass": "250 g", "spring_force": "50 N", "spring_rate": "1 N/mm"}}
EARTH = {"length": "5 m", "section": "25 mm2", "terminal": "tight", "clamp": "tight", "clamp_radius": "15 mm"}
EARTHS = [dict(EARTH, at=["-200 mm", "0 mm"]), dict(EARTH, at=["200 mm", "0 mm"])]
OPTIONAL = {"stud": {"short_resistance", "flange", "pip_diameter", "pip_length"}, "sheet": {"centre_mark"},
            "tool": set(USUAL["gap"]), "arc": {"fall", "to_stud", "to_sheet"}}
TEXT = {"title", "size", "metal", "method", "attitude", "polarity"}


def joint(value):
    """A preset, a resistance alone (never parts), or a table; a drop without a force is apart from the start."""
    if isinstance(value, str):
        found = JOINTS.get(value) or {"R": si(value)}
    else:
        found = {letter: si(value[key]) for letter, key in (("R", "resistance"), ("F", "force"), ("U", "drop")) if key in value}
        if found.get("U", 0.0) > 0 and "F" not in found:
            found["F"] = 0.0
    return {"R": 0.0, "F": math.inf, "U": LEAST_ARC} | found


def load(path=None):
    return build(tomllib.load(open(path, "rb")) if path else {})


def build(given):
    case, given = copy.deepcopy(DEFAULTS), copy.deepcopy(given)
    earths = [EARTHS[1] | e for e in given.pop("earth", [])] or copy.deepcopy(EARTHS)
    for name, value in given.items():
        if name not in case:
            raise KeyError(f"unknown key {name}")
        if isinstance(value, dict):
            unknown = set(value) - set(case[name]) - OPTIONAL.get(name, set())
            if unknown:
                raise KeyError(f"unknown key in [{name}]: {unknown}")
            case[name].update(value)
        else:
            case[name] = value
    case["tool"] = USUAL[case["tool"]["method"]] | case["tool"]
    for section in [s for s in case.values() if isinstance(s, dict)]:
        for key, value in section.items():
            if isinstance(value, str) and key not in TEXT | set(case["joints"]):
                section[key] = si(value)
    case["joints"] = {k: joint(v) for k, v in case["joints"].items()}
    case["earth"] = [{"length": si(e["length"]), "section": si(e["section"]), "at": [si(x) for x in e["at"]],
                      "clamp_radius": si(e["clamp_radius"]), "terminal": joint(e["terminal"]), "clamp": joint(e["clamp"])}
                     for e in earths]
    stud, arc = case["stud"], case["arc"]
    for key, mm in zip(("flange", "pip_diameter", "pip_length"), STUDS[stud["size"]]):
        stud.setdefault(key, mm * 1e-3)
    stud["stress_area"] = STUDS[stud["size"]][3] * 1e-6
    mark = case["sheet"].get("centre_mark")
    if mark:
        case["sheet"]["centre_mark"] = {"depth": si(mark["depth"]), "angle": si(mark.get("angle", "90 deg"))}
    stud["metal"], case["sheet"]["metal"] = METALS[stud["metal"]], METALS[case["sheet"]["metal"]]
    arc.setdefault("fall", 0.5 * (stud["metal"]["fall"] + case["sheet"]["metal"]["fall"]))
    poles = ("to_cathode", "to_anode") if stud["polarity"] == "negative" else ("to_anode", "to_cathode")
    for face, pole in zip(("to_stud", "to_sheet"), poles):      # the older keys go before
        arc.setdefault(face, arc[pole])
    return case
