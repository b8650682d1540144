//! `drybench import`: logger text to a tidy series and a count of its lines.

use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

use clap::Args;

use super::output::{Talk, json, not_printed};
use crate::files::table::{TableStyle, Writer};
use crate::files::whole::{Whole, may_write};
use crate::files::{Cause, Listener, Outcome, Stop, cannot_write, input, reason, source, whole};
use crate::measured::log::complaint::error;
use crate::measured::log::options::{
    DATE_ORDERS, DECIMALS, ENCODINGS, HUMIDITY_UNITS, INTERVALS, PAUSES, PRESSURES, SEPARATORS,
    TEMPERATURE_UNITS, TIME_UNITS,
};
use crate::measured::log::{Failure, ImportOptions, Importer, Summary, lex};
use crate::physics::constants::STANDARD_PRESSURE;
use crate::units::{self, Kind};

#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Examples:\n  \
        drybench import run1.txt -o run1.csv\n  \
        drybench import run1.txt --interval \"30 s\" --format json\n\n\
        Every guess is told with the option that pins it; --strict makes guesses errors."
)]
pub(super) struct Import {
    /// The log; - for standard input, which a logger may still be writing
    log: PathBuf,
    /// Where rows go; - for standard output
    #[arg(short, long, default_value = "-", value_name = "FILE")]
    output: PathBuf,
    /// Replace the output when it is there
    #[arg(long)]
    force: bool,
    /// How rows are written
    #[arg(long, default_value = "csv", value_parser = ["csv", "long", "json", "jsonl"], value_name = "FORMAT")]
    format: String,
    /// Also write the count of lines as JSON
    #[arg(long, value_name = "FILE")]
    ledger: Option<PathBuf>,
    #[command(flatten)]
    pins: Pins,
}

/// Everything about a log that can be pinned.
#[derive(Debug, Args)]
struct Pins {
    /// Names of the columns from the left, such as time,rh,temp_f; - leaves one out
    #[arg(long, value_name = "NAMES", allow_hyphen_values = true, value_delimiter = ',')]
    columns: Option<Vec<String>>,
    /// What parts the fields
    #[arg(long, value_parser = SEPARATORS, value_name = "WORD")]
    separator: Option<String>,
    /// Decimal mark
    #[arg(long, value_parser = DECIMALS, value_name = "MARK")]
    decimal: Option<String>,
    /// Time between readings of a log without times, such as "30 s"
    #[arg(long, value_name = "TIME")]
    interval: Option<String>,
    /// Order of day and month in dates such as 3/4/2026
    #[arg(long, value_parser = DATE_ORDERS, value_name = "ORDER")]
    date_order: Option<String>,
    /// Unit of a counter
    #[arg(long, value_parser = TIME_UNITS, value_name = "UNIT")]
    time_unit: Option<String>,
    /// Unit of temperatures that name none
    #[arg(long, value_parser = TEMPERATURE_UNITS, value_name = "UNIT")]
    temperature_unit: Option<String>,
    /// Unit of humidities that name none
    #[arg(long, value_parser = HUMIDITY_UNITS, value_name = "UNIT")]
    humidity_unit: Option<String>,
    /// How bytes become text
    #[arg(long, value_parser = ENCODINGS, default_value = "auto", value_name = "NAME")]
    encoding: String,
    /// Clock of the first row, such as "2026-03-14 15:02:10"
    #[arg(long, value_name = "CLOCK")]
    start: Option<String>,
    /// New name of a sensor: OLD=NEW; may be repeated
    #[arg(long, value_name = "OLD=NEW")]
    sensor: Vec<String>,
    /// Temperature and humidity are the wrong way round
    #[arg(long)]
    swap: bool,
    /// Pressure of the air where the log has none; 1013.25 hPa without it
    #[arg(long, value_name = "PRESSURE")]
    pressure: Option<String>,
    /// Readings that take turns between levels are those of one sensor
    #[arg(long)]
    one_sensor: bool,
    /// Time from the last reading before a restart of the counter to the first one after it
    #[arg(long, value_name = "TIME")]
    pause: Option<String>,
    /// Take a guess for an error
    #[arg(long)]
    strict: bool,
}

