//! The rim of the weld hour by hour: what tilt and a drift of the melt leave of the fill.
//!
//! The filler is spread evenly round the clock and each sector keeps its own: nothing flows along the rim, so
//! that the least fill is the worst case.

use std::f64::consts::{PI, TAU};

use super::arc::wedge_volume;
use super::blow::Plane;

/// Sectors the rim is reckoned in: the mean moves by less than 1e-4 with more.
const SECTORS: usize = 360;

/// Unevenness of the fill, over itself, below which the rim is even all round.
const EVEN: f64 = 1e-9;

/// Wedge share below which a sector has no room to fill: rounding.
const NO_ROOM: f64 = 1e-12;

/// Angle counterclockwise from x, which points to 3 o'clock, of an hour of the clock \[rad\].
pub fn angle_of_hour(hour: f64) -> f64 {
    0.5 * PI - hour * TAU / 12.0
}

/// Hour of the clock, above 0 and at most 12, at an angle counterclockwise from x \[rad\].
pub fn hour_of_angle(angle: f64) -> f64 {
    let hour = (3.0 - angle * 12.0 / TAU).rem_euclid(12.0);
    if hour == 0.0 { 12.0 } else { hour }
}

/// A conical face over the sheet, out of square or not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rim {
    /// Radius of the flange \[m\].
    pub radius: f64,
    /// Cone of the face \[rad\], above 0.
    pub cone: f64,
    /// Angle out of square \[rad\].
    pub tilt: f64,
    /// Direction of the low side, counterclockwise from x \[rad\].
    pub low: f64,
    /// Volume of a centre mark, to be filled in every sector alike \[m³\].
    pub mark: f64,
}

/// Where a rim lacks melt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bare {
    /// Nowhere: melt reaches the rim all round.
    Nowhere,
    /// Over one stretch.
    Within {
        /// Its middle, counterclockwise from x \[rad\].
        middle: f64,
        /// From there to either end \[rad\].
        half: f64,
    },
    /// All round.
    Everywhere,
}

/// What a rim comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimFill {
    /// Least fill of a sector.
    pub least: f64,
    /// Where it is, counterclockwise from x \[rad\]; `None` where the rim is even all round.
    pub least_at: Option<f64>,
    /// Mean over the rim of min(1, fill^⅔): as much of the flange as is welded.
    pub welded_share: f64,
    /// Fill that the filler gives if it spreads evenly over all the room there is.
    pub even: f64,
}

impl Rim {
    /// Volume under the square cone \[m³\].
    pub fn wedge(&self) -> f64 {
        wedge_volume(self.radius, self.cone)
    }

    /// Volume under the cone as it stands, and of the mark \[m³\]: above the square one's once the tilt is above the cone.
    pub fn volume(&self) -> f64 {
        self.room().volume()
    }

    /// What the sectors have in common.
    fn room(&self) -> Room {
        let (tilt, cone) = (self.tilt.tan(), self.cone.tan());
        let (sin, cos) = self.low.sin_cos();
        Room {
            wedge: self.wedge(),
            mark: self.mark,
            radius: self.radius,
            tilt,
            cone,
            raised: 1.5 * (tilt - cone).max(0.0) / cone,
            low: [cos, sin],
        }
    }

    /// Fill at a direction counterclockwise from x \[rad\], of a square weld's `fill` and a `drift` \[m\]; without
    /// bound where there is nothing to fill.
    ///
    /// fill·(W + mark)·m/(W·q + mark): q = 1 + (tan θ·cos φ + 1.5·max(0, tan θ − tan α))/tan α from the high side,
    /// m = 1 + 2/R·drift·cos from the direction of the drift, not below 0.
    pub fn fill_at(&self, fill: f64, drift: Plane, angle: f64) -> f64 {
        self.room().fill_at(fill, drift, angle)
    }

    /// The rim of a square weld's `fill` under a `drift` \[m\].
    pub fn of(&self, fill: f64, drift: Plane) -> RimFill {
        let room = self.room();
        let Room { wedge, mark, .. } = room;
        let even = fill * (wedge + mark) / room.volume();
        let uneven = room.tilt / room.cone + 2.0 * drift[0].hypot(drift[1]) / self.radius;
        if uneven < EVEN || fill <= 0.0 {
            return RimFill {
                least: fill,
                least_at: None,
                welded_share: welded(fill),
                even,
            };
        }
        let step = TAU / SECTORS as f64;
        let (turn_sin, turn_cos) = step.sin_cos();
        let mut way = [1.0, 0.0];
        let (mut least, mut at, mut sum) = (f64::INFINITY, 0, 0.0);
        for k in 0..SECTORS {
            let found = room.sector(fill, drift, way);
            if found < least {
                (least, at) = (found, k);
            }
            sum += welded(found);
            way = [
                way[0] * turn_cos - way[1] * turn_sin,
                way[0] * turn_sin + way[1] * turn_cos,
            ];
        }
        let (least, least_at) = room.refined(fill, drift, at as f64 * step, step);
        RimFill {
            least,
            least_at: Some(least_at.rem_euclid(TAU)),
            welded_share: sum / SECTORS as f64,
            even,
        }
    }

