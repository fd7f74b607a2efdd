//! Lines and areas on a grid whose edges are known: marching squares with the exact places between neighbours.

use std::collections::HashMap;

use arcplunge_core::study::edges::Edges;

/// A place on the grid: across and up, in cells.
pub type At = (f64, f64);

/// A side of a cell: whether it runs across, and the node it starts from.
type Side = (bool, usize, usize);

/// The sides of the cell right of and above node (`k`, `j`), counterclockwise from the lower one, each from its first
/// corner to the next.
fn sides(k: usize, j: usize) -> [Side; 4] {
    [
        (true, k, j),
        (false, k + 1, j),
        (true, k, j + 1),
        (false, k, j),
    ]
}

fn place(edges: &Edges, (across, k, j): Side) -> Option<At> {
    let (x, y) = (k as f64, j as f64);
    if across {
        edges.across(k, j).map(|share| (x + share, y))
    } else {
        edges.up(k, j).map(|share| (x, y + share))
    }
}

/// The lines along which something changes, over `wide` by `tall` nodes; `skip` leaves out sides on which another thing
/// changes as well.
pub fn lines(edges: &Edges, wide: usize, tall: usize, skip: Option<&Edges>) -> Vec<Vec<At>> {
    let mut ends: HashMap<Side, Vec<usize>> = HashMap::new();
    let mut parts: Vec<[Side; 2]> = Vec::new();
    for j in 0..tall - 1 {
        for k in 0..wide - 1 {
            let jump = |side: &Side| skip.is_some_and(|skip| place(skip, *side).is_some());
            let met: Vec<Side> = sides(k, j)
                .into_iter()
                .filter(|side| place(edges, *side).is_some() && !jump(side))
                .collect();
            for pair in met.chunks_exact(2) {
                let part = parts.len();
                pair.iter()
                    .for_each(|side| ends.entry(*side).or_default().push(part));
                parts.push([pair[0], pair[1]]);
            }
        }
    }
    let mut used = vec![false; parts.len()];
    let mut out = Vec::new();
    // Open lines are followed from an end, what is left is closed.
    let open = |part: usize| parts[part].iter().position(|side| ends[side].len() == 1);
    let starts = (0..parts.len()).filter(|part| open(*part).is_some());
    for start in starts.chain(0..parts.len()) {
        if used[start] {
            continue;
        }
        let first = open(start).unwrap_or(0);
        let (mut part, mut side) = (start, parts[start][first]);
        let mut line: Vec<At> = place(edges, side).into_iter().collect();
        loop {
            used[part] = true;
            side = if parts[part][0] == side {
                parts[part][1]
            } else {
                parts[part][0]
            };
            line.extend(place(edges, side));
            match ends[&side].iter().find(|next| !used[**next]) {
                Some(next) => part = *next,
                None => break,
            }
        }
        out.push(line);
    }
    out
}

/// The parts of a cell by the label of its corners, where they differ: a polygon for each run of corners alike.
pub fn areas<L: PartialEq + Copy>(
    edges: &Edges,
    (k, j): (usize, usize),
    label: impl Fn(usize, usize) -> L,
) -> Vec<(L, Vec<At>)> {
    let corners = [(k, j), (k + 1, j), (k + 1, j + 1), (k, j + 1)];
    let between: Vec<Option<At>> = sides(k, j).iter().map(|side| place(edges, *side)).collect();
    let met: Vec<At> = between.iter().copied().flatten().collect();
    let middle = |all: &[At]| {
        let n = all.len() as f64;
        let sum = all.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        (sum.0 / n, sum.1 / n)
    };
    let centre = (met.len() > 2).then(|| middle(&met));
    let mut out = Vec::new();
    // A run begins behind a side on which the label changes.
    for start in (0..4).filter(|n| between[(n + 3) % 4].is_some()) {
        let mut area: Vec<At> = between[(start + 3) % 4].into_iter().collect();
        let mut n = start;
        loop {
            let (k, j) = corners[n];
            area.push((k as f64, j as f64));
            if let Some(end) = between[n] {
                area.push(end);
                break;
            }
            n = (n + 1) % 4;
        }
        area.extend(centre);
        let (k, j) = corners[start];
        out.push((label(k, j), area));
    }
    out
}
