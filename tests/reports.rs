//! Every format of a report from numbers written by hand: nothing here simulates.

use drybench::address::{Address, Change, Event, LoadNames, Names, Place, Quantity};
use drybench::metric::Metric;
use drybench::physics::psychrometrics::AirState;
use drybench::reader::{Origin, Report, Value, ValueRecord};
use drybench::report::figure::{Drawing, Size, Style, Theme};
use drybench::report::{air, check, explanation, pictures, series, summary};
use drybench::run::{Column, Effort, Explanation, Ledger, Line, Peak, Row, Run, SCHEMA_VERSION};
use drybench::units::{Kind, Measured, k_from_c};

/// Two zones, a pad, an opening.
fn names() -> Names {
    let pad = LoadNames { name: "pad".into(), ..LoadNames::default() };
    let (zones, openings) = (vec!["supply".into(), "return".into()], vec!["low".into()]);
    Names { zones, loads: vec![pad], sensors: Vec::new(), openings }
}

fn column(place: Place, quantity: Quantity, values: [f64; 3]) -> Column {
    let address = Address::new(place, quantity);
    let (name, label) = (names().head(address), names().label(address));
    let unit = quantity.unit().into();
    Column { address, name, label, unit, values: values.into(), peak: None }
}

type Amount = (Place, Quantity, f64);

fn ledger(unit: &str, sources: &[Amount], uses: &[Amount], closure_error: f64) -> Ledger {
    let rows = |list: &[Amount], source: bool| {
        let row = |(place, quantity, amount): &Amount| {
            let address = Address::new(*place, *quantity);
            Row { address, name: names().line(address, source), amount: *amount }
        };
        list.iter().map(row).collect()
    };
    let (sources, uses) = (rows(sources, true), rows(uses, false));
    Ledger { unit: unit.into(), sources, uses, closure_error }
}

fn metric(key: &str, label: &str, value: Option<f64>, unit: &str) -> Metric {
    let (key, label, unit) = (key.into(), label.into(), unit.into());
    let definition = "as written by hand".into();
    Metric { key, label, value, unit, definition, ..Metric::default() }
}

fn run() -> Run {
    let mut air = column(Place::Zone(1), Quantity::Temperature, [20.0, 45.123_456_78, 49.5]);
    air.peak = Some(Peak { time_s: 90.0, value: 50.25 });
    Run {
        schema_version: SCHEMA_VERSION,
        program_version: "0.0.0".into(),
        title: "Box <1> & lid".into(),
        names: names(),
        time_s: vec![0.0, 60.0, 120.0],
        columns: vec![
            air,
            column(Place::Zone(1), Quantity::RelativeHumidity, [50.0, 30.0, f64::NAN]),
            column(Place::Zone(1), Quantity::VapourDensity, [8.6, 12.5, 11.0]),
            column(Place::Load(0), Quantity::Temperature, [20.0, 28.0, 31.0]),
            column(Place::Load(0), Quantity::WaterRemaining, [2.5, 2.25, -0.0]),
            column(Place::Wall(1), Quantity::Condensate, [0.0, 1.0e-9, 0.125]),
        ],
        metrics: vec![
            metric("warm_up_min", "warm-up", Some(1.25), "min"),
            metric("settling_min", "settling", None, "min"),
            metric("removed_g", "water removed from the loads", Some(2.5), "g"),
            metric("t90_min", "time to remove 90 % of the added water", Some(1.9), "min"),
            metric("peak_rh_pct", "peak relative humidity", Some(50.4), "%RH"),
        ],
        water: ledger(
            "g",
            &[
                (Place::Load(0), Quantity::AddedWater, 2.5),
                (Place::Opening(0), Quantity::WaterIn, 0.25),
            ],
            &[
                (Place::Load(0), Quantity::Water, -0.0001),
                (Place::Opening(0), Quantity::WaterOut, 2.7501),
            ],
            -2.0e-14,
        ),
        energy: ledger(
            "Wh",
            &[(Place::Heater, Quantity::Energy, 5.0)],
            &[(Place::Wall(1), Quantity::HeatOut, 5.0)],
            0.0,
        ),
        events: vec![Event {
            time_s: 60.0,
            place: Place::Lid,
            change: Change::LidOpened,
            name: Some("look".into()),
        }],
        effort: Effort { steps: 10, rejected: 1, switchings: 3 },
        warnings: vec!["something to know".into()],
        ended: None,
    }
}

