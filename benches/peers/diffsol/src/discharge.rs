//! Circuit, pip and plunge: seven states, Tsitouras 5(4) or BDF, an event ends each phase.

use std::cell::Cell;
use std::f64::consts::PI;

use diffsol::{
    Bdf, NalgebraLU, NalgebraMat, OdeBuilder, OdeEquationsImplicit, OdeSolverMethod,
    OdeSolverProblem, OdeSolverStopReason, Vector,
};

use crate::numbers::Numbers;

pub type Mat = NalgebraMat<f64>;
const STATES: usize = 7;
const U: usize = 0;
const I1: usize = 1;
const I2: usize = 2;
const H: usize = 3;
const GAP: usize = 4;
const W: usize = 5;
const ARC: usize = 6;
/// Sizes of the states, for the absolute tolerances.
const SCALE: [f64; STATES] = [1.0, 10.0, 10.0, 1e4, 1e-5, 1e-2, 1e-1];

#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Phase {
    Still,
    Sinking,
    Burning,
    Shorted,
}
use Phase::{Burning, Shorted, Sinking, Still};

/// Time, arc energy and arc power.
pub type Knot = [f64; 3];

#[derive(Default, Clone)]
pub struct Course {
    pub ignition: f64,
    pub touchdown: f64,
    pub current_end: f64,
    pub arc_energy: f64,
    pub knots: Vec<Knot>,
    pub steps: usize,
}

pub struct Rig {
    u0: f64,
    c: f64,
    esr: f64,
    diode: f64,
    least: f64,
    drop: f64,
    rs: f64,
    r: [f64; 4],
    linv: [f64; 4],
    vol: f64,
    sink: f64,
    mp: f64,
    hsol: f64,
    lf: f64,
    hburst: f64,
    rho: [f64; 3],
    p: f64,
    strength: f64,
    spot2: f64,
    melting: f64,
    blow: f64,
    rim: f64,
    mass: f64,
    rate: f64,
    gap0: f64,
    gap_down: f64,
    push: f64,
    yields: f64,
    arc: [f64; 3],
    short: f64,
    phase: Cell<Phase>,
    diode_on: Cell<bool>,
}

struct Pip {
    column: f64,
    whole: f64,
    holds: f64,
}

impl Rig {
    pub fn new(n: &Numbers) -> Self {
        let one = |name| n.one(name);
        Self {
            u0: one("u0"),
            c: one("C"),
            esr: one("esr"),
            diode: one("diode"),
            least: one("least"),
            drop: one("drop"),
            rs: one("Rs"),
            r: n.all("R").try_into().expect("two earth leads"),
            linv: n.all("Linv").try_into().expect("two earth leads"),
            vol: one("vol"),
            sink: one("sink"),
            mp: one("mp"),
            hsol: one("hsol"),
            lf: one("Lf"),
            hburst: one("hburst"),
            rho: [one("rho20"), one("rhom"), one("rhol")],
            p: one("p"),
            strength: one("strength"),
            spot2: one("spot2"),
            melting: one("melting"),
            blow: one("blow"),
            rim: one("rim"),
            mass: one("mass"),
            rate: one("rate"),
            gap0: one("gap0"),
            gap_down: one("gap_down"),
            push: one("push"),
            yields: one("yield"),
            arc: [one("arc_v"), one("field"), one("arc_r")],
            short: one("short"),
            phase: Cell::new(Still),
            diode_on: Cell::new(false),
        }
    }

    fn pip(&self, y: &[f64]) -> Pip {
        let length = (y[GAP] + self.sink).max(1e-9);
        let x = y[H] / self.hsol;
        let soft = (1.0 - x).clamp(0.0, 1.0);
        let rho = if x < 1.0 {
            self.rho[0] + (self.rho[1] - self.rho[0]) * (1.0 - (1.0 - x).powf(self.p))
        } else {
            self.rho[1] + (self.rho[2] - self.rho[1]) * ((y[H] - self.hsol) / self.lf).min(1.0)
        };
        let b = (self.vol / (PI * length)).sqrt();
        let i = y[I1] + y[I2];
        // Four times the spot's resistance and radius: the pip's share and the sheet's.
        let spot = |a: f64| {
            let free = 1.0 - a / b;
            rho * free * free.sqrt() + self.rho[0]
        };
        let mut a = b;
        if soft > 0.0 {
            a = b.min((self.spot2 / soft).sqrt());
            // Above the melting voltage the spot is wider.
            a = b.min(a.max(i * spot(a) / self.melting));
        }
        let column = rho * length * length / self.vol;
        Pip {
            column,
            whole: column + spot(a) / (4.0 * a),
            holds: self.strength * soft * self.vol / length
                + self.blow * i * i * (self.rim / a).ln().max(0.0),
        }
    }

