//! Melting of both faces: enthalpy method of lines, sparse Jacobian, BDF, TR-BDF2 or ESDIRK34.

use std::cell::{Cell, RefCell};

use diffsol::{
    FaerSparseLU, FaerSparseMat, FaerVec, OdeBuilder, OdeEquations, OdeSolverMethod,
    OdeSolverStopReason, Vector,
};

use crate::discharge::{Course, Knot};
use crate::numbers::Numbers;

type Mat = FaerSparseMat<f64>;
type Lu = FaerSparseLU<f64>;
/// Solves the heat of one discharge.
pub type Fire<'a> = dyn FnMut(&Course) -> Melted + 'a;

#[derive(Default, Clone)]
pub struct Melted {
    pub melt: [f64; 2],
    pub freeze: f64,
    pub vapour_share: f64,
    pub steps: usize,
}

/// Cells from the stud's back to its face, then from the sheet's face to its back.
pub struct Faces {
    stud: usize,
    dx: Vec<f64>,
    inv_mass: Vec<f64>,
    /// One over the distance of two cells' middles.
    border: Vec<f64>,
    hsol: f64,
    hliq: f64,
    solid: f64,
    molten: f64,
    boil: f64,
    share: [f64; 2],
    to_faces: f64,
    knots: RefCell<Vec<Knot>>,
    at: Cell<usize>,
    heated: Cell<bool>,
    scratch: RefCell<[Vec<f64>; 2]>,
}

impl Faces {
    pub fn new(n: &Numbers) -> Self {
        let [stud, sheet] = n.two("cells").map(|c| c as usize);
        let cells = stud + sheet;
        let dx = n.all("dx").to_vec();
        Self {
            stud,
            inv_mass: dx.iter().map(|dx| 1.0 / (n.one("density") * dx)).collect(),
            border: dx.windows(2).map(|d| 2.0 / (d[0] + d[1])).collect(),
            hsol: n.one("hsol"),
            hliq: n.one("hsol") + n.one("Lf"),
            solid: n.one("solid"),
            molten: n.one("molten"),
            boil: n.one("boil"),
            share: n.two("share"),
            to_faces: n.one("to_faces"),
            knots: RefCell::default(),
            at: Cell::new(0),
            heated: Cell::new(true),
            scratch: RefCell::new([vec![0.0; cells], vec![0.0; cells]]),
            dx,
        }
    }

    fn part(&self, h: f64) -> f64 {
        ((h - self.hsol) / (self.hliq - self.hsol)).clamp(0.0, 1.0)
    }

    /// Kirchhoff's potential, which drives the flux.
    fn potential(&self, h: f64) -> f64 {
        self.solid * h.min(self.hsol) + self.molten * h.max(self.hliq)
    }

    fn slope(&self, h: f64) -> f64 {
        if h < self.hsol {
            self.solid
        } else if h > self.hliq {
            self.molten
        } else {
            0.0
        }
    }

    /// The most that the face of cell `j` conducts without boiling.
    fn boiling(&self, j: usize, h: f64) -> f64 {
        (self.boil - self.potential(h)) * 2.0 / self.dx[j]
    }

    /// Power of the arc [W] at `t` seconds after ignition: slope of a cubic through the energies.
    fn power(&self, t: f64) -> f64 {
        let knots = self.knots.borrow();
        let mut k = self.at.get().min(knots.len() - 2);
        while k > 0 && t < knots[k][0] {
            k -= 1;
        }
        while k < knots.len() - 2 && t > knots[k + 1][0] {
            k += 1;
        }
        self.at.set(k);
        let ([t0, e0, p0], [t1, e1, p1]) = (knots[k], knots[k + 1]);
        let s = (t - t0) / (t1 - t0);
        6.0 * s * (1.0 - s) * (e1 - e0) / (t1 - t0) + (1.0 - s) * (1.0 - 3.0 * s) * p0
            - s * (2.0 - 3.0 * s) * p1
    }

    /// What every cell gains by conduction.
    fn conduct(&self, potential: &[f64], flux: &mut [f64], d: &mut [f64]) {
        let n = d.len();
        for j in 0..n - 1 {
            flux[j] = (potential[j] - potential[j + 1]) * self.border[j];
        }
        if self.heated.get() {
            flux[self.stud - 1] = 0.0;
        }
        d[0] = -flux[0] * self.inv_mass[0];
        for j in 1..n - 1 {
            d[j] = (flux[j - 1] - flux[j]) * self.inv_mass[j];
        }
        d[n - 1] = flux[n - 2] * self.inv_mass[n - 1];
    }

    fn rate(&self, h: &[f64], t: f64, d: &mut [f64]) {
        let [potential, flux] = &mut *self.scratch.borrow_mut();
        for j in 0..h.len() {
            potential[j] = self.potential(h[j]);
        }
        self.conduct(potential, flux, d);
        if self.heated.get() {
            let power = self.power(t);
            for face in 0..2 {
                let j = self.stud - 1 + face;
                let taken = (self.share[face] * power).min(self.boiling(j, h[j]));
                d[j] += taken * self.inv_mass[j];
            }
        }
    }

