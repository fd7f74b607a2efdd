#!/usr/bin/env python3
"""One capacitor-discharge stud weld cycle, a second solver apart from arcplunge's own.

usage: cycle.py [CASE.toml]      prints figures, events and ledger as JSON

Circuit, pip and plunge are integrated together (DOP853, restarted at each event); the heat in the faces and the
squeeze of the melt follow from them (they do not act back on the circuit).
"""
import json
import math
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator

from case import G, MU0, T0, load
from circuit import Circuit, Signs
from heat import Faces

BETA, FORGE_SHORT = 0.3, 50e-6
RTOL = 1e-11


class Cycle:
    def __init__(self, case):
        self.case, self.circuit = case, Circuit(case)
        stud, sheet, tool = case["stud"], case["sheet"], case["tool"]
        self.metal, self.sheet, self.tool = stud["metal"], sheet["metal"], tool
        m = self.metal
        self.rim = stud["flange"] / 2
        self.area = math.pi * self.rim**2
        self.cone, self.bolted = math.tan(stud["cone"]), "bolted" in stud
        self.volume = math.pi / 4 * stud["pip_diameter"]**2 * stud["pip_length"]
        self.h_sol = m["cs"] * (m["Tm"] - T0)
        self.h_burst = self.h_sol + m["Lf"] + m["cl"] * (m["Tb"] - m["Tm"]) + BETA * m["Lv"]
        self.hardness = min(m["hardness"], self.sheet["hardness"])
        self.gravity = tool["moving_mass"] * G * {"down": 1, "level": 0, "up": -1}[tool["attitude"]]
        self.gap_down = max(0.0, self.rim * (math.tan(tool["tilt"]) - self.cone))
        length, self.sink, self.recess = stud["pip_length"], 0.0, 0.0
        mark = sheet.get("centre_mark")
        if mark:
            slope = math.tan(mark["angle"] / 2)
            self.sink = min(max(mark["depth"] - stud["pip_diameter"] / (2 * slope), 0.0), 0.95 * length)
            self.recess = math.pi / 3 * (mark["depth"] * slope)**2 * mark["depth"]
        self.contact = tool["method"] == "contact"
        if self.contact:            # pressing the tool on crushes a soft pip before the trigger
            push = tool["spring_force"] + self.gravity - tool["friction"]
            length = min(length, m["strength"] * self.volume / push)
        self.start_gap = max(length - self.sink, 0.0) + (0.0 if self.contact else tool["lift"])
        self.touch_gap = length - self.sink
        n = self.circuit.n          # state: u, i_k, h, gap, w | integrals of i, i2, v_weld i, i_k2, |i_k|
        self.I = slice(1, 1 + n)
        self.H, self.GAP, self.W = 1 + n, 2 + n, 3 + n
        self.INT = slice(4 + n, 7 + n)
        self.INT_K = slice(7 + n, 7 + 3 * n)
        scale = np.ones(7 + 3 * n)
        scale[self.I], scale[self.H], scale[self.GAP], scale[self.W] = 10.0, 1e4, 1e-5, 1e-2
        self.atol = scale * 1e-10

    # --- the pip ---
    def softness(self, h):
        return min(1.0, max(0.0, 1 - h / self.h_sol))    # 1 - (T - T0)/(Tm - T0)

    def resistivity(self, h):
        m, x = self.metal, h / self.h_sol
        if x < 1:
            return m["rho20"] + (m["rhom"] - m["rho20"]) * (1 - (1 - x)**m["p"])
        return m["rhom"] + (m["rhol"] - m["rhom"]) * min(1.0, (h - self.h_sol) / m["Lf"])

    def pip(self, h, gap):
        """Column resistance, whole resistance, force against crushing, contact radius."""
        length, soft = max(gap + self.sink, 1e-9), self.softness(h)
        rho, b = self.resistivity(h), math.sqrt(self.volume / (math.pi * length))
        a = b
        if soft > 0:
            a = min(b, math.sqrt(self.tool["spring_force"] / (math.pi * self.hardness * soft)))
        column = rho * length**2 / self.volume
        constriction = rho / (4 * a) * (1 - a / b)**1.5 + self.sheet["rho20"] / (4 * a)
        return column, column + constriction, self.metal["strength"] * soft * self.volume / length, a

    # --- right-hand sides ---
    def weld_volt(self, phase, y):
        i = y[self.I].sum()
        if phase == "fuse":
            return self.pip(y[self.H], y[self.GAP])[1] * i
        if phase == "arc":
            arc = self.case["arc"]
            return arc["fall"] + arc["field"] * (y[self.GAP] + 2 / 3 * self.rim * self.cone) + arc["resistance"] * i
        return FORGE_SHORT * i if phase in ("forge", "stub") else 0.0    # the bolted short sits in the series part

    def force(self, phase, y):
        """Net force once everything that holds is taken off (N)."""
        tool, net = self.tool, self.gravity - self.tool["friction"]
        net += tool["spring_force"] - tool["spring_rate"] * (self.start_gap - y[self.GAP])
        if phase == "fuse":
            _, _, crush, a = self.pip(y[self.H], y[self.GAP])
            net -= crush + MU0 / (4 * math.pi) * y[self.I].sum()**2 * max(0.0, math.log(self.rim / a))
        return net

    def rate(self, y, phase, diode, signs, moving):
        dy = np.zeros_like(y)
        if moving:
            dy[self.GAP], dy[self.W] = -y[self.W], self.force(phase, y) / self.tool["moving_mass"]
        if phase == "approach":
            return dy
        currents, volt = y[self.I], self.weld_volt(phase, y)
        i = currents.sum()
        dy[0] = 0.0 if diode else -i / self.circuit.C
        dy[self.I] = self.circuit.slopes(y[0], currents, volt, diode, signs)[0]
        if phase == "fuse":
            dy[self.H] = i * i * self.pip(y[self.H], y[self.GAP])[0] / (self.metal["density"] * self.volume)
        dy[self.INT] = i, i * i, volt * i
        dy[self.INT_K] = np.concatenate([currents**2, np.abs(currents)])
        return dy

    def watch(self, phase, diode, signs, moving):
        """The events that can end this segment: name -> (function of y, direction)."""
        if phase == "approach":
            return {"pip-touch": (lambda y: y[self.GAP] - self.touch_gap, -1)}
        found = {"current-end": (lambda y: y[self.I].sum(), -1)}
        if not diode:
            found["bank-empty"] = (lambda y: y[0], -1)
        for k, drop in enumerate(self.circuit.branch_drop):
            if drop and signs[k]:
                found[f"block {k}"] = (lambda y, k=k: signs[k] * y[1 + k], -1)
            elif drop:
                left = lambda y, k=k: self.circuit.slopes(y[0], y[self.I], self.weld_volt(phase, y), diode, signs)[1][k]
                found[f"open {k}"] = (lambda y, left=left, drop=drop: abs(left(y)) - drop, 1)
        if phase == "fuse":
            found["ignition"] = (lambda y: y[self.H] - self.h_burst, 1)
        if phase in ("fuse", "arc"):
            found["stub" if phase == "fuse" else "touchdown"] = (lambda y: y[self.GAP] - self.gap_down, -1)
            if moving:
                found["hold"] = (lambda y: y[self.W], -1)
            else:
                found["move"] = (lambda y: self.force(phase, y) - 1e-9 * self.tool["spring_force"], 1)
        return found

    # --- the hybrid system ---
    def discharge(self):
        self.segments, self.events = [], [("trigger", 0.0)]
        self.peak, self.loss, self.at = (0.0, None), {}, {}
        y = np.zeros(self.atol.size)
        y[0], y[self.GAP] = self.case["bank"]["voltage"], self.start_gap
        phase = "short" if self.bolted else "fuse" if self.contact else "approach"
        t, diode, moving, signs = 0.0, False, phase == "approach", self.circuit.first_signs(y[0])
        if signs is None:
            return y
        while phase != "rest":
            watched = self.watch(phase, diode, signs, moving)
            functions = []
            for test, direction in watched.values():
                function = lambda t, y, test=test: test(y)
                function.terminal, function.direction = True, direction
                functions.append(function)
            rate = lambda t, y: self.rate(y, phase, diode, signs, moving)
            crest = lambda t, y: rate(t, y)[self.I].sum()
            crest.direction = -1
            got = solve_ivp(rate, (t, t + 0.2), y, "DOP853", dense_output=True, events=functions + [crest],
                            rtol=RTOL, atol=self.atol, max_step=2e-5)
            if got.status != 1:
                raise RuntimeError(f"no event ended the {phase} phase")
            name = next(n for n, times in zip(watched, got.t_events) if times.size)
            for time, state in [(s, got.sol(s)) for s in got.t_events[-1]] + [(got.t[-1], got.y[:, -1])]:
                self.peak = max(self.peak, (state[self.I].sum(), time), key=lambda p: p[0])
            self.book(phase, diode, got.y[:, -1] - y)
            t, y = got.t[-1], got.y[:, -1].copy()
            self.segments.append((phase, got.t[0], t, got.sol))
            if name == "current-end" and phase == "arc":
                self.note("arc-out", t, y)
            if name == "move" and self.contact and "pip-yield" not in self.at:
                self.note("pip-yield", t, y)
            if name.split()[0] not in ("hold", "move", "block", "open"):
                self.note(name, t, y)
            # the reset at the event
            if name == "current-end":
                phase = "rest"
            elif name == "bank-empty":
                diode, y[0] = True, 0.0
            elif name == "hold":
                moving, y[self.W] = False, 0.0
            elif name == "move":
                moving = True
            elif name in ("pip-touch", "ignition", "stub", "touchdown"):
                phase = {"pip-touch": "fuse", "ignition": "arc", "stub": "stub", "touchdown": "forge"}[name]
                moving = phase in ("fuse", "arc") and (moving or phase == "arc")
                if phase == "arc" and y[self.GAP] <= self.gap_down:    # only a wide tilt
                    self.note("touchdown", t, y)
                    phase, moving = "forge", False
            else:
                k = int(name.split()[1])
                new = 0
                if name.startswith("open"):
                    left = self.circuit.slopes(y[0], y[self.I], self.weld_volt(phase, y), diode, signs)[1][k]
                    new = 1 if left > 0 else -1
                else:
                    y[1 + k] = 0.0
                signs = Signs(signs[:k] + (new,) + signs[k + 1:])
        return y

    def note(self, name, t, y):
        self.events.append((name, float(t)))
        self.at[name] = t, y.copy()

    def book(self, phase, diode, gain):
        """Share the integrals of one segment out to the elements (J)."""
        c, (charge, action, weld) = self.circuit, gain[self.INT]
        action_k, charge_k = gain[self.INT_K].reshape(2, c.n)
        add = lambda name, joule: self.loss.__setitem__(name, self.loss.get(name, 0.0) + float(joule))
        add("bank esr", 0.0 if diode else c.bank["esr"] * action)
        add("diode", c.bank["diode_drop"] * charge if diode else 0.0)
        for name, ohm in c.series.items():
            add(name, ohm * action + c.drops.get(name, 0.0) * charge)
        for part, ohms in c.branch.items():
            volts = c.branch_drop_of.get(part, np.zeros(c.n))
            for k in range(c.n):
                add(f"earth {k + 1} {part}", ohms[k] * action_k[k] + volts[k] * charge_k[k])
        if phase in ("fuse", "arc", "forge", "stub"):
            add({"fuse": "pip", "stub": "forge"}.get(phase, phase), weld)

    # --- heat and squeeze ---
    def melt(self):
        """Heat of the faces from the arc's power; fills in the melt history and the thermal figures."""
        out = self.out
        arc = [s for s in self.segments if s[0] == "arc"]
        t0, t1 = arc[0][1], arc[-1][2]
        grid = lambda a, b, step: np.linspace(a, b, 2 + int((b - a) / step))
        times = np.concatenate([grid(a, b, 2e-7) for _, a, b, _ in arc])
        powers = np.concatenate([[self.weld_volt("arc", y) * y[self.I].sum() for y in sol(grid(a, b, 2e-7)).T]
                                 for _, a, b, sol in arc])
        shares = np.array([self.case["arc"]["to_stud"], self.case["arc"]["to_sheet"]]) / self.area
        faces = Faces(self.metal, self.sheet, self.case["sheet"]["thickness"])
        self.history = [(0.0, 0.0, 0.0), (t0, 0.0, 0.0)]
        backs = []

        def keep(ts, hs):
            self.history += [(t, *faces.melts(h)) for t, h in zip(ts, hs)]
            backs.extend(faces.temperature(h)[-1] for h in hs)

        ts, hs, _ = faces.run(t0, t1, grid(t0, t1, 2e-6), flux=lambda t: shares * np.interp(t, times, powers))
        keep(ts, hs)
        offered = shares * self.loss["arc"]
        held = [(faces.mass * faces.h)[part].sum() for part in (faces.stud, faces.sheet)]
        out["heat_ledger_error"] = max(abs(held[k] + faces.vapour[k] - offered[k]) / offered[k] for k in (0, 1))
        lost = faces.vapour * self.area
        self.vapour_volume = sum(lost[k] / (m["density"] * m["Lv"]) for k, m in enumerate((self.metal, self.sheet)))
        out["vapour_share"] = lost.sum() / self.loss["arc"]
        joined = "touchdown" in self.at
        stamp = t1
        if joined:                  # the faces meet: no more flux, they conduct into each other
            out["melt_stud_m"], out["melt_sheet_m"] = faces.melts(faces.h)
            solid = lambda h: ((h - faces.h_sol) / faces.Lf).max()
            cooling = []
            if solid(faces.h) > 0:
                sample = np.concatenate([grid(t1, t1 + 3e-4, 1e-6), grid(t1 + 3e-4, t1 + 2e-2, 5e-6)[1:]])
                ts, hs, stamp = faces.run(t1, t1 + 0.5, sample, joined=True, until=solid)
                keep(ts, hs)
                cooling = [(t, faces.joint_temperature(h)) for t, h in zip(ts, hs)]
                self.history.append((stamp, 0.0, 0.0))
                self.events.append(("frozen", float(stamp)))
                out["freeze_s"] = stamp
            Tm = min(self.metal["Tm"], self.sheet["Tm"])
            ts, hs, after = faces.run(stamp, stamp + 2.0, grid(stamp, stamp + 5e-3, 1e-6), joined=True,
                                      until=lambda h: faces.joint_temperature(h) - (Tm - 100))
            keep(ts, hs)
            if cooling:
                cooling += [(t, faces.joint_temperature(h)) for t, h in zip(ts, hs)]
                left = max([t for t, T in cooling if T >= Tm - 1e-6] + [stamp])
                out["cooling_rate_K_per_s"] = 100 / (after - left)
            stamp = after
        # the back face warms until the heat is level in the whole (or in the sheet alone)
        depth = self.case["sheet"]["thickness"] + (4e-3 if joined else 0.0)
        last = stamp + 3 * depth**2 * max(m["density"] * m["cs"] / m["ks"] for m in (self.metal, self.sheet))
        ts, hs, _ = faces.run(stamp, last, stamp + np.geomspace(1e-6, last - stamp, 800), joined=joined)
        keep(ts, hs)
        out["back_face_K"] = max(backs)
        total = (faces.mass * faces.h).sum()
        out["heat_ledger_error"] = max(out["heat_ledger_error"], abs(total - sum(held)) / sum(held))
        self.history = np.array(self.history)
        out["melt_sheet_max_m"] = self.history[:, 2].max()

    def squeeze(self):
        """Closing of the molten film after touchdown; the film's own freezing or its end stops it."""
        t0, y = self.at["touchdown"]
        t, stud, sheet = self.history.T
        keep = np.append(np.diff(t) > 0, True) & (t >= t0)
        melt = PchipInterpolator(t[keep], (stud + sheet)[keep])
        mass, tool, metal, r4 = self.tool["moving_mass"], self.tool, self.metal, self.rim**4
        travel = self.start_gap - y[self.GAP]

        def rate(t, s):
            film, w = max(melt(t) - s[0], 1e-10), max(s[1], 0.0)
            push = tool["spring_force"] - tool["spring_rate"] * (travel + s[0]) + self.gravity - tool["friction"]
            resist = 1.5 * math.pi * metal["viscosity"] * r4 * w / film**3
            resist += 3 * math.pi * metal["density"] * r4 * w**2 / (16 * film**2)
            return [w, (push - resist) / mass]

        gone, halt = lambda t, s: melt(t) - s[0] - 1e-9, lambda t, s: s[1]
        gone.terminal = halt.terminal = True
        gone.direction = halt.direction = -1
        end = dict(self.events).get("frozen", t0)
        self.closing = None
        if melt(t0) > 1e-9 and end > t0:
            got = solve_ivp(rate, (t0, end), [0.0, y[self.W]], "Radau", dense_output=True, events=[gone, halt],
                            rtol=1e-8, atol=[1e-13, 1e-9], max_step=2e-5)
            self.closing = t0, got.t[-1], got.sol
            return got.y[0, -1]
        return 0.0

    # --- results ---
    def run(self):
        y = self.discharge()
        c, ev, out = self.circuit, dict(self.events), {}
        self.out = out
        stored = 0.5 * c.C * self.case["bank"]["voltage"]**2
        self.loss["left in bank"] = 0.5 * c.C * y[0]**2
        self.loss["left in leads"] = float(0.5 * y[self.I] @ c.L @ y[self.I])
        out["stored_energy_J"], out["peak_current_A"], out["time_of_peak_s"] = stored, *self.peak
        for key, name in (("pip_touch_s", "pip-touch"), ("pip_yield_s", "pip-yield"), ("ignition_s", "ignition"),
                          ("touchdown_s", "touchdown"), ("current_end_s", "current-end")):
            out[key] = ev.get(name)
        for key in ("arc_time_s touchdown_speed_m_per_s touchdown_current_A gap_at_ignition_m melt_stud_m melt_sheet_m melt_sheet_max_m "
                    "squeeze_travel_m fill_ratio vapour_share arc_energy_J freeze_s cooling_rate_K_per_s back_face_K").split():
            out[key] = None
        out["action_A2s"] = y[self.INT][1]
        self.history = np.zeros((1, 3))
        self.closing = None
        if "ignition" in ev:
            end = ev.get("touchdown", ev.get("arc-out"))
            out["arc_time_s"], out["arc_energy_J"] = end - ev["ignition"], self.loss.get("arc", 0.0)
            out["gap_at_ignition_m"] = self.at["ignition"][1][self.GAP]
            self.melt()
            out["squeeze_travel_m"] = 0.0
            if "touchdown" in ev:
                state = self.at["touchdown"][1]
                out["touchdown_speed_m_per_s"], out["touchdown_current_A"] = state[self.W], state[self.I].sum()
                out["squeeze_travel_m"] = self.squeeze()
            wedge = 2 * math.pi / 3 * self.rim**3 * self.cone
            fill = (self.area * out["squeeze_travel_m"] + self.volume - self.vapour_volume) / (wedge + self.recess)
            out["fill_ratio"] = max(0.0, fill)
        out["loop_resistance_ohm"], out["loop_inductance_H"] = c.loop_resistance, c.loop_inductance
        ledger = {k: float(v) for k, v in {"stored": stored, **self.loss}.items()}
        out["ledger_error"] = abs(stored - sum(self.loss.values())) / stored
        figures = {k: None if v is None else float(v) for k, v in out.items()}
        closure = {k: figures.pop(k) for k in ("ledger_error", "heat_ledger_error") if k in figures}
        order = sorted(self.events, key=lambda e: e[1])
        return {"figures": figures, "verdict": self.verdict(figures),
                "events": [{"name": n, "time_s": t} for n, t in order], "ledger_J": ledger,
                "closure": closure}

    def verdict(self, f):
        if self.bolted:
            return None
        if f["fill_ratio"] is None or f["touchdown_s"] is None:
            return "cold"
        if f["melt_sheet_max_m"] > self.case["sheet"]["thickness"] / 2:
            return "burn-through"
        return "hot" if f["vapour_share"] > 0.10 else "cold" if f["fill_ratio"] < 1 else "sound"

    def curve(self, step=2e-5):
        """Time, current, bank V, weld V, gap, speed, melt of stud and sheet, each `step` to the last event."""
        rows = []
        stop = max(t for _, t in self.events)
        for t in np.arange(int(stop / step) + 1) * step:
            y, phase = None, "rest"
            for name, a, b, sol in self.segments:
                if a <= t <= b:
                    y, phase = sol(t), name
                    break
            if y is None:
                y = self.segments[-1][3](self.segments[-1][2]) if self.segments else np.zeros(self.atol.size)
                y[self.I] = 0.0
            if phase in ("forge", "stub", "rest"):
                y[self.W] = 0.0
                if self.closing and self.closing[0] <= t <= self.closing[1]:
                    y[self.W] = self.closing[2](t)[1]
            volt = self.weld_volt(phase, y)
            if self.bolted:
                volt = self.case["stud"]["bolted"] * y[self.I].sum()
            melts = [np.interp(t, self.history[:, 0], self.history[:, k]) for k in (1, 2)]
            rows.append([t, y[self.I].sum(), y[0], volt, y[self.GAP], y[self.W], *melts])
        return np.array(rows)


if __name__ == "__main__":
    print(json.dumps(Cycle(load(*sys.argv[1:2])).run(), indent=1))
