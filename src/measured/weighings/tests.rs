use super::*;
use crate::measured::Moment;

fn good(text: &str) -> Weighings {
    read("notes.txt", text.as_bytes(), &WeighingOptions::default())
        .unwrap_or_else(|issues| panic!("{text}\n{issues:#?}"))
}

fn bad(text: &str) -> String {
    let issues = read("notes.txt", text.as_bytes(), &WeighingOptions::default()).unwrap_err();
    issues.iter().map(|i| i.to_string() + "\n").collect()
}

fn grams_of(w: &Weighings) -> Vec<f64> {
    w.weighings.iter().map(|w| (1e6 * w.kg).round() / 1e3).collect()
}

#[test]
fn many_ways_to_write_a_weighing() {
    let shapes = [
        "dry 3.00 g\nwet 5.00 g\n10:00 in box\n10:30 4.50 g\n11:00 4.10 g\n",
        "trocken 3,00 g\nnass 5,00 g\n10:00 Kiste\n10:30 4,50 g\n11:00 4,10 g\n",
        "tare: 3.00g\nstart: 5.00g\nbox 10.00 Uhr\n10.30  4.50g\n11.00  4.10g\n",
        "dry = 0.003 kg\nwet = 0.005 kg\n+30 min 4.50 g\n+60 min 4.10 g\n",
        "sec 3.00 g\nmouillé 5.00 g\n30 min: 4.50 g\n1 h: 4.10 g\n",
        "time,mass_g,dry_g\n10:00,5.00,3.00\n10:30,4.50,3.00\n11:00,4.10,3.00\n",
        "Zeit;Gewicht [g];Tara [g]\n10:00;5,00;3,00\n10:30;4,50;3,00\n11:00;4,10;3,00\n",
        "dry 3.00 g\nwet 5.00 g\n2026-03-14 23:30 into box\n2026-03-15 00:00 4.50 g\n2026-03-15 00:30 4.10 g\n",
        "dry 3.00 g\nwet 5.00 g\n11:30 pm in box\n12:00 am 4.50 g\n12:30 am 4.10 g\n",
        "dry 3.00 g\nwet 5.00 g\nt=1800 s 4.50 g\nt=3600 s 4.10 g\n",
    ];
    for text in shapes {
        let w = good(text);
        assert_eq!(grams_of(&w), [4.5, 4.1], "{text}");
        assert!((1e3 * w.added_kg().unwrap() - 2.0).abs() < 1e-9, "{text}");
        let times: Vec<f64> = w.weighings.iter().map(|w| w.time_s).collect();
        assert_eq!(times, [1800.0, 3600.0], "{text}");
        assert_eq!(w.ledger.lines.len(), text.lines().count(), "{text}");
        assert_eq!(w.ledger.count(LineClass::Unread), 0, "{text}: {}", w.ledger);
    }
}

#[test]
fn what_is_wrong_is_said_with_its_line_and_what_to_type() {
    let cases = [
        ("", "notes.txt: has nothing in it"),
        ("a nice day\n", "notes.txt: has no weighing in it"),
        (
            "10:30 5.39\n11:00 4.78\n",
            "notes.txt:1: has masses but no unit anywhere\n     say which: --mass-unit g",
        ),
        ("10:30 5.39 g\n10:00 4.78 g\n", "notes.txt:2: its time lies before that of line 1"),
        ("10:30 4.39 g\n11:00 4.78 g\n", "notes.txt:2: the load gains mass"),
        (
            "dry 3.0 g\ndry 4.0 g\n10:30 5.0 g\n",
            "notes.txt:2: dry mass 4 g and that of line 1, 3 g, disagree",
        ),
        (
            "dry 6.0 g\nwet 5.0 g\n10:30 4.0 g\n",
            "notes.txt:2: start mass 5 g is not above the dry mass 6 g",
        ),
        ("5.39 g\n10:30 5.0 g\n", "notes.txt:1: has a mass but neither a time nor a word"),
        ("time,weight\n10:00,5\n", "notes.txt:2: column `weight` has masses without a unit"),
        (
            "sample,time,mass_g\na,10:00,5\nb,10:00,5\n",
            "notes.txt: holds 2 samples\n     say which: --sample \"a\"",
        ),
    ];
    for (text, words) in cases {
        let found = bad(text);
        assert!(found.contains(words), "{text}:\n{found}");
    }
}

#[test]
fn a_small_gain_is_scatter_and_a_larger_one_is_told() {
    let w = good(
        "scale reads to 0.01 g, repeat: 5.00 5.01 5.00 4.99 5.00 g\nwet 6.00 g\n10:00 5.00 g\n10:30 5.01 g\n11:00 4.00 g\n",
    );
    assert!(w.notes.iter().all(|t| !t.contains("scatter")), "{:?}", w.notes);
    let w = good("wet 6.00 g\n10:00 5.00 g\n10:30 5.20 g\n11:00 4.00 g\n");
    assert!(
        w.notes.iter().any(|t| t.contains("line 3: 5.2 g is more than the 5 g of line 2")),
        "{:?}",
        w.notes
    );
}

