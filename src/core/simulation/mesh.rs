//! A graded mesh from the face into the body: fine and even where the melt is, growing behind.

/// Number of cells of each body: a choice of few, so that the solver's loops have fixed lengths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cells {
    /// 48, half of the standard mesh: for convergence studies.
    Coarse,
    /// 96.
    Standard,
    /// 192.
    Fine,
    /// 384.
    Finest,
}

/// How the heat is solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// By following the melting fronts, and by enthalpy where they do not apply.
    Fronts,
    /// By enthalpy on a fixed mesh.
    Enthalpy,
}

/// How the mesh and the time steps of the melt are chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// Which scheme.
    pub method: Method,
    /// Cells of each body.
    pub cells: Cells,
    /// First (solid) cell over the diffusion length √(α·t_arc).
    pub first_cell: f64,
    /// Share of the cells that are even, at the face, before the mesh grows.
    pub even_share: f64,
    /// Steps over the arc.
    pub arc_steps: usize,
    /// Exponent of their grading toward ignition.
    pub grading: f64,
    /// First step after touchdown over the arc time.
    pub contact_step: f64,
    /// Growth from step to step after touchdown.
    pub growth: f64,
    /// Longest step until the joint has cooled, over the time since ignition.
    pub longest: f64,
    /// Steps while the last melt freezes and the joint cools, over those before.
    pub freezing_step: f64,
    /// Growth from step to step in the late heating.
    pub late_growth: f64,
}

impl Resolution {
    /// Even cells of `all`.
    pub fn even_cells(&self, all: usize) -> usize {
        (self.even_share * all as f64).round() as usize
    }

    /// By enthalpy.
    pub fn enthalpy() -> Self {
        Resolution {
            method: Method::Enthalpy,
            cells: Cells::Standard,
            first_cell: 0.015,
            even_share: 0.625,
            arc_steps: 50,
            grading: 1.5,
            contact_step: 2e-4,
            growth: 1.35,
            longest: 0.02,
            freezing_step: 0.1,
            late_growth: 1.2,
        }
    }

    /// By the melting fronts.
    pub fn fronts() -> Self {
        Resolution {
            method: Method::Fronts,
            first_cell: 0.15,
            even_share: 0.375,
            arc_steps: 20,
            grading: 1.0,
            contact_step: 2e-3,
            growth: 1.6,
            longest: 0.05,
            freezing_step: 0.07,
            ..Self::enthalpy()
        }
    }
}

impl Default for Resolution {
    fn default() -> Self {
        Self::fronts()
    }
}

/// Cell widths \[m\] for a body of the given depth whose first cell should be `first` wide.
pub fn widths<const M: usize>(depth: f64, first: f64, even: usize) -> [f64; M] {
    if first * M as f64 >= depth {
        return [depth / M as f64; M];
    }
    let growing = M - even;
    let rest = depth / first - even as f64;
    // Σ_{j=1..n} q^j = rest for q > 1, by Newton on its logarithm's bracket.
    let sum = |q: f64| q * (q.powi(growing as i32) - 1.0) / (q - 1.0);
    let (mut low, mut high) = (1.0 + 1e-9, 2.0);
    while sum(high) < rest {
        high *= 1.5;
    }
    for _ in 0..40 {
        let mid = 0.5 * (low + high);
        if sum(mid) < rest {
            low = mid
        } else {
            high = mid
        }
    }
    let q = 0.5 * (low + high);
    let mut out = [first; M];
    let mut width = first;
    for w in out.iter_mut().skip(even) {
        width *= q;
        *w = width;
    }
    // What the root leaves over goes into the last cell, so that the depth is exact.
    let total: f64 = out.iter().sum();
    out[M - 1] += depth - total;
    out
}
