//! Maps.

use super::kit::{check, count_areas, count_texts};
use crate::report::figure::{Drawing, Limit, Map, Size, Steps, Style, Theme};

fn map(columns: usize, rows: usize) -> Map {
    let names = |n: usize| (0..n).map(|i| format!("{}", 10 * i)).collect();
    let grid = |f: fn(f64, f64) -> f64| -> Vec<Vec<f64>> {
        (0..rows).map(|j| (0..columns).map(|i| f(i as f64, j as f64)).collect()).collect()
    };
    Map {
        title: "Warm-up of an invented box".into(),
        x: Steps {
            label: "heater power".into(),
            unit: "W".into(),
            names: names(columns),
            ..Steps::default()
        },
        y: Steps {
            label: "circulation".into(),
            unit: "L/s".into(),
            names: names(rows),
            ..Steps::default()
        },
        label: "warm-up".into(),
        unit: "min".into(),
        cells: grid(|i, j| if i == 0.0 && j == 0.0 { f64::NAN } else { 30.0 / (1.0 + i) + j }),
        limits: vec![Limit {
            words: "overshoot 3 K".into(),
            values: grid(|i, j| i - j),
            level: 1.5,
            above: false,
            unsure: Vec::new(),
        }],
        ..Map::default()
    }
}

#[test]
fn words_stay_apart_on_maps_of_many_shapes() {
    for (columns, rows) in [(1, 1), (2, 8), (8, 6), (30, 20), (200, 3)] {
        for size in [Size::Landscape, Size::Portrait, Size::Custom(700, 600)] {
            let style = Style { size, theme: Theme::Light };
            let scene = map(columns, rows).scene(&style).unwrap();
            check(&scene, &format!("{columns} x {rows} {size:?}"));
        }
    }
}

#[test]
fn every_number_is_a_cell_and_a_hole_is_none() {
    let style = Style { size: Size::Landscape, theme: Theme::Dark };
    let areas = |m: &Map| count_areas(&m.scene(&style).unwrap(), |_| true);
    // Without contours, whose numbers have a ground.
    let whole = Map { scattered: true, ..map(4, 3) };
    let mut holed = whole.clone();
    holed.cells[2][1] = f64::NAN;
    assert_eq!(areas(&whole), areas(&holed) + 1);
    assert!(
        whole.to_csv().starts_with(
            "heater_power_W,circulation_L_s,warm_up_min,overshoot_3_K\n0,0,,0\n10,0,15,1\n"
        ),
        "{}",
        whole.to_csv()
    );
}

#[test]
fn cells_that_break_a_limit_fade() {
    let faded = |above: bool| {
        let mut map = map(5, 4);
        map.limits[0].above = above;
        count_areas(&map.scene(&Style::default()).unwrap(), |alpha| alpha < 1.0)
    };
    // Of 20 cells, six have i - j above 1.5; all others are below, one of them empty.
    assert_eq!((faded(false), faded(true)), (6, 13));
}

#[test]
fn contours_carry_their_numbers() {
    let numbers = |map: &Map, level: &str| {
        count_texts(&map.scene(&Style::default()).unwrap(), |words| words == level)
    };
    let mut map = map(8, 6);
    map.cells = (0..6).map(|_| (0..8).map(f64::from).collect()).collect();
    map.y.names = (0..6).map(|i| format!("row {i}")).collect();
    map.x.names = (0..8).map(|i| format!("column {i}")).collect();
    // At the bar, and on the map unless neighbours have nothing to do with each other.
    assert_eq!((numbers(&map, "2"), numbers(&map, "4")), (2, 2));
    map.scattered = true;
    assert_eq!((numbers(&map, "2"), numbers(&map, "4")), (1, 1));
}

#[test]
fn a_limit_that_is_nowhere_says_so() {
    let words = |level: f64| {
        let mut map = map(5, 4);
        map.limits[0].level = level;
        let scene = map.scene(&Style::default()).unwrap();
        count_texts(&scene, |words| words.contains("no line"))
    };
    assert_eq!((words(99.0), words(1.5)), (1, 0));
}

#[test]
fn nothing_to_show_is_an_error_not_a_panic() {
    assert!(Map::default().scene(&Style::default()).is_err());
    let mut flat = map(3, 3);
    flat.cells = vec![vec![5.0; 3]; 3];
    assert!(flat.scene(&Style::default()).is_ok());
    flat.cells = vec![vec![f64::NAN; 3]; 2];
    assert!(flat.scene(&Style::default()).is_ok());
}
