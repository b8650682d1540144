//! The certified problems: their models, and a reader of their files.

use drybench::study::fit::Problem;

/// A model: predictors and parameters to the response.
type Model = fn(&[f64], &[f64]) -> f64;

/// All problems.
pub const NAMES: [&str; 27] = [
    "Bennett5", "BoxBOD", "Chwirut1", "Chwirut2", "DanWood", "ENSO", "Eckerle4", "Gauss1",
    "Gauss2", "Gauss3", "Hahn1", "Kirby2", "Lanczos1", "Lanczos2", "Lanczos3", "MGH09", "MGH10",
    "MGH17", "Misra1a", "Misra1b", "Misra1c", "Misra1d", "Nelson", "Rat42", "Rat43", "Roszman1",
    "Thurber",
];

/// One problem as its file states it.
pub struct Certified {
    model: Model,
    /// Predictors of each datum.
    x: Vec<Vec<f64>>,
    /// Responses.
    pub y: Vec<f64>,
    /// Both starts of each parameter.
    pub starts: Vec<[f64; 2]>,
    /// Certified parameters.
    pub values: Vec<f64>,
    /// Certified standard deviations.
    pub errors: Vec<f64>,
}

impl Problem for Certified {
    fn count(&self) -> usize {
        self.y.len()
    }

    fn residuals(&self, p: &[f64]) -> Result<Vec<f64>, String> {
        let all: Vec<f64> =
            self.x.iter().zip(&self.y).map(|(x, y)| (self.model)(x, p) - y).collect();
        if all.iter().all(|r| r.is_finite()) { Ok(all) } else { Err("not a number".into()) }
    }
}

impl Certified {
    /// Reads a problem's file.
    pub fn load(name: &str) -> Self {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fit/certified/data");
        let text = std::fs::read_to_string(format!("{folder}/{name}.dat")).expect(name);
        let numbers = |line: &str| -> Vec<f64> {
            line.split_whitespace().map(|w| w.parse().expect("a number")).collect()
        };
        let mut lines = text.lines();
        let mut all = Vec::new();
        for line in lines.by_ref() {
            if let Some((_, row)) =
                line.trim_start().strip_prefix('b').and_then(|l| l.split_once('='))
                && line.trim_start().as_bytes()[1].is_ascii_digit()
            {
                all.push(numbers(row));
            }
            if line.starts_with("Data:") && line.contains(" x") {
                break;
            }
        }
        let rows: Vec<Vec<f64>> = lines.filter(|l| !l.trim().is_empty()).map(numbers).collect();
        // Nelson's response is the logarithm of what is listed.
        let response = |y: f64| if name == "Nelson" { y.ln() } else { y };
        Certified {
            model: model(name),
            x: rows.iter().map(|r| r[1..].to_vec()).collect(),
            y: rows.iter().map(|r| response(r[0])).collect(),
            starts: all.iter().map(|r| [r[0], r[1]]).collect(),
            values: all.iter().map(|r| r[2]).collect(),
            errors: all.iter().map(|r| r[3]).collect(),
        }
    }
}

fn model(name: &str) -> Model {
    match name {
        "Bennett5" => |x, b| b[0] * (b[1] + x[0]).powf(-1.0 / b[2]),
        "BoxBOD" | "Misra1a" => |x, b| b[0] * (1.0 - (-b[1] * x[0]).exp()),
        "Chwirut1" | "Chwirut2" => |x, b| (-b[0] * x[0]).exp() / (b[1] + b[2] * x[0]),
        "DanWood" => |x, b| b[0] * x[0].powf(b[1]),
        "ENSO" => |x, b| {
            let turn = 2.0 * std::f64::consts::PI * x[0];
            let (year, one, two) = (turn / 12.0, turn / b[3], turn / b[6]);
            b[0] + b[1] * year.cos()
                + b[2] * year.sin()
                + b[4] * one.cos()
                + b[5] * one.sin()
                + b[7] * two.cos()
                + b[8] * two.sin()
        },
        "Eckerle4" => |x, b| b[0] / b[1] * (-0.5 * ((x[0] - b[2]) / b[1]).powi(2)).exp(),
        "Gauss1" | "Gauss2" | "Gauss3" => |x, b| {
            let hill = |at: f64, wide: f64| (-((x[0] - at) / wide).powi(2)).exp();
            b[0] * (-b[1] * x[0]).exp() + b[2] * hill(b[3], b[4]) + b[5] * hill(b[6], b[7])
        },
        "Hahn1" | "Thurber" => |x, b| {
            let x = x[0];
            (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])))
        },
        "Kirby2" => |x, b| {
            let x = x[0];
            (b[0] + x * (b[1] + x * b[2])) / (1.0 + x * (b[3] + x * b[4]))
        },
        "Lanczos1" | "Lanczos2" | "Lanczos3" => |x, b| {
            let fall = |a: f64, k: f64| a * (-k * x[0]).exp();
            fall(b[0], b[1]) + fall(b[2], b[3]) + fall(b[4], b[5])
        },
        "MGH09" => |x, b| b[0] * x[0] * (x[0] + b[1]) / (x[0] * (x[0] + b[2]) + b[3]),
        "MGH10" => |x, b| b[0] * (b[1] / (x[0] + b[2])).exp(),
        "MGH17" => |x, b| b[0] + b[1] * (-x[0] * b[3]).exp() + b[2] * (-x[0] * b[4]).exp(),
        "Misra1b" => |x, b| b[0] * (1.0 - (1.0 + b[1] * x[0] / 2.0).powi(-2)),
        "Misra1c" => |x, b| b[0] * (1.0 - (1.0 + 2.0 * b[1] * x[0]).powf(-0.5)),
        "Misra1d" => |x, b| b[0] * b[1] * x[0] / (1.0 + b[1] * x[0]),
        "Nelson" => |x, b| b[0] - b[1] * x[0] * (-b[2] * x[1]).exp(),
        "Rat42" => |x, b| b[0] / (1.0 + (b[1] - b[2] * x[0]).exp()),
        "Rat43" => |x, b| b[0] / (1.0 + (b[1] - b[2] * x[0]).exp()).powf(1.0 / b[3]),
        "Roszman1" => {
            |x, b| b[0] - b[1] * x[0] - (b[2] / (x[0] - b[3])).atan() / std::f64::consts::PI
        }
        _ => panic!("no model called {name}"),
    }
}
