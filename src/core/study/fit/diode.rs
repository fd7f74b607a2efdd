//! The drop of the free-wheel diode: a constant in the model, that of 1 kA; a junction's grows with the logarithm of the
//! current, and what lies in series with the junction adds a resistance (the threshold and slope of a data sheet).

use std::iter::zip;

/// Least current at which a drop that grows with it is looked at \[A\].
const LEAST: f64 = 10.0;

/// A way in which the drop grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Growth {
    /// By so many volts over a decade of the current.
    Decade,
    /// By so many volts over each kA, as of a resistance in mΩ.
    Kiloampere,
}

impl Growth {
    /// All of them, in the order of [`Growths`].
    pub const ALL: [Growth; 2] = [Growth::Decade, Growth::Kiloampere];

    /// What stands behind the key of the drop.
    pub(super) fn words(self) -> &'static str {
        match self {
            Growth::Decade => "per decade",
            Growth::Kiloampere => "per kA",
        }
    }

    /// What it is counted over, behind its unit.
    pub(super) fn over(self) -> &'static str {
        match self {
            Growth::Decade => "/decade",
            Growth::Kiloampere => "/kA",
        }
    }

    /// Standard deviation of the growth \[V\]. A junction's is 60 to 120 mV (Shockley, emission coefficient 1 to 2); slopes of
    /// 0.02 to 0.1 mΩ are those of large diodes (data sheets, from memory).
    pub(super) fn deviation(self) -> f64 {
        match self {
            Growth::Decade => 0.1,
            Growth::Kiloampere => 0.05,
        }
    }

    /// Voltage above the drop at 1 kA, over the growth.
    fn volts(self, current: f64) -> f64 {
        let i = current.max(LEAST) / 1e3;
        match self {
            Growth::Decade => i.log10(),
            Growth::Kiloampere => i - 1.0,
        }
    }
}

/// Size of each growth: \[V\] over a decade, \[V\] over a kA.
pub(super) type Growths = [f64; 2];

/// Share of a current's length by which it is followed beyond its end: a drop that falls with the current lets it flow on.
const BEYOND: f64 = 1.0;

/// The loop beside the diode: L·di/dt = −R·i − U.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beside {
    /// When the diode begins to conduct \[s\]. It carries nothing then: its share grows as that of the bank dies away.
    pub from: f64,
    /// Time constant of the bank behind its own resistance \[s\].
    pub bank: f64,
    /// Resistance of the loop without the bank's \[Ω\], and its inductance \[H\].
    pub ohms: f64,
    pub henries: f64,
}

/// A computed current from where the diode conducts on, and beyond its end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Freewheel {
    beside: Beside,
    /// Current as the diode begins to conduct \[A\].
    at_first: f64,
    /// Times of rows after the current's end \[s\], and what the current would be there if the loop let it turn \[A\].
    beyond: Vec<(f64, f64)>,
}

impl Freewheel {
    /// Of a computed current that ends with nothing, with rows each `every` \[s\]; `None` where it ends before the diode
    /// conducts.
    pub fn of(time: &[f64], current: &[f64], beside: Beside, every: f64) -> Option<Freewheel> {
        let Beside {
            from,
            ohms,
            henries,
            ..
        } = beside;
        let (begin, end) = (*time.first()?, *time.last()?);
        let first = time.partition_point(|t| *t < from);
        // The slope at the end, over a row or two: rows of an event are close together.
        let before = time.iter().rposition(|t| end - t >= every && *t > from)?;
        let (step, last) = (end - time[before], current[current.len() - 1]);
        let (fall, mean) = (current[before] - last, 0.5 * (current[before] + last));
        let volts = henries * fall / step - ohms * mean;
        let rows = (BEYOND * (end - begin) / every) as usize;
        let beyond = (1..=rows).map(|k| {
            let t = k as f64 * every;
            (
                end + t,
                last + (volts / ohms + last) * (-t * ohms / henries).exp_m1(),
            )
        });
        (volts > 0.0).then(|| Freewheel {
            beside,
            at_first: current[first],
            beyond: beyond.collect(),
        })
    }

    /// Share of the bank at a time \[A\]; the growth of the drop is left out of it.
    fn share(&self, t: f64) -> f64 {
        self.at_first * (-(t - self.beside.from) / self.beside.bank).exp()
    }

