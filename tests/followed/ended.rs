//! Runs that leave the range of the model.

use drybench::address::{Address, Place, Quantity};
use drybench::metric::Bound;
use drybench::run::{Method, Run, RunError, explain, sample, simulate};
use drybench::units::{Kind, format_digits};

use crate::common::{bundled_text, last, replaced, run, scenario};

/// A box that overheats after some minutes.
fn hot() -> String {
    let text = bundled_text("sealed.toml").replace("\"ptc\"", "\"resistive\"");
    let text = replaced(&text, "160 W", "250 W");
    let text = replaced(&text, "\"pi\"", "\"always_on\"");
    let text = replaced(&text, "3.00 ± 0.02 g", "30 g");
    replaced(&text, "[run]", "[limits]\nair = \"100 °C\"\n[run]")
}

fn found<'r>(run: &'r Run, key: &str) -> &'r drybench::metric::Metric {
    run.metrics.iter().find(|m| m.key == key).unwrap_or_else(|| panic!("{key}"))
}

#[test]
fn an_overheated_box_ends_where_it_leaves_the_range() {
    let run = run(&hot());
    let ended = run.ended.as_ref().expect("an early end");
    assert_eq!(ended.place, "air of supply");
    let text = ended.to_string();
    assert!(text.contains("the air in zone supply reaches 150 °C, outside the range"), "{text}");
    // The last row is the instant itself, not the end of a step.
    assert_eq!(run.time_s.last(), Some(&ended.time_s));
    assert!((last(&run, "supply_temperature_C") - 150.0).abs() < 1e-6);
    for ledger in [&run.water, &run.energy] {
        assert!(ledger.closure_error.abs() < 1e-10, "{ledger:?}");
    }
    let peak = found(&run, "peak_air_C");
    assert_eq!(peak.bound, Some(Bound::AtLeast));
    assert!((peak.value.expect("a peak") - 150.0).abs() < 1e-6);
    assert_eq!(found(&run, "service_margin_K").bound, Some(Bound::AtMost));
    assert_eq!(found(&run, "energy_Wh").bound, Some(Bound::AtLeast));
    let after = format_digits(Kind::Time, ended.time_s, 3);
    let unknown = format!("unknown after {after}");
    for key in ["t95_min", "box_t90_min", "removed_g", "holding_power_W", "air_changes_per_h"] {
        assert_eq!(found(&run, key).why.as_deref(), Some(unknown.as_str()), "{key}");
    }
    // Limits are judged, and the end is told first.
    assert_eq!(run.warnings[0], text);
    let limit = run.warnings.iter().find(|w| w.contains("limits.air")).expect("a limit");
    assert!(limit.contains("passes 100 °C after 2 min and reaches 150 °C"), "{limit}");
    assert!(run.events.iter().all(|h| h.time_s <= ended.time_s));
}

#[test]
fn an_early_end_does_not_depend_on_the_rows() {
    let ends = ["30 s", "5 min"].map(|every| run(&replaced(&hot(), "30 s", every)).ended);
    assert!(ends[0].is_some());
    assert_eq!(ends[0], ends[1]);
}

#[test]
fn no_element_is_hotter_than_any_real_one() {
    let text = bundled_text("two_holes_two_zones.toml").replace("\"ptc\"", "\"resistive\"");
    let text = replaced(&text, "160 W\"", "160 W\"\ncoupling = \"0.02 W/K\"");
    let run = run(&text);
    let ended = run.ended.as_ref().expect("an early end");
    assert_eq!(ended.place, "element");
    assert!((last(&run, "element_temperature_C") - 1400.0).abs() < 1e-3);
    assert!(ended.to_string().contains("no resistance wire stands"), "{ended}");
}

#[test]
fn half_a_run_is_none_for_a_fit_and_an_explanation() {
    let scenario = scenario(&hot());
    let columns = [Address::new(Place::Zone(0), Quantity::Temperature)];
    let sampled = sample(&scenario, &[60.0, 7200.0], &columns).expect_err("half a run");
    let explained = explain(&scenario, 7200.0).expect_err("half a run");
    let whole = simulate(&scenario, Method::Rodas5p).and_then(Run::whole).expect_err("half a run");
    for error in [sampled, explained, whole] {
        assert!(matches!(error, RunError::OutOfRange(_)), "{error}");
        let text = error.to_string();
        assert!(text.ends_with("look at heater.power, fan.circulation and control"), "{text}");
    }
    assert!(explain(&scenario, 60.0).is_ok());
}
