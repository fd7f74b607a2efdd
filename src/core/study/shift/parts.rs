//! The parts of the rig that take up heat: which lumps they are, what heats each, what each loses.

use super::fired::{Element, Fired, of_earth, of_joint};
use crate::case::Case;
use crate::case::joint_id::JointId;
use crate::physics::cable::{Cable, Jacket};
use crate::physics::lumps::{Lumps, Propagator};

/// A part of the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Windings of the capacitors.
    Core,
    /// Their cans.
    Can,
    /// Heat sink of switch and diode.
    Sink,
    /// Copper of the gun lead.
    GunCopper,
    /// Surface of its jacket.
    GunJacket,
    /// Copper of an earth lead.
    EarthCopper(usize),
    /// Surface of its jacket.
    EarthJacket(usize),
    /// A terminal, a clamp, the chuck.
    Joint(JointId),
}

/// Share of a surface's conductance to the air by which it may change until the network is set up anew.
pub(super) const STALE: f64 = 0.004;

/// Longest stretch in one go while surfaces cool \[s\].
const LONGEST: f64 = 30.0;

/// The parts with their temperatures.
#[derive(Debug, Clone)]
pub struct Parts {
    parts: Vec<Part>,
    /// Leads in the order of their surfaces: lump, length \[m\], cable.
    surfaces: Vec<(usize, f64, Cable)>,
    lumps: Lumps,
    /// Conductance of each surface that the network now has \[W/K\].
    now: Vec<f64>,
    /// Propagators by their length \[s\].
    steps: Vec<(f64, Propagator)>,
    room: f64,
    /// Rises over the room \[K\].
    rises: Vec<f64>,
    /// Heat each part has given the room \[J\].
    given: Vec<f64>,
    /// Heat each part has taken from shots \[J\].
    taken: Vec<f64>,
    stale: f64,
}

impl Parts {
    /// The parts of a case at the start of a shift, all as warm as the room.
    pub fn new(case: &Case) -> Self {
        Parts::with_stale(case, STALE)
    }

    /// The same, the network set up anew as soon as a surface's conductance has changed by this share.
    pub fn with_stale(case: &Case, stale: f64) -> Self {
        let t = &case.thermal;
        let earths = case.earths.len();
        let mut parts = vec![
            Part::Core,
            Part::Can,
            Part::Sink,
            Part::GunCopper,
            Part::GunJacket,
        ];
        for k in 0..earths {
            parts.extend([Part::EarthCopper(k), Part::EarthJacket(k)]);
        }
        parts.extend(JointId::all(earths).map(Part::Joint));
        let lead = |part: &Part| match part {
            Part::GunCopper | Part::GunJacket => Some((case.lead.length, case.lead.section)),
            Part::EarthCopper(k) | Part::EarthJacket(k) => {
                Some((case.earths[*k].length, case.earths[*k].section))
            }
            _ => None,
        };
        let heat = parts.iter().map(|part| match part {
            Part::Core => t.core_heat,
            Part::Can => t.can_heat,
            Part::Sink => t.sink_heat,
            Part::GunCopper | Part::EarthCopper(_) => {
                lead(part).map_or(1.0, |(l, a)| l * cable(case, a).heat()[0])
            }
            Part::GunJacket | Part::EarthJacket(_) => {
                lead(part).map_or(1.0, |(l, a)| l * cable(case, a).heat()[1])
            }
            Part::Joint(JointId::Chuck) => t.chuck_heat,
            Part::Joint(JointId::Clamp(_)) => t.clamp_heat,
            Part::Joint(_) => t.lug_heat,
        });
        let mut lumps = Lumps::new(heat.collect());
        let at = |part: Part| parts.iter().position(|p| *p == part).unwrap_or(0);
        lumps.link(at(Part::Core), at(Part::Can), 1.0 / t.core_resistance);
        lumps.open(at(Part::Can), 1.0 / t.can_resistance);
        lumps.open(at(Part::Sink), 1.0 / t.sink_resistance);
        let mut surfaces = Vec::new();
        for (n, part) in parts.iter().enumerate() {
            if let (Part::GunCopper | Part::EarthCopper(_), Some((length, section))) =
                (part, lead(part))
            {
                let cable = cable(case, section);
                lumps.link(n, n + 1, length * cable.through());
                surfaces.push((n + 1, length, cable));
            }
            let Part::Joint(id) = *part else { continue };
            let (to_air, copper) = match id {
                JointId::Chuck => (t.chuck_resistance, None),
                JointId::Clamp(k) => (t.clamp_resistance, Some(Part::EarthCopper(k))),
                JointId::Terminal(k) => (t.lug_resistance, Some(Part::EarthCopper(k))),
                JointId::Bank | JointId::Tool => (t.lug_resistance, Some(Part::GunCopper)),
            };
            lumps.open(n, 1.0 / to_air);
            if let Some((copper, (_, section))) = copper.and_then(|c| Some((c, lead(&c)?))) {
                lumps.link(n, at(copper), cable(case, section).fin());
            }
        }
        let room = case.room.temperature;
        let n = parts.len();
        Parts {
            surfaces,
            lumps,
            now: Vec::new(),
            steps: Vec::new(),
            room,
            rises: vec![0.0; n],
            given: vec![0.0; n],
            taken: vec![0.0; n],
            parts,
            stale,
        }
    }

