//! A column of a table as it is written.

/// A written column: its header, its decimals, and where its value comes from.
pub(super) struct Written {
    pub(super) sensor: String,
    /// Quantity and unit, as in the head of a column.
    pub(super) word: &'static str,
    pub(super) header: String,
    pub(super) decimals: usize,
    pub(super) from: From,
}

impl Written {
    pub(super) fn new(sensor: &str, word: &'static str, decimals: usize, from: From) -> Self {
        let parts = [sensor, word];
        let header: Vec<&str> = parts.into_iter().filter(|p| !p.is_empty()).collect();
        Self { sensor: sensor.to_owned(), word, header: header.join("_"), decimals, from }
    }

    /// Quantity and unit apart; a quantity that this program does not know has its own name.
    pub(super) fn quantity(&self) -> (&str, &str) {
        match self.word.rsplit_once('_') {
            _ if self.word.is_empty() => (&self.sensor, ""),
            _ if self.word.ends_with("_g_kg") || self.word.ends_with("_g_m3") => {
                (&self.word[..self.word.len() - 5], &self.word[self.word.len() - 4..])
            }
            Some((quantity, unit)) => (quantity, unit),
            None => (self.word, ""),
        }
    }
}

/// Where the value of a column comes from.
pub(super) enum From {
    /// Place in the row; typed unit = SI times this, or a temperature.
    Column(usize, f64),
    Temperature(usize),
    /// Which of the three of moist air, and which pair.
    Moist(usize, usize),
}