    /// Where the fill stays below 1, of a square weld's `fill` and a `drift` \[m\].
    ///
    /// fill·(W + mark)·m < W·q + mark of [`Rim::fill_at`] is A·cos(φ − φ₀) < K with the sum of both cosines as one, so that
    /// it holds nowhere, everywhere, or over one stretch opposite φ₀.
    pub fn bare(&self, fill: f64, drift: Plane) -> Bare {
        let room = self.room();
        let mark = room.mark / room.wedge;
        let filler = fill * (1.0 + mark);
        let lean = room.tilt / room.cone;
        let [x, y] = [0, 1].map(|k| 2.0 * filler * drift[k] / self.radius + lean * room.low[k]);
        let (size, lacking) = (x.hypot(y), 1.0 + room.raised + mark - filler);
        if lacking <= -size {
            Bare::Nowhere
        } else if lacking > size {
            Bare::Everywhere
        } else {
            Bare::Within {
                middle: (-y).atan2(-x).rem_euclid(TAU),
                half: PI - (lacking / size).acos(),
            }
        }
    }
}

/// What there is to fill.
#[derive(Debug, Clone, Copy)]
struct Room {
    /// Volume under the square cone, and of a centre mark \[m³\].
    wedge: f64,
    mark: f64,
    /// Radius of the flange \[m\].
    radius: f64,
    /// Tangents of tilt and cone.
    tilt: f64,
    cone: f64,
    /// Height of the wedge, over that of a square stud, which the tilt adds all round: the stud stands on its
    /// low rim once the tilt is above the cone.
    raised: f64,
    /// Direction of the low side.
    low: Plane,
}

impl Room {
    /// Volume under the cone as it stands, and of the mark \[m³\].
    fn volume(&self) -> f64 {
        self.wedge * (1.0 + self.raised) + self.mark
    }

    fn fill_at(&self, fill: f64, drift: Plane, angle: f64) -> f64 {
        let (sin, cos) = angle.sin_cos();
        self.sector(fill, drift, [cos, sin])
    }

    fn sector(&self, fill: f64, drift: Plane, way: Plane) -> f64 {
        let from_high = -(way[0] * self.low[0] + way[1] * self.low[1]);
        // Over the mean of a square stud's.
        let share = 1.0 + self.tilt * from_high / self.cone + self.raised;
        let room = self.wedge * share + self.mark;
        let moved = 1.0 + 2.0 / self.radius * (way[0] * drift[0] + way[1] * drift[1]);
        if room <= NO_ROOM * self.wedge {
            return f64::INFINITY;
        }
        fill * (self.wedge + self.mark) * moved.max(0.0) / room
    }

    /// The least fill within `step` \[rad\] of a sector, by golden section.
    fn refined(&self, fill: f64, drift: Plane, at: f64, step: f64) -> (f64, f64) {
        let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
        let (mut low, mut high) = (at - step, at + step);
        for _ in 0..24 {
            let part = golden * (high - low);
            if self.fill_at(fill, drift, high - part) < self.fill_at(fill, drift, low + part) {
                high = low + part;
            } else {
                low = high - part;
            }
        }
        let middle = 0.5 * (low + high);
        // A sector that lies exactly in a corner may be lower than the middle of what is left.
        let (ends, found) = (
            self.fill_at(fill, drift, at),
            self.fill_at(fill, drift, middle),
        );
        if ends <= found {
            (ends, at)
        } else {
            (found, middle)
        }
    }
}

