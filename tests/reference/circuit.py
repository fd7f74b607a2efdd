"""The lumped circuit: bank with its free-wheel diode, switch, gun lead, joints, and N coupled earth leads."""
import math
from itertools import product

import numpy as np

from case import MU0

MELTING = 0.43      # V across a molten contact of copper, Holm
BLOW = 4.45e-7      # N/A2, Slade 2014


def self_inductance(length, section):
    radius = math.sqrt(section / (0.55 * math.pi))
    return MU0 * length / (2 * math.pi) * (math.log(2 * length / radius) - 0.75)


def mutual_inductance(length, apart):
    x = length / apart
    return MU0 * length / (2 * math.pi) * (math.log(x + math.hypot(1, x)) - math.hypot(1, 1 / x) + 1 / x)


def coil_inductance(turns, diameter, section):
    bundle = 1.35 * math.sqrt(turns * section / (0.55 * math.pi))
    return MU0 * turns**2 * diameter / 2 * (math.log(4 * diameter / bundle) - 1.75)


def slack_inductance(excess, section, apart):
    """A bight: half the excess goes out, half comes back beside it."""
    if excess <= 0:
        return 0.0
    return max(0.0, 2 * (self_inductance(excess / 2, section) - mutual_inductance(excess / 2, apart)))


def inductances(case):
    """Straight run, partial inductances of gun lead (with bank, coil, slack) and earth leads, and the two mutual ones."""
    gun, earths, apart = case["lead"], case["earth"], case["lead"]["spacing"]
    left = gun["length"] - gun["turns"] * math.pi * gun["coil_diameter"]
    run = min([left] + [e["length"] for e in earths])
    if run <= 0:
        raise ValueError("the gun lead is too short for its coil")
    coil = coil_inductance(gun["turns"], gun["coil_diameter"], gun["section"]) if gun["turns"] else 0.0
    own_gun = (self_inductance(run, gun["section"]) + case["bank"]["internal_inductance"] + coil
               + slack_inductance(left - run, gun["section"], apart))
    own = [self_inductance(run, e["section"]) + slack_inductance(e["length"] - run, e["section"], apart) for e in earths]
    return run, own_gun, own, mutual_inductance(run, apart)


def sheet_matrix(case):
    """Resistances of the sheet between the flange's rim and the clamps, by potentials of point sinks in a wide plate."""
    sheet, rim, earths = case["sheet"], case["stud"]["flange"] / 2, case["earth"]
    g = sheet["metal"]["rho20"] / (2 * math.pi * sheet["thickness"])
    far = [math.hypot(*e["at"]) for e in earths]
    matrix = np.empty((len(earths), len(earths)))
    for j, k in product(range(len(earths)), repeat=2):
        if far[k] < rim + earths[k]["clamp_radius"]:
            raise ValueError(f"earth {k + 1}: the clamp stands on the flange")
        apart = earths[k]["clamp_radius"]
        if j != k:
            apart = max(math.dist(earths[j]["at"], earths[k]["at"]), apart, earths[j]["clamp_radius"])
        matrix[k, j] = g * (math.log(far[k] / rim) + math.log(far[j] / apart))
    return matrix


class Joint:
    """A contact that resists, melts, sets and parts. state: cold, molten, set or parted."""

    def __init__(self, name, branch, spec):
        self.name, self.branch, self.R, self.force, self.drop = name, branch, spec["R"], spec["F"], spec["U"]
        self.state = "parted" if self.force == 0 else "cold"
        self.widest = MELTING / self.R if self.R else math.inf      # the current at which it melts (again)
        self.melts = self.sets = self.parts = None

    def current(self, currents):
        return currents.sum() if self.branch is None else currents[self.branch]

    def law(self, sign):
        """Resistance and constant drop while its current has this sign."""
        if self.state == "parted":
            return 0.0, sign * self.drop
        if self.state == "molten":
            return 0.0, sign * MELTING
        return (self.R, 0.0) if self.state == "cold" else (MELTING / self.widest, 0.0)

    def largest_volt(self, current):
        return self.drop if self.state == "parted" or self.parts else min(self.R * current, MELTING)


