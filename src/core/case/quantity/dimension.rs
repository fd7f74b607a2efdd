//! What a quantity measures, with the words for it.

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A pure number: turns, shares, exponents.
    Number,
    /// Leads, diameters, thicknesses, gaps \[m\].
    Length,
    /// Copper sections \[m²\].
    Area,
    /// What the spring moves \[kg\].
    Mass,
    /// Length of a record \[s\].
    Time,
    /// Limits of what a probe passes \[Hz\].
    Frequency,
    /// Absolute temperature \[K\]; degC and degF are shifted when read.
    Temperature,
    /// Tilt, cone, directions \[rad\].
    Angle,
    /// Spring force, friction \[N\].
    Force,
    /// Force lost per travel \[N/m\].
    SpringRate,
    /// Charge of the bank, constant drops \[V\].
    Voltage,
    /// What the circuit carries \[A\].
    Current,
    /// The bank's \[F\].
    Capacitance,
    /// Joints, wiring, slopes of drops \[Ω\].
    Resistance,
    /// The bank's wiring \[H\].
    Inductance,
    /// Voltage per length of the arc's column \[V/m\].
    Field,
    /// Mass per volume \[kg/m³\].
    Density,
    /// Latent heat per mass \[J/kg\].
    SpecificEnergy,
    /// Heat per mass and kelvin \[J/(kg·K)\].
    SpecificHeat,
    /// Thermal conductivity \[W/(m·K)\].
    Conductivity,
    /// Electrical resistivity \[Ω·m\].
    Resistivity,
    /// Hardness, flow stress \[Pa\].
    Pressure,
    /// Dynamic viscosity \[Pa·s\].
    Viscosity,
    /// What the charger gives \[W\].
    Power,
    /// Temperature rise per power lost \[K/W\].
    ThermalResistance,
    /// Heat per kelvin of a part of the rig \[J/K\].
    HeatCapacity,
    /// Metal that an arc takes off a contact per charge \[kg/C\].
    Erosion,
}

impl Dimension {
    /// All of them.
    pub const ALL: [Dimension; 27] = [
        Dimension::Number,
        Dimension::Length,
        Dimension::Area,
        Dimension::Mass,
        Dimension::Time,
        Dimension::Frequency,
        Dimension::Temperature,
        Dimension::Angle,
        Dimension::Force,
        Dimension::SpringRate,
        Dimension::Voltage,
        Dimension::Current,
        Dimension::Capacitance,
        Dimension::Resistance,
        Dimension::Inductance,
        Dimension::Field,
        Dimension::Density,
        Dimension::SpecificEnergy,
        Dimension::SpecificHeat,
        Dimension::Conductivity,
        Dimension::Resistivity,
        Dimension::Pressure,
        Dimension::Viscosity,
        Dimension::Power,
        Dimension::ThermalResistance,
        Dimension::HeatCapacity,
        Dimension::Erosion,
    ];

    /// Name, article and an example as a user writes it.
    const fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Dimension::Number => ("number", "a bare number", "0.38"),
            Dimension::Length => ("length", "a length", "5 m"),
            Dimension::Area => ("area", "an area", "35 mm2"),
            Dimension::Mass => ("mass", "a mass", "120 g"),
            Dimension::Time => ("time", "a time", "2 ms"),
            Dimension::Frequency => ("frequency", "a frequency", "50 kHz"),
            Dimension::Temperature => ("temperature", "a temperature", "20 degC"),
            Dimension::Angle => ("angle", "an angle", "3 deg"),
            Dimension::Force => ("force", "a force", "80 N"),
            Dimension::SpringRate => ("spring rate", "a spring rate", "3 N/mm"),
            Dimension::Voltage => ("voltage", "a voltage", "112 V"),
            Dimension::Current => ("current", "a current", "10 kA"),
            Dimension::Capacitance => ("capacitance", "a capacitance", "72 mF"),
            Dimension::Resistance => ("resistance", "a resistance", "2 mohm"),
            Dimension::Inductance => ("inductance", "an inductance", "0.8 uH"),
            Dimension::Field => ("electric field", "an electric field", "3 V/mm"),
            Dimension::Density => ("density", "a density", "7850 kg/m3"),
            Dimension::SpecificEnergy => ("specific energy", "a specific energy", "2.6e5 J/kg"),
            Dimension::SpecificHeat => ("specific heat", "a specific heat", "680 J/kgK"),
            Dimension::Conductivity => {
                ("thermal conductivity", "a thermal conductivity", "33 W/mK")
            }
            Dimension::Resistivity => ("resistivity", "a resistivity", "0.15 uohm m"),
            Dimension::Pressure => ("pressure", "a pressure or strength", "350 MPa"),
            Dimension::Viscosity => ("viscosity", "a viscosity", "5.5 mPas"),
            Dimension::Power => ("power", "a power", "300 W"),
            Dimension::ThermalResistance => {
                ("thermal resistance", "a thermal resistance", "0.5 K/W")
            }
            Dimension::HeatCapacity => ("heat capacity", "a heat capacity", "80 J/K"),
            Dimension::Erosion => ("erosion", "an erosion per charge", "50 ug/C"),
        }
    }

    /// Its SI unit as names of files write it: "ohm_m"; empty for a bare number.
    pub const fn si(self) -> &'static str {
        match self {
            Dimension::Number => "",
            Dimension::Length => "m",
            Dimension::Area => "m2",
            Dimension::Mass => "kg",
            Dimension::Time => "s",
            Dimension::Frequency => "Hz",
            Dimension::Temperature => "K",
            Dimension::Angle => "rad",
            Dimension::Force => "N",
            Dimension::SpringRate => "N_per_m",
            Dimension::Voltage => "V",
            Dimension::Current => "A",
            Dimension::Capacitance => "F",
            Dimension::Resistance => "ohm",
            Dimension::Inductance => "H",
            Dimension::Field => "V_per_m",
            Dimension::Density => "kg_per_m3",
            Dimension::SpecificEnergy => "J_per_kg",
            Dimension::SpecificHeat => "J_per_kgK",
            Dimension::Conductivity => "W_per_mK",
            Dimension::Resistivity => "ohm_m",
            Dimension::Pressure => "Pa",
            Dimension::Viscosity => "Pas",
            Dimension::Power => "W",
            Dimension::ThermalResistance => "K_per_W",
            Dimension::HeatCapacity => "J_per_K",
            Dimension::Erosion => "kg_per_C",
        }
    }

    /// Plain name: "length".
    pub const fn name(self) -> &'static str {
        self.words().0
    }

    /// An example as a case file wants it: `5 m`.
    pub const fn example(self) -> &'static str {
        self.words().2
    }

    /// For messages: `a length such as "5 m"`.
    pub fn with_example(self) -> String {
        let (_, what, example) = self.words();
        match self {
            Dimension::Number => format!("{what} such as {example}"),
            _ => format!("{what} such as \"{example}\""),
        }
    }
}
