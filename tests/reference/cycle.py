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

from case import T0, load
from heat import Faces
from march import March
from rim import drift_of, holds, rim


class Cycle(March):
    # --- heat and squeeze ---
    def melt(self):
        """Heat of the faces from the arc's power; fills in the melt history and the thermal figures."""
        out = self.out
        arc = [s for s in self.segments if s[0] == "arc"]
        if not arc:                 # a wide tilt: down in the instant of ignition
            out |= dict.fromkeys(("melt_stud_m", "melt_sheet_m", "melt_sheet_max_m", "vapour_share"), 0.0) | {"back_face_K": T0}
            self.vapour_volume = 0.0
            return
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
        self.vapour_volume = sum(lost[k] / (m["density_liquid"] * m["Lv"]) for k, m in enumerate((self.metal, self.sheet)))
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
            after = stamp
            if faces.joint_temperature(faces.h) > Tm - 100:     # else a pocket in the depth froze last, and no rate is told
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
        swell = [m["density"] / m["density_liquid"] for m in (self.metal, self.sheet)]
        melt = PchipInterpolator(t[keep], (swell[0] * stud + swell[1] * sheet)[keep])
        mass, metal, r4 = self.tool["moving_mass"], self.metal, self.radius**4
        travel = self.pip.start_gap - y[self.GAP]

        def rate(t, s):
            film, w = max(melt(t) - s[0], 1e-10), max(s[1], 0.0)
            resist = 1.5 * math.pi * metal["viscosity"] * r4 * w / film**3
            resist += 3 * math.pi * metal["density_liquid"] * r4 * w**2 / (16 * film**2)
            return [w, (self.push(travel + s[0]) - resist) / mass]

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
                    "squeeze_travel_m fill_ratio vapour_share arc_energy_J freeze_s cooling_rate_K_per_s back_face_K "
                    "rim_fill_min rim_fill_min_at welded_share").split():
            out[key] = None
        out["action_A2s"] = y[self.INT][1]
        self.history = np.zeros((1, 3))
        self.closing = self.even = None
        self.further = {"drift_m": None}
        if "ignition" in ev:
            self.weld(ev)
        out["loop_resistance_ohm"], out["loop_inductance_H"] = c.loop_resistance, c.loop_inductance
        self.further["joints_J"] = sum(self.loss.get(j.name, 0.0) for j in c.joints)
        if not self.bolted:
            loads, first = holds(self.case, self.area, out["welded_share"])
            self.further |= {f"{part}_holds_N": loads.get(part) for part in ("weld", "stud", "sheet")} | {"breaks_first": first}
        ledger = {k: float(v) for k, v in {"stored": stored, **self.loss}.items()}
        out["ledger_error"] = abs(stored - sum(self.loss.values())) / stored
        figures = {k: None if v is None else float(v) for k, v in out.items()}
        closure = {k: figures.pop(k) for k in ("ledger_error", "heat_ledger_error") if k in figures}
        order = sorted(self.events, key=lambda e: e[1])
        return {"figures": figures, "verdict": self.verdict(figures),
                "events": [{"name": n, "time_s": t} for n, t in order], "ledger_J": ledger, "joints": self.joints(),
                "further": {k: float(v) if isinstance(v, np.floating) else v for k, v in self.further.items()},
                "closure": closure}

    def joints(self):
        told = {}
        for j in self.circuit.joints:
            most = float(self.most.get(j, 0.0))
            told[j.name] = {"largest_A": most, "largest_V": j.largest_volt(most), "energy_J": self.loss.get(j.name, 0.0),
                            **{f"{what}_s": None if t is None else float(t)
                               for what, t in (("melts", j.melts), ("sets", j.sets), ("parts", j.parts))}}
        return told

    def weld(self, ev):
        """Melt, squeeze, fill and rim once an arc has burned."""
        out, end = self.out, ev.get("touchdown", ev.get("arc-out"))
        out["arc_time_s"], out["arc_energy_J"] = end - ev["ignition"], self.loss.get("arc", 0.0)
        out["gap_at_ignition_m"] = self.at["ignition"][1][self.GAP]
        self.melt()
        out["squeeze_travel_m"] = 0.0
        down = "touchdown" in ev
        if down:
            state = self.at["touchdown"][1]
            out["touchdown_speed_m_per_s"], out["touchdown_current_A"] = state[self.W], state[self.I].sum()
            out["squeeze_travel_m"] = self.squeeze() if out["melt_stud_m"] + out["melt_sheet_m"] > 0 else 0.0
        wedge = 2 * math.pi / 3 * self.radius**3 * self.cone
        pips = self.pip.volume * self.metal["density"] / self.metal["density_liquid"]
        paths = [(ts, sol(ts)[self.I]) for phase, a, b, sol in self.segments if phase == "arc"
                 for ts in [np.linspace(a, b, 2 + int((b - a) / 2e-7))]]
        drift = drift_of(self.case, paths, self.metal["density_liquid"], self.area)
        self.further["drift_m"] = math.hypot(*drift)
        if down:
            filler = self.area * out["squeeze_travel_m"] + pips - self.vapour_volume
            out["fill_ratio"] = max(0.0, filler / (wedge + self.pip.mark))
            (out["rim_fill_min"], out["rim_fill_min_at"], out["welded_share"],
             self.even) = rim(self.case, out["fill_ratio"], drift, self.pip.mark)

    def verdict(self, f):
        if self.bolted:
            return None
        if f["fill_ratio"] is None or f["touchdown_s"] is None:
            return "cold"
        if f["melt_sheet_max_m"] > self.case["sheet"]["thickness"] / 2:
            return "burn-through"
        if f["vapour_share"] > 0.10 or f["fill_ratio"] > self.case["model"]["overfill"]:
            return "hot"
        return "cold" if self.even < 1 else "one-sided" if f["rim_fill_min"] < 1 else "sound"

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
                volt = self.case["stud"]["short_resistance"] * y[self.I].sum()
            melts = [np.interp(t, self.history[:, 0], self.history[:, k]) for k in (1, 2)]
            rows.append([t, y[self.I].sum(), y[0], volt, y[self.GAP], y[self.W], *melts])
        return np.array(rows)


if __name__ == "__main__":
    print(json.dumps(Cycle(load(*sys.argv[1:2])).run(), indent=1))
