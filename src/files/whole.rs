//! Outputs that are whole or not there: written beside their place, and moved there when complete.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use super::stop::{Cause, Outcome, Stop, cannot_make, cannot_write, in_use, not_a_file};
use crate::text::visible;

/// End of the name of a file that is not complete.
const PART: &str = ".part";

/// A file that takes its place when it is complete. What is no regular file, as a device or a pipe, is written
/// to as it is.
pub enum Whole {
    /// Written beside its place.
    Beside(NamedTempFile<File>, PathBuf),
    /// Written to as it is.
    Direct(File),
}

impl Whole {
    /// Begins a file. Through a link it is what the link names that will be replaced, and the link stays.
    ///
    /// # Errors
    /// That it cannot be begun there.
    pub fn create(path: &Path) -> io::Result<Self> {
        let place = if path.is_symlink() { fs::canonicalize(path)? } else { path.to_owned() };
        if may_be_replaced(&place)? == Some(false) {
            return Ok(Whole::Direct(OpenOptions::new().write(true).open(&place)?));
        }
        let name = place.file_name().unwrap_or_default().to_string_lossy();
        let folder = match place.parent() {
            Some(folder) if folder != Path::new("") => folder,
            _ => Path::new("."),
        };
        let start = format!(".{name}.");
        remove_left_over(folder, &start);
        let new = |path: &Path| OpenOptions::new().write(true).create_new(true).open(path);
        let file = Builder::new().prefix(&start).suffix(PART).make_in(folder, new)?;
        // So that others can tell that it is not left over; where a file system knows no locks there is none.
        let _ = file.as_file().try_lock();
        Ok(Whole::Beside(file, place))
    }

    /// Puts the complete file in its place.
    ///
    /// # Errors
    /// That it cannot be put there.
    pub fn finish(self) -> io::Result<()> {
        match self {
            Whole::Direct(mut file) => file.flush(),
            Whole::Beside(file, place) => {
                file.as_file().sync_all()?;
                if let Ok(old) = fs::metadata(&place) {
                    file.as_file().set_permissions(old.permissions())?;
                }
                file.persist(&place).map(|_| ()).map_err(|e| e.error)
            }
        }
    }
}

impl Write for Whole {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Whole::Beside(file, _) => file.write(bytes),
            Whole::Direct(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Whole::Beside(file, _) => file.flush(),
            Whole::Direct(file) => file.flush(),
        }
    }
}

/// Writes a file whole or not at all.
///
/// # Errors
/// That it cannot be written.
pub fn whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = Whole::create(path)?;
    file.write_all(bytes)?;
    file.finish()
}

/// Whether what is there is a regular file, which may be replaced; none if nothing is there.
fn may_be_replaced(path: &Path) -> io::Result<Option<bool>> {
    match fs::metadata(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
        Ok(there) if there.is_dir() => Err(io::ErrorKind::IsADirectory.into()),
        // A file that may not be written must not be replaced either.
        Ok(there) if there.is_file() => {
            OpenOptions::new().write(true).open(path).map(|_| Some(true))
        }
        Ok(_) => Ok(Some(false)),
    }
}

/// Whether nothing can be lost by writing there: a pipe, or a device that only streams.
#[cfg(unix)]
fn streams(path: &Path) -> bool {
    use std::os::unix::fs::FileTypeExt;
    fs::metadata(path).is_ok_and(|m| m.file_type().is_fifo() || m.file_type().is_char_device())
}

#[cfg(not(unix))]
fn streams(_: &Path) -> bool {
    false
}

