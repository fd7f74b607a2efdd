//! The least-squares problem: residuals of current and voltage, of what is known of the other keys, and their rates.

use std::sync::Arc;

use nalgebra::{DMatrix, DVector};

use super::curve::{Curve, rig};
use super::problem::{Record, Setup};
use super::unknowns::Point;
use crate::case::Case;

/// The discharges of all traces.
pub(super) type Curves = Vec<Arc<Curve>>;

impl Setup {
    /// Computed less measured, each over what its row weighs by: for each trace the rows of the current, those of the
    /// voltage, and the tie of the trigger; then the offsets and keys that are known.
    pub(super) fn residuals(&self, u: &DVector<f64>) -> Option<DVector<f64>> {
        let point = self.at(u);
        let curves = self.curves(point.cases.as_ref()?, &[])?;
        self.beside(&point, &curves, self.held(u))
    }

    /// Computed less measured at these values of [`Setup::sought_values`] \[SI\], each over the noise of its row: for each
    /// trace the rows of the current, those of a voltage, and the tie of the trigger where the rise was cut out; keys that
    /// their spreads hold are as the case has them. `None` where the values make no valid case, or are too few.
    pub fn residuals_at(&self, values: &[f64]) -> Option<Vec<f64>> {
        if values.len() != self.sought() {
            return None;
        }
        let start = |k: usize| values.get(k).copied().unwrap_or_else(|| self.start(k));
        let point = self.with(start);
        let curves = self.curves(point.cases.as_ref()?, &[])?;
        let all = self.beside(&point, &curves, std::iter::empty())?;
        Some(all.as_slice().to_vec())
    }

    /// The discharge of each case; what is known already is not computed anew.
    pub(super) fn curves(&self, cases: &[Case], there: &[Arc<Curve>]) -> Option<Curves> {
        let mut out: Curves = Vec::new();
        for case in cases {
            if self.stopped() {
                return None;
            }
            let rig = rig(case);
            let mut known = there.iter().chain(&out);
            let curve = match known.find(|curve| curve.is_of(&rig)) {
                Some(curve) => curve.clone(),
                None => Arc::new(Curve::of(rig, self.every)?),
            };
            out.push(curve);
        }
        Some(out)
    }

    /// The residuals where the discharges are known.
    fn beside(
        &self,
        point: &Point,
        curves: &[Arc<Curve>],
        held: impl Iterator<Item = f64>,
    ) -> Option<DVector<f64>> {
        let cases = point.cases.as_ref()?;
        let mut all = Vec::new();
        for (r, record) in self.records.iter().enumerate() {
            record.left(&cases[r], point, r, &curves[r], &mut all);
        }
        for (record, base) in self.records.iter().zip(&point.base) {
            let zero = record.zero;
            all.extend(zero.map(|(mean, by)| (record.trace.offset + base.offset - mean) / by));
        }
        all.extend(held);
        Some(DVector::from_vec(all))
    }

    /// Residuals of an invalid case: worse than any, not the end of the search.
    pub(super) fn none(&self) -> DVector<f64> {
        let mut all = Vec::new();
        for record in &self.records {
            let twice = |v: &f64, noise: f64| 2.0 * v / noise;
            let current = record.trace.current.iter();
            all.extend(current.map(|i| twice(i, record.noise[0])));
            if let Some(voltage) = &record.trace.voltage {
                all.extend(voltage.values.iter().map(|v| twice(v, record.noise[1])));
            }
            all.extend(record.tie.map(|_| 0.0));
        }
        let zeros = self.records.iter().filter(|r| r.zero.is_some()).count();
        all.extend(vec![0.0; zeros + self.known.len()]);
        DVector::from_vec(all)
    }

    /// Rates of the residuals with u, by central differences.
    pub(super) fn jacobian(&self, u: &DVector<f64>) -> Option<DMatrix<f64>> {
        use rayon::prelude::*;
        let here = self.curves(self.at(u).cases.as_ref()?, &[])?;
        let columns: Option<Vec<DVector<f64>>> = (0..u.len())
            .into_par_iter()
            .map(|k| {
                let far = self.difference(k);
                let shifted = |step: f64| {
                    let mut u = u.clone();
                    u[k] += step;
                    let point = self.at(&u);
                    let curves = self.curves(point.cases.as_ref()?, &here)?;
                    self.beside(&point, &curves, self.held(&u))
                };
                Some((shifted(far)? - shifted(-far)?) / (2.0 * far))
            })
            .collect();
        Some(DMatrix::from_columns(&columns?))
    }
}

impl Setup {
    /// Whether the rows' weights decide more than the size of the errors: beside keys that are known, or rows of two kinds.
    pub(super) fn weighs(&self) -> bool {
        let kinds: usize = self
            .records
            .iter()
            .map(|r| r.rows().iter().filter(|n| **n > 0).count())
            .sum();
        kinds > 1 || !self.known.is_empty() || self.records.iter().any(|r| r.zero.is_some())
    }
}

impl Record {
    /// Computed less measured, over the noise.
    fn left(&self, case: &Case, point: &Point, r: usize, curve: &Curve, out: &mut Vec<f64>) {
        let base = &point.base[r];
        let trace = &self.trace;
        let times: Vec<f64> = trace.time.iter().map(|t| t - base.trigger).collect();
        let current = curve.grown(&case.probe, &times, point.growths);
        let (cosine, sine) = (case.probe.hum_cosine, case.probe.hum_sine);
        let hums = cosine != 0.0 || sine != 0.0;
        let rows = current.iter().zip(&trace.current).zip(&trace.time);
        for (((computed, measured), t), factor) in rows.zip(&self.widened) {
            let mut line = base.offset + base.drift * (t - trace.rise);
            if hums {
                let (s, c) = (std::f64::consts::TAU * case.probe.mains * t).sin_cos();
                line += cosine * c + sine * s;
            }
            out.push((computed + line - measured) / (factor * self.noise[0]));
        }
        if let Some(voltage) = &trace.voltage {
            let computed = curve.voltage(&case.probe, &times, trace.spacing);
            let rows = computed.iter().zip(&voltage.values);
            out.extend(rows.map(|(c, m)| (c + base.volts - m) / self.noise[1]));
        }
        out.extend(self.tie.map(|tie| (base.trigger - trace.rise) / tie.blur));
    }

    /// Whether what is left of the current \[A\] is less than anybody measures.
    pub fn noiseless(&self, rms: f64) -> bool {
        rms < self.floor()[0]
    }

    /// Rows of the current, and of the voltage.
    pub(super) fn rows(&self) -> [usize; 2] {
        let rows = self.trace.time.len();
        [rows, self.trace.voltage.as_ref().map_or(0, |_| rows)]
    }

    /// Residuals in all: the rows, and the tie.
    pub(super) fn residuals(&self) -> usize {
        self.rows().iter().sum::<usize>() + usize::from(self.tie.is_some())
    }
}