    fn spring(&self, y: &[f64]) -> f64 {
        self.push - self.rate * (self.gap0 - y[GAP])
    }

    fn arc_volt(&self, y: &[f64]) -> f64 {
        self.arc[0] + self.arc[1] * y[GAP] + self.arc[2] * (y[I1] + y[I2])
    }

    /// Current of the bank while the diode conducts.
    fn bank_share(&self, y: &[f64]) -> f64 {
        (y[U] + self.diode) / self.esr
    }

    fn slopes(&self, y: &[f64], d: &mut [f64]) {
        let i = y[I1] + y[I2];
        d.fill(0.0);
        let mut force = 0.0;
        let phase = self.phase.get();
        let volt = match phase {
            Still | Sinking => {
                let pip = self.pip(y);
                d[H] = i * i * pip.column / self.mp;
                force = self.spring(y) - pip.holds;
                pip.whole * i
            }
            Burning => {
                let volt = self.arc_volt(y);
                d[ARC] = volt * i;
                force = self.spring(y);
                volt
            }
            Shorted => self.short * i,
        };
        if phase == Sinking || phase == Burning {
            d[GAP] = -y[W];
            d[W] = force / self.mass;
        }
        let on = self.diode_on.get();
        let source = if on { -self.diode } else { y[U] - self.esr * i };
        let e = source - self.drop - self.rs * i - volt;
        let r = &self.r;
        let f = [
            e - r[0] * y[I1] - r[1] * y[I2],
            e - r[2] * y[I1] - r[3] * y[I2],
        ];
        d[U] = -if on { self.bank_share(y) } else { i } / self.c;
        d[I1] = self.linv[0] * f[0] + self.linv[1] * f[1];
        d[I2] = self.linv[2] * f[0] + self.linv[3] * f[1];
    }

    /// Positive before the event. The current starts at zero, so its end counts after the first phase.
    fn guards(&self, y: &[f64], g: &mut [f64]) {
        let phase = self.phase.get();
        let (i, share) = (y[I1] + y[I2], self.bank_share(y));
        g[0] = if phase == Still { 1.0 } else { i };
        g[1] = if !self.diode_on.get() {
            self.esr * (share - i)
        } else if share > self.least {
            i - share
        } else {
            // Only the current's end is left.
            1.0
        };
        g[2] = if phase <= Sinking {
            self.hburst - y[H]
        } else {
            1.0
        };
        g[3] = if phase == Shorted {
            1.0
        } else {
            y[GAP] - self.gap_down
        };
        g[4] = if phase == Still {
            self.pip(y).holds + self.yields - self.spring(y)
        } else {
            1.0
        };
    }

    pub fn tsit45(&self, rtol: f64, shot: &mut dyn FnMut(&mut dyn FnMut() -> Course)) {
        let problem = builder(rtol)
            .rhs(|y: &[f64], _: &[f64], _, d: &mut [f64]| self.slopes(y, d))
            .init(|_: &[f64], _, y: &mut [f64]| self.start(y), STATES)
            .root(
                |y: &[f64], _: &[f64], _, g: &mut [f64]| self.guards(y, g),
                5,
            )
            .build()
            .expect("the discharge");
        shot(&mut || self.march(problem.tsit45().expect("a solver")));
    }

