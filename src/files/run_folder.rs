//! Run folders on disk.

// An issue is large, but it is made once per mistake of a user and printed.
#![allow(clippy::result_large_err)]

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::input::{MOST_BYTES, read, read_inside, read_start};
use super::stop::{Cause, Listener, Outcome, Stop, not_a_file, reason};
use super::table::{TableStyle, Writer};
use super::whole::Stage;
use crate::assess::{Gathered, gather};
use crate::measured::folder::{FILE, RunSpec, StarterLog, starter};
use crate::measured::log::{self, Failure};
use crate::measured::weighings;
use crate::physics::constants::STANDARD_PRESSURE;
use crate::reader::{Issue, MAX_BYTES, Report, Source};
use crate::text::slug;

/// Folder of the untouched texts within a run folder.
const RAW: &str = "raw";

/// Makes a run folder.
///
/// # Errors
/// That it is there already, a text cannot be read, or it cannot be written.
pub fn create(
    talk: &dyn Listener,
    output: Option<&Path>,
    logs: &[PathBuf],
    notes: Option<&Path>,
    force: bool,
) -> Outcome {
    let Some(folder) = output else {
        let text = "a measured run is a folder\n     write its name: drybench new run -o felt_run";
        return Err(Stop::message(Cause::BadInput, text));
    };
    not_a_file(folder)?;
    let description = folder.join(FILE);
    if description.exists() && !force {
        let text = format!(
            "{} exists already\n     write --force to start it anew, or another folder after -o",
            description.display()
        );
        return Err(Stop::message(Cause::Output, text));
    }
    // Read everything before anything is written.
    let texts: Vec<(&PathBuf, Vec<u8>)> =
        logs.iter().map(|p| Ok((p, raw_bytes(p)?))).collect::<Result<_, Stop>>()?;
    let noted = notes.map(|p| Ok::<_, Stop>((p, raw_bytes(p)?))).transpose()?;
    let (mut starters, mut files) = (Vec::new(), Vec::new());
    for (path, bytes) in texts {
        let file = inside(path, &files);
        starters.push(starter_log(path, file.clone(), &bytes, &starters));
        files.push((file, bytes));
    }
    let mut kept = None;
    if let Some((path, bytes)) = noted {
        let file = inside(path, &files);
        kept = Some(file.clone());
        files.push((file, bytes));
    }
    let title = folder.file_name().map_or("measured run".into(), |n| n.to_string_lossy());
    // Of a name nobody types what a terminal would obey.
    let title: String =
        title.chars().map(|c| if c == '_' || c.is_control() { ' ' } else { c }).collect();
    let text = starter(&title, &starters, kept.as_deref());
    files.push((FILE.to_owned(), text.into_bytes()));
    let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    Stage::open(folder, &names, force)?.finish(&files)?;
    for line in
        starters.iter().flat_map(|l| l.trouble.iter().map(move |t| format!("{}: {t}", l.file)))
    {
        talk.note(&line);
    }
    talk.note(&format!(
        "wrote {0}; next: fill in {1}, then  drybench check {0}",
        folder.display(),
        description.display()
    ));
    Ok(())
}

fn raw_bytes(path: &Path) -> Result<Vec<u8>, Stop> {
    read(path, MOST_BYTES).map_err(|e| unreadable(path, &e))
}

fn unreadable(path: &Path, e: &std::io::Error) -> Stop {
    let text = format!("{}: {}\n     check the name", path.display(), reason(e));
    Stop::message(Cause::BadInput, text)
}

/// The name of a text in the folder, beside those that are there: texts of one name are numbered.
fn inside(path: &Path, files: &[(String, Vec<u8>)]) -> String {
    let part = |p: Option<&OsStr>| p.map_or(String::new(), |n| n.to_string_lossy().into_owned());
    let (stem, end) = (part(path.file_stem()), part(path.extension()));
    let end = if end.is_empty() { end } else { format!(".{end}") };
    let stem = if stem.is_empty() { "text".to_owned() } else { stem };
    let numbered = (2..).map(|i| format!("{RAW}/{stem}_{i}{end}"));
    let mut all = std::iter::once(format!("{RAW}/{stem}{end}")).chain(numbered);
    let taken = |name: &String| files.iter().any(|(there, _)| there == name);
    all.find(|name| !taken(name)).unwrap_or_default()
}