    /// All parts in their order.
    pub fn all(&self) -> &[Part] {
        &self.parts
    }

    /// Temperature of a part, by its number \[K\].
    pub fn temperature(&self, n: usize) -> f64 {
        self.room + self.rises[n]
    }

    /// Temperature of a part \[K\]; the room's where the rig has none.
    pub fn of(&self, part: Part) -> f64 {
        let n = self.parts.iter().position(|p| *p == part);
        n.map_or(self.room, |n| self.temperature(n))
    }

    /// Hottest of the parts that `which` picks \[K\].
    pub fn hottest(&self, which: impl Fn(Part) -> bool) -> f64 {
        let all = self.parts.iter().enumerate().filter(|(_, p)| which(**p));
        all.map(|(n, _)| self.temperature(n))
            .fold(self.room, f64::max)
    }

    /// Heat the parts hold above the room \[J\].
    pub fn held(&self) -> f64 {
        let each = self.lumps.heat().iter().zip(self.rises.iter());
        each.map(|(c, rise)| c * rise).sum()
    }

    /// Heat each part has taken up from shots, and given the room \[J\].
    pub fn account(&self, n: usize) -> [f64; 2] {
        [self.taken[n], self.given[n]]
    }

    /// Puts the joules of a shot into the parts; what the bank's own circuit cannot keep goes into its windings.
    pub fn heat(&mut self, shot: &Fired, lost_in_bank: f64) {
        let earths = self.surfaces.len() - 1;
        let in_leads = shot.joules(Element::LeftInLeads) / earths as f64;
        for (n, part) in self.parts.iter().enumerate() {
            let joules = match *part {
                Part::Core => shot.joules(Element::Esr) + lost_in_bank,
                Part::Can => shot.joules(Element::Internal),
                Part::Sink => shot.joules(Element::Switch) + shot.joules(Element::Diode),
                Part::GunCopper => shot.joules(Element::Gun),
                Part::EarthCopper(k) => shot.numbers[of_earth(k)] + in_leads,
                Part::Joint(id) => shot.numbers[of_joint(id)],
                Part::GunJacket | Part::EarthJacket(_) => 0.0,
            };
            self.rises[n] += joules / self.lumps.heat()[n];
            self.taken[n] += joules;
        }
    }

    /// Lets `time` \[s\] go by.
    pub fn rest(&mut self, time: f64) {
        let pieces = (time / LONGEST).ceil().max(1.0);
        let dt = time / pieces;
        for _ in 0..pieces as usize {
            self.renew();
            let step = self.step(dt);
            let (_, propagator) = &self.steps[step];
            propagator.apply(&mut self.rises, &mut self.given);
        }
    }

    /// Sets the surfaces up anew where their loss has changed enough.
    fn renew(&mut self) {
        let now: Vec<f64> = self
            .surfaces
            .iter()
            .map(|(n, length, cable)| {
                // A surface as cold as the room has a film as well.
                let rise = self.rises[*n].abs().max(0.05);
                length * cable.to_air(self.room + rise, self.room)
            })
            .collect();
        let stale = |(a, b): (&f64, &f64)| (a - b).abs() > self.stale * b;
        if self.now.len() == now.len() && !now.iter().zip(&self.now).any(stale) {
            return;
        }
        for ((n, ..), g) in self.surfaces.iter().zip(&now) {
            self.lumps.open(*n, *g);
        }
        self.now = now;
        self.steps.clear();
    }

    /// Number of the propagator over `dt` \[s\].
    fn step(&mut self, dt: f64) -> usize {
        if let Some(n) = self.steps.iter().position(|(t, _)| *t == dt) {
            return n;
        }
        if self.steps.len() >= 4 {
            self.steps.remove(0);
        }
        self.steps.push((dt, self.lumps.over(dt)));
        self.steps.len() - 1
    }
}

/// A lead of this section \[m²\] with the jacket of the case.
pub fn cable(case: &Case, section: f64) -> Cable {
    let t = &case.thermal;
    Cable {
        section,
        jacket: Jacket {
            thickness: t.jacket,
            conductivity: t.jacket_conductivity,
            heat: t.jacket_density * t.jacket_heat,
            emissivity: t.emissivity,
        },
    }
}
