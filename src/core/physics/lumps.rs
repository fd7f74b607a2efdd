//! A network of thermal lumps: each with its heat, coupled to others and to a room.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// A network, linear for the time being.
#[derive(Debug, Clone, PartialEq)]
pub struct Lumps {
    /// Heat of each \[J/K\], above zero.
    heat: Vec<f64>,
    /// From each to the room \[W/K\].
    to_room: Vec<f64>,
    /// Couplings: two lumps and what flows from one to the other per kelvin \[W/K\].
    links: Vec<(usize, usize, f64)>,
}

/// What a stretch of time does to the rises over the room: exact for the linear network.
#[derive(Debug, Clone, PartialEq)]
pub struct Propagator {
    /// Rises after, of those before.
    after: DMatrix<f64>,
    /// What each lump gives the room in that time \[J\], of the rises before.
    given: DMatrix<f64>,
}

impl Lumps {
    /// Lumps with these heats \[J/K\], not yet coupled.
    pub fn new(heat: Vec<f64>) -> Self {
        let to_room = vec![0.0; heat.len()];
        Lumps {
            heat,
            to_room,
            links: Vec::new(),
        }
    }

    /// Heat of each lump \[J/K\].
    pub fn heat(&self) -> &[f64] {
        &self.heat
    }

    /// Couples two lumps \[W/K\].
    pub fn link(&mut self, a: usize, b: usize, conductance: f64) {
        self.links.push((a, b, conductance));
    }

    /// Couples a lump with the room, in place of what held before \[W/K\].
    pub fn open(&mut self, lump: usize, conductance: f64) {
        self.to_room[lump] = conductance;
    }

    /// The stretch of `dt` \[s\]: C·dθ/dt = −K·θ, solved by the eigenvectors of C^−½·K·C^−½, which is symmetric.
    pub fn over(&self, dt: f64) -> Propagator {
        let n = self.heat.len();
        let root = DVector::from_iterator(n, self.heat.iter().map(|c| c.sqrt()));
        let mut rates: DMatrix<f64> = DMatrix::zeros(n, n);
        for (k, g) in self.to_room.iter().enumerate() {
            rates[(k, k)] += g;
        }
        for &(a, b, g) in &self.links {
            rates[(a, a)] += g;
            rates[(b, b)] += g;
            rates[(a, b)] -= g;
            rates[(b, a)] -= g;
        }
        for r in 0..n {
            for c in 0..n {
                rates[(r, c)] /= root[r] * root[c];
            }
        }
        let eigen = SymmetricEigen::new(rates);
        let own = eigen.eigenvectors;
        let scaled = |of: &dyn Fn(f64) -> f64| {
            let middle =
                DMatrix::from_diagonal(&eigen.eigenvalues.map(|rate: f64| of(rate.max(0.0))));
            let mut out: DMatrix<f64> = &own * middle * own.transpose();
            for r in 0..n {
                for c in 0..n {
                    out[(r, c)] *= root[c] / root[r];
                }
            }
            out
        };
        let mut given = scaled(&|rate| time_mean(rate * dt) * dt);
        for r in 0..n {
            for c in 0..n {
                given[(r, c)] *= self.to_room[r];
            }
        }
        Propagator {
            after: scaled(&|rate| (-rate * dt).exp()),
            given,
        }
    }
}

/// (1 − e^−x)/x, the mean of a decay over its time.
fn time_mean(x: f64) -> f64 {
    if x < 1e-12 { 1.0 } else { -(-x).exp_m1() / x }
}

impl Propagator {
    /// Takes the rises \[K\] on in time; adds what each lump gives the room to `given` \[J\]. Both have a place for
    /// each lump.
    pub fn apply(&self, rises: &mut [f64], given: &mut [f64]) {
        let before = DVector::from_column_slice(rises);
        let to_room = &self.given * &before;
        given
            .iter_mut()
            .zip(to_room.iter())
            .for_each(|(all, new)| *all += new);
        rises.copy_from_slice((&self.after * before).as_slice());
    }
}