class Circuit:
    def __init__(self, case):
        bank, gun, earths = case["bank"], case["lead"], case["earth"]
        self.bank, self.C, self.n = bank, bank["capacitance"], len(earths)
        hot = 1.94e-8 * (1 + 0.00393 * (gun["temperature"] - 293.15))
        self.series = {"internal": bank["internal_resistance"], "switch": bank["switch_slope"],
                       "gun lead": hot * gun["length"] / gun["section"]}
        if "short_resistance" in case["stud"]:
            self.series["bolted short"] = case["stud"]["short_resistance"]
        self.leads = np.array([hot * e["length"] / e["section"] for e in earths])
        self.sheet = sheet_matrix(case)
        self.joints = [Joint(f"{name} joint", None, spec) for name, spec in case["joints"].items()]
        self.joints += [Joint(f"earth {k + 1} {part}", k, e[part]) for k, e in enumerate(earths) for part in ("terminal", "clamp")]
        _, gun_L, own, mutual = inductances(case)
        self.L = np.full((self.n, self.n), gun_L - mutual) + np.diag(np.array(own) - mutual)
        self.loop_inductance = 1 / np.linalg.inv(self.L).sum()
        self.signs = np.ones(self.n)    # direction of each branch's current, 0 where a parted joint blocks it
        self.arrange(np.zeros(self.n))
        self.loop_resistance = bank["esr"] + self.Rs + 1 / np.linalg.inv(self.R).sum()

    def arrange(self, currents):
        """Resistances and drops as the joints now stand."""
        self.Rs, self.drop = sum(self.series.values()), self.bank["switch_drop"]
        self.R, self.branch_drop, self.one_way = np.diag(self.leads) + self.sheet, np.zeros(self.n), np.zeros(self.n, bool)
        for j in self.joints:
            k = j.branch
            sign = 1.0 if k is None or currents[k] >= 0 else -1.0
            ohm, volt = j.law(sign)
            if k is None:
                self.Rs, self.drop = self.Rs + ohm, self.drop + volt
            else:
                self.R[k, k] += ohm
                self.branch_drop[k] += volt
                self.one_way[k] |= j.state == "parted"
        on = np.flatnonzero(self.signs)
        self.inverse = np.zeros_like(self.L)
        self.inverse[np.ix_(on, on)] = np.linalg.inv(self.L[np.ix_(on, on)])

    def bank_current(self, u, i, diode):
        if not diode:
            return i
        return (u + self.bank["diode_drop"]) / self.bank["esr"] if self.bank["esr"] else 0.0

    def slopes(self, u, currents, weld_volt, diode):
        """di_k/dt of the branches, and what is left on each open one beyond its drops (V)."""
        i = currents.sum()
        source = -self.bank["diode_drop"] if diode else u - self.bank["esr"] * i
        free = source - self.drop - self.Rs * i - weld_volt - self.R @ currents - self.branch_drop
        slope = self.inverse @ free
        return slope, free - self.L @ slope

    def conducts(self, u):
        """Whether the bank overcomes the drops at no current; closes the branches that do."""
        self.signs = np.zeros(self.n)
        self.arrange(self.signs)
        if u <= self.drop + self.branch_drop.min():
            return False
        self.signs = np.where(self.one_way, 0.0, 1.0)
        if not self.signs.any():
            self.signs[self.branch_drop.argmin()] = 1.0
        self.settle(u, np.zeros(self.n), 0.0, False, 0.0)
        return True

    def settle(self, u, currents, weld_volt, diode, t):
        """At the start of a segment: molten joints whose current falls set, open branches under enough voltage close."""
        while True:
            self.arrange(currents)
            slope, left = self.slopes(u, currents, weld_volt, diode)
            over = np.where(self.signs == 0, left, 0.0)
            setting = [j for j in self.joints if j.state == "molten" and j.current(slope) * np.sign(j.current(currents)) < 0]
            for j in setting:
                j.state, j.widest, j.sets = "set", abs(j.current(currents)), t
            if over.max() > 0:
                self.signs[over.argmax()] = 1.0
            elif not setting:
                return

    def joint_powers(self, currents):
        powers = []
        for j in self.joints:
            i = j.current(currents)
            ohm, volt = j.law(1.0 if i >= 0 else -1.0)
            powers.append((ohm * i + volt) * i)
        return powers