impl Pins {
    fn options(&self) -> Result<ImportOptions, Stop> {
        let word = |w: &Option<String>| w.as_deref().map(str::to_owned);
        let unit = |w: &Option<String>| word(w).and_then(|w| ImportOptions::unit_of(&w));
        let sensor = |text: &String| match text.split_once('=') {
            Some((old, new)) if !old.is_empty() && !new.is_empty() => {
                Ok((old.to_owned(), new.to_owned()))
            }
            _ => {
                Err(wrong("--sensor", text, "needs an old and a new name", "write --sensor S1=hot"))
            }
        };
        if let Some(text) = self.start.as_ref().filter(|t| lex::stamp::exact(t).is_none()) {
            let hint = "write --start \"2026-03-14 15:02:10\"";
            return Err(wrong("--start", text, "is no date with a clock", hint));
        }
        Ok(ImportOptions {
            columns: self.columns.clone(),
            separator: word(&self.separator).and_then(|w| ImportOptions::separator_of(&w)),
            decimal: word(&self.decimal).and_then(|w| ImportOptions::decimal_of(&w)),
            interval_s: quantity("--interval", &self.interval, Kind::Time, INTERVALS)?,
            date_order: word(&self.date_order).and_then(|w| ImportOptions::date_order_of(&w)),
            time_unit: unit(&self.time_unit),
            temperature_unit: unit(&self.temperature_unit),
            humidity_unit: unit(&self.humidity_unit),
            temperature_parts: word(&self.temperature_unit)
                .and_then(|w| ImportOptions::parts_of(&w)),
            humidity_parts: word(&self.humidity_unit).and_then(|w| ImportOptions::parts_of(&w)),
            encoding: ImportOptions::encoding_of(&self.encoding),
            start: self.start.clone(),
            sensor: self.sensor.iter().map(sensor).collect::<Result<_, _>>()?,
            swap: self.swap,
            pressure_pa: quantity("--pressure", &self.pressure, Kind::Pressure, PRESSURES)?,
            one_sensor: self.one_sensor,
            pause_s: quantity("--pause", &self.pause, Kind::Time, PAUSES)?,
            strict: self.strict,
        })
    }
}

fn wrong(option: &str, text: &str, what: &str, hint: &str) -> Stop {
    Stop::message(Cause::BadInput, format!("{option} = \"{text}\" {what}\n     {hint}"))
}

fn quantity(
    option: &str,
    text: &Option<String>,
    kind: Kind,
    range: std::ops::RangeInclusive<f64>,
) -> Result<Option<f64>, Stop> {
    let Some(text) = text else { return Ok(None) };
    let value =
        units::parse(kind, text).map_err(|e| wrong(option, text, &e.to_string(), &e.hint()))?;
    if range.contains(&value) {
        return Ok(Some(value));
    }
    let shown = |v: &f64| units::format(kind, *v);
    let hint = format!("it must be from {} to {}", shown(range.start()), shown(range.end()));
    Err(wrong(option, text, "is out of range", &hint))
}

/// The JSON of `--ledger`.
#[derive(serde::Serialize)]
struct LedgerFile<'a> {
    schema_version: u32,
    file: &'a str,
    lines: u64,
    classes: serde_json::Map<String, serde_json::Value>,
    rows: u64,
    detected: &'a str,
    guesses: &'a [crate::measured::log::Guess],
}

impl Import {
    pub(super) fn run(&self, talk: &Talk) -> Outcome {
        let options = self.pins.options()?;
        self.check_output(&self.output)?;
        self.ledger.as_ref().map_or(Ok(()), |path| self.check_output(path))?;
        let name = source::name(&self.log);
        let input = open(&self.log, &name)?;
        let pressure = options.pressure_pa;
        let (summary, no_pressure) = if self.output == Path::new("-") {
            self.stream(input, io::stdout().lock(), &name, options)?
        } else {
            let unwritable = |e: io::Error| cannot_write(&self.output, &e);
            let mut file = Whole::create(&self.output).map_err(unwritable)?;
            let done = self.stream(input, &mut file, &name, options)?;
            file.finish().map_err(unwritable)?;
            done
        };
        report(talk, &summary, no_pressure && pressure.is_none());
        self.write_ledger(&name, &summary)
    }