    /// The current where the drop grows, with the rows beyond its end as far as it flows: beside the diode the loop is
    /// linear, so that what the current gains, δ, goes by L·dδ/dt = −R·δ − v.
    pub fn grown(&self, time: &mut Vec<f64>, current: &mut Vec<f64>, growths: Growths) {
        let Beside {
            from,
            ohms,
            henries,
            ..
        } = self.beside;
        let rows = time.len();
        time.extend(self.beyond.iter().map(|(t, _)| t));
        current.extend(self.beyond.iter().map(|(_, i)| i));
        let (mut gained, mut before) = (0.0, from);
        let mut at = time.partition_point(|t| *t <= from);
        while at < time.len() {
            let kept = (-(time[at] - before) * ohms / henries).exp();
            let diode = current[at] + gained - self.share(time[at]);
            let volts = zip(Growth::ALL, growths).map(|(growth, size)| size * growth.volts(diode));
            gained = gained * kept - volts.sum::<f64>() / ohms * (1.0 - kept);
            before = time[at];
            current[at] = (current[at] + gained).max(0.0);
            at += 1;
            if current[at - 1] == 0.0 {
                break;
            }
        }
        // What is left has ended.
        let length = rows.max(at);
        time.truncate(length);
        current.truncate(length);
        current.iter_mut().skip(at).for_each(|i| *i = 0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ESR: f64 = 2e-3;
    const FARAD: f64 = 70e-3;
    const EVERY: f64 = 1e-6;
    const BESIDE: Beside = Beside {
        from: 0.0,
        bank: ESR * FARAD,
        ohms: 5e-3,
        henries: 5e-6,
    };

    /// A loop of 3 kA from where the diode begins to conduct, its rows up to where it is nothing: the diode takes what the
    /// bank, of this voltage behind its resistance, does not give.
    fn falls(drop: impl Fn(f64) -> f64) -> (Vec<f64>, Vec<f64>) {
        let (mut time, mut current) = (vec![0.0], vec![3e3]);
        let (mut bank, mut shared) = (3e3 * ESR - drop(0.0), 0.0);
        const PARTS: usize = 200;
        let part = EVERY / PARTS as f64;
        loop {
            let mut i = current[current.len() - 1];
            let start = time[time.len() - 1];
            for k in 1..=PARTS {
                let given = (bank + drop(shared)) / ESR;
                shared = i - given;
                bank -= part * given / FARAD;
                i -= part * (BESIDE.ohms * i + drop(shared)) / BESIDE.henries;
                if i <= 0.0 {
                    time.push(start + k as f64 * part);
                    current.push(0.0);
                    return (time, current);
                }
            }
            time.push(start + EVERY);
            current.push(i);
        }
    }

    /// Against loop, bank and diode integrated with the drop that grows.
    #[test]
    fn a_drop_that_grows_is_that_of_the_loop_itself() {
        let (time, current) = falls(|_| 0.9);
        let found = Freewheel::of(&time, &current, BESIDE, EVERY).unwrap();
        for growths in [
            [0.1, 0.0],
            [0.0, 0.1],
            [0.1, 0.05],
            [-0.1, 0.0],
            [0.0, -0.05],
        ] {
            let (mut t, mut i) = (time.clone(), current.clone());
            found.grown(&mut t, &mut i, growths);
            let more = |i: f64| {
                zip(Growth::ALL, growths)
                    .map(|(g, size)| size * g.volts(i))
                    .sum::<f64>()
            };
            let (_, expected) = falls(|i| 0.9 + more(i));
            let mut largest: f64 = 0.0;
            for (k, expected) in expected.iter().enumerate() {
                let (grown, old) = (i.get(k).unwrap_or(&0.0), current.get(k).unwrap_or(&0.0));
                largest = largest.max((old - expected).abs());
                assert!(
                    (grown - expected).abs() < 4.0,
                    "{growths:?}: {grown} {expected} at {k} us"
                );
            }
            assert!(
                largest > 5.0,
                "{growths:?} changes the current by {largest}"
            );
        }
        // Without growth it is as it was.
        let (mut t, mut i) = (time.clone(), current.clone());
        found.grown(&mut t, &mut i, [0.0; 2]);
        assert!(zip(&i, &current).all(|(a, b)| (a - b).abs() < 1e-9));
    }
}
