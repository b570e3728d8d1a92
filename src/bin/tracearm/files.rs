//! What a run reads and writes: nothing that is read is ever written over. The one place that names same-file.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use tracearm::library::{Ledger, Source, is_dxf};
use tracearm::paths;

use crate::job::JobFile;

/// A file that is to be written.
#[derive(Clone, Debug)]
pub struct Output {
    /// The option that names it.
    option: &'static str,
    /// What is written to it.
    holds: &'static str,
    /// A name that it may have.
    such_as: &'static str,
    path: PathBuf,
}

impl Output {
    pub fn new(option: &'static str, holds: &'static str, such_as: &'static str, path: &Path) -> Output {
        Output { option, holds, such_as, path: path.to_owned() }
    }

    fn refused(&self, why: &str) -> String {
        format!(
            "{} {} {why}, which {} would replace: name another file after {}, such as {}",
            self.option,
            paths::text(&self.path),
            self.holds,
            self.option,
            self.such_as
        )
    }

    /// Why it can't be written, where it would replace something that is read.
    pub fn clash(&self, what: &str, input: &Path) -> Option<String> {
        is_one_file(&self.path, input).then(|| self.refused(&format!("is {what} {}", paths::text(&input))))
    }
}

/// What stands beside a ledger while it is in use.
const BESIDE_LEDGER: [&str; 4] = ["-journal", "-wal", "-shm", ".in-work"];

/// The files that are written beside a ledger.
pub fn beside_ledger(ledger: &Path) -> impl Iterator<Item = Output> + '_ {
    BESIDE_LEDGER.into_iter().map(|ending| {
        let mut path = ledger.as_os_str().to_owned();
        path.push(ending);
        Output::new("--ledger", "what stands beside the ledger", "shop.ledger", Path::new(&path))
    })
}

/// The files that a run names to be read, each with what it is: drawings, and a job with its drawings.
pub fn read(drawings: &[PathBuf], job: Option<&JobFile>) -> Vec<(&'static str, PathBuf)> {
    let mut files: Vec<(&'static str, PathBuf)> =
        drawings.iter().map(|path| ("the drawing", path.clone())).collect();
    files.extend(job.into_iter().flat_map(JobFile::reads));
    files
}

/// Says why one of the files that were asked for can't be written: it is one of those that are read, each with what it is;
/// it is a drawing; or another is written to it.
pub fn refuse(outputs: &[Output], inputs: &[(&str, PathBuf)]) -> Result<(), String> {
    for (k, output) in outputs.iter().enumerate() {
        for (what, input) in inputs {
            output.clash(what, input).map_or(Ok(()), Err)?;
        }
        // Also one that a link leads to: drawings are in folders, which are searched later.
        let real = output.path.canonicalize();
        if is_dxf(&output.path) || real.is_ok_and(|path| is_dxf(&path)) {
            return Err(output.refused("is the name of a drawing"));
        }
        if output.option != "--ledger" && is_ledger(&output.path) {
            return Err(output.refused("is a ledger"));
        }
        let folder = output.path.parent().filter(|folder| !folder.as_os_str().is_empty());
        if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
            return Err(format!(
                "cannot write {}: there is no folder {}: make it first, or name another",
                paths::text(&output.path),
                paths::text(&folder)
            ));
        }
        if let Some(other) = outputs[..k].iter().find(|other| is_one_file(&other.path, &output.path)) {
            return Err(format!(
                "{} can't be both {} and {}: name another file after {}",
                paths::text(&output.path),
                other.holds,
                output.holds,
                output.option
            ));
        }
    }
    Ok(())
}

/// A file that is there and holds a ledger, or what belongs to one while it is open.
fn is_ledger(path: &Path) -> bool {
    /// So many bytes show what a file is.
    const HEAD: u64 = 16;
    let mut head = Vec::new();
    // A terminal or a pipe would be waited for.
    let is_database = path.is_file()
        && File::open(path)
            .and_then(|file| file.take(HEAD).read_to_end(&mut head))
            .is_ok_and(|_| Ledger::is_database(&head));
    let name = paths::text(path);
    let beside =
        |ending: &str| name.strip_suffix(ending).is_some_and(|ledger| is_ledger(&paths::of_text(ledger)));
    is_database || BESIDE_LEDGER.into_iter().any(beside)
}

/// The drawings as they come, from folders and lists too, up to the first that one of the outputs would replace; the reason
/// is kept for whoever ends the run.
pub fn watched(
    sources: impl Iterator<Item = Source> + Send + 'static,
    outputs: &[Output],
) -> (impl Iterator<Item = Source> + Send + 'static, Arc<Mutex<Option<String>>>) {
    // What is not there yet can't be read; and one file has one size, which costs little to ask of thousands of drawings.
    let size = |path: &Path| std::fs::metadata(path).ok().map(|data| data.len());
    let outputs: Vec<(u64, Output)> =
        outputs.iter().filter_map(|output| Some((size(&output.path)?, output.clone()))).collect();
    let clash = Arc::new(Mutex::new(None));
    let kept = Arc::clone(&clash);
    let watched = sources.take_while(move |source| {
        let Ok(path) = source else { return true };
        if outputs.is_empty() {
            return true;
        }
        let own = size(path);
        let alike = outputs.iter().filter(|(size, _)| own == Some(*size));
        let found = alike.filter_map(|(_, output)| output.clash("the drawing", path)).next();
        let is_clear = found.is_none();
        if !is_clear {
            *kept.lock().unwrap_or_else(PoisonError::into_inner) = found;
        }
        is_clear
    });
    (watched, clash)
}

/// Whether two paths lead to one file, by links or letter case too, which may not be there yet.
fn is_one_file(a: &Path, b: &Path) -> bool {
    let is_one =
        |a: &Path, b: &Path| a == b || paths::text(a).to_lowercase() == paths::text(b).to_lowercase();
    is_one(a, b)
        // A pipe would be waited for.
        || a.is_file() && b.is_file() && same_file::is_same_file(a, b).unwrap_or(false)
        || matches!((place(a), place(b)), (Some(a), Some(b)) if is_one(&a, &b))
}

/// Where a file is or would be, links followed.
fn place(path: &Path) -> Option<PathBuf> {
    let new = || {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        Some(folder.unwrap_or(Path::new(".")).canonicalize().ok()?.join(path.file_name()?))
    };
    path.canonicalize().ok().or_else(new)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_by_two_names() {
        let same = |a: &str, b: &str| is_one_file(Path::new(a), Path::new(b));
        assert!(same("Cargo.toml", "./src/../Cargo.toml") && same("new.csv", "./src/../new.csv"));
        // What are two files here is one where letter case makes no difference.
        assert!(same("cargo.TOML", "Cargo.toml") && same("./NEW.csv", "src/../new.csv"));
        assert!(!same("new.csv", "src/new.csv") && !same("nowhere/a.csv", "./nowhere/../a.csv"));
    }
}
