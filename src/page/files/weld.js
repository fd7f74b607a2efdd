// A fired weld, and its state at any time.

import { amperes, celsius, ms } from "./words.js";

const NUMBERS = ["current_A", "bank_V", "weld_V", "weld_W", "gap_m", "speed_m_per_s",
  "melt_stud_m", "melt_sheet_m", "stud_K", "sheet_K"];

export class Weld {
  constructor(answer) {
    Object.assign(this, answer);
    const c = this.columns;
    this.end = c.time_s[c.time_s.length - 1];
    this.happened = Object.fromEntries(this.events.map((e) => [e.name, e.time_s]));
    // Travel of the stud after touchdown: the integral of the speed.
    const down = this.happened.touchdown ?? Infinity;
    c.squeeze_travel_m = [];
    let closed = 0;
    c.time_s.forEach((t, k) => {
      if (k > 0 && c.time_s[k - 1] >= down) {
        closed += 0.5 * (c.speed_m_per_s[k] + c.speed_m_per_s[k - 1]) * (t - c.time_s[k - 1]);
      }
      c.squeeze_travel_m.push(closed);
    });
    [this.largest, this.shares] = [new Map(), new Map()];
  }

  /** The largest value of a column. */
  most(name) {
    if (!this.largest.has(name)) this.largest.set(name, Math.max(...this.columns[name]));
    return this.largest.get(name);
  }

  /** Share of an entry of the ledger that has built up at a time. */
  grown(name, t) {
    if (!this.shares.has(name)) this.shares.set(name, this.grows(name));
    return this.between(this.shares.get(name), t);
  }

  /** How an entry of the ledger builds up, as a share of its end over the rows. */
  grows(name) {
    const c = this.columns;
    const joint = this.joints.find((j) => j.name === name);
    const lane = /^earth (\d)/.exec(name);
    const i = lane ? c.earths_A[lane[1]] : c.current_A;
    const during = (phase) => (k) => (c.phase[k] === phase ? c.weld_W[k] : 0);
    let power = (k) => i[k] * i[k];
    if (/^arc/.test(name)) power = during("arc");
    else if (name === "pip") power = during("fuse");
    // An arc has its voltage whatever the current.
    else if (joint?.parts_s != null) power = (k) => (c.time_s[k] >= joint.parts_s ? i[k] : 0);
    const sums = [0];
    for (let k = 1; k < c.time_s.length; k++) sums.push(sums[k - 1] + 0.5 * (power(k) + power(k - 1)) * (c.time_s[k] - c.time_s[k - 1]));
    const whole = sums[sums.length - 1];
    return whole > 0 ? sums.map((s) => s / whole) : sums.map(() => 1);
  }

  /** Index of the last row at or before a time. */
  row(t) {
    const times = this.columns.time_s;
    let [low, high] = [0, times.length - 1];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (times[middle] <= t) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  /** A list of values over the rows at a time, on a straight line between rows. */
  between(all, t) {
    const times = this.columns.time_s;
    const k = this.row(t);
    const next = Math.min(k + 1, times.length - 1);
    const [a, b, span] = [all[k], all[next], times[next] - times[k]];
    if (a == null || b == null || span <= 0) return a;
    return a + (b - a) * Math.min(1, (t - times[k]) / span);
  }

  /** One column at a time. */
  value(name, t) {
    return this.between(this.columns[name], t);
  }

  /** All values at a time. */
  at(t) {
    const now = { t, phase: this.columns.phase[this.row(t)] };
    for (const name of NUMBERS) now[name] = this.value(name, t);
    now.pip_K = this.value("pip_K", t);
    const all = this.columns.squeeze_travel_m;
    now.squeeze_travel_m = this.value("squeeze_travel_m", t);
    now.closing = all[all.length - 1] > 0 ? now.squeeze_travel_m / all[all.length - 1] : 0;
    now.earths_A = this.columns.earths_A.map((all) => this.between(all, t));
    now.frozen = this.happened.frozen !== undefined && t >= this.happened.frozen;
    return now;
  }

  /** What happens at a time, in words; nothing between events. */
  event(t) {
    const there = this.events.filter((e) => Math.abs(e.time_s - t) < 1e-4 * this.end);
    const told = there.length > 1 ? there.filter((e) => e.name !== "trigger") : there;
    return told.map((e) => (e.note ? `${e.words}: ${e.note}` : e.words)).join("; ");
  }

  /** The moment in plain words. */
  say(now) {
    const event = this.event(now.t);
    if (event) return event;
    const speed = `${now.speed_m_per_s.toFixed(2)} m/s`;
    switch (now.phase) {
      case "approach":
        return `the stud approaches at ${speed}, no current yet`;
      case "fuse": {
        if (now.speed_m_per_s > 0) return "the pip softens and yields";
        return `current heats the pip, ${celsius(now.pip_K ?? this.stage.room_K)}`;
      }
      case "arc":
        return now.speed_m_per_s > 0
          ? `the arc burns, the stud closes at ${speed}`
          : "the arc burns, the stud stands still";
      case "forge":
        if (this.happened.ignition === undefined) return "the pip is crushed and shorts the circuit: no arc";
        if (now.closing < 0.98) return "the stud squeezes the melt to the rim";
        if (!now.frozen) return "the melt freezes";
        return `frozen, ${amperes(now.current_A)} still flowing`;
      case "short":
        return "the bank discharges through the bolted short";
      default:
        return this.happened.ignition === undefined ? "everything is at rest" : "the heat spreads and the joint cools";
    }
  }

  /** The time of the event before or after a time. */
  step(t, way) {
    const times = this.events.map((e) => e.time_s).concat([0, this.end]);
    const apart = 1e-4 * this.end;
    const found = times.filter((x) => (way > 0 ? x > t + apart : x < t - apart));
    if (found.length === 0) return t;
    return way > 0 ? Math.min(...found) : Math.max(...found);
  }

  /** Share of the arc's push up to a time: the current squared. */
  burnt(t) {
    const { current_A: i, phase, time_s: times } = this.columns;
    this.pushed ??= i.reduce((sums, amps, k) => {
      const by = k > 0 && phase[k] === "arc" ? amps ** 2 * (times[k] - times[k - 1]) : 0;
      sums.push((sums[k - 1] ?? 0) + by);
      return sums;
    }, []);
    const whole = this.pushed[this.pushed.length - 1];
    return whole > 0 ? this.between(this.pushed, t) / whole : 0;
  }

  /** Radius of a centre mark the melt does not fill, over that of the flange; 0 where there is none or it is filled. */
  hollow() {
    const { mark_depth_m: deep, mark_angle_rad: angle, flange_radius_m: radius, cone_rad: cone } = this.stage;
    if (!deep) return 0;
    const wide = deep * Math.tan(angle / 2);
    const mark = (Math.PI / 3) * wide ** 2 * deep;
    const wedge = ((2 * Math.PI) / 3) * radius ** 3 * Math.tan(cone);
    const filler = (this.figures.fill_ratio ?? 0) * (wedge + mark);
    return filler >= mark ? 0 : wide / radius;
  }

  /** For screen readers. */
  describe(now) {
    return `${ms(now.t)}: ${this.say(now)}. ${amperes(now.current_A)}.`;
  }
}
