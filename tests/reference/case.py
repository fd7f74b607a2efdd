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


# density, T_m, T_b, L_f, L_v, c_s, c_l, k_s, k_l, rho_20, rho_m, rho_l (micro-ohm m), p, H, sigma_0 (MPa), mu (mPa s)
NAMES = "density Tm Tb Lf Lv cs cl ks kl rho20 rhom rhol p hardness strength viscosity".split()
SCALE = dict(rho20=1e-6, rhom=1e-6, rhol=1e-6, hardness=1e6, strength=1e6, viscosity=1e-3)
TABLE = {
    "mild steel":          (7850, 1793, 3133, 2.6e5, 6.1e6, 680, 820, 33, 33, 0.15, 1.27, 1.38, 1.6, 1300, 350, 5.5),
    "stainless 18/8":      (7900, 1720, 3100, 2.6e5, 6.3e6, 610, 790, 24, 28, 0.72, 1.25, 1.30, 1.6, 1700, 310, 6.0),
    "aluminium Mg alloy":  (2680, 910, 2740, 3.9e5, 1.05e7, 1050, 1150, 140, 95, 0.049, 0.13, 0.25, 1, 700, 170, 1.2),
    "brass 63/37":         (8440, 1190, 2100, 1.7e5, 3.5e6, 420, 490, 125, 70, 0.066, 0.19, 0.40, 1, 1100, 220, 3.5),
    "copper":              (8930, 1358, 2835, 2.05e5, 4.73e6, 430, 495, 360, 165, 0.0172, 0.098, 0.21, 1, 700, 150, 4.0),
}
METALS = {name: {k: v * SCALE.get(k, 1.0) for k, v in zip(NAMES, row)} for name, row in TABLE.items()}
STUDS = {"M3": (4.5, 0.60, 0.55), "M4": (5.5, 0.65, 0.55), "M5": (6.5, 0.75, 0.80),   # flange, pip d, pip l in mm
         "M6": (7.5, 0.75, 0.80), "M8": (9.0, 0.75, 0.85)}
JOINTS = {"tight": (15e-6, 0.0), "worn": (0.2e-3, 0.0), "loose": (2e-3, 0.0), "arcing": (0.5e-3, 12.0)}  # ohm, V

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
lift = "0.3 mm"
moving_mass = "120 g"
spring_force = "80 N"
spring_rate = "3 N/mm"
friction = "5 N"
attitude = "down"
tilt = "0 deg"
[stud]
size = "M5"
metal = "mild steel"
cone = "3 deg"
[sheet]
metal = "mild steel"
thickness = "1.5 mm"
[arc]
fall = "16 V"
field = "3 V/mm"
resistance = "0.8 mohm"
to_stud = 0.38
to_sheet = 0.38
""")
EARTH = {"length": "5 m", "section": "25 mm2", "terminal": "tight", "clamp": "tight"}
EARTHS = [dict(EARTH, at=["-200 mm", "0 mm"]), dict(EARTH, at=["200 mm", "0 mm"])]
OPTIONAL = {"stud": {"short_resistance", "flange", "pip_diameter", "pip_length"}, "sheet": {"centre_mark"}}
TEXT = {"title", "size", "metal", "method", "attitude"}


def joint(value):
    return JOINTS[value] if value in JOINTS else (si(value), 0.0)


def load(path=None):
    given = tomllib.load(open(path, "rb")) if path else {}
    case = copy.deepcopy(DEFAULTS)
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
    for section in [s for s in case.values() if isinstance(s, dict)]:
        for key, value in section.items():
            if isinstance(value, str) and key not in TEXT | set(case["joints"]):
                section[key] = si(value)
    case["joints"] = {k: joint(v) for k, v in case["joints"].items()}
    case["earth"] = [{"length": si(e["length"]), "section": si(e["section"]), "at": [si(x) for x in e["at"]],
                      "terminal": joint(e["terminal"]), "clamp": joint(e["clamp"])} for e in earths]
    stud = case["stud"]
    for key, mm in zip(("flange", "pip_diameter", "pip_length"), STUDS[stud["size"]]):
        stud.setdefault(key, mm * 1e-3)
    mark = case["sheet"].get("centre_mark")
    if mark:
        case["sheet"]["centre_mark"] = {"depth": si(mark["depth"]), "angle": si(mark.get("angle", "90 deg"))}
    stud["metal"], case["sheet"]["metal"] = METALS[stud["metal"]], METALS[case["sheet"]["metal"]]
    return case
