//! The Python package's own half: the library's calls, arrays in and out. `arcplunge/__init__.py` is what its users see.

mod apart;
mod case;
mod curves;
mod error;
mod fit;
mod given;
mod json;
mod many;
mod scope;
mod shot;
mod studies;
mod value;
mod watch;

/// Compiled part of the package `arcplunge`.
#[pyo3::pymodule]
mod _native {
    use pyo3::prelude::*;

    #[pymodule_export]
    use crate::case::Case;
    #[pymodule_export]
    use crate::curves::curves;
    #[pymodule_export]
    use crate::fit::{Residual, fit, residual};
    #[pymodule_export]
    use crate::many::{fire_many, scatter};
    #[pymodule_export]
    use crate::scope::read_trace;
    #[pymodule_export]
    use crate::shot::{Shot, fire};
    #[pymodule_export]
    use crate::studies::{calibrate, sensitivity, settings_chart};

    #[pymodule_init]
    fn init(m: &Bound<'_, PyModule>) -> PyResult<()> {
        let figures = arcplunge_core::simulation::named::FIGURES;
        m.add("FIGURES", figures.map(|(name, _)| name).to_vec())?;
        m.add("__version__", env!("CARGO_PKG_VERSION"))
    }
}
