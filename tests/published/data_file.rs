//! Reading the files under `data/`, and the root finder that the comparisons share.

/// A row of a data file.
pub struct Record {
    header: csv::StringRecord,
    fields: csv::StringRecord,
}

impl Record {
    /// The field named `key`.
    pub fn text(&self, key: &str) -> &str {
        let i = self.header.iter().position(|h| h == key);
        let field = i.and_then(|i| self.fields.get(i));
        field.unwrap_or_else(|| panic!("no column {key}"))
    }

    /// The field named `key` as a number.
    pub fn num(&self, key: &str) -> f64 {
        let text = self.text(key);
        text.parse().unwrap_or_else(|_| panic!("{key} = \"{text}\" is no number"))
    }

    /// A number, or none in an empty field.
    pub fn num_opt(&self, key: &str) -> Option<f64> {
        (!self.text(key).is_empty()).then(|| self.num(key))
    }
}

/// The rows of a data file, whose head is made of `#` lines.
pub fn records(text: &str) -> Vec<Record> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let rows = reader.records().map(|r| r.expect("a row as long as the header"));
    rows.map(|fields| Record { header: header.clone(), fields }).collect()
}

/// Zero of a function that falls or rises between `low` and `high`.
pub fn root(mut low: f64, mut high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let rising = f(high) > f(low);
    for _ in 0..80 {
        let mid = 0.5 * (low + high);
        if (f(mid) < 0.0) == rising {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}
