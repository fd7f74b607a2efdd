//! What sets the radius of the pip's contact spot.

use nalgebra::SVector;

use super::{Loop, Spot};

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Area the contact spot could have beyond the pip's own section, softened, by what sets its radius \[mm²\].
    pub(super) fn spot_spare(&self, y: &SVector<f64, D>) -> f64 {
        let (metal, l) = (self.heated(y), self.pip_length(y));
        match self.mode.spot {
            Spot::Plastic | Spot::Full => self.pip.plastic_spare(&metal, l),
            Spot::Molten | Spot::FullMolten => self.pip.molten_spare(&metal, l, Self::current(y)),
        }
    }

    /// Voltage of the plastic spot over that at which it melts.
    pub(super) fn spot_overload(&self, y: &SVector<f64, D>) -> f64 {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.overload(&self.heated(y), l, i)
    }

    /// The melting voltage no longer widens the contact spot: force and hardness set it, or fill the section by now.
    pub fn set_spot(&mut self, y: &SVector<f64, D>) {
        let spare = self.pip.plastic_spare(&self.heated(y), self.pip_length(y));
        self.mode.spot = if spare > 0.0 {
            Spot::Full
        } else {
            Spot::Plastic
        };
    }

    /// The contact spot fills the pip's section.
    pub fn fill_spot(&mut self) {
        self.mode.spot = match self.mode.spot {
            Spot::Molten => Spot::FullMolten,
            _ => Spot::Full,
        };
    }

    /// What filled the pip's section no longer does: what sets the spot's radius now.
    pub fn narrow_spot(&mut self, y: &SVector<f64, D>) {
        let (metal, l, i) = (self.heated(y), self.pip_length(y), Self::current(y));
        let full = self.mode.spot;
        self.mode.spot = if full == Spot::FullMolten && self.pip.plastic_spare(&metal, l) > 0.0 {
            Spot::Full
        } else if full == Spot::Full && self.pip.molten_spare(&metal, l, i) > 0.0 {
            Spot::FullMolten
        } else if self.spot_overload(y) > 1.0 {
            Spot::Molten
        } else {
            Spot::Plastic
        };
    }

    /// Radius of the contact spot \[mm\].
    pub(super) fn spot(&self, y: &SVector<f64, D>) -> f64 {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.spot_radius(&self.heated(y), l, i, self.mode.spot)
    }
}
