//! Whole pictures: nothing collides, nothing is cut, nothing panics, same bytes on repeat.

mod bars;
mod columns;
mod dice;
mod kit;
mod map;
mod sketch;

use super::scene::Shape;
use super::*;
use dice::Dice;
use kit::{check, check_letters, count_areas, texts};

#[test]
fn random_figures_neither_collide_nor_panic() {
    let sizes = [
        Size::Landscape,
        Size::Portrait,
        Size::Custom(800, 600),
        Size::Custom(320, 4096),
        Size::Custom(3000, 700),
    ];
    let mut drawn = 0;
    for seed in 0..600 {
        let mut dice = Dice(seed);
        let figure = dice.figure();
        let style = Style { size: sizes[dice.below(sizes.len())], theme: Theme::Dark };
        match figure.scene(&style) {
            Ok(scene) => {
                check(&scene, &format!("seed {seed}"));
                check_letters(&scene, &format!("seed {seed}"));
                drawn += 1;
            }
            Err(FigureError::Crowded { .. }) => {}
            Err(other) => panic!("seed {seed}: {other}"),
        }
    }
    assert!(drawn > 300, "only {drawn} of 600 found room");
}

#[test]
fn no_name_is_left_out_and_no_two_lines_look_alike() {
    let mut drawn = 0;
    for seed in 0..300 {
        let mut dice = Dice(seed);
        let figure = dice.crowd();
        let size = [Size::Landscape, Size::Portrait, Size::Custom(1400, 800)][dice.below(3)];
        let style = Style { size, theme: Theme::Light };
        let scene = match figure.scene(&style) {
            Ok(scene) => scene,
            Err(FigureError::Crowded { .. }) => continue,
            Err(other) => panic!("seed {seed}: {other}"),
        };
        drawn += 1;
        check(&scene, &format!("seed {seed}"));
        let words: Vec<&str> = texts(&scene).iter().map(|t| t.text.as_str()).collect();
        for (series, _) in figure.panels.iter().flat_map(|p| p.all_series()) {
            let named = |w: &&str| w.split(" (right)").next() == Some(series.name.as_str());
            assert!(words.iter().any(named), "seed {seed}: {} is not named", series.name);
        }
        for panel in &distinct::distinct(&figure).unwrap().panels {
            let line = |s: &&Series| s.symbol.is_none();
            let lines: Vec<&Series> = match panel.stacked {
                true => panel.series.iter().collect(),
                false => panel.all_series().map(|(s, _)| s).filter(line).collect(),
            };
            for (i, a) in lines.iter().enumerate() {
                let look = |s: &Series| {
                    (s.colour % PALETTE_LEN, if panel.stacked { Dash::Solid } else { s.dash })
                };
                let same = |b: &&Series| look(a) == look(b);
                assert!(!lines[..i].iter().any(same), "seed {seed}: {} is like another", a.name);
            }
        }
    }
    assert!(drawn > 150, "only {drawn} of 300 found room");
}

#[test]
fn more_lines_than_can_be_told_apart_are_refused() {
    let mut figure = sample();
    let line =
        |i: usize| Series { name: format!("line {i}"), ..figure.panels[0].series[0].clone() };
    figure.panels[0].series = (0..40).map(line).collect();
    let error = figure.to_svg(&Style::default()).unwrap_err();
    assert!(error.to_string().contains("41 lines in one panel"), "{error}");
}

fn sample() -> Figure {
    let wave =
        |phase: f64| (0..300).map(move |i| (f64::from(i), (f64::from(i) / 40.0 + phase).sin()));
    let one = |name: &str, colour, phase| Series {
        name: name.into(),
        points: wave(phase).collect(),
        colour,
        ..Series::default()
    };
    Figure {
        title: "Rise & fall of \"x\" < y".into(),
        x_label: "time".into(),
        x_unit: "min".into(),
        panels: vec![Panel {
            label: "temperature".into(),
            unit: "°C".into(),
            series: vec![one("supply air", 0, 0.0), one("wall", 1, 1.0)],
            right: Some(RightAxis {
                label: "vapour density".into(),
                unit: "g/m³".into(),
                series: vec![one("vapour", 2, 2.0)],
            }),
            ..Panel::default()
        }],
        marks: vec![Mark { x: 100.0, label: "lid <open>".into() }],
        alt_text: "Two lines & a <third>\u{0}.".into(),
        ..Figure::default()
    }
}

