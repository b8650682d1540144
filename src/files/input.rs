//! Files that are read whole: no device, and not without an end.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Most bytes of a text with readings, or of a saved result: our choice, more than a year of readings every
/// second, and less than a small computer has.
pub const MOST_BYTES: u64 = 1 << 30;

/// All bytes of a file, or of standard input for `-`; an error if there are more than `most`.
///
/// # Errors
/// Why it cannot be read.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let bytes = read_start(path, most + 1)?;
    if bytes.len() as u64 > most {
        let text = format!("it is longer than {} MB", most >> 20);
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, text));
    }
    Ok(bytes)
}

/// The first `most` bytes of it.
///
/// # Errors
/// Why it cannot be read.
pub fn read_start(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        io::stdin().lock().take(most).read_to_end(&mut bytes)?;
    } else {
        open(path)?.take(most).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

/// Its text.
///
/// # Errors
/// Why it cannot be read.
pub fn read_text(path: &Path) -> io::Result<String> {
    let bytes = read(path, MOST_BYTES)?;
    let odd = |_| io::Error::new(io::ErrorKind::InvalidData, "it is no text in UTF-8");
    String::from_utf8(bytes).map_err(odd)
}

/// Opens a file or a pipe.
///
/// # Errors
/// Why it cannot be read.
pub fn open(path: &Path) -> io::Result<File> {
    let kind = fs::metadata(path)?.file_type();
    if kind.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    if !kind.is_file() && !is_pipe(kind) {
        let text = "it is a device, which may have no end";
        return Err(io::Error::new(io::ErrorKind::InvalidInput, text));
    }
    File::open(path)
}

#[cfg(unix)]
fn is_pipe(kind: fs::FileType) -> bool {
    std::os::unix::fs::FileTypeExt::is_fifo(&kind)
}

#[cfg(not(unix))]
fn is_pipe(_: fs::FileType) -> bool {
    false
}

/// All bytes of a file within a folder.
///
/// # Errors
/// Why it cannot be read.
pub fn read_inside(folder: &Path, name: &str) -> io::Result<Vec<u8>> {
    read(&inside(folder, name)?, MOST_BYTES)
}

/// The place of a file that a folder names. What lies outside of the folder is none of its business, and a
/// pipe in it would wait for ever.
///
/// # Errors
/// That it lies outside, or is no regular file.
pub fn inside(folder: &Path, name: &str) -> io::Result<PathBuf> {
    let path = folder.join(name);
    let refuse = |text| Err(io::Error::new(io::ErrorKind::InvalidInput, text));
    let (root, place) = (fs::canonicalize(folder)?, fs::canonicalize(&path)?);
    if !place.starts_with(&root) {
        return refuse("it lies outside of the run folder");
    }
    if !fs::metadata(&place)?.is_file() {
        return refuse("it is no regular file");
    }
    Ok(path)
}
