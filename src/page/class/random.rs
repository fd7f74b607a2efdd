//! Random bytes of the system.

use std::io;

/// So many random bytes.
///
/// # Errors
/// When the system has none.
pub fn bytes<const N: usize>() -> io::Result<[u8; N]> {
    let mut out = [0; N];
    getrandom::fill(&mut out).map_err(io::Error::from)?;
    Ok(out)
}

/// A place on the roll: 128 bits as 32 digits.
///
/// # Errors
/// As [`bytes`].
pub fn token() -> io::Result<String> {
    Ok(bytes::<16>()?.map(|byte| format!("{byte:02x}")).concat())
}

/// Whether two texts are alike, in a time that does not tell where they part.
pub fn alike(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_long_and_none_is_like_another() {
        let (a, b) = (token().unwrap(), token().unwrap());
        assert!(a.len() == 32 && a.bytes().all(|c| c.is_ascii_hexdigit()));
        assert!(alike(&a, &a) && !alike(&a, &b) && !alike(&a, &a[1..]));
    }
}
