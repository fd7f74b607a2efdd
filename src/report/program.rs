//! What made an output.

/// The program and its version.
pub const PROGRAM: &str = concat!("arcplunge ", env!("CARGO_PKG_VERSION"));
