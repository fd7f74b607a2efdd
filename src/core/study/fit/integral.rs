//! A curve over time between its rows, and its integral.

/// The integral of a curve over time, by the trapezoidal rule.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Integral {
    time: Vec<f64>,
    sums: Vec<f64>,
}

impl Integral {
    /// Of values at rising times.
    pub(crate) fn of(time: Vec<f64>, values: &[f64]) -> Self {
        let mut sums = vec![0.0; time.len()];
        for k in 1..sums.len() {
            let mean = 0.5 * (values[k] + values[k - 1]);
            sums[k] = sums[k - 1] + mean * (time[k] - time[k - 1]);
        }
        Integral { time, sums }
    }

    /// Over all of its time.
    pub(crate) fn whole(&self) -> f64 {
        self.sums.last().copied().unwrap_or(0.0)
    }

    /// Between two times; the curve is 0 before its first row and after its last. `rows` is where the last two
    /// times were found: neither may lie before that.
    pub(crate) fn over(&self, from: f64, to: f64, rows: &mut [usize; 2]) -> f64 {
        let [first, second] = rows;
        self.to(to, second) - self.to(from, first)
    }

    /// Up to a time.
    fn to(&self, t: f64, row: &mut usize) -> f64 {
        match self.time.last() {
            Some(end) if t < *end => between(&self.time, &self.sums, t, row),
            _ => self.whole(),
        }
    }
}

/// Value at the time `t`, on a line between two rows; 0 before and after. `at` is where the last was found.
pub(super) fn between(time: &[f64], values: &[f64], t: f64, at: &mut usize) -> f64 {
    while *at + 1 < time.len() && time[*at + 1] <= t {
        *at += 1;
    }
    let k = *at;
    if k + 1 >= time.len() || time[k] > t {
        return 0.0;
    }
    values[k] + (values[k + 1] - values[k]) * (t - time[k]) / (time[k + 1] - time[k])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_a_ramp_between_any_two_times() {
        // i = 2t from 0 to 4: its integral is t².
        let time: Vec<f64> = (-2..=8).map(|k| 0.5 * f64::from(k)).collect();
        let values: Vec<f64> = time.iter().map(|t| 2.0 * t.max(0.0)).collect();
        let ramp = Integral::of(time, &values);
        let mut rows = [0; 2];
        for (from, to, expected) in [
            (-9.0, 0.0, 0.0),
            (0.0, 1.0, 1.0),
            (1.0, 3.5, 11.25),
            (4.0, 7.0, 0.0),
        ] {
            let found = ramp.over(from, to, &mut rows);
            assert!((found - expected).abs() < 1e-12, "{from} {to}: {found}");
        }
        assert_eq!(ramp.whole(), 16.0);
        assert_eq!(
            Integral::of(Vec::new(), &[]).over(0.0, 1.0, &mut [0; 2]),
            0.0
        );
    }
}
