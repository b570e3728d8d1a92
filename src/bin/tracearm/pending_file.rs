//! Files that take their names only when they are complete. The one place that names tempfile.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use tracearm::paths;

/// What the name of an unfinished file ends in, behind a dot and letters drawn by lot.
const ENDING: &str = ".part";
const LETTERS: usize = 8;

/// A file that takes its name only when it is complete, so that a run that fails leaves an older one as it was.
pub struct PendingFile {
    path: PathBuf,
    writer: BufWriter<NamedTempFile>,
}

impl PendingFile {
    /// Opens the pending file beside `path`, or beside the file that a link of that name leads to, and clears away what
    /// runs that were stopped left there of the same file.
    pub fn create(path: &Path) -> io::Result<PendingFile> {
        let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
        if path.exists() && !path.is_file() {
            return Err(io::Error::other(
                "this is not a file that can be replaced: name another, or leave out -o",
            ));
        }
        let folder = folder_of(&path);
        let mut prefix = path.file_name().unwrap_or_default().to_owned();
        prefix.push(".");
        clear_away(folder, &paths::text(&prefix));
        let mut pending = Builder::new();
        pending.prefix(&prefix).suffix(ENDING).rand_bytes(LETTERS);
        // As any file that a program makes: the process's own mask takes from these.
        #[cfg(unix)]
        pending.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let file = pending.tempfile_in(folder)?;
        // Shows other runs that somebody writes it; where a file system has no locks, nobody clears away either.
        let _ = file.as_file().try_lock();
        /// As much as is worth a call to the system.
        const BUFFER: usize = 1 << 16;
        let writer = BufWriter::with_capacity(BUFFER, file);
        Ok(PendingFile { path, writer })
    }

    /// Gives the file its name.
    pub fn keep(self) -> io::Result<()> {
        let file = self.writer.into_inner().map_err(io::IntoInnerError::into_error)?;
        file.as_file().sync_all()?;
        file.persist(&self.path).map(drop).map_err(|error| with_advice(error.error))
    }
}

/// Windows refuses to replace a file that a program has open, and does not say so.
fn with_advice(error: io::Error) -> io::Error {
    if cfg!(windows) {
        let kind = error.kind();
        let advice = "another program may have it open: close it there, or write to another file";
        return io::Error::new(kind, format!("{error}; {advice}"));
    }
    error
}

impl Write for PendingFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.writer.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.writer.flush()
    }
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Removes unfinished files of this name that nobody writes any more: a run that was killed can't do so itself.
fn clear_away(folder: &Path, prefix: &str) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = paths::text(&name);
        let letters = name.strip_prefix(prefix).and_then(|rest| rest.strip_suffix(ENDING));
        let ours = letters.is_some_and(|letters| {
            letters.len() == LETTERS && letters.bytes().all(|letter| letter.is_ascii_alphanumeric())
        });
        let is_file = || entry.file_type().is_ok_and(|kind| kind.is_file());
        if ours && is_file() && File::open(entry.path()).is_ok_and(|file| file.try_lock().is_ok()) {
            // Another run may have been quicker.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn what_a_run_left_unfinished_is_cleared_away() {
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str| folder.path().join(name);
        for left in
            ["a.csv.Ab12Cd34.part", "a.csv.1.part", "a.csv.Ab12Cd3_.part", "b.csv.Ab12Cd34.part", "a.csv"]
        {
            fs::write(file(left), "half").unwrap();
        }
        let written_elsewhere = PendingFile::create(&file("a.csv")).unwrap();
        assert!(!file("a.csv.Ab12Cd34.part").exists());
        assert!(
            ["a.csv.1.part", "a.csv.Ab12Cd3_.part", "b.csv.Ab12Cd34.part"]
                .iter()
                .all(|left| file(left).exists())
        );
        // Two runs that write one file do not disturb each other; the last one stays.
        let mut second = PendingFile::create(&file("a.csv")).unwrap();
        assert_eq!(fs::read_to_string(file("a.csv")).unwrap(), "half");
        second.write_all(b"second").unwrap();
        second.keep().unwrap();
        assert_eq!(fs::read_to_string(file("a.csv")).unwrap(), "second");
        written_elsewhere.keep().unwrap();
        assert_eq!(fs::read_to_string(file("a.csv")).unwrap(), "");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 4);
    }

    #[test]
    fn what_is_not_kept_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        let mut file = PendingFile::create(&path).unwrap();
        file.write_all(b"half").unwrap();
        drop(file);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
        assert!(PendingFile::create(folder.path()).is_err());
        assert!(PendingFile::create(&folder.path().join("nowhere/a.csv")).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn links_are_followed_and_permissions_are_usual() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (link, behind, usual) =
            (folder.path().join("a.csv"), folder.path().join("b.csv"), folder.path().join("c"));
        fs::write(&behind, "old").unwrap();
        fs::write(&usual, "").unwrap();
        symlink(&behind, &link).unwrap();
        let mut file = PendingFile::create(&link).unwrap();
        file.write_all(b"new").unwrap();
        file.keep().unwrap();
        assert_eq!(fs::read_to_string(&behind).unwrap(), "new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode(&behind), mode(&usual));
    }
}
