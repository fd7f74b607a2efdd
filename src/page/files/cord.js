// The line of a lead on the drawing: straight where it is short, in waves where it is long, in loops where it is coiled.

const POINTS_OF_CORD = 160;

/** Metres a lead may have before its slack shows, metres to a wave, and most waves. */
const TAUT = 2.5;
const TO_A_WAVE = 2.5;
const MOST_WAVES = 9;

/** Height of the waves, and radius of the loops, in drawing units. */
const SWING = 9;
const LOOP = 13;

/** Slack that grows from the ends to the middle. */
const swell = (s) => Math.sin(Math.PI * s) ** 0.7;

/**
 * A path along a cubic curve through four points [x, y], for a lead of so many metres and coiled turns.
 * `room` is how far the slack may swing.
 */
export function cord(points, metres, turns = 0, room = 1) {
  const waves = Math.min(MOST_WAVES, Math.max(0, Math.round((metres - TAUT) / TO_A_WAVE)));
  const swing = room * SWING * Math.min(1.4, 0.6 + waves / 8);
  const out = [];
  for (let k = 0; k <= POINTS_OF_CORD; k++) {
    const s = k / POINTS_OF_CORD;
    const [x, y, along] = on(points, s);
    const side = swing * swell(s) * Math.sin(2 * Math.PI * waves * s);
    const [dx, dy] = loop(s, turns, room);
    out.push(`${(x - side * Math.sin(along) + dx).toFixed(1)} ${(y + side * Math.cos(along) + dy).toFixed(1)}`);
  }
  return `M${out.join("L")}`;
}

/** A place on the cubic curve, and its direction there [rad]. */
function on([a, b, c, d], s) {
  const r = 1 - s;
  const at = (k) => r ** 3 * a[k] + 3 * r * r * s * b[k] + 3 * r * s * s * c[k] + s ** 3 * d[k];
  const by = (k) => 3 * (r * r * (b[k] - a[k]) + 2 * r * s * (c[k] - b[k]) + s * s * (d[k] - c[k]));
  return [at(0), at(1), Math.atan2(by(1), by(0))];
}

/** Turns of a coil, in the second quarter of the lead. */
function loop(s, turns, room) {
  const share = (s - 0.3) / 0.3;
  if (turns < 0.5 || share < 0 || share > 1) return [0, 0];
  const angle = 2 * Math.PI * Math.round(turns) * share;
  const radius = room * LOOP;
  return [radius * Math.sin(angle), radius * (1 - Math.cos(angle))];
}
