"""The pip: resistance, contact spot, strength and pinch over its enthalpy and length."""
import math

from case import G, MU0, T0

BETA, LORENZ = 0.3, 2.44e-8


class Pip:
    def __init__(self, case):
        stud, sheet, tool = case["stud"], case["sheet"], case["tool"]
        self.metal, self.sheet = m, other = stud["metal"], sheet["metal"]
        self.rim = stud["flange"] / 2
        self.volume = math.pi / 4 * stud["pip_diameter"]**2 * stud["pip_length"]
        self.mass = m["density"] * self.volume
        self.h_sol = m["cs"] * (m["Tm"] - T0)
        self.h_burst = self.h_sol + m["Lf"] + m["cl"] * (m["Tb"] - m["Tm"]) + BETA * m["Lv"]
        self.hardness = min(m["hardness"], other["hardness"])
        self.melting_volt = 2 * math.sqrt(LORENZ * (min(m["Tm"], other["Tm"])**2 - T0**2))
        self.length, self.sink, self.mark = stud["pip_length"], 0.0, 0.0
        mark, contact = sheet.get("centre_mark"), tool["method"] == "contact"
        if mark:
            slope = math.tan(mark["angle"] / 2)
            self.mark = math.pi / 3 * (mark["depth"] * slope)**2 * mark["depth"]
        crush = m["flow_stress"] * self.volume / self.length
        self.gravity = tool["moving_mass"] * G * {"down": 1, "level": 0, "up": -1}[tool["attitude"]]
        push = tool["spring_force"] + self.gravity - tool["friction"]
        if contact:                 # pressing the tool on crushes a soft pip before the trigger
            if push <= 0:
                raise ValueError("the stud does not press on the sheet")
            self.length = min(self.length, m["flow_stress"] * self.volume / push)
        self.spot_force = push if contact else max(push, crush)
        if mark:                    # crushed, the pip is wider
            wide = stud["pip_diameter"] * math.sqrt(stud["pip_length"] / self.length)
            self.sink = min(max(mark["depth"] - wide / (2 * slope), 0.0), 0.95 * self.length)
        self.touch_gap = self.length - self.sink
        self.start_gap = self.touch_gap if contact else stud["pip_length"] + tool["lift"]

    def softness(self, h):
        return min(1.0, max(0.0, 1 - h / self.h_sol))    # 1 - (T - T0)/(Tm - T0)

    def resistivity(self, h):
        m, x = self.metal, h / self.h_sol
        if x < 1:
            return m["rho20"] + (m["rhom"] - m["rho20"]) * (1 - (1 - x)**m["p"])
        return m["rhom"] + (m["rhol"] - m["rhom"]) * min(1.0, (h - self.h_sol) / m["Lf"])

    def state(self, h, gap, i):
        """Column resistance, whole resistance, force against crushing, pinch."""
        length, soft = max(gap + self.sink, 1e-9), self.softness(h)
        rho, b = self.resistivity(h), math.sqrt(self.volume / (math.pi * length))
        spot = lambda a: rho / (4 * a) * (1 - a / b)**1.5 + self.sheet["rho20"] / (4 * a)
        a = b
        if soft > 0:
            a = min(b, math.sqrt(self.spot_force / (math.pi * self.hardness * soft)))
            a = min(b, a * max(1.0, abs(i) * spot(a) / self.melting_volt))
        column = rho * length**2 / self.volume
        pinch = MU0 / (4 * math.pi) * i * i * max(0.0, math.log(self.rim / a))
        return column, column + spot(a), self.metal["flow_stress"] * soft * self.volume / length, pinch
