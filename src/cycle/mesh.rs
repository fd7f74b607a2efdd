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

/// How the mesh and the time steps of the melt are chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// Cells of each body.
    pub cells: Cells,
    /// First cell over the diffusion length √(α·t_arc).
    pub first_cell: f64,
    /// Even cells at the face before the mesh grows.
    pub even_cells: usize,
    /// Steps over the arc.
    pub arc_steps: usize,
    /// Exponent of their grading toward ignition.
    pub grading: f64,
    /// Growth from step to step after touchdown.
    pub growth: f64,
    /// Longest step until the joint has cooled, over the time since ignition.
    pub longest: f64,
    /// Growth from step to step in the late heating.
    pub late_growth: f64,
}

impl Default for Resolution {
    fn default() -> Self {
        Resolution {
            cells: Cells::Standard,
            first_cell: 0.015,
            even_cells: 60,
            arc_steps: 50,
            grading: 1.5,
            growth: 1.35,
            longest: 0.02,
            late_growth: 1.2,
        }
    }
}

/// Cell widths [m] for a body of the given depth whose first cell should be `first` wide.
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
