//! Level bars.

use super::kit::{check, count_texts};
use crate::report::figure::{Bar, BarRow, Bars, Drawing, Size, Style, Theme};

fn bars(rows: usize) -> Bars {
    let row = |i: usize| BarRow {
        name: format!("path number {i}"),
        bars: vec![
            Bar {
                from: 10.0,
                to: 10.0 - 9.0 / (1.0 + i as f64),
                words: "5 mm".into(),
                ..Bar::default()
            },
            Bar {
                from: 10.0,
                to: 10.0 + 4.0 / (1.0 + i as f64),
                colour: 1,
                words: "15 mm".into(),
                whisker: Some((11.0, 12.0)),
            },
        ],
    };
    Bars {
        title: "What decides the time of an invented box".into(),
        label: "time".into(),
        unit: "min".into(),
        base: Some(10.0),
        keys: vec![(0, "lowest".into()), (1, "highest".into())],
        rows: (0..rows).map(row).collect(),
        source_line: "invented".into(),
        ..Bars::default()
    }
}

#[test]
fn words_stay_inside_and_apart() {
    for rows in [1, 3, 12, 60] {
        for size in [Size::Landscape, Size::Portrait, Size::Custom(700, 600)] {
            let style = Style { size, theme: Theme::Light };
            check(&bars(rows).scene(&style).unwrap(), &format!("{rows} {size:?}"));
        }
    }
}

#[test]
fn rows_without_room_are_counted_in_words() {
    let said = |rows: usize| {
        let scene = bars(rows).scene(&Style::default()).unwrap();
        count_texts(&scene, |words| words.contains("more rows"))
    };
    assert_eq!((said(60), said(5)), (1, 0));
}

#[test]
fn nothing_to_show_is_an_error_not_a_panic() {
    assert!(Bars::default().scene(&Style::default()).is_err());
    let mut odd = bars(2);
    odd.rows[0].bars[0].to = f64::NAN;
    odd.rows[1].bars.clear();
    odd.base = None;
    assert!(odd.scene(&Style::default()).is_ok());
    assert_eq!(
        bars(1).to_csv(),
        "row,bar,from min,to min,whisker_low min,whisker_high min\n\
         path number 0,5 mm,10,1,,\npath number 0,15 mm,10,14,11,12\n"
    );
}