    /// Streams a log into a writer; also says whether moist air was worked out without a pressure.
    fn stream(
        &self,
        input: Box<dyn Read + Send>,
        out: impl Write,
        name: &str,
        options: ImportOptions,
    ) -> Result<(Summary, bool), Stop> {
        let pressure_pa = options.pressure_pa.unwrap_or(STANDARD_PRESSURE);
        let format = TableStyle::of(&self.format);
        let writer = Writer::new(io::BufWriter::new(out), format, pressure_pa);
        let mut importer = Importer::new(name, options, writer);
        let pieces = read_on(input);
        let mut first: Option<Instant> = None;
        loop {
            match pieces.recv_timeout(REST) {
                Ok(piece) => {
                    let piece = piece.map_err(|e| unreadable(name, &e))?;
                    first = first.or_else(|| Some(Instant::now()));
                    importer.feed(&piece).map_err(|f| self.failed(f))?;
                }
                // A logger that is still writing: what it wrote so far is worth seeing.
                Err(RecvTimeoutError::Timeout) => {
                    let since_s = first.map_or(0.0, |f| f.elapsed().as_secs_f64());
                    importer.idle(since_s).map_err(|f| self.failed(f))?;
                }
                Err(RecvTimeoutError::Disconnected) => break,
            }
        }
        let (summary, writer) = importer.finish().map_err(|f| self.failed(f))?;
        let no_pressure = writer.lacks_pressure();
        writer.end(&summary).map_err(|e| self.failed(Failure::Output(e)))?;
        Ok((summary, no_pressure))
    }

    /// A closed pipe ends quietly: the reader has enough.
    fn failed(&self, failure: Failure) -> Stop {
        match failure {
            Failure::Input(issues) => Stop::input(issues),
            Failure::Output(e) if e.kind() == io::ErrorKind::BrokenPipe => {
                Stop::message(Cause::Nothing, String::new())
            }
            Failure::Output(e) if self.output == Path::new("-") => not_printed(&e),
            Failure::Output(e) => cannot_write(&self.output, &e),
        }
    }

    fn check_output(&self, path: &Path) -> Outcome {
        if path == Path::new("-") { Ok(()) } else { may_write(path, self.force) }
    }

    fn write_ledger(&self, name: &str, summary: &Summary) -> Outcome {
        let Some(path) = &self.ledger else { return Ok(()) };
        let classes = summary.ledger.entries().map(|(c, n)| (c.key(), n.into())).collect();
        let text = json(&LedgerFile {
            schema_version: crate::run::SCHEMA_VERSION,
            file: name,
            lines: summary.ledger.lines(),
            classes,
            rows: summary.rows,
            detected: &summary.detected,
            guesses: &summary.guesses,
        })?;
        whole::write(path, text.as_bytes(), self.force)
    }
}

/// What was found, guessed and odd, and the count of lines last.
fn report(talk: &Talk, summary: &Summary, no_pressure: bool) {
    talk.note(&format!("found: {}", summary.detected));
    if no_pressure {
        talk.note("pressure: none in the log, 1013.25 hPa taken (pin: --pressure)");
    }
    for guess in &summary.guesses {
        talk.note(&format!("guess: {} (pin: {})", guess.what, guess.pin));
    }
    talk.warnings(&summary.warnings);
    talk.note(&summary.ledger.to_string());
}

/// Time without a piece of the log after which what is known goes out.
const REST: Duration = Duration::from_millis(200);

/// Reads the log on a thread of its own, so that a logger that is still writing can be waited for.
fn read_on(mut input: Box<dyn Read + Send>) -> Receiver<io::Result<Vec<u8>>> {
    /// Read at a time, and pieces that wait.
    const PIECE: usize = 1 << 16;
    const WAITING: usize = 4;
    let (sender, receiver) = sync_channel(WAITING);
    thread::spawn(move || {
        loop {
            let mut piece = vec![0; PIECE];
            let read = match input.read(&mut piece) {
                Ok(0) => break,
                Ok(n) => {
                    piece.truncate(n);
                    Ok(piece)
                }
                Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
                Err(e) => Err(e),
            };
            // Nobody waits any more, or the error was the last that could be said.
            let failed = read.is_err();
            if sender.send(read).is_err() || failed {
                break;
            }
        }
    });
    receiver
}

fn open(path: &Path, name: &str) -> Result<Box<dyn Read + Send>, Stop> {
    if path == Path::new("-") {
        return Ok(Box::new(io::stdin()));
    }
    if path.is_dir() {
        let hint = "give the name of a log file";
        let issue = error(name, 0, "unreadable", "is a folder", None, hint);
        return Err(Stop::input(vec![issue]));
    }
    match input::open(path) {
        Ok(file) => Ok(Box::new(file)),
        Err(e) => Err(unreadable(name, &e)),
    }
}

fn unreadable(name: &str, e: &io::Error) -> Stop {
    let (what, hint) = match e.kind() {
        io::ErrorKind::NotFound => ("there is no such file".to_owned(), "check the name"),
        _ => (format!("cannot be read: {}", reason(e)), "a log is a text file"),
    };
    Stop::input(vec![error(name, 0, "unreadable", what, None, hint)])
}
