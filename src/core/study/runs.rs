//! Neighbours that hold together.

/// First and last place of each run of places below `count` that hold, in order.
pub fn runs(count: usize, holds: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for k in (0..count).filter(|k| holds(*k)) {
        match out.last_mut() {
            Some((_, last)) if *last + 1 == k => *last = k,
            _ => out.push((k, k)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::runs;

    #[test]
    fn runs_have_both_ends() {
        let of = |s: &[u8]| runs(s.len(), |k| s[k] == 1);
        assert_eq!(of(&[]), []);
        assert_eq!(of(&[0, 0]), []);
        assert_eq!(of(&[1, 1, 0, 1]), [(0, 1), (3, 3)]);
        assert_eq!(of(&[0, 1, 1, 1]), [(1, 3)]);
    }
}