#[test]
fn summary_page() {
    let want = "\
Box <1> & lid
2 min simulated, heater switched 3 times

Metrics
  warm-up                                            1.250 min
  settling                                     not reached
  water removed from the loads                       2.500 g
  time to remove 90 % of the added water             1.900 min
  peak relative humidity                             50.40 %RH

Water (g)
  from  added to pad                                        2.500
  from  in through vent low                                 0.250
        total                                               2.750
  to    remaining in pad (bound included)                   0.000
  to    out through vent low                                2.750
        total                                               2.750
  closure error 2e-14 g

Energy (Wh)
  from  heater                                               5.00
        total                                                5.00
  to    through the return wall                              5.00
        total                                                5.00
  closure error 0 Wh

Events
          60 s  look: lid opened

Warnings
  something to know

Caution
  A simulated box is no proof of safety. A mains heater in a closed box needs a limiter and a one-shot
  cut-out of its own, must be off when the fan fails, and belongs to no solvent, fuel or food. Local
  codes and a competent person decide; this program certifies nothing.
";
    assert_eq!(summary::page(&run()), want);
}

#[test]
fn definitions() {
    let text = summary::definitions(&run());
    assert!(text.starts_with("Definitions\n  warm-up [min]: as written by hand\n"), "{text}");
    assert_eq!(text.lines().count(), 6);
}

#[test]
fn series_csv() {
    let want = "\
time_s,return_temperature_C,return_relative_humidity_pct,return_vapour_density_g_m3,pad_temperature_C,pad_water_remaining_g,wall_return_film_g
0,20,50,8.6,20,2.5,0
60,45.12346,30,12.5,28,2.25,0.000000001
120,49.5,,11,31,0,0.125
";
    assert_eq!(series::csv(&run()), want);
}

/// The first figure of a run.
fn overview(run: &Run) -> drybench::report::figure::Figure {
    let picture = pictures::find(pictures::FIRST).expect("the first figure");
    (picture.draw)(run).expect("something to show")
}

fn instant() -> Explanation {
    let flow = |part: &str, from: &str, to: &str, rate, unit: &str| Line {
        part: part.into(),
        from: from.into(),
        to: to.into(),
        rate,
        unit: unit.into(),
    };
    Explanation {
        program_version: "0.0.0".into(),
        title: "Box".into(),
        snapshot: drybench::run::Snapshot::default(),
        time_s: 5400.0,
        temperatures_c: vec![("air.return".into(), 49.5), ("heater element".into(), 81.256)],
        flows: vec![
            flow("heater", "mains to heater", "heater element", 62.2, "W"),
            flow("heater", "heater element", "air.return", 0.001_234, "W"),
            flow("heater", "heater element", "nothing", 1e-6, "W"),
            flow("load.pad \"A\"", "load.pad water", "air.return vapour", 2.706, "g/h of water"),
        ],
    }
}

#[test]
fn explanation_page_and_csv() {
    let want = "\
At 90 min

Temperatures (°C)
  air.return                         49.50
  heater element                     81.26

Flows, each from one store to another
  heater
    mains to heater -> heater element                               62.20 W
    heater element -> air.return                                 0.001234 W
  load.pad \"A\"
    load.pad water -> air.return vapour                             2.706 g/h of water
";
    assert_eq!(explanation::page(&instant()), want);
    let want = "\
time_s,part,from,to,rate,unit
5400,heater,mains to heater,heater element,62.2,W
5400,heater,heater element,air.return,0.001234,W
5400,heater,heater element,nothing,0.000001,W
5400,\"load.pad \"\"A\"\"\",load.pad water,air.return vapour,2.706,g/h of water
";
    assert_eq!(explanation::csv(&instant()), want);
}

fn air_state(temp_c: f64, dew_c: Option<f64>) -> AirState {
    AirState {
        temp_k: k_from_c(temp_c),
        total_pa: 101_325.0,
        vapour_pa: 1190.25,
        saturation_pa: 2644.75,
        relative_humidity: 0.4505,
        dew_point_k: dew_c.map(k_from_c),
        wet_bulb_k: k_from_c(-4.5),
        wet_bulb_over: "ice",
        humidity_ratio: 0.0073925,
        vapour_density_kg_m3: 0.0087375,
        density_kg_m3: 1.19,
        volume_m3_kg: 0.8461,
        enthalpy_j_kg: 40_925.0,
    }
}

#[test]
fn air_table_and_csv() {
    let states =
        [("as given", air_state(22.0, Some(-1.25))), ("same water", air_state(50.0, None))];
    let want = "                                    as given    same water
temperature                            22.00         50.00  °C
relative humidity                      45.05         45.05  %RH
dew point                              -1.25          none  °C
wet bulb                               -4.50         -4.50  °C, over ice
humidity ratio                         7.393         7.393  g/kg dry air
vapour density                         8.738         8.738  g/m³
vapour pressure                       1190.2        1190.2  Pa
saturation pressure                   2644.8        2644.8  Pa
density                               1.1900        1.1900  kg/m³
volume per dry air                    0.8461        0.8461  m³/kg
enthalpy per dry air                   40.93         40.93  kJ/kg
pressure                             1013.25       1013.25  hPa
";
    assert_eq!(air::table(&states), want);
    assert!(air::table(&states[..1]).starts_with("temperature "), "no heads above one column");
    let want = "\
state,temperature_C,relative_humidity_pct,dew_point_C,wet_bulb_C,wet_bulb_over,humidity_ratio_g_kg,vapour_density_g_m3,vapour_pressure_Pa,saturation_pressure_Pa,density_kg_m3,volume_m3_kg,enthalpy_kJ_kg,pressure_Pa
as given,22,45.05,-1.25,-4.5,ice,7.3925,8.7375,1190.25,2644.75,1.19,0.8461,40.925,101325
same water,50,45.05,,-4.5,ice,7.3925,8.7375,1190.25,2644.75,1.19,0.8461,40.925,101325
";
    assert_eq!(air::csv(&states), want);
}

