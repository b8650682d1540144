//! No two lines of a panel look alike: those that would get another dash style, or another colour.

use super::{Dash, Drawn, Figure, FigureError, PALETTE_LEN, Series};

/// Most lines that can be told apart in one panel.
const MOST: usize = PALETTE_LEN * Dash::ALL.len();

/// How a line looks.
type Look = (usize, Dash);

/// The figure with lines of their own look in every panel; layers on top of each other have colours
/// of their own as long as there are any.
pub(super) fn distinct(figure: &Figure) -> Drawn<Figure> {
    let mut figure = figure.clone();
    for panel in &mut figure.panels {
        let stacked = panel.stacked;
        if stacked {
            recolour(&mut panel.series);
        }
        let right = panel.right.iter_mut().flat_map(|r| &mut r.series);
        let left = panel.series.iter_mut().filter(|_| !stacked);
        redraw(&mut left.chain(right).filter(|s| is_line(s)).collect::<Vec<_>>())?;
    }
    Ok(figure)
}

/// Whether it is drawn as a line with a name of its own.
fn is_line(series: &Series) -> bool {
    let line = series.symbol.is_none() && (series.shaded || series.reach.is_empty());
    line && !series.quiet && !series.name.trim().is_empty()
}

fn look(series: &Series) -> Look {
    (series.colour % PALETTE_LEN, series.dash)
}

/// The first of each look keeps it; the others keep their colour if a dash style is left for it. Lines of one
/// name are one thing and may look alike.
fn redraw(lines: &mut [&mut Series]) -> Drawn<()> {
    let mut taken: Vec<(Look, String)> = Vec::new();
    let mut later = Vec::new();
    for (i, series) in lines.iter().enumerate() {
        match taken.iter().find(|(l, _)| *l == look(series)) {
            Some((_, name)) if *name != series.name => later.push(i),
            Some(_) => {}
            None => taken.push((look(series), series.name.clone())),
        }
    }
    for i in later {
        let own = lines[i].colour % PALETTE_LEN;
        let colours = (0..PALETTE_LEN).map(|k| (own + k) % PALETTE_LEN);
        let looks = colours.flat_map(|c| Dash::ALL.map(|d| (c, d)));
        let same = taken.iter().find(|(_, name)| *name == lines[i].name).map(|(l, _)| *l);
        let mut free = looks.filter(|l| !taken.iter().any(|(t, _)| t == l));
        let Some(found) = same.or_else(|| free.next()) else {
            return Err(FigureError::Lines { lines: lines.len(), most: MOST });
        };
        taken.push((found, lines[i].name.clone()));
        (lines[i].colour, lines[i].dash) = found;
    }
    Ok(())
}

/// The first of each colour keeps it; when all are taken, neighbours differ.
fn recolour(layers: &mut [Series]) {
    let mut taken: Vec<usize> = Vec::new();
    for i in 0..layers.len() {
        let own = layers[i].colour % PALETTE_LEN;
        let wanted: Vec<usize> = layers[i + 1..].iter().map(|s| s.colour % PALETTE_LEN).collect();
        let all = || (0..PALETTE_LEN).map(|k| (own + k) % PALETTE_LEN);
        let new = |c: &usize| !taken.contains(c);
        // One that a later layer does not ask for, so that few change.
        let found = Some(own).filter(new);
        let found = found.or_else(|| all().find(|c| new(c) && !wanted.contains(c)));
        let found = found.or_else(|| all().find(new));
        let found = found.or_else(|| all().find(|c| taken.last() != Some(c)));
        layers[i].colour = found.unwrap_or(own);
        taken.push(layers[i].colour);
    }
}
