//! Labels in a row: as near to their places as they can be without touching.

/// Centres \[px\] for labels of these `widths`, in order, at least `space` apart and between `low`
/// and `high`, with the least sum of squared distances from `wanted` (which must rise).
///
/// The least squares under an order is the isotonic regression, found by pooling adjacent
/// violators: M. Ayer et al., "An empirical distribution function for sampling with incomplete
/// information", Annals of Mathematical Statistics 26 (1955) 641-647. If the row is too short for
/// all, the labels keep their distances and run over `high`.
pub fn spread(wanted: &[f64], widths: &[f64], space: f64, low: f64, high: f64) -> Vec<f64> {
    // Distance of each centre from the first one's, packed as tight as allowed.
    let mut packed = Vec::with_capacity(widths.len());
    let mut at = 0.0;
    for (k, w) in widths.iter().enumerate() {
        if k > 0 {
            at += 0.5 * (widths[k - 1] + w) + space;
        }
        packed.push(at);
    }
    let (Some(first), Some(last)) = (widths.first(), widths.last()) else {
        return Vec::new();
    };
    let least = low + 0.5 * first;
    let most = (high - 0.5 * last - at).max(least);
    let mut blocks: Vec<(f64, usize)> = Vec::new(); // mean and number of a pool
    for (x, p) in wanted.iter().zip(&packed) {
        blocks.push((x - p, 1));
        while let [.., (a, n), (b, m)] = blocks[..]
            && a >= b
        {
            blocks.truncate(blocks.len() - 2);
            let pooled = (a * n as f64 + b * m as f64) / (n + m) as f64;
            blocks.push((pooled, n + m));
        }
    }
    let origins = blocks
        .iter()
        .flat_map(|(mean, n)| std::iter::repeat_n(mean.clamp(least, most), *n));
    origins.zip(&packed).map(|(o, p)| o + p).collect()
}

/// Room all labels need in a row \[px\].
pub fn room(widths: &[f64], space: f64) -> f64 {
    widths.iter().sum::<f64>() + space * widths.len().saturating_sub(1) as f64
}
