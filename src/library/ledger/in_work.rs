//! Which drawings are being measured, in a file beside the ledger: what is left in it belongs to a run that died.
//!
//! A place in the file for each drawing at a time, behind one that says what the file is, written without waiting for the disk:
//! it need not outlive the machine, only the program. A file of that name that is none of these is left alone.

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::paths;

/// Bytes of a place; a longer path is not noted.
const PLACE: usize = 4096;

/// What the file begins with.
const BEGIN: &[u8] = b"tracearm: drawings that are being measured\n";

/// The drawings that are being measured now.
pub(in super::super) struct InWork(Mutex<Places>);

struct Places {
    path: PathBuf,
    file: Option<File>,
    taken: Vec<Place>,
    /// Nothing is noted: there is another file of that name, or the run has ended.
    is_closed: bool,
}

/// What a place in the file holds.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Empty,
    /// A drawing that is being measured.
    Noted,
    /// One that has been; the next one is written over it.
    Done,
}

impl InWork {
    /// Beside this ledger, with the paths that a run which died has left there.
    pub(super) fn beside(ledger: &Path) -> (InWork, Vec<String>) {
        let mut name = ledger.as_os_str().to_owned();
        name.push(".in-work");
        let path = PathBuf::from(name);
        let left = left_in(&path);
        let is_closed = left.is_none();
        let places = Places { path, file: None, taken: Vec::new(), is_closed };
        (InWork(Mutex::new(places)), left.unwrap_or_default())
    }

    /// Notes a drawing until what is given goes.
    pub(in super::super) fn note(&self, drawing: &Path) -> Option<Noted<'_>> {
        let text = paths::text(drawing);
        if text.len() >= PLACE || text.contains('\0') {
            return None;
        }
        let mut places = self.places();
        let place = places.taken.iter().position(|place| *place != Place::Noted);
        let place = place.unwrap_or(places.taken.len());
        let mut bytes = text.into_owned().into_bytes();
        bytes.push(0);
        places.write(place, &bytes)?;
        match places.taken.get_mut(place) {
            Some(taken) => *taken = Place::Noted,
            None => places.taken.push(Place::Noted),
        }
        Some(Noted { work: self, place })
    }

    /// Takes away the notes of drawings that are done and that no other was written over.
    pub(super) fn settle(&self) {
        let mut places = self.places();
        for place in 0..places.taken.len() {
            if places.taken[place] == Place::Done && places.write(place, &[0]).is_some() {
                places.taken[place] = Place::Empty;
            }
        }
    }

    /// The run ends by itself: nothing is left to be told.
    pub(in super::super) fn finish(&self) {
        let mut places = self.places();
        places.file = None;
        // One that another run has left was read when the ledger was opened.
        if !std::mem::replace(&mut places.is_closed, true) {
            let _ = fs::remove_file(&places.path);
        }
    }

    fn places(&self) -> MutexGuard<'_, Places> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Places {
    /// Without it the next run does not know of a drawing that this one died of, which is no reason to end it.
    fn write(&mut self, place: usize, bytes: &[u8]) -> Option<()> {
        if self.is_closed {
            return None;
        }
        if self.file.is_none() {
            // What was left there was read when the ledger was opened.
            let _ = fs::remove_file(&self.path);
            let mut file = OpenOptions::new().write(true).create_new(true).open(&self.path).ok()?;
            file.write_all(BEGIN).ok()?;
            self.file = Some(file);
        }
        let file = self.file.as_mut()?;
        write_at(file, bytes, ((place + 1) * PLACE) as u64)
    }
}

#[cfg(unix)]
fn write_at(file: &mut File, bytes: &[u8], at: u64) -> Option<()> {
    std::os::unix::fs::FileExt::write_all_at(file, bytes, at).ok()
}

#[cfg(not(unix))]
fn write_at(file: &mut File, bytes: &[u8], at: u64) -> Option<()> {
    std::io::Seek::seek(file, std::io::SeekFrom::Start(at)).ok()?;
    file.write_all(bytes).ok()
}

/// A drawing that is noted as being measured.
pub(in super::super) struct Noted<'a> {
    work: &'a InWork,
    place: usize,
}

impl Drop for Noted<'_> {
    fn drop(&mut self) {
        // The next one is noted in its place as a rule, which takes its name away too.
        self.work.places().taken[self.place] = Place::Done;
    }
}

/// The paths in such a file, none where there is no file; `None` where another file has its name.
fn left_in(path: &Path) -> Option<Vec<String>> {
    /// More drawings than these are never measured at the same time.
    const MOST: usize = 1024;
    let Ok(kind) = fs::symlink_metadata(path) else { return Some(Vec::new()) };
    if !kind.is_file() {
        return None;
    }
    let mut bytes = Vec::new();
    let most = ((MOST + 1) * PLACE) as u64;
    File::open(path).and_then(|file| file.take(most).read_to_end(&mut bytes)).ok()?;
    if !bytes.starts_with(BEGIN) {
        return None;
    }
    let texts = bytes.chunks(PLACE).skip(1).filter_map(|place| place.split(|byte| *byte == 0).next());
    let texts = texts.filter(|text| !text.is_empty()).filter_map(|text| std::str::from_utf8(text).ok());
    Some(texts.filter(|text| paths::of_text(text).is_absolute()).map(str::to_owned).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_run_that_died_was_at() {
        let folder = std::env::temp_dir().join(format!("tracearm-in-work-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let ledger = folder.join("shop.ledger");
        let (work, left) = InWork::beside(&ledger);
        assert!(left.is_empty());
        let long = work.note(Path::new("/shop/a-name-that-is-longer-than-the-next.dxf"));
        let other = work.note(Path::new("/shop/b.dxf"));
        drop(long);
        work.settle();
        assert_eq!(InWork::beside(&ledger).1, ["/shop/b.dxf"]);
        let third = work.note(Path::new("/shop/d-whose-name-is-longer-than-the-next.dxf"));
        drop(third);
        let third = work.note(Path::new("/shop/c é.dxf"));
        assert!(work.note(Path::new(&"x".repeat(PLACE))).is_none());
        assert_eq!(InWork::beside(&ledger).1, ["/shop/c é.dxf", "/shop/b.dxf"]);
        work.finish();
        drop((other, third));
        assert!(InWork::beside(&ledger).1.is_empty());
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 0);
        // What is no such file says nothing, and is left as it is.
        let other = folder.join("shop.ledger.in-work");
        fs::write(&other, [0xFF; 9000]).unwrap();
        let (work, left) = InWork::beside(&ledger);
        assert!(left.is_empty() && work.note(Path::new("/shop/b.dxf")).is_none());
        work.finish();
        assert_eq!(fs::read(&other).unwrap(), [0xFF; 9000]);
        fs::write(&other, [BEGIN, &vec![0; PLACE - BEGIN.len()], &[b'x'; 3 * PLACE]].concat()).unwrap();
        assert!(InWork::beside(&ledger).1.is_empty());
        fs::remove_dir_all(&folder).unwrap();
    }
}
