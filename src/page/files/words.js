// Numbers for people: three significant digits, the prefix that fits, units always. What else is read and written in one way.

/** Three significant digits, no exponent. */
export function three(x) {
  if (!Number.isFinite(x)) return "–";
  if (x === 0) return "0";
  const places = Math.min(12, Math.max(0, 2 - Math.floor(Math.log10(Math.abs(x) * 1.0005))));
  return x.toFixed(places);
}

export const ms = (t) => `${(t * 1e3).toFixed(3)} ms`;
export const mm = (x) => `${(x * 1e3).toFixed(2)} mm`;
export const um = (x) => `${(x * 1e6).toFixed(x < 9.95e-6 ? 1 : 0)} µm`;
export const celsius = (k) => `${Math.round((k - 273.15) / 10) * 10} °C`;
export const amperes = (i) => (i >= 1000 ? `${(i / 1e3).toFixed(2)} kA` : `${Math.round(i)} A`);
export const volts = (u) => `${u.toFixed(1)} V`;
export const joules = (e) => (Math.abs(e) < 9.95 ? `${e.toFixed(1)} J` : `${Math.round(e)} J`);

/** A, B, C for 0, 1, 2. */
export const letter = (k) => String.fromCharCode(65 + k);

/** Key and value of an override, KEY=VALUE. */
export const pair_of = (set) => [set.slice(0, set.indexOf("=")), set.slice(set.indexOf("=") + 1)];
