//! Runs that lack something, and those that were saved and read again.

use super::*;

#[test]
fn poor_runs_give_no_figure_or_a_valid_one() {
    let mut no_load = run(61);
    no_load.columns.retain(|c| !c.name.contains("hair") && c.name != "water_in_box_g");
    let mut no_vents = run(61);
    no_vents.columns.retain(|c| !c.name.starts_with("water_path_out"));
    let mut not_numbers = run(61);
    not_numbers.columns.iter_mut().for_each(|c| c.values.fill(f64::NAN));
    let mut short = run(61);
    short.columns.iter_mut().for_each(|c| c.values.truncate(1));
    for (case, run) in [
        ("nothing", empty(0)),
        ("no columns", empty(3)),
        ("no samples", run(0)),
        ("one sample", run(1)),
        ("two samples", run(2)),
        ("no load", no_load.clone()),
        ("no vents", no_vents),
        ("not numbers", not_numbers),
        ("short columns", short),
    ] {
        for picture in PICTURES {
            if let Some(figure) = (picture.draw)(&run) {
                let words = format!("{case}: {}", picture.name);
                assert!(!figure.panels.is_empty() && !figure.alt_text.is_empty(), "{words}");
                figure.to_svg(&Style::default()).expect(&words);
            }
        }
    }
    assert!(drawn("drying", &no_load).is_none());
    assert!(drawn("overview", &run(1)).is_some() && drawn("overview", &run(0)).is_none());
}

#[test]
fn a_saved_run_is_redrawn_alike() {
    let mut run = with_spool(run(61));
    run.columns[3].values[0] = f64::NAN;
    let saved = serde_json::to_string(&run).unwrap();
    let again: Run = serde_json::from_str(&saved).unwrap();
    for picture in PICTURES {
        let [a, b] = [&run, &again].map(|r| (picture.draw)(r).unwrap());
        assert_eq!(a.to_csv(), b.to_csv());
        let style = Style { size: Size::Custom(800, 600), theme: Theme::Dark };
        assert_eq!(a.to_png(&style).ok(), b.to_png(&style).ok(), "{}", picture.name);
    }
}
