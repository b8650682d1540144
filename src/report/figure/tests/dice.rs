//! Random figures.

use crate::report::figure::*;

/// A small generator of its own, so that a failing seed can be run again.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }

    fn share(&mut self) -> f64 {
        self.below(1_000_001) as f64 / 1e6
    }

    fn words(&mut self, most: usize) -> String {
        const WORDS: [&str; 6] = ["air", "set point", "wall", "vapour density", "°C", "pad"];
        let count = self.below(most + 1);
        let words: Vec<_> = (0..count).map(|_| WORDS[self.below(WORDS.len())]).collect();
        words.join(" ")
    }

    fn series(&mut self) -> Series {
        let (low, high) = [
            (0.0, 1.0),
            (20.0, 60.0),
            (-3e7, 5e7),
            (1e-7, 2e-7),
            (50.0, 50.0),
            (0.0, 0.0),
            (-1e300, 1e300),
        ][self.below(7)];
        let count = [0, 1, 2, 50, 400][self.below(5)];
        let holes = self.below(8) == 0;
        let y = |dice: &mut Self| match dice.below(10) {
            0 if holes => f64::NAN,
            _ => low + (high - low) * dice.share(),
        };
        let dot = if self.below(2) == 0 { Symbol::Dot } else { Symbol::Triangle };
        let symbol = [None, None, Some(dot), Some(Symbol::Cross)][self.below(4)];
        let shaded = self.below(2) == 0;
        let bars = if symbol.is_some() || shaded { self.below(2) * count as usize } else { 0 };
        Series {
            name: self.words(4),
            reach: (0..bars).map(|_| (y(self), y(self))).collect(),
            symbol,
            hollow: self.below(2) == 0,
            shaded,
            quiet: self.below(8) == 0,
            points: (0..count).map(|i| (f64::from(i), y(self))).collect(),
            colour: self.below(20),
            dash: [Dash::Solid, Dash::Dash, Dash::Dot, Dash::DashDot][self.below(4)],
            width: [1.0, 0.0, 3.0, f64::NAN][self.below(4)],
            step: self.below(2) == 0,
            band: self.band(),
            emphasis: self.below(4) == 0,
        }
    }

    fn band(&mut self) -> Option<Band> {
        let over = [20.0, 0.0, f64::NAN, 1e300][self.below(4)];
        let band = Band { over, from: 100.0 * self.share(), mean: self.below(2) == 0 };
        (self.below(2) == 0).then_some(band)
    }

    fn panel(&mut self) -> Panel {
        let count = self.below(6);
        let right = (self.below(3) == 0).then(|| RightAxis {
            label: self.words(3),
            unit: "g/m³".into(),
            series: vec![self.series()],
        });
        Panel {
            label: self.words(3),
            unit: "°C".into(),
            series: (0..count).map(|_| self.series()).collect(),
            right,
            zero_based: self.below(2) == 0,
            ordered: self.below(2) == 0,
            stacked: self.below(4) == 0,
            reach: [None, None, Some((-5.0, 40.0)), Some((f64::NAN, 1.0))][self.below(4)],
            weight: [1.0, 2.0, 0.0, f64::NAN][self.below(4)],
        }
    }

    /// Lines by the dozen, each with a name of one word of its own, many of which look alike.
    pub(super) fn crowd(&mut self) -> Figure {
        let panel = |dice: &mut Self, p: usize| {
            let stacked = dice.below(5) == 0;
            let most = if stacked { 8 } else { 24 };
            let line = |dice: &mut Self, i: usize| Series {
                name: format!("line_{p}_{i}"),
                points: (0..5).map(|x| (f64::from(x), dice.share())).collect(),
                colour: dice.below(4),
                dash: [Dash::Solid, Dash::Dot][dice.below(2)],
                symbol: (dice.below(6) == 0).then_some(Symbol::Dot),
                emphasis: dice.below(6) == 0,
                ..Series::default()
            };
            let series = (0..1 + dice.below(most)).map(|i| line(dice, i)).collect();
            let right = (dice.below(4) == 0)
                .then(|| RightAxis { series: vec![line(dice, 99)], ..RightAxis::default() });
            Panel { label: "air".into(), series, right, stacked, ..Panel::default() }
        };
        let panels = 1 + self.below(3);
        Figure {
            title: "a crowd".into(),
            panels: (0..panels).map(|p| panel(self, p)).collect(),
            marks: vec![Mark { x: 2.0, label: "lid".into() }],
            ..Figure::default()
        }
    }

    pub(super) fn figure(&mut self) -> Figure {
        let panels = 1 + self.below(4);
        let marks = [0, 1, 5, 12, 40][self.below(5)];
        let mut mark = || Mark { x: 420.0 * self.share() - 10.0, label: self.words(2) };
        let marks = (0..marks).map(|_| mark()).collect();
        Figure {
            title: self.words(30),
            subtitle: self.words(40),
            x_label: "time".into(),
            x_unit: ["s", "min", "h", "d", ""][self.below(5)].into(),
            x_log: self.below(4) == 0,
            panels: (0..panels).map(|_| self.panel()).collect(),
            marks,
            source_line: self.words(30),
            alt_text: String::new(),
        }
    }
}
