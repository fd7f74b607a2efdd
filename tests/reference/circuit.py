"""The lumped circuit: bank, switch, gun lead, joints, and N earth leads with their full inductance matrix."""
import math
from itertools import product

import numpy as np

from case import MU0


def self_inductance(length, section):
    radius = math.sqrt(section / (0.55 * math.pi))
    return MU0 * length / (2 * math.pi) * (math.log(2 * length / radius) - 0.75)


def mutual_inductance(length, apart):
    x = length / apart
    return MU0 * length / (2 * math.pi) * (math.log(x + math.hypot(1, x)) - math.hypot(1, 1 / x) + 1 / x)


def coil_inductance(turns, diameter, section):
    bundle = 1.35 * math.sqrt(turns * section / (0.55 * math.pi))
    return MU0 * turns**2 * diameter / 2 * (math.log(4 * diameter / bundle) - 1.75)


class Circuit:
    def __init__(self, case):
        bank, gun, earths, joints = case["bank"], case["lead"], case["earth"], case["joints"]
        self.bank, self.C = bank, bank["capacitance"]
        hot = 1.94e-8 * (1 + 0.00393 * (gun["temperature"] - 293.15))
        # series resistances and constant drops by element; branch ones likewise, an array over the earth leads
        self.series = {"internal": bank["internal_resistance"], "switch": bank["switch_slope"],
                       "gun lead": hot * gun["length"] / gun["section"]}
        self.series |= {f"{name} joint": ohm for name, (ohm, _) in joints.items()}
        if "bolted" in case["stud"]:
            self.series["bolted short"] = case["stud"]["short_resistance"]
        self.drops = {"switch": bank["switch_drop"]} | {f"{name} joint": volt for name, (_, volt) in joints.items() if volt}
        sheet, rim = case["sheet"], case["stud"]["flange"] / 2
        spread = sheet["metal"]["rho20"] / (2 * math.pi * sheet["thickness"])
        self.branch = {"lead": np.array([hot * e["length"] / e["section"] for e in earths]),
                       "terminal": np.array([e["terminal"][0] for e in earths]),
                       "clamp": np.array([e["clamp"][0] for e in earths]),
                       "spreading": np.array([spread * math.log(math.hypot(*e["at"]) / rim) for e in earths])}
        self.branch_drop = np.array([e["terminal"][1] + e["clamp"][1] for e in earths])
        self.branch_drop_of = {part: np.array([e[part][1] for e in earths]) for part in ("terminal", "clamp")}
        self.R, self.Rs, self.drop = sum(self.branch.values()), sum(self.series.values()), sum(self.drops.values())

        straight = gun["length"]
        coil = 0.0
        if gun["turns"]:
            straight -= gun["turns"] * math.pi * gun["coil_diameter"]
            if straight < 0:
                raise ValueError("the gun lead is too short for its coil")
            coil = coil_inductance(gun["turns"], gun["coil_diameter"], gun["section"])
        Lg = self_inductance(straight, gun["section"]) + bank["internal_inductance"] + coil
        to_gun = [mutual_inductance(min(straight, e["length"]), gun["spacing"]) for e in earths]
        self.n = len(earths)
        self.L = np.empty((self.n, self.n))
        for j, k in product(range(self.n), repeat=2):
            between = (self_inductance(earths[j]["length"], earths[j]["section"]) if j == k else
                       mutual_inductance(min(earths[j]["length"], earths[k]["length"]), gun["spacing"]))
            self.L[k, j] = Lg - to_gun[j] - to_gun[k] + between
        self.inverse = {}
        self.loop_inductance = 1 / np.linalg.inv(self.L).sum()
        self.loop_resistance = bank["esr"] + self.Rs + 1 / (1 / self.R).sum()

    def source(self, u, i, diode):
        return -self.bank["diode_drop"] if diode else u - self.bank["esr"] * i

    def slopes(self, u, currents, weld_volt, diode, signs):
        """di_k/dt of the branches, and the e.m.f. left on each (what a blocked joint sees).

        signs holds the current direction of each branch, 0 where an arcing joint blocks it."""
        i = currents.sum()
        e = self.source(u, i, diode) - self.drop - self.Rs * i - weld_volt
        free = e - self.R * currents - signs * self.branch_drop
        if signs not in self.inverse:
            on = np.flatnonzero(signs)
            inverse = np.zeros_like(self.L)
            inverse[np.ix_(on, on)] = np.linalg.inv(self.L[np.ix_(on, on)])
            self.inverse[signs] = inverse
        slope = self.inverse[signs] @ free
        return slope, e - self.L @ slope

    def first_signs(self, u):
        """Which branches start at t = 0 (an arcing joint may not be overcome); None if the bank is below its drops."""
        if u <= self.drop + self.branch_drop.min():
            return None
        signs = Signs([1] * self.n)
        for _ in range(self.n):
            slope, _ = self.slopes(u, np.zeros(self.n), 0.0, False, signs)
            signs = Signs([0 if s and self.branch_drop[k] and slope[k] <= 0 else s for k, s in enumerate(signs)])
        return signs


class Signs(tuple):
    """A hashable tuple that multiplies like an array."""
    __mul__ = __rmul__ = lambda self, other: np.asarray(tuple(self)) * other