#[test]
fn guesses_become_errors_when_asked() {
    let text = "dry 3.00 g\n10:30 5.39\n11:00 4.78 g\n";
    let strict = WeighingOptions { strict: true, ..WeighingOptions::default() };
    let issues = read("notes.txt", text.as_bytes(), &strict).unwrap_err();
    assert_eq!(issues.len(), 2, "{issues:#?}");
    let pinned = WeighingOptions { mass_unit: Some("g".into()), ..WeighingOptions::default() };
    let w = read("notes.txt", text.as_bytes(), &pinned).unwrap();
    assert_eq!(grams_of(&w), [5.39, 4.78]);
}

#[test]
fn the_start_is_understood_in_many_ways() {
    let shapes = [
        "dry 3.00 g\nt=0 5.00 g\n30 min 4.50 g\n60 min 4.10 g\n",
        "dry 3.00 g\nt = 0 min: 5.00 g\nt=30 min 4.50 g\nt=60 min 4.10 g\n",
        "dry 3.00 g\n0 min 5.00 g\n30 min 4.50 g\n60 min 4.10 g\n",
        "9:50 dry 3.00 g\n10:00 wet 5.00 g\n10:30 4.50 g still wet\n11:00 4.10 g\n",
        "dry 3.00 g\n10:00 in box\n10:00 5.00 g\n10:30 4.50 g\n11:00 4.10 g\n",
        "tray tared to 0\ndry 3.00 g\nwet 5.00 g\n10:00 in box\n10:30 4.50 g\n11:00 4.10 g\n",
    ];
    for text in shapes {
        let w = good(text);
        assert_eq!(grams_of(&w), [4.5, 4.1], "{text}");
        assert!((1e3 * w.start.unwrap().kg - 5.0).abs() < 1e-9, "{text}");
        assert!((1e3 * w.dry.unwrap().kg - 3.0).abs() < 1e-9, "{text}");
        let times: Vec<f64> = w.weighings.iter().map(|w| w.time_s).collect();
        assert_eq!(times, [1800.0, 3600.0], "{text}");
        assert_eq!(w.ledger.count(LineClass::Unread), 0, "{text}: {}", w.ledger);
    }
}

#[test]
fn what_cannot_be_told_is_asked() {
    let cases = [
        (
            "wet 6 g\n10:00 in box\n9:30 5.39 g\n",
            "notes.txt:3: its time lies before the load went into the box",
        ),
        ("wet 6 g\n-30 min 5.39 g\n", "notes.txt:2: its time lies before the start"),
        ("wet 6 g\nt=-30 min 5.39 g\n", "notes.txt:2: its time lies before the start"),
        (
            "wet 6 g\nt=30 5.39 g\n",
            "notes.txt:2: its time since the start has no unit\n     write, for example, t=30 min",
        ),
        (
            "tray 12.30 g\nwet 6 g\n10:30 5.39 g\n",
            "notes.txt:1: has the mass of what the load lies in",
        ),
        (
            "wet 6 g\n10:30 5.39 g\n10:30 4.39 g\n",
            "notes.txt:3: 4.39 g and 5.39 g of line 2 have one time",
        ),
    ];
    for (text, words) in cases {
        let found = bad(text);
        assert!(found.contains(words), "{text}:\n{found}");
    }
    let issues = read("notes.txt", b"wet 6 g\n10:30 5.39 g \xfc\n", &WeighingOptions::default());
    let found = issues.unwrap_err()[0].to_string();
    assert!(found.contains("notes.txt:2: is not UTF-8: byte 0xfc"), "{found}");
}

#[test]
fn masses_at_one_time_are_repeats_and_energy_used_has_a_beginning() {
    let w = good(
        "wet 6.00 g\n10:00 in box\n10:30 5.38 g\n10:30 5.40 g\n11:00 4.78 g\nEnergy used 0.149 kWh\n",
    );
    assert_eq!(grams_of(&w), [5.39, 4.78]);
    assert_eq!((w.repeats.len(), w.repeats[0].kg.len()), (1, 2));
    let energy: Vec<_> = w.energy.iter().map(|e| (e.at, e.joule)).collect();
    assert_eq!(
        energy,
        [(Some(Moment::Elapsed(0.0)), 0.0), (Some(Moment::Elapsed(3600.0)), 0.149 * 3.6e6)]
    );
    let w = good(
        "wet 6 g\n10:00 in box\n11:00 5 g\nmeter 10:00 1.000 kWh\nmeter 11:00 1.100 kWh\nused 0.1 kWh\n",
    );
    assert_eq!(w.energy.len(), 2);
}
