//! What the heat solvers have in common: what goes in, what comes out, and a step of it.

/// Arc energy at a time: a knot of a cubic Hermite curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcKnot {
    /// Time \[s\].
    pub t: f64,
    /// Energy of the arc since ignition \[J\].
    pub energy: f64,
    /// Power of the arc \[W\].
    pub power: f64,
}

/// Melt and heat of the faces at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeltKnot {
    /// Time \[s\].
    pub t: f64,
    /// Melt depth of stud and sheet \[m\].
    pub melt: [f64; 2],
    /// Temperature of the faces of stud and sheet \[K\].
    pub face: [f64; 2],
}

/// What the heat did.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Heating {
    /// Melt of both faces at touchdown \[m\].
    pub at_touchdown: Option<[f64; 2]>,
    /// Largest melt of the sheet \[m\].
    pub sheet_max: f64,
    /// Time at which the last melt of the joint froze \[s\].
    pub frozen: Option<f64>,
    /// Cooling rate of the joint over the first 100 K below the lower melting point \[K/s\].
    pub cooling_rate: Option<f64>,
    /// Hottest back face of the sheet \[K\].
    pub back_face: Option<f64>,
    /// Vapour energy of both faces \[J\].
    pub vapour: [f64; 2],
    /// Largest relative error of the heat balance.
    pub imbalance: f64,
    /// Steps.
    pub steps: u64,
    /// Linear solves.
    pub rounds: u64,
    /// Steps whose cells had not settled on their states when the corrections ended.
    pub unsettled: u64,
}

/// How far to follow the heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Until {
    /// The joint has frozen and cooled 100 K.
    Frozen,
    /// The joint is below 500 °C and the sheet's back face has peaked.
    BackFace,
}

/// What the faces exchange during a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Boundary {
    /// Heat from the arc up to the end of the step into each face \[J/m²\].
    Heated([f64; 2]),
    /// The faces conduct into each other.
    Contact,
}

/// A way to solve the heat of both bodies.
pub trait HeatSolver {
    /// A case that the scheme does not cover.
    type Uncovered;
    /// Takes one step of `dt` \[s\].
    fn step(&mut self, dt: f64, boundary: Boundary) -> Result<(), Self::Uncovered>;
    /// Forgets the step before, as after a jump it must.
    fn restart(&mut self);
    /// Melt depth on each face \[m\].
    fn melt(&self) -> [f64; 2];
    /// Positive while there is melt; its zero over time, on a line, is when the last freezes. Below
    /// 1 where shorter steps are wanted for it.
    fn molten_margin(&self) -> f64;
    /// Temperature of each face, where they have met that of the joint \[K\].
    fn face_temperatures(&self) -> [f64; 2];
    /// Temperature of the joint \[K\].
    fn joint_temperature(&self) -> f64;
    /// Temperature of the sheet's back face \[K\].
    fn back_temperature(&self) -> f64;
    /// Whether each body has one temperature throughout.
    fn is_even(&self) -> bool;
    /// The step \[s\] to take where `dt` is proposed.
    fn fitting_step(&self, dt: f64) -> f64;
    /// Length of the steps while the joint cools, over the usual ones.
    fn cooling_steps(&self) -> f64 {
        1.0
    }
    /// Heat of vapour that has left each face \[J/m²\].
    fn vapour(&self) -> [f64; 2];
    /// Largest relative error of the heat balance.
    fn imbalance(&self) -> f64;
    /// Steps and linear solves done.
    fn work(&self) -> [u64; 2];
    /// Steps accepted although cells had not settled on their states.
    fn unsettled(&self) -> u64;
}
