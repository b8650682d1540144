//! What a fit found out, in words.

use super::{Fit, Interval, Known, Parameter, Side};

/// Word for a parameter of which only a combination with others is known.
pub const COMBINED: &str = "combined";

/// How a parameter stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Standing {
    /// Known by itself.
    Known,
    /// Its interval is wide, though no other parameter is to blame.
    Loose,
    /// The data do not see it.
    Flat,
    /// At a bound.
    AtBound,
    /// Only a combination with these others is known.
    Combined(Vec<usize>),
}

impl Standing {
    /// In a word.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Standing::Known => "known",
            Standing::Loose => "loose",
            Standing::Flat => "flat",
            Standing::AtBound => "at bound",
            Standing::Combined(_) => COMBINED,
        }
    }
}

/// One parameter's standing, in a word and in a sentence.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Number of the parameter.
    pub parameter: usize,
    /// Its standing.
    pub standing: Standing,
    /// The sentence.
    pub words: String,
}

/// Half width of an interval over the size of its parameter up to which it counts as known. Our
/// choice.
const KNOWN_TO: f64 = 0.3;

/// Standard error over that with all others known, from which on they are to blame for it: a
/// multiple correlation of 0.95. Our choice.
const BLAME: f64 = 3.2;

/// Pair correlation, or share of a blind direction, that names a partner.
const PARTNER: (f64, f64) = (0.7, 0.2);

/// Says how each parameter stands; `shown` writes the half width of an interval of a parameter.
#[must_use]
pub fn verdict(
    parameters: &[Parameter],
    fit: &Fit,
    known: &Known,
    intervals: &[Interval],
    shown: &dyn Fn(usize, f64) -> String,
) -> Vec<Finding> {
    let judge = Judge { parameters, fit, known, shown };
    (0..parameters.len())
        .map(|i| {
            let (standing, words) = judge.one(i, intervals.get(i));
            Finding { parameter: i, standing, words }
        })
        .collect()
}

struct Judge<'a> {
    parameters: &'a [Parameter],
    fit: &'a Fit,
    known: &'a Known,
    shown: &'a dyn Fn(usize, f64) -> String,
}

impl Judge<'_> {
    fn one(&self, i: usize, interval: Option<&Interval>) -> (Standing, String) {
        let name = &self.parameters[i].name;
        let open =
            interval.is_some_and(|x| matches!((x.low, x.high), (Side::Bound(_), Side::Bound(_))));
        let flat = || {
            let words = format!("{name} is flat: every value between its bounds fits the data");
            (Standing::Flat, words)
        };
        if self.fit.at_bound[i] != 0 {
            // A slope too small to matter may still lead a search to a bound.
            if open {
                return flat();
            }
            let which = if self.fit.at_bound[i] < 0 { "lower" } else { "upper" };
            let far = match interval.map(|x| if self.fit.at_bound[i] < 0 { x.high } else { x.low })
            {
                Some(Side::At(_)) => "the interval is one-sided",
                _ => "how far from it the data allow could not be found",
            };
            let words = format!("{name} is at its {which} bound: the data would go beyond; {far}");
            return (Standing::AtBound, words);
        }
        let Some(se) = self.known.standard_error[i] else { return self.unseen(i) };
        let size = self.parameters[i].typical(self.fit.values[i]);
        let width = self.known.coverage_factor * se;
        let half = width / size;
        let alone = self.known.alone[i].unwrap_or(se);
        let partners = self.partners(i);
        if half > KNOWN_TO && se > BLAME * alone && !partners.is_empty() {
            return self.combined(i, se, alone, partners);
        }
        if open {
            return flat();
        }
        if half > KNOWN_TO {
            let words =
                format!("{name} is loosely known, to {}{}", (self.shown)(i, width), self.held());
            return (Standing::Loose, words);
        }
        let known = format!("{name} is known to {}{}", (self.shown)(i, width), self.held());
        let words = match partners.is_empty() || se <= BLAME * alone {
            true => known,
            false => format!(
                "{known}, most of that doubt shared with {}: were the others known, {}",
                self.names(&partners),
                (self.shown)(i, self.known.coverage_factor * alone)
            ),
        };
        (Standing::Known, words)
    }

    /// What every statement rests on while parameters stand at their bounds.
    fn held(&self) -> String {
        let at: Vec<usize> =
            (0..self.parameters.len()).filter(|k| self.fit.at_bound[*k] != 0).collect();
        match at.as_slice() {
            [] => String::new(),
            [_] => format!(" if {} really is at its bound", self.names(&at)),
            _ => format!(" if {} really are at their bounds", self.names(&at)),
        }
    }

    /// A parameter without a standard error: unseen, alone or together with others.
    fn unseen(&self, i: usize) -> (Standing, String) {
        let name = &self.parameters[i].name;
        let with = |d: &&Vec<f64>| d[i].abs() > PARTNER.1;
        let direction = self.known.unseen.iter().find(with);
        let others: Vec<usize> = direction.map_or_else(Vec::new, |d| {
            (0..d.len()).filter(|k| *k != i && d[*k].abs() > PARTNER.1).collect()
        });
        if others.is_empty() {
            let why = match self.known.alone[i] {
                Some(_) => "every value between its bounds fits the data",
                None => "the data do not change with it",
            };
            return (Standing::Flat, format!("{name} is flat: {why}"));
        }
        let words = format!(
            "{name} cannot be told from {}: only one combination of them is known",
            self.names(&others)
        );
        (Standing::Combined(others), words)
    }

    fn combined(&self, i: usize, se: f64, alone: f64, partners: Vec<usize>) -> (Standing, String) {
        let factor = self.known.coverage_factor;
        let (all, only) = ((self.shown)(i, factor * se), (self.shown)(i, factor * alone));
        let strongest = partners[0];
        let r = self.known.correlation(i, strongest).unwrap_or(0.0);
        let how = if r > 0.0 { "raising both" } else { "raising one and lowering the other" };
        let words = format!(
            "{} by itself is known to {all} only: {how} with {} fits as well (correlation {r:.3}); \
             with {} known it would be known to {only}",
            self.parameters[i].name,
            self.names(&partners),
            if partners.len() == 1 { "that one" } else { "those" },
        );
        (Standing::Combined(partners), words)
    }

    /// Parameters that correlate with this one, the strongest first.
    fn partners(&self, i: usize) -> Vec<usize> {
        let r = |k: usize| self.known.correlation(i, k).map_or(0.0, f64::abs);
        let mut found: Vec<usize> =
            (0..self.parameters.len()).filter(|k| *k != i && r(*k) > PARTNER.0).collect();
        found.sort_by(|a, b| r(*b).total_cmp(&r(*a)));
        found
    }

    fn names(&self, which: &[usize]) -> String {
        let names: Vec<&str> = which.iter().map(|k| self.parameters[*k].name.as_str()).collect();
        names.join(" and ")
    }
}

/// The half width of an interval over a value, for people.
#[must_use]
pub fn percent(value: f64, half_width: f64) -> String {
    let pct = 100.0 * half_width / value.abs();
    match pct {
        p if p < 1.0 => format!("± {p:.2} %"),
        p if p < 10.0 => format!("± {p:.1} %"),
        p if p < 1000.0 => format!("± {p:.0} %"),
        _ => "no digit".into(),
    }
}