    /// The Jacobian times `v`.
    fn product(&self, h: &[f64], t: f64, v: &[f64], d: &mut [f64]) {
        let [rise, flux] = &mut *self.scratch.borrow_mut();
        for j in 0..h.len() {
            rise[j] = self.slope(h[j]) * v[j];
        }
        self.conduct(rise, flux, d);
        if self.heated.get() {
            let power = self.power(t);
            for face in 0..2 {
                let j = self.stud - 1 + face;
                if self.share[face] * power > self.boiling(j, h[j]) {
                    d[j] -= rise[j] * 2.0 / self.dx[j] * self.inv_mass[j];
                }
            }
        }
    }

    /// Melt depth: the mean of latent shares and T_m isotherm, as in tests/reference/heat.py.
    fn melt(&self, h: &[f64], face: usize) -> f64 {
        let order: Vec<usize> = if face == 0 {
            (0..self.stud).rev().collect()
        } else {
            (self.stud..h.len()).collect()
        };
        let mut depth: f64 = order.iter().map(|&j| self.part(h[j]) * self.dx[j]).sum();
        let last = order.iter().rposition(|&j| self.part(h[j]) > 0.0);
        if let Some(k) = last.filter(|k| k + 1 < order.len()) {
            let (j, next) = (order[k], order[k + 1]);
            let part = self.part(h[j]);
            depth += if part < 1.0 {
                0.5 * (0.5 - part) * self.dx[j]
            } else {
                let above = self.molten * (h[j] - self.hliq);
                let below = self.solid * (self.hsol - h[next]);
                let apart = self.dx[j] + self.dx[next];
                0.25 * (apart * above / (above + below) - self.dx[j])
            };
        }
        depth
    }

    pub fn run(&self, method: &str, [rtol, atol]: [f64; 2], shot: &mut dyn FnMut(&mut Fire)) {
        let problem = OdeBuilder::<Mat>::new()
            .rtol(rtol)
            .atol([atol])
            .h0(1e-7)
            .rhs_implicit(
                |h: &[f64], _: &[f64], t, d: &mut [f64]| self.rate(h, t, d),
                |h: &[f64], _: &[f64], t, v: &[f64], d: &mut [f64]| self.product(h, t, v, d),
            )
            .init(|_: &[f64], _, h: &mut [f64]| h.fill(0.0), self.dx.len())
            .root(
                |h: &[f64], _: &[f64], _, g: &mut [f64]| {
                    g[0] = if self.heated.get() {
                        1.0
                    } else {
                        h.iter().fold(0.0, |a: f64, &b| a.max(b)) - self.hsol
                    };
                },
                1,
            );
        // The pattern is found with a joint that conducts.
        self.heated.set(false);
        let mut problem = problem.build().expect("the heat");
        // Kinks at T_m make Newton fail more often than the solver allows by itself.
        problem.ode_options.max_nonlinear_solver_failures = 1_000_000;
        problem.ode_options.max_error_test_failures = 1_000_000;
        shot(&mut |course| {
            self.heated.set(true);
            let shift = |k: &Knot| [k[0] - course.ignition, k[1], k[2]];
            *self.knots.borrow_mut() = course.knots.iter().map(shift).collect();
            match method {
                "bdf" => self.solve(problem.bdf::<Lu>().expect("a solver"), course),
                "tr_bdf2" => self.solve(problem.tr_bdf2::<Lu>().expect("a solver"), course),
                "esdirk34" => self.solve(problem.esdirk34::<Lu>().expect("a solver"), course),
                other => panic!("no method {other}"),
            }
        });
    }

    fn solve<'a, Eqn, S>(&self, mut solver: S, course: &Course) -> Melted
    where
        Eqn: OdeEquations<M = Mat, V = FaerVec<f64>, T = f64> + 'a,
        S: OdeSolverMethod<'a, Eqn>,
    {
        let mut out = Melted::default();
        let arc_time = course.touchdown - course.ignition;
        solver.set_stop_time(arc_time).expect("a stop time");
        loop {
            out.steps += 1;
            if let OdeSolverStopReason::TstopReached = solver.step().expect("a step") {
                break;
            }
        }
        self.heated.set(false);
        let state = solver.state_mut();
        let h = &state.y.clone_as_vec()[..];
        out.melt = [self.melt(h, 0), self.melt(h, 1)];
        let held: f64 = h.iter().zip(&self.inv_mass).map(|(h, m)| h / m).sum();
        let offered = (self.share[0] + self.share[1]) * course.arc_energy;
        out.vapour_share = self.to_faces * (1.0 - held / offered);
        let mut rate = vec![0.0; h.len()];
        self.rate(h, arc_time, &mut rate);
        for (k, rate) in rate.into_iter().enumerate() {
            state.dy.set_index(k, rate);
        }
        *state.h = 1e-7;
        solver.set_stop_time(arc_time + 0.5).expect("a stop time");
        loop {
            out.steps += 1;
            match solver.step().expect("a step") {
                OdeSolverStopReason::RootFound(t, _) => {
                    out.freeze = course.ignition + t;
                    return out;
                }
                OdeSolverStopReason::TstopReached => panic!("it does not freeze"),
                OdeSolverStopReason::InternalTimestep => {}
            }
        }
    }
}