/// What can be said of a log before anybody has filled anything in.
fn starter_log(path: &Path, file: String, bytes: &[u8], others: &[StarterLog]) -> StarterLog {
    let stem = path.file_stem().map_or(String::new(), |s| s.to_string_lossy().into_owned());
    let plain: String = stem
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' })
        .collect();
    let plain = if slug(&plain).is_empty() { "log".to_owned() } else { plain };
    let taken = |name: &String| others.iter().any(|l| slug(&l.name) == slug(name));
    let numbered = (2..).map(|i| format!("{plain}_{i}"));
    let mut all = std::iter::once(plain.clone()).chain(numbered);
    let name = all.find(|name| !taken(name)).unwrap_or_default();
    let (mut sensors, mut trouble) = (Vec::new(), Vec::new());
    match log::import(&file, bytes, log::ImportOptions::default()) {
        Ok((_, series)) => {
            for channel in &series.channels {
                let humid = matches!(channel.quantity, crate::measured::Quantity::Temperature);
                if humid && !sensors.contains(&channel.sensor) {
                    sensors.push(channel.sensor.clone());
                }
            }
        }
        Err(Failure::Input(issues)) => {
            for issue in issues {
                trouble.push(format!("not read yet: {}", issue.what));
                trouble.extend(issue.hint);
            }
        }
        Err(Failure::Output(_)) => {}
    }
    StarterLog { name, file, sensors, trouble }
}

/// A run folder, read whole.
pub struct Opened {
    /// Its description.
    pub spec: RunSpec,
    /// The values of that.
    pub report: Report,
    /// What its texts say.
    pub gathered: Gathered,
}

/// Opens a run folder: its description and all its texts.
///
/// # Errors
/// Everything wrong with it.
pub fn open(folder: &Path, sets: &[String]) -> Result<Opened, Stop> {
    let path = folder.join(FILE);
    if !path.exists() {
        let text = format!(
            "{} holds no {FILE}\n     a run folder is made with: drybench new run --log log.txt -o {}",
            folder.display(),
            folder.display()
        );
        return Err(Stop::message(Cause::BadInput, text));
    }
    let bytes = read_start(&path, MAX_BYTES as u64 + 1).map_err(|e| unreadable(&path, &e))?;
    let mut source =
        Source::from_bytes(&path.display().to_string(), &bytes).map_err(Stop::input)?;
    let mut issues: Vec<Issue> = sets.iter().filter_map(|s| source.set(s).err()).collect();
    let (spec, report) = match RunSpec::read(&source) {
        Ok(read) if issues.is_empty() => read,
        Ok(_) => return Err(Stop::input(issues)),
        Err(more) => {
            issues.extend(more);
            return Err(Stop::input(issues));
        }
    };
    let text = |name: &str| {
        read_inside(folder, name).map_err(|e| {
            let what = format!("{name}: {}", reason(&e));
            let hint = "put the text into the folder, or correct its name in run.toml";
            Issue::of_file("unreadable", &path.display().to_string(), what, hint)
        })
    };
    let gathered = gather(&spec, text).map_err(Stop::input)?;
    Ok(Opened { spec, report, gathered })
}

/// The cleaned series of a folder: what was understood, beside what was written.
///
/// # Errors
/// That a series cannot be written.
pub fn cleaned(gathered: &Gathered) -> Result<Vec<(String, Vec<u8>)>, Stop> {
    let stated = gathered.evidence.pressure_pa.map_or(STANDARD_PRESSURE, |p| p.value);
    let mut files = Vec::new();
    for log in &gathered.logs {
        let mut text = Vec::new();
        let mut writer = Writer::new(&mut text, TableStyle::Csv, stated);
        log::replay(&log.series, &mut writer).map_err(|e| {
            Stop::message(Cause::Output, format!("cannot write the series: {}", reason(&e)))
        })?;
        files.push((format!("clean_{}.csv", log.name), text));
    }
    let notes = gathered.weighings.as_ref().map(weighings::Weighings::csv);
    files.extend(notes.map(|text| ("clean_weighings.csv".to_owned(), text.into_bytes())));
    Ok(files)
}