fn small(theme: Theme) -> Style {
    Style { size: Size::Custom(640, 480), theme }
}

#[test]
fn svg_is_labelled_escaped_and_repeats() {
    let svg = sample().to_svg(&small(Theme::Dark)).unwrap();
    assert_eq!(svg, sample().to_svg(&small(Theme::Dark)).unwrap());
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\""));
    assert!(svg.contains("<title>Rise &amp; fall of \"x\" &lt; y</title>"));
    assert!(svg.contains("<desc>Two lines &amp; a &lt;third&gt; .</desc>"));
    assert!(svg.contains("lid &lt;open&gt;"));
    assert!(svg.contains("font-family=\"DejaVu Sans, sans-serif\""));
    assert!(svg.contains("Temperature (°C)") && svg.contains("Time (min)"));
    assert!(svg.trim_end().ends_with("</svg>"));
    assert_eq!(svg.matches("<svg").count(), 1);
    assert!(!svg.contains("NaN") && !svg.contains('\0'));
    let clear = sample().to_svg(&small(Theme::TransparentOnDark)).unwrap();
    assert_eq!(clear.matches("<rect").count() + 1, svg.matches("<rect").count());
}

#[test]
fn png_has_the_asked_size_and_repeats() {
    let size = |png: &[u8]| {
        let four = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        (four(16), four(20), png[25])
    };
    let png = sample().to_png(&small(Theme::Light)).unwrap();
    assert_eq!(png, sample().to_png(&small(Theme::Light)).unwrap());
    assert_eq!(size(&png), (640, 480, 2));
    let clear = sample().to_png(&small(Theme::TransparentOnLight)).unwrap();
    assert_eq!(size(&clear), (640, 480, 6));
    assert_ne!(png, sample().to_png(&small(Theme::Dark)).unwrap());
}

#[test]
fn a_hundred_thousand_points_stay_small() {
    let mut figure = sample();
    figure.panels[0].series[0].points =
        (0..100_000).map(|i| (f64::from(i) / 300.0, f64::from(i % 700))).collect();
    let svg = figure.to_svg(&Style::default()).unwrap();
    // At most four points per pixel column, some ten bytes each.
    assert!(svg.len() < 120_000, "{} bytes", svg.len());
}

#[test]
fn impossible_requests_are_errors() {
    let size = |w, h| Style { size: Size::Custom(w, h), theme: Theme::Dark };
    for (w, h) in [(0, 0), (319, 1000), (u32::MAX, u32::MAX)] {
        let error = sample().to_png(&size(w, h)).unwrap_err();
        assert!(matches!(error, FigureError::Size { .. }), "{error}");
    }
    let error = Figure::default().to_svg(&Style::default()).unwrap_err();
    assert!(matches!(error, FigureError::NoPanels), "{error}");
    let mut many = sample();
    many.panels = vec![many.panels[0].clone(); 30];
    let error = many.to_svg(&Style::default()).unwrap_err();
    assert!(error.to_string().contains("30 panels"), "{error}");
}

#[test]
fn csv_is_wide_on_a_shared_grid() {
    let mut figure = sample();
    figure.panels[0].series[0].points = vec![(0.0, 21.5), (0.5, f64::NAN)];
    figure.panels[0].series[1].points = vec![(0.0, 1e-9), (0.5, -0.25)];
    let right = figure.panels[0].right.as_mut().unwrap();
    right.series[0].points = vec![(0.0, 12.0), (0.5, 2e20)];
    let csv = "time_min,temperature.supply_air_C,temperature.wall_C,vapour_density.vapour_g_m3\n\
               0,21.5,1e-9,12\n0.5,,-0.25,2e20\n";
    assert_eq!(figure.to_csv(), csv);
}

#[test]
fn csv_is_long_when_grids_differ_and_names_stay_unique() {
    let mut figure = sample();
    figure.panels[0].right = None;
    figure.panels[0].series[0].points = vec![(0.0, 1.0)];
    figure.panels[0].series[1].points = vec![(1.0, 2.0)];
    figure.panels[0].series[1].name = "wall, \"cold\"".into();
    let csv = "panel,series,unit,time_min,value\n\
               temperature,supply air,°C,0,1\ntemperature,\"wall, \"\"cold\"\"\",°C,1,2\n";
    assert_eq!(figure.to_csv(), csv);
    figure.panels[0].series[1] = figure.panels[0].series[0].clone();
    let head = "time_min,temperature.supply_air_C,temperature.supply_air_C_2\n";
    assert!(figure.to_csv().starts_with(head));
    assert_eq!(Figure::default().to_csv(), "x\n");
}

