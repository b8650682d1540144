//! Every flow of one instant as a plain-text table.

use std::fmt::Write;

use super::text::{digits, duration, left, right};
use crate::run::{Explanation, Line};
use crate::text::Csv;

/// Rates below this part of the largest of their kind are left out.
const LEAST_SHARE: f64 = 1e-6;

/// The whole page.
pub fn page(explanation: &Explanation) -> String {
    let mut out = format!("At {}\n\nTemperatures (°C)\n", duration(explanation.time_s));
    for (name, celsius) in &explanation.temperatures_c {
        let _ = writeln!(out, "  {} {}", left(name, 30), right(&format!("{celsius:.2}"), 9));
    }
    out.push_str("\nFlows, each from one store to another\n");
    let mut part = "";
    for line in explanation.flows.iter().filter(|l| matters(l, &explanation.flows)) {
        if line.part != part {
            part = &line.part;
            let _ = writeln!(out, "  {part}");
        }
        let way = format!("{} -> {}", line.from, line.to);
        let _ =
            writeln!(out, "    {} {} {}", left(&way, 58), right(&digits(line.rate), 10), line.unit);
    }
    out
}

/// Every flow as CSV, one row each, small ones included.
pub fn csv(explanation: &Explanation) -> String {
    let mut out = Csv::with_head(["time_s", "part", "from", "to", "rate", "unit"]);
    let time = explanation.time_s.to_string();
    for l in &explanation.flows {
        out.row([&time, &l.part, &l.from, &l.to, &l.rate.to_string(), &l.unit]);
    }
    out.text()
}

fn matters(line: &Line, all: &[Line]) -> bool {
    let same = all.iter().filter(|l| l.unit == line.unit);
    let largest = same.map(|l| l.rate).fold(0.0, f64::max);
    line.rate >= LEAST_SHARE * largest
}
