//! Long logs with little memory, in pieces of any size.

use std::io;

use drybench::measured::log::{Head, ImportOptions, Importer, Row, SeriesSink, Sink, resort};

/// Counts rows and keeps the last time.
#[derive(Debug, Default)]
struct Counter {
    rows: u64,
    last_s: f64,
}

impl Sink for Counter {
    const ONE_AXIS: bool = false;

    fn begin(&mut self, _: &Head) -> io::Result<()> {
        Ok(())
    }

    fn row(&mut self, row: Row) -> io::Result<()> {
        self.rows += 1;
        self.last_s = row.time_s;
        Ok(())
    }
}

#[test]
fn a_long_log_holds_few_rows_and_lines() {
    let mut importer = Importer::new("long.txt", ImportOptions::default(), Counter::default());
    importer.feed(b"time_s,temp_c,rh\n").expect("fed");
    let mut most_lines = 0;
    for i in 0..300_000_u32 {
        // every tenth pair of lines comes in the wrong order
        let t = if i % 10 == 3 {
            i + 1
        } else if i % 10 == 4 {
            i - 1
        } else {
            i
        };
        let line = format!("{t},{}.5,{}.5\n", 20 + t % 30, 40 + t % 20);
        importer.feed(line.as_bytes()).expect("fed");
        most_lines = most_lines.max(importer.lines_held());
        assert!(importer.most_rows_held() <= resort::MOST_ROWS + 1);
    }
    assert!(most_lines < drybench::measured::log::SAMPLE_LINES);
    assert_eq!((importer.lines_held(), importer.most_rows_held()), (0, resort::MOST_ROWS + 1));
    let (summary, sink) = importer.finish().expect("read");
    assert_eq!((sink.rows, sink.last_s), (300_000, 299_999.0));
    assert_eq!(summary.ledger.to_string(), "300001 lines = 300000 readings + 1 header");
}

#[test]
fn the_size_of_the_pieces_does_not_matter() {
    let text = include_bytes!("../logs/05_semicolon_decimal_comma.txt");
    let read = |piece: usize| {
        let mut importer =
            Importer::new("log.txt", ImportOptions::default(), SeriesSink::default());
        text.chunks(piece).for_each(|c| importer.feed(c).expect("fed"));
        let (summary, sink) = importer.finish().expect("read");
        (summary.ledger, sink.into_series())
    };
    let whole = read(text.len());
    for piece in [1, 7, 512, 4096] {
        // As text, since a missing value is not equal to itself.
        assert_eq!(format!("{:?}", read(piece)), format!("{whole:?}"), "{piece}");
    }
}

#[test]
fn a_week_at_one_second() {
    let mut importer = Importer::new("week.txt", ImportOptions::default(), Counter::default());
    for i in 0..604_800_u32 {
        let (h, m, s) = (i / 3600 % 24, i / 60 % 60, i % 60);
        let line = format!("{h}:{m:02}:{s:02} T={}.5C RH=45.5%\n", 20 + i % 30);
        importer.feed(line.as_bytes()).expect("fed");
    }
    let (_, sink) = importer.finish().expect("read");
    assert_eq!((sink.rows, sink.last_s), (604_800, 604_799.0));
}

/// Lines of a sensor, and from line 5001 on those of a second one as well.
fn with_a_late_sensor(line: impl Fn(u32, &str) -> String) -> String {
    let mut text = String::new();
    for i in 0..6000_u32 {
        text += &line(i, "A");
        if i >= 5000 {
            text += &line(i, "B");
        }
    }
    text
}

#[test]
fn a_sensor_that_comes_late_has_a_place() {
    let comma = |i: u32, id: &str| format!("{},{id},{}.5,{}.5\n", 10 * i, 20 + i % 10, 40 + i % 10);
    let json = |i: u32, id: &str| {
        format!(
            "{{\"t_s\":{},\"{id}\":{{\"temp\":{}.5,\"rh\":{}.5}}}}\n",
            10 * i,
            20 + i % 10,
            40 + i % 10
        )
    };
    let labelled = |i: u32, id: &str| {
        format!("t={} s {id}1 T={}.5C RH={}.5%\n", 10 * i, 20 + i % 10, 40 + i % 10)
    };
    for text in [
        format!("time_s,sensor,temp_c,rh\n{}", with_a_late_sensor(comma)),
        with_a_late_sensor(json),
        with_a_late_sensor(labelled),
    ] {
        let mut importer =
            Importer::new("late.txt", ImportOptions::default(), SeriesSink::default());
        text.as_bytes().chunks(4000).for_each(|c| importer.feed(c).expect("fed"));
        let (summary, sink) = importer.finish().expect("read");
        let series = sink.into_series();
        assert!(summary.ledger.adds_up(), "{}", summary.ledger);
        assert_eq!(series.time_s.len(), 6000, "{}", summary.ledger);
        let late: Vec<_> = series.channels.iter().filter(|c| c.sensor.starts_with('b')).collect();
        assert_eq!(
            late.len(),
            2,
            "{:?}",
            series.channels.iter().map(|c| &c.sensor).collect::<Vec<_>>()
        );
        for channel in late {
            let there = channel.values.iter().filter(|v| v.is_finite()).count();
            assert_eq!((channel.values.len(), there), (6000, 1000));
        }
        let said = drybench::reader::render(&summary.warnings);
        assert!(said.contains("a sensor that comes late: b"), "{said}");
    }
}