#[test]
fn each_name_stands_beside_its_line_end() {
    let mut figure = sample();
    let flat = |name: &str, y: f64| Series {
        name: name.into(),
        points: vec![(0.0, y), (10.0, y)],
        ..Series::default()
    };
    figure.panels[0].right = None;
    figure.panels[0].series = vec![flat("low", 0.0), flat("high", 10.0), flat("middle", 5.0)];
    let scene = figure.scene(&Style::default()).unwrap();
    let height = |name: &str| {
        let label = texts(&scene).into_iter().find(|t| t.text == name).unwrap();
        label.baseline
    };
    assert!(height("high") < height("middle") && height("middle") < height("low"));
    let gaps = (height("middle") - height("high"), height("low") - height("middle"));
    assert!((gaps.0 - gaps.1).abs() < 1.0, "{gaps:?}");
}

#[test]
fn bars_find_room_on_the_axis_and_a_place_in_the_table() {
    let series = Series {
        name: "weighings".into(),
        points: vec![(0.0, 2.0), (1.0, 1.0)],
        reach: vec![(1.5, 2.5), (-4.0, 9.0)],
        symbol: Some(Symbol::Dot),
        ..Series::default()
    };
    let panel =
        Panel { label: "water".into(), unit: "g".into(), series: vec![series], ..Panel::default() };
    let figure = Figure {
        x_label: "time".into(),
        x_unit: "h".into(),
        panels: vec![panel],
        ..Figure::default()
    };
    let style = Style { size: Size::Landscape, theme: Theme::Light };
    let scene = figure.scene(&style).unwrap();
    check(&scene, "bars");
    let dots = scene.shapes.iter().filter(|s| matches!(s, Shape::Dot { .. })).count();
    assert_eq!(dots, 2);
    let csv = figure.to_csv();
    assert!(csv.contains("time_h,value,low,high\nwater,weighings,g,0,2,1.5,2.5\n"), "{csv}");
}

#[test]
fn a_shaded_line_keeps_its_line_and_a_quiet_series_says_its_name_in_the_table_alone() {
    let points = vec![(0.0, 1.0), (1.0, 2.0), (2.0, f64::NAN), (3.0, 1.0), (4.0, 2.0)];
    let reach = points.iter().map(|p| (p.1 - 5.0, p.1 + 5.0)).collect();
    let line = Series { name: "air".into(), points, reach, shaded: true, ..Series::default() };
    let hollow = |symbol| Series {
        name: "readings".into(),
        points: vec![(0.0, 1.0), (3.0, 2.0)],
        symbol: Some(symbol),
        hollow: true,
        quiet: true,
        colour: 3,
        ..Series::default()
    };
    let symbols = [Symbol::Dot, Symbol::Square, Symbol::Diamond, Symbol::Triangle];
    let series = [vec![line], symbols.map(hollow).to_vec()].concat();
    let panel = Panel { label: "temperature".into(), series, ..Panel::default() };
    let figure = Figure { panels: vec![panel], ..Figure::default() };
    let style = Style { size: Size::Landscape, theme: Theme::Light };
    let scene = figure.scene(&style).unwrap();
    check(&scene, "shaded");
    assert_eq!(
        count_areas(&scene, |_| true),
        2,
        "one area on each side of the gap, and no filled symbol"
    );
    let closed = |s: &&Shape| matches!(s, Shape::Stroke { points, .. } if points.len() > 3 && points.first() == points.last());
    assert_eq!(scene.shapes.iter().filter(closed).count(), 8, "an outline for each symbol");
    let names: Vec<&str> = texts(&scene).iter().map(|t| t.text.as_str()).collect();
    assert!(names.contains(&"air") && !names.contains(&"readings"), "{names:?}");
    let csv = figure.to_csv();
    assert!(csv.contains("temperature,air,,0,1,-4,6") && csv.contains("readings,,3,2"), "{csv}");
}
