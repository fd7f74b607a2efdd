"""The discharge as a hybrid system: circuit, pip and plunge integrated together (DOP853, restarted at each event)."""
import math

import numpy as np
from scipy.integrate import solve_ivp

from circuit import BLOW, Circuit
from pip import Pip

FORGE_SHORT = 50e-6
LEAST_BLOCK = 1.0       # A: a diode that blocks at less is not told, for the current ends then
RTOL = 1e-11


class March:
    def __init__(self, case):
        self.case, self.circuit, self.pip = case, Circuit(case), Pip(case)
        stud, sheet, tool = case["stud"], case["sheet"], case["tool"]
        self.metal, self.sheet, self.tool = stud["metal"], sheet["metal"], tool
        self.radius = stud["flange"] / 2
        self.area = math.pi * self.radius**2
        self.cone, self.bolted = math.tan(stud["cone"]), "short_resistance" in stud
        self.gap_down = max(0.0, self.radius * (math.tan(tool["tilt"]) - self.cone))
        as_wide = self.pip.volume / (math.pi * self.radius**2) - self.pip.sink
        self.gap_stub = max(self.gap_down, as_wide)    # the pip is pressed as wide as the flange
        self.contact = tool["method"] == "contact"
        n, joints = self.circuit.n, len(self.circuit.joints)
        # state: u, i_k, h, gap, w | integrals: i, i2, v_weld i, bank's i2, diode's i, i_k2, sheet's joules, joints' joules
        self.I = slice(1, 1 + n)
        self.H, self.GAP, self.W = 1 + n, 2 + n, 3 + n
        self.INT = slice(4 + n, 9 + n)
        self.INT_K = slice(9 + n, 9 + 3 * n)
        self.INT_J = slice(9 + 3 * n, 9 + 3 * n + joints)
        scale = np.ones(9 + 3 * n + joints)
        scale[self.I], scale[self.H], scale[self.GAP], scale[self.W] = 10.0, 1e4, 1e-5, 1e-2
        self.atol = scale * 1e-10

    # --- right-hand sides ---
    def weld_volt(self, phase, y):
        i = y[self.I].sum()
        if phase == "fuse":
            return self.pip.state(y[self.H], y[self.GAP], i)[1] * i
        if phase == "arc":
            arc = self.case["arc"]
            return arc["fall"] + arc["field"] * (y[self.GAP] + 2 / 3 * self.radius * self.cone) + arc["resistance"] * i
        return FORGE_SHORT * i if phase in ("forge", "stub") else 0.0    # the bolted short sits in the series part

    def force(self, phase, y):
        """Net force once everything that holds is taken off (N)."""
        net = self.push(self.pip.start_gap - y[self.GAP])
        if phase == "fuse":
            net -= sum(self.pip.state(y[self.H], y[self.GAP], y[self.I].sum())[2:])
        return net

    def push(self, travel):
        tool = self.tool
        return tool["spring_force"] - tool["spring_rate"] * travel + self.pip.gravity - tool["friction"]

    def rate(self, y, phase, diode, moving):
        dy, c = np.zeros_like(y), self.circuit
        if moving:
            dy[self.GAP], dy[self.W] = -y[self.W], self.force(phase, y) / self.tool["moving_mass"]
        if phase == "approach":
            return dy
        currents, volt = y[self.I], self.weld_volt(phase, y)
        i = currents.sum()
        banks = c.bank_current(y[0], i, diode)
        dy[0] = -banks / c.C
        dy[self.I] = c.slopes(y[0], currents, volt, diode)[0]
        if phase == "fuse":
            dy[self.H] = i * i * self.pip.state(y[self.H], y[self.GAP], i)[0] / self.pip.mass
        dy[self.INT] = i, i * i, volt * i, banks**2, i - banks
        dy[self.INT_K] = np.concatenate([currents**2, currents * (c.sheet @ currents)])
        dy[self.INT_J] = c.joint_powers(currents)
        return dy

    def watch_circuit(self, phase, diode, y0):
        """Events of diode, joints and branches: (what, which) -> (function of y, direction)."""
        c = self.circuit
        found = {("current-end", None): (lambda y: y[self.I].sum(), -1)}
        spare = lambda y: y[0] - c.bank["esr"] * y[self.I].sum() + c.bank["diode_drop"]
        if not diode:
            found["diode-conducts", None] = (spare, -1)
        elif c.bank["esr"]:
            share = lambda y: c.bank_current(y[0], 0.0, True)       # once it is nothing, only the current's end is left
            found["diode-blocks", None] = (lambda y: y[self.I].sum() - share(y) + (share(y) < 1e-3), -1)
        for j in c.joints:
            now = lambda y, j=j: abs(j.current(y[self.I]))
            if j.state != "parted" and math.isfinite(j.force):
                found["part", j] = (lambda y, j=j, now=now: BLOW * now(y)**2 - j.force, 1)
            if j.state == "molten":
                grows = lambda y: c.slopes(y[0], y[self.I], self.weld_volt(phase, y), diode)[0]
                sign = 1.0 if j.current(y0[self.I]) >= 0 else -1.0
                found["set", j] = (lambda y, j=j, sign=sign: sign * j.current(grows(y)), -1)
            elif j.state != "parted" and math.isfinite(j.widest):
                found["melt", j] = (lambda y, j=j, now=now: now(y) - j.widest, 1)
        for k in np.flatnonzero(c.one_way):
            if c.signs[k]:
                sign = 1.0 if y0[1 + k] >= 0 else -1.0
                found["block", k] = (lambda y, k=k, sign=sign: sign * y[1 + k], -1)
            else:
                left = lambda y, k=k: c.slopes(y[0], y[self.I], self.weld_volt(phase, y), diode)[1][k]
                found["open", k] = (left, 1)
        return found

    def watch(self, phase, diode, moving, y0):
        if phase == "approach":
            return {("pip-touch", None): (lambda y: y[self.GAP] - self.pip.touch_gap, -1)}
        found = self.watch_circuit(phase, diode, y0)
        if phase == "fuse":
            found["ignition", None] = (lambda y: y[self.H] - self.pip.h_burst, 1)
        if phase in ("fuse", "arc"):
            end = self.gap_stub if phase == "fuse" else self.gap_down
            found["stub" if phase == "fuse" else "touchdown", None] = (lambda y: y[self.GAP] - end, -1)
            if moving:
                found["hold", None] = (lambda y: y[self.W], -1)
            else:
                found["move", None] = (lambda y: self.force(phase, y) - 1e-9 * self.tool["spring_force"], 1)
        return found

    # --- the hybrid system ---
    def segment(self, t, y, phase, diode, moving):
        """To the next event: its kind and subject, and the solution."""
        if phase != "approach":
            self.circuit.settle(y[0], y[self.I], self.weld_volt(phase, y), diode, t)
        watched, functions = self.watch(phase, diode, moving, y), []
        for test, direction in watched.values():
            function = lambda t, y, test=test: test(y)
            function.terminal, function.direction = True, direction
            functions.append(function)
        rate = lambda t, y: self.rate(y, phase, diode, moving)
        crest = lambda t, y: rate(t, y)[self.I].sum()
        crest.direction = -1
        got = solve_ivp(rate, (t, t + 0.2), y, "DOP853", dense_output=True, events=functions + [crest],
                        rtol=RTOL, atol=self.atol, max_step=2e-5)
        if got.status != 1:
            raise RuntimeError(f"no event ended the {phase} phase")
        for time, state in [(s, got.sol(s)) for s in got.t_events[-1]] + [(got.t[-1], got.y[:, -1])]:
            self.peak = max(self.peak, (state[self.I].sum(), time), key=lambda p: p[0])
            for j in self.circuit.joints:
                self.most[j] = max(self.most.get(j, 0.0), abs(j.current(state[self.I])))
        for state in got.y.T:       # branch currents peak between the steps, which are short
            for j in self.circuit.joints:
                self.most[j] = max(self.most[j], abs(j.current(state[self.I])))
        return next(n for n, times in zip(watched, got.t_events) if times.size), got

    def discharge(self):
        self.segments, self.events = [], [("trigger", 0.0)]
        self.peak, self.most, self.loss, self.at = (0.0, None), {}, {}, {}
        y = np.zeros(self.atol.size)
        y[0], y[self.GAP] = self.case["bank"]["voltage"], self.pip.start_gap
        phase = "short" if self.bolted else "fuse" if self.contact else "approach"
        t, diode, moving = 0.0, False, phase == "approach"
        if not self.circuit.conducts(y[0]):
            return y
        while phase != "rest":
            (name, subject), got = self.segment(t, y, phase, diode, moving)
            self.book(phase, got.y[:, -1] - y)
            t, y = got.t[-1], got.y[:, -1].copy()
            self.segments.append((phase, got.t[0], t, got.sol))
            if name == "current-end" and phase == "arc":
                self.note("arc-out", t, y)
            if name == "move" and self.contact and "pip-yield" not in self.at:
                self.note("pip-yield", t, y)
            tiny = name == "diode-blocks" and y[self.I].sum() < LEAST_BLOCK
            if name not in ("hold", "move", "block", "open", "melt", "set", "part") and not tiny:
                self.note(name, t, y)
            # the reset at the event
            if name == "current-end":
                phase = "rest"
            elif name in ("diode-conducts", "diode-blocks"):
                diode = name == "diode-conducts"
            elif name in ("hold", "move"):
                moving = name == "move"
                if not moving:
                    y[self.W] = 0.0
            elif name in ("pip-touch", "ignition", "stub", "touchdown"):
                phase = {"pip-touch": "fuse", "ignition": "arc", "stub": "stub", "touchdown": "forge"}[name]
                moving = phase in ("fuse", "arc") and (moving or phase == "arc")
                if phase == "arc" and y[self.GAP] <= self.gap_down:    # only a wide tilt
                    self.note("touchdown", t, y)
                    phase, moving = "forge", False
            else:
                self.turn(name, subject, t, y)
        return y

    def turn(self, name, subject, t, y):
        """A joint melts, sets or parts, a branch blocks or opens."""
        c = self.circuit
        if name in ("block", "open"):
            c.signs[subject] = 1.0 if name == "open" else 0.0
            y[1 + subject] = 0.0
            return
        if name == "set":
            subject.widest, subject.sets = abs(subject.current(y[self.I])), t
        elif name == "melt" and subject.melts is None:
            subject.melts = t
        elif name == "part":
            subject.parts = t
        subject.state = {"set": "set", "melt": "molten", "part": "parted"}[name]

    def note(self, name, t, y):
        self.events.append((name, float(t)))
        self.at[name] = t, y.copy()

    def book(self, phase, gain):
        """Share the integrals of one segment out to the elements (J)."""
        c, (charge, action, weld, banks, diodes) = self.circuit, gain[self.INT]
        action_k, sheet_k = gain[self.INT_K].reshape(2, c.n)
        add = lambda name, joule: self.loss.__setitem__(name, self.loss.get(name, 0.0) + float(joule))
        add("bank esr", c.bank["esr"] * banks)
        add("diode", c.bank["diode_drop"] * diodes)
        for name, ohm in c.series.items():
            add(name, ohm * action)
        add("switch", c.bank["switch_drop"] * charge)
        for k in range(c.n):
            add(f"earth {k + 1} lead", c.leads[k] * action_k[k])
            add(f"earth {k + 1} spreading", sheet_k[k])
        for j, joule in zip(c.joints, gain[self.INT_J]):
            add(j.name, joule)
        if phase in ("fuse", "arc", "forge", "stub"):
            add({"fuse": "pip", "stub": "forge"}.get(phase, phase), weld)
