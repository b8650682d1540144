//! Whole figures: nothing collides, nothing is cut, nothing panics, same bytes on repeat.

mod dice;

use super::scene::{Rect, Scene, Shape, Text};
use super::*;
use dice::Dice;

fn texts<'a>(scene: &'a Scene) -> Vec<&'a Text> {
    let text = |shape: &'a Shape| match shape {
        Shape::Text(text) => Some(text),
        _ => None,
    };
    scene.shapes.iter().filter_map(text).collect()
}

fn overlap(a: &Rect, b: &Rect) -> bool {
    // A hair's breadth of slack for round-off where boxes touch.
    let slack = 0.01;
    a.left + slack < b.right
        && b.left + slack < a.right
        && a.top + slack < b.bottom
        && b.top + slack < a.bottom
}

/// No words collide or leave the picture; no line leaves it; no words are too small.
fn check(scene: &Scene, case: &str) {
    let (width, height) = (f64::from(scene.size_px.0), f64::from(scene.size_px.1));
    let texts = texts(scene);
    let unit = width.min(height) / 1080.0;
    for (i, a) in texts.iter().enumerate() {
        let box_a = a.bounds();
        let inside =
            box_a.left >= 0.0 && box_a.right <= width && box_a.top >= 0.0 && box_a.bottom <= height;
        assert!(inside, "{case}: {:?} outside: {box_a:?}", a.text);
        let least = if a.baseline > height - 150.0 * unit { 22.0 } else { 28.0 };
        assert!(a.face.em_px >= least * unit - 1e-9, "{case}: {a:?} too small");
        for b in &texts[..i] {
            let box_b = b.bounds();
            assert!(
                !overlap(&box_a, &box_b),
                "{case}: {:?} {box_a:?} on {:?} {box_b:?}",
                a.text,
                b.text
            );
        }
    }
    for shape in &scene.shapes {
        let points = match shape {
            Shape::Stroke { points, .. } => points.as_slice(),
            Shape::Area { outline, .. } => outline.as_slice(),
            Shape::Dot { centre, .. } => std::slice::from_ref(centre),
            Shape::Text(_) => &[],
        };
        for &(x, y) in points {
            let inside = (0.0..=width).contains(&x) && (0.0..=height).contains(&y);
            assert!(inside, "{case}: ({x}, {y}) outside");
        }
    }
}

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
        match paint::scene(&figure, &style) {
            Ok(scene) => {
                check(&scene, &format!("seed {seed}"));
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
        let scene = match paint::scene(&figure, &style) {
            Ok(scene) => scene,
            Err(FigureError::Crowded { .. }) => continue,
            Err(other) => panic!("seed {seed}: {other}"),
        };
        drawn += 1;
        check(&scene, &format!("seed {seed}"));
        let words: Vec<&str> = texts(&scene).iter().map(|t| t.text.as_str()).collect();
        for series in figure.panels.iter().flat_map(|p| p.all_series()) {
            let named = |w: &&str| w.split(" (right)").next() == Some(series.name.as_str());
            assert!(words.iter().any(named), "seed {seed}: {} is not named", series.name);
        }
        for panel in &distinct::distinct(&figure).unwrap().panels {
            let line = |s: &&Series| s.symbol.is_none();
            let lines: Vec<&Series> = match panel.stacked {
                true => panel.series.iter().collect(),
                false => panel.all_series().filter(line).collect(),
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
    let error = to_svg(&figure, &Style::default()).unwrap_err();
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
    let svg = to_svg(&sample(), &small(Theme::Dark)).unwrap();
    assert_eq!(svg, to_svg(&sample(), &small(Theme::Dark)).unwrap());
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\""));
    assert!(svg.contains("<title>Rise &amp; fall of \"x\" &lt; y</title>"));
    assert!(svg.contains("<desc>Two lines &amp; a &lt;third&gt; .</desc>"));
    assert!(svg.contains("lid &lt;open&gt;"));
    assert!(svg.contains("font-family=\"DejaVu Sans, sans-serif\""));
    assert!(svg.contains("Temperature (°C)") && svg.contains("Time (min)"));
    assert!(svg.trim_end().ends_with("</svg>"));
    assert_eq!(svg.matches("<svg").count(), 1);
    assert!(!svg.contains("NaN") && !svg.contains('\0'));
    let clear = to_svg(&sample(), &small(Theme::TransparentOnDark)).unwrap();
    assert_eq!(clear.matches("<rect").count() + 1, svg.matches("<rect").count());
}

#[test]
fn png_has_the_asked_size_and_repeats() {
    let size = |png: &[u8]| {
        let four = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        (four(16), four(20), png[25])
    };
    let png = to_png(&sample(), &small(Theme::Light)).unwrap();
    assert_eq!(png, to_png(&sample(), &small(Theme::Light)).unwrap());
    assert_eq!(size(&png), (640, 480, 2));
    let clear = to_png(&sample(), &small(Theme::TransparentOnLight)).unwrap();
    assert_eq!(size(&clear), (640, 480, 6));
    assert_ne!(png, to_png(&sample(), &small(Theme::Dark)).unwrap());
}

#[test]
fn a_hundred_thousand_points_stay_small() {
    let mut figure = sample();
    figure.panels[0].series[0].points =
        (0..100_000).map(|i| (f64::from(i) / 300.0, f64::from(i % 700))).collect();
    let svg = to_svg(&figure, &Style::default()).unwrap();
    // At most four points per pixel column, some ten bytes each.
    assert!(svg.len() < 120_000, "{} bytes", svg.len());
}

#[test]
fn impossible_requests_are_errors() {
    let size = |w, h| Style { size: Size::Custom(w, h), theme: Theme::Dark };
    for (w, h) in [(0, 0), (319, 1000), (u32::MAX, u32::MAX)] {
        let error = to_png(&sample(), &size(w, h)).unwrap_err();
        assert!(matches!(error, FigureError::Size { .. }), "{error}");
    }
    let error = to_svg(&Figure::default(), &Style::default()).unwrap_err();
    assert!(matches!(error, FigureError::NoPanels), "{error}");
    let mut many = sample();
    many.panels = vec![many.panels[0].clone(); 30];
    let error = to_svg(&many, &Style::default()).unwrap_err();
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
    assert_eq!(figure.marks_to_csv(), "time_min,mark\n100,lid <open>\n");
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
    let scene = paint::scene(&figure, &Style::default()).unwrap();
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
    let scene = paint::scene(&figure, &style).unwrap();
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
    let scene = paint::scene(&figure, &style).unwrap();
    check(&scene, "shaded");
    let areas = scene.shapes.iter().filter(|s| matches!(s, Shape::Area { .. })).count();
    assert_eq!(areas, 2, "one area on each side of the gap, and no filled symbol");
    let closed = |s: &&Shape| matches!(s, Shape::Stroke { points, .. } if points.len() > 3 && points.first() == points.last());
    assert_eq!(scene.shapes.iter().filter(closed).count(), 8, "an outline for each symbol");
    let names: Vec<&str> = texts(&scene).iter().map(|t| t.text.as_str()).collect();
    assert!(names.contains(&"air") && !names.contains(&"readings"), "{names:?}");
    let csv = figure.to_csv();
    assert!(csv.contains("temperature,air,,0,1,-4,6") && csv.contains("readings,,3,2"), "{csv}");
}