fn report() -> Report {
    let record =
        |path: &str, value, origin| ValueRecord { path: path.into(), value, origin, doubt: None };
    let words = |text: &str| Value::Words(text.into());
    let quantity = |kind, value| Value::Quantity(kind, Measured { value, sd: None });
    let derived = Origin::Derived("inner_size".into());
    Report {
        warnings: Vec::new(),
        values: vec![
            record("title", words("Box"), Origin::File { line: 1 }),
            record("vent.low.diameter", quantity(Kind::Length, 0.006), Origin::Set),
            record("vent.low.kind", words("a \"hole\""), Origin::File { line: 7 }),
            record("vent.low.count", Value::Count(1), Origin::Default("one hole".into())),
            record("enclosure.volume", quantity(Kind::Volume, 0.009), derived),
        ],
    }
}

#[test]
fn check_page_and_csv() {
    let want = "\
Box

Values
  vent.low.diameter                                  6 mm  --set
  vent.low.kind                                  a \"hole\"  line 7
  vent.low.count                                        1  default: one hole

What follows from them
  enclosure.volume                                    9 L  inner_size
";
    assert_eq!(check::page("Box", &report()), want);
    let want = "\
path,value,si_value,origin
title,Box,,line 1
vent.low.diameter,6 mm,0.006,\"option, --set\"
vent.low.kind,\"a \"\"hole\"\"\",,line 7
vent.low.count,1,1,\"default, one hole\"
enclosure.volume,9 L,0.009,\"derived, inner_size\"
";
    assert_eq!(check::csv(&report()), want);
}

#[test]
fn figure_csv() {
    // The zones are those that have a dew point.
    let mut run = run();
    let dew = [8.0, 28.0, 25.0];
    run.columns.push(column(Place::Zone(1), Quantity::DewPoint, dew));
    let want = "\
time_min,temperature.return_air_C,temperature.pad_C,relative_humidity.return_air_pct,vapour_density.vapour_density_return_air_g_m3,added_water.remaining_in_pad_g,added_water.on_the_walls_g
0,20,20,50,8.6,2.5,0
1,45.12345678,28,30,12.5,2.25,1e-9
2,49.5,31,,11,0,0.125
";
    assert_eq!(overview(&run).to_csv(), want);
}

#[test]
fn figure_svg_speaks() {
    let figure = overview(&run());
    let svg = figure.to_svg(&Style::default()).expect("a picture");
    assert!(svg.contains("<title>Box &lt;1&gt; &amp; lid</title>"));
    let (_, rest) = svg.split_once("<desc>").expect("a description");
    let (desc, _) = rest.split_once("</desc>").expect("an end of it");
    let want = "Box &lt;1&gt; &amp; lid. Simulated over 2 min.";
    assert!(desc.starts_with(want), "{desc}");
    assert!(desc.contains("90 % of the added water has left the load after 2 min"), "{desc}");
    assert!(svg.contains("role=\"img\"") && svg.contains("viewBox=\"0 0 7680 4320\""));
    assert!(svg.trim_end().ends_with("</svg>"));
    assert_eq!(svg, figure.to_svg(&Style::default()).expect("a picture"), "the same bytes again");
}

/// Width and height from the header of a PNG file.
fn png_size(bytes: &[u8]) -> (u32, u32) {
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"));
    let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes"));
    (number(16), number(20))
}

#[test]
fn figure_png_has_the_size_asked_for() {
    let figure = overview(&run());
    let sizes = [
        (Size::Landscape, (1920, 1080)),
        (Size::Portrait, (1080, 1920)),
        (Size::Custom(1280, 720), (1280, 720)),
    ];
    for (size, want) in sizes {
        let style = Style { size, theme: Theme::Light };
        let bytes = figure.to_png(&style).expect("a picture");
        assert_eq!(png_size(&bytes), want);
    }
}

#[test]
fn json_of_a_run_is_complete() {
    let json = serde_json::to_value(run()).expect("plain data");
    assert_eq!(json["schema_version"], SCHEMA_VERSION);
    assert_eq!(json["columns"][0]["peak"]["time_s"], 90.0);
    assert_eq!(json["columns"][1]["values"][2], serde_json::Value::Null, "missing is null");
    assert_eq!(json["columns"][1]["quantity"], "relative_humidity");
    assert_eq!(json["events"][0]["change"], "lid_opened");
    assert_eq!(json["warnings"], serde_json::json!(["something to know"]));
}