/// Share of a sector's radius that a fill reaches, as area: fill^⅔, at most 1.
fn welded(fill: f64) -> f64 {
    if fill >= 1.0 {
        return 1.0;
    }
    let root = fill.max(0.0).cbrt();
    root * root
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The M5 of the demonstration weld.
    fn rim(tilt_deg: f64) -> Rim {
        Rim {
            radius: 3.25e-3,
            cone: 3f64.to_radians(),
            tilt: tilt_deg.to_radians(),
            low: angle_of_hour(12.0),
            mark: 0.0,
        }
    }

    #[test]
    fn agrees_with_the_second_solver_out_of_square() {
        // Fill 1.4, no drift: least fill, welded share and even fill of tests/reference/rim.py.
        for (tilt, least, welded, even) in [
            (1.0, 1.050213, 1.0, 1.4),
            (2.0, 0.840171, 0.978133, 1.4),
            (5.0, 0.381112, 0.788023, 0.698577),
            (12.0, 0.145235, 0.487561, 0.250728),
        ] {
            let found = rim(tilt).of(1.4, [0.0; 2]);
            assert!((found.least - least).abs() < 1e-6, "{tilt}: {found:?}");
            assert!(
                (found.welded_share - welded).abs() < 1e-4,
                "{tilt}: {found:?}"
            );
            assert!((found.even - even).abs() < 1e-6, "{tilt}: {found:?}");
            let hour = hour_of_angle(found.least_at.unwrap());
            assert!((hour - 6.0).abs() < 1e-6, "{tilt}: {hour}");
        }
    }

    #[test]
    fn agrees_with_the_second_solver_under_tilt_and_drift() {
        let rim = Rim {
            low: angle_of_hour(4.0),
            mark: 1e-9,
            ..rim(2.0)
        };
        let found = rim.of(1.4, [-50e-6, 20e-6]);
        assert!((found.least - 0.947134).abs() < 1e-6, "{found:?}");
        let hour = hour_of_angle(found.least_at.unwrap());
        assert!((hour - 10.03).abs() < 0.01, "{hour}");
        assert!((found.welded_share - 0.995545).abs() < 1e-4, "{found:?}");
    }

    #[test]
    fn closed_form_a_drift_alone_makes_a_cosine() {
        let (fill, drift) = (1.3, 0.2e-3);
        let found = rim(0.0).of(fill, [drift, 0.0]);
        assert!((found.least - fill * (1.0 - 2.0 * drift / 3.25e-3)).abs() < 1e-9);
        assert!((found.least_at.unwrap() - PI).abs() < 1e-3);
        assert_eq!(rim(0.0).of(fill, [0.0; 2]).least_at, None);
        assert!((rim(0.0).of(0.512, [0.0; 2]).welded_share - 0.64).abs() < 1e-12);
    }

    #[test]
    fn closed_form_the_fill_is_one_at_both_ends_of_what_is_bare() {
        for (tilt, fill, drift) in [
            (0.0, 1.2, [0.5e-3, 0.1e-3]),
            (2.0, 1.4, [0.0; 2]),
            (2.0, 1.4, [-50e-6, 20e-6]),
            (5.0, 1.4, [0.1e-3, 0.0]),
        ] {
            let rim = Rim {
                mark: 1e-9,
                ..rim(tilt)
            };
            let Bare::Within { middle, half } = rim.bare(fill, drift) else {
                panic!("{tilt}");
            };
            for end in [middle - half, middle + half] {
                assert!((rim.fill_at(fill, drift, end) - 1.0).abs() < 1e-9, "{tilt}");
            }
            assert!(rim.fill_at(fill, drift, middle) < 1.0);
            assert!(rim.fill_at(fill, drift, middle + PI) > 1.0);
        }
        assert_eq!(rim(0.0).bare(1.1, [0.0; 2]), Bare::Nowhere);
        assert_eq!(rim(0.0).bare(0.9, [0.0; 2]), Bare::Everywhere);
        assert_eq!(rim(1.0).bare(1.6, [0.0; 2]), Bare::Nowhere);
    }

    #[test]
    fn conserves_the_filler_of_a_square_rim() {
        let rim = rim(0.0);
        let n = 1000;
        let fill = |k| rim.fill_at(1.3, [1e-4, -5e-5], TAU * f64::from(k) / f64::from(n));
        let mean = (0..n).map(fill).sum::<f64>() / f64::from(n);
        assert!((mean - 1.3).abs() < 1e-12);
    }

    #[test]
    fn a_sector_without_room_is_filled() {
        // Tilted as far as the cone, the low rim touches.
        let found = rim(3.0).fill_at(0.5, [0.0; 2], angle_of_hour(12.0));
        assert!(found > 1e6, "{found}");
        assert_eq!(hour_of_angle(angle_of_hour(12.0)), 12.0);
        assert_eq!(hour_of_angle(0.0), 3.0);
    }
}