/// Removes what killed runs left of this file: nobody holds its lock any more.
fn remove_left_over(folder: &Path, start: &str) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with(start)
            && name.ends_with(PART)
            && OpenOptions::new().write(true).open(entry.path()).is_ok_and(|f| f.try_lock().is_ok())
        {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Refuses an output that is a folder, a link to nothing, or there already without `--force`.
///
/// # Errors
/// That it may not.
pub fn may_write(path: &Path, force: bool) -> Outcome {
    let shown = path.display();
    let text = if path.is_dir() {
        format!("{shown} is a folder\n     write a file name after -o")
    } else if path.is_symlink() && !path.exists() {
        format!(
            "{shown} is a link to nothing\n     remove the link, or write another name after -o"
        )
    } else if path.exists() && !force && !streams(path) {
        let link = match fs::canonicalize(path) {
            Ok(at) if path.is_symlink() => format!(" (a link to {})", at.display()),
            _ => String::new(),
        };
        format!(
            "{shown} exists already{link}\n     write --force to replace it, or another name after -o"
        )
    } else {
        return Ok(());
    };
    Err(Stop::message(Cause::Output, text))
}

/// Writes a file, which must not exist yet unless `force` is given.
///
/// # Errors
/// That it may not, or cannot be written.
pub fn write(path: &Path, bytes: &[u8], force: bool) -> Outcome {
    may_write(path, force)?;
    whole(path, bytes).map_err(|e| cannot_write(path, &e))
}

/// Writes several files into a folder, replacing those of these names.
///
/// # Errors
/// That they cannot be written.
pub fn write_folder(folder: &Path, files: &[(String, Vec<u8>)]) -> Outcome {
    Stage::open(folder, &[], true)?.finish(files)
}

/// The files of a folder, kept aside until all are written: a folder that is new takes its place at once, in
/// one that was there the files do, one by one, which the next run finishes if this one is killed.
pub struct Stage {
    folder: PathBuf,
    place: PathBuf,
    inside: bool,
    /// Whether its files are complete, so that nothing is to be removed.
    complete: bool,
    /// Held as long as files may be written.
    _lock: Option<File>,
}

/// Folder of files that are not all written yet, beside or in the folder that they are for.
const UNFINISHED: &str = ".drybench-unfinished";

/// Folder of files that are all written, and on their way out of it.
const COMPLETE: &str = ".drybench-complete";

impl Stage {
    /// Begins to write into a folder; seen before a long simulation whether files of these names may be.
    ///
    /// # Errors
    /// That it cannot be written into, or files are there.
    pub fn open(folder: &Path, names: &[String], force: bool) -> Result<Self, Stop> {
        not_a_file(folder)?;
        let inside = folder.exists();
        let name = folder.file_name().map(|n| n.to_string_lossy().into_owned());
        let place = match (&name, folder.parent()) {
            (Some(name), Some(parent)) if !inside => parent.join(format!(".{name}{UNFINISHED}")),
            _ => folder.join(UNFINISHED),
        };
        fs::create_dir_all(&place).map_err(|e| cannot_make(folder, &e))?;
        let lock = lock(folder, &place)?;
        let stage =
            Stage { folder: folder.to_owned(), place, inside, complete: false, _lock: lock };
        // What a killed run had finished is its own, and may be replaced.
        let finished = folder.join(COMPLETE).is_dir();
        if finished {
            stage.move_out().map_err(|e| cannot_write(folder, &e))?;
        }
        let places: Vec<PathBuf> = names.iter().map(|name| folder.join(name)).collect();
        let there: Vec<&PathBuf> = places.iter().filter(|p| p.exists()).collect();
        if let (Some(first), false) = (there.first(), force || finished) {
            let text = format!(
                "{} exists already ({} of {} files)\n     write --force to replace them, or another \
                 folder after -o",
                first.display(),
                there.len(),
                names.len()
            );
            return Err(Stop::message(Cause::Output, text));
        }
        for path in there {
            may_be_replaced(path).map_err(|e| cannot_write(path, &e))?;
        }
        // What is left of a killed run is of no use.
        stage.clear().map_err(|e| cannot_write(&stage.place, &e))?;
        Ok(stage)
    }

    fn clear(&self) -> io::Result<()> {
        for entry in fs::read_dir(&self.place)? {
            let path = entry?.path();
            if path.is_dir() { fs::remove_dir_all(path)? } else { fs::remove_file(path)? }
        }
        Ok(())
    }

    /// Where to write a file of this name, which may be in a folder.
    ///
    /// # Errors
    /// That its folder cannot be made.
    pub fn path(&self, name: &str) -> Result<PathBuf, Stop> {
        let path = self.place.join(name);
        let made = path.parent().map_or(Ok(()), fs::create_dir_all);
        made.map_err(|e| cannot_make(&self.folder, &e))?;
        Ok(path)
    }

    /// Writes these files too, and puts all in their place.
    ///
    /// # Errors
    /// That one cannot be written.
    pub fn finish(mut self, files: &[(String, Vec<u8>)]) -> Outcome {
        for (name, bytes) in files {
            let path = self.path(name)?;
            // A page is for a terminal, too.
            let page = name.ends_with(".txt") && !name.contains('/');
            let page = page.then(|| str::from_utf8(bytes).ok().map(visible)).flatten();
            let bytes = page.as_ref().map_or(&bytes[..], |text| text.as_bytes());
            whole(&path, bytes).map_err(|e| cannot_write(&self.folder.join(name), &e))?;
        }
        let complete = if self.inside { self.folder.join(COMPLETE) } else { self.folder.clone() };
        fs::rename(&self.place, complete).map_err(|e| cannot_write(&self.folder, &e))?;
        self.complete = true;
        match self.inside {
            true => self.move_out().map_err(|e| cannot_write(&self.folder, &e)),
            false => Ok(()),
        }
    }

    fn move_out(&self) -> io::Result<()> {
        let from = self.folder.join(COMPLETE);
        move_files(&from, &self.folder)?;
        fs::remove_dir_all(from)
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        if !self.complete {
            let _ = fs::remove_dir_all(&self.place);
        }
    }
}

/// Moves all files of a folder to where they belong.
fn move_files(from: &Path, to: &Path) -> io::Result<()> {
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let (file, place) = (entry.path(), to.join(entry.file_name()));
        if entry.file_type()?.is_dir() {
            fs::create_dir_all(&place)?;
            move_files(&file, &place)?;
            continue;
        }
        match fs::symlink_metadata(&place) {
            // Links and devices stay what they are.
            Ok(there) if !there.is_file() => {
                let mut whole = Whole::create(&place)?;
                io::copy(&mut File::open(&file)?, &mut whole)?;
                whole.finish()?;
            }
            Ok(there) => {
                fs::set_permissions(&file, there.permissions())?;
                fs::rename(&file, &place)?;
            }
            Err(_) => fs::rename(&file, &place)?,
        }
    }
    Ok(())
}

/// Keeps other runs out; where a folder cannot be locked nobody is.
fn lock(folder: &Path, place: &Path) -> Result<Option<File>, Stop> {
    let Ok(file) = File::open(place) else { return Ok(None) };
    match file.try_lock() {
        Err(fs::TryLockError::WouldBlock) => Err(in_use(folder)),
        _ => Ok(Some(file)),
    }
}