    pub fn bdf(&self, rtol: f64, shot: &mut dyn FnMut(&mut dyn FnMut() -> Course)) {
        let product = |y: &[f64], _: &[f64], _: f64, v: &[f64], out: &mut [f64]| {
            let (mut ahead, mut back) = ([0.0; STATES], [0.0; STATES]);
            let size = v
                .iter()
                .zip(SCALE)
                .map(|(v, s)| (v / s).abs())
                .fold(0.0, f64::max);
            let step = 1e-4 / size.max(1e-300);
            let shifted: Vec<f64> = y.iter().zip(v).map(|(y, v)| y + step * v).collect();
            self.slopes(&shifted, &mut ahead);
            self.slopes(y, &mut back);
            for k in 0..STATES {
                out[k] = (ahead[k] - back[k]) / step;
            }
        };
        let problem = builder(rtol)
            .rhs_implicit(
                |y: &[f64], _: &[f64], _, d: &mut [f64]| self.slopes(y, d),
                product,
            )
            .init(|_: &[f64], _, y: &mut [f64]| self.start(y), STATES)
            .root(
                |y: &[f64], _: &[f64], _, g: &mut [f64]| self.guards(y, g),
                5,
            )
            .build()
            .expect("the discharge");
        shot(&mut || self.march(new_bdf(&problem)));
    }

    fn start(&self, y: &mut [f64]) {
        y.fill(0.0);
        y[U] = self.u0;
        y[GAP] = self.gap0;
        self.phase.set(Still);
        self.diode_on.set(false);
    }

    fn knot(&self, course: &mut Course, t: f64, y: &[f64]) {
        let knot = [t, y[ARC], self.arc_volt(y) * (y[I1] + y[I2])];
        match course.knots.last_mut() {
            Some(last) if t <= last[0] => *last = knot,
            _ => course.knots.push(knot),
        }
    }

    fn march<'a, Eqn, S>(&self, mut solver: S) -> Course
    where
        Eqn: diffsol::OdeEquations<M = Mat, V = diffsol::NalgebraVec<f64>, T = f64> + 'a,
        S: OdeSolverMethod<'a, Eqn>,
    {
        let mut course = Course::default();
        loop {
            let found = match solver.step().expect("a step") {
                OdeSolverStopReason::RootFound(t, guard) => {
                    solver.state_mut_back(t).expect("a state at the event");
                    Some(guard)
                }
                _ => None,
            };
            course.steps += 1;
            if solver.state().y.get_index(W) < 0.0 {
                panic!("the stud comes to rest, which the peers do not know");
            }
            if self.phase.get() == Burning {
                let state = solver.state();
                self.knot(&mut course, state.t, &state.y.clone_as_vec());
            }
            let Some(guard) = found else { continue };
            let state = solver.state_mut();
            let (t, y) = (*state.t, &mut state.y.clone_as_vec()[..]);
            match guard {
                0 => {
                    course.current_end = t;
                    return course;
                }
                1 => self.diode_on.set(!self.diode_on.get()),
                2 => {
                    course.ignition = t;
                    self.phase.set(Burning);
                    self.knot(&mut course, t, y);
                }
                3 if self.phase.get() == Burning => {
                    course.touchdown = t;
                    course.arc_energy = y[ARC];
                    self.phase.set(Shorted);
                }
                4 => self.phase.set(Sinking),
                _ => panic!("the pip is crushed before it bursts"),
            }
            let mut slopes = [0.0; STATES];
            self.slopes(y, &mut slopes);
            for k in 0..STATES {
                state.y.set_index(k, y[k]);
                state.dy.set_index(k, slopes[k]);
            }
        }
    }
}

fn builder(rtol: f64) -> OdeBuilder<Mat> {
    OdeBuilder::<Mat>::new()
        .rtol(rtol)
        .atol(SCALE.map(|s| 10.0 * rtol * s))
        .h0(1e-6)
}

fn new_bdf<Eqn>(problem: &OdeSolverProblem<Eqn>) -> Bdf<'_, Eqn, NalgebraLU<f64>>
where
    Eqn: OdeEquationsImplicit<
            M = Mat,
            V = diffsol::NalgebraVec<f64>,
            T = f64,
            C = diffsol::NalgebraContext,
        >,
{
    problem.bdf::<NalgebraLU<f64>>().expect("a solver")
}
