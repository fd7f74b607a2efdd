// The colour of hot metal: grey, then the glow a welder knows. Stops from memory, for the eye only.

const STOPS = [
  [293, [128, 138, 150]],
  [750, [116, 122, 132]],
  [900, [122, 58, 52]],
  [1150, [190, 52, 30]],
  [1450, [240, 100, 30]],
  [1800, [255, 160, 50]],
  [2400, [255, 214, 120]],
  [3100, [255, 246, 222]],
];

/** Colour of metal at a temperature [K]. */
export function glow(kelvin) {
  const above = STOPS.findIndex(([t]) => t > kelvin);
  if (above === 0) return css(STOPS[0][1]);
  if (above < 0) return css(STOPS[STOPS.length - 1][1]);
  const [[t0, c0], [t1, c1]] = [STOPS[above - 1], STOPS[above]];
  const s = (kelvin - t0) / (t1 - t0);
  return css(c0.map((c, k) => c + (c1[k] - c) * s));
}

const css = ([r, g, b]) => `rgb(${Math.round(r)} ${Math.round(g)} ${Math.round(b)})`;
