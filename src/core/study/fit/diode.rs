//! The drop of the free-wheel diode: a constant in the model, that of 1 kA; a junction's grows with the logarithm of the
//! current, and what lies in series with the junction adds a resistance (the threshold and slope of a data sheet).

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

    /// Voltage above the drop at 1 kA, over the growth.
    fn volts(self, current: f64) -> f64 {
        let i = current.max(LEAST) / 1e3;
        match self {
            Growth::Decade => i.log10(),
            Growth::Kiloampere => i - 1.0,
        }
    }
}

/// Size of each growth \[V\].
pub(super) type Growths = [f64; 2];

/// Share of a current's length by which it is followed beyond its end: a drop that falls with the current lets it flow on.
const BEYOND: f64 = 0.3;

/// The loop from where the diode conducts on, in which the current changes by L·di/dt = −R·i − U.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Freewheel {
    /// When the diode begins to conduct \[s\].
    from: f64,
    ohms: f64,
    henries: f64,
    /// Times of rows after the current's end \[s\], and what the current would be there if the loop let it turn \[A\].
    beyond: Vec<(f64, f64)>,
}

impl Freewheel {
    /// Of a computed current with rows each `every` \[s\]; `None` where it ends before the diode conducts.
    pub fn of(
        time: &[f64],
        current: &[f64],
        from: f64,
        (ohms, henries): (f64, f64),
        every: f64,
    ) -> Option<Freewheel> {
        let (begin, end) = (*time.first()?, *time.last()?);
        // The slope at the end, over a row or two: rows of an event are close together.
        let before = time.iter().rposition(|t| end - t >= every && *t > from)?;
        let step = end - time[before];
        let (fall, mean) = (current[before], 0.5 * current[before]);
        let volts = henries * fall / step - ohms * mean;
        let rows = (BEYOND * (end - begin) / every) as usize;
        let beyond = (1..=rows).map(|k| {
            let t = k as f64 * every;
            (end + t, volts / ohms * (-t * ohms / henries).exp_m1())
        });
        (volts > 0.0).then(|| Freewheel {
            from,
            ohms,
            henries,
            beyond: beyond.collect(),
        })
    }

    /// The current where the drop grows, with the rows beyond its end as far as it flows: beside the diode the loop is
    /// linear, so that what the current gains, δ, goes by L·dδ/dt = −R·δ − v(i + δ).
    pub fn grown(&self, time: &mut Vec<f64>, current: &mut Vec<f64>, growths: Growths) {
        let rows = time.len();
        time.extend(self.beyond.iter().map(|(t, _)| t));
        current.extend(self.beyond.iter().map(|(_, i)| i));
        let (mut gained, mut before) = (0.0, self.from);
        let mut first = time.partition_point(|t| *t <= self.from);
        while first < time.len() {
            let kept = (-(time[first] - before) * self.ohms / self.henries).exp();
            let i = current[first] + gained;
            let volts =
                std::iter::zip(Growth::ALL, growths).map(|(growth, size)| size * growth.volts(i));
            gained = gained * kept - volts.sum::<f64>() / self.ohms * (1.0 - kept);
            before = time[first];
            current[first] = (current[first] + gained).max(0.0);
            if current[first] == 0.0 {
                break;
            }
            first += 1;
        }
        // What is left has ended.
        let length = rows.max(first + 1).min(time.len());
        time.truncate(length);
        current.truncate(length);
        current.iter_mut().skip(first).for_each(|i| *i = 0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OHMS: f64 = 5e-3;
    const HENRIES: f64 = 5e-6;
    const EVERY: f64 = 1e-6;

    /// A loop of 3 kA that falls against this voltage, its rows up to where it is nothing.
    fn falls(volts: impl Fn(f64) -> f64) -> (Vec<f64>, Vec<f64>) {
        let (mut time, mut current) = (vec![0.0], vec![3e3]);
        const PARTS: usize = 100;
        loop {
            let mut i = current[current.len() - 1];
            let start = time[time.len() - 1];
            for part in 1..=PARTS {
                i -= EVERY / PARTS as f64 * (OHMS * i + volts(i)) / HENRIES;
                if i <= 0.0 {
                    time.push(start + part as f64 / PARTS as f64 * EVERY);
                    current.push(0.0);
                    return (time, current);
                }
            }
            time.push(start + EVERY);
            current.push(i);
        }
    }

    /// Against the loop integrated with the drop that grows.
    #[test]
    fn a_drop_that_grows_is_that_of_the_loop_itself() {
        let constant = |_: f64| 1.2;
        let (time, current) = falls(constant);
        let found = Freewheel::of(&time, &current, 0.0, (OHMS, HENRIES), EVERY).unwrap();
        for growths in [[0.3, 0.0], [0.0, 0.2], [0.2, 0.1], [-0.1, 0.0]] {
            let (mut t, mut i) = (time.clone(), current.clone());
            found.grown(&mut t, &mut i, growths);
            let more = |i: f64| {
                Growth::Decade.volts(i) * growths[0] + Growth::Kiloampere.volts(i) * growths[1]
            };
            let (_, expected) = falls(|i| 1.2 + more(i));
            let ends = i.iter().position(|i| *i == 0.0).unwrap();
            assert!(
                ends.abs_diff(expected.len() - 1) <= 2,
                "{growths:?}: {ends} {}",
                expected.len()
            );
            assert!(
                expected.len().abs_diff(time.len()) > 10,
                "it ends at another time"
            );
            for (k, (i, expected)) in i.iter().zip(&expected).enumerate() {
                assert!(
                    (i - expected).abs() < 3.0,
                    "{growths:?}: {i} {expected} at {k} us"
                );
            }
        }
        // Without growth it is as it was.
        let (mut t, mut i) = (time.clone(), current.clone());
        found.grown(&mut t, &mut i, [0.0; 2]);
        assert!(i.iter().zip(&current).all(|(a, b)| (a - b).abs() < 1e-9));
    }
}
