//! The drawings that were asked for: files as they are, folders searched, lists of paths. The one file that names walkdir.

use std::collections::VecDeque;
use std::collections::hash_map::{Entry, HashMap};
use std::io::{self, BufRead, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use walkdir::WalkDir;

use crate::paths;

/// A drawing to read, or a reason why there is none.
pub type Source = Result<PathBuf, SourceError>;

/// Why there is no drawing where one was named.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum SourceError {
    /// The list of drawings cannot be read on.
    List(Arc<io::Error>),
    /// A folder, or something in it, cannot be read.
    Folder(Arc<io::Error>),
    /// The folder holds no drawings.
    NoDrawings(PathBuf),
    /// The drawing was given before, by this path or by another that leads to it.
    Repeated {
        /// Its path as it comes again.
        path: PathBuf,
        /// Its path as it was given first.
        first: PathBuf,
    },
}

impl std::fmt::Display for SourceError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SourceError::List(error) => write!(f, "the rest of the list of drawings cannot be read: {error}"),
            SourceError::Folder(error) => error.fmt(f),
            SourceError::NoDrawings(folder) => write!(
                f,
                "{}: no drawings in this folder: name a folder that holds .dxf files",
                paths::text(&folder)
            ),
            SourceError::Repeated { path, first } => {
                write!(f, "{}: the same drawing as {}", paths::text(&path), paths::text(&first))
            }
        }
    }
}

impl std::error::Error for SourceError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            SourceError::List(error) | SourceError::Folder(error) => Some(error.as_ref()),
            SourceError::NoDrawings(_) | SourceError::Repeated { .. } => None,
        }
    }
}

/// The drawings of paths, one by one in their order: those of a folder sorted by name, with all folders in it. A drawing that
/// comes again, also by a link to it, is [`SourceError::Repeated`]; two names of one file on the disk (hard links) are two
/// drawings.
pub struct Sources {
    paths: VecDeque<PathBuf>,
    list: Option<Box<dyn Iterator<Item = io::Result<PathBuf>> + Send>>,
    folder: Option<Folder>,
    given: Given,
}

/// Drawings that were given, by what the system knows a file by.
#[derive(Default)]
struct Given(HashMap<FileKey, Vec<Box<Path>>>);

/// The device and the number of a file on it.
#[cfg(unix)]
type FileKey = (u64, u64);

#[cfg(unix)]
fn file_key(path: &Path) -> Option<FileKey> {
    use std::os::unix::fs::MetadataExt;
    let file = std::fs::metadata(path).ok()?;
    Some((file.dev(), file.ino()))
}

/// The whole path, without links.
#[cfg(not(unix))]
type FileKey = PathBuf;

#[cfg(not(unix))]
fn file_key(path: &Path) -> Option<FileKey> {
    std::fs::canonicalize(path).ok()
}

impl Given {
    /// Takes note of a path; the first that led to the same drawing, if there was one.
    fn before(&mut self, path: &Path) -> Option<PathBuf> {
        match self.0.entry(file_key(path)?) {
            Entry::Vacant(place) => {
                place.insert(vec![path.into()]);
                None
            }
            Entry::Occupied(mut names) => {
                let whole = |path: &Path| std::fs::canonicalize(path).ok();
                let this = whole(path)?;
                let first = names.get().iter().find(|name| whole(name).as_ref() == Some(&this));
                let first = first.map(|name| name.to_path_buf());
                if first.is_none() {
                    names.get_mut().push(path.into());
                }
                first
            }
        }
    }
}

impl std::fmt::Debug for Sources {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Sources").finish_non_exhaustive()
    }
}

struct Folder {
    path: PathBuf,
    entries: walkdir::IntoIter,
    empty: bool,
}

impl Sources {
    /// The drawings of these paths.
    pub fn of(paths: Vec<PathBuf>) -> Sources {
        Sources { paths: paths.into(), list: None, folder: None, given: Given::default() }
    }

    /// The drawings of these paths, then those of a list of paths: one on each line or, where there is a NUL in it, one
    /// up to each NUL.
    pub fn with_list(paths: Vec<PathBuf>, list: impl Read + Send + 'static) -> Sources {
        Sources { list: Some(listed(list)), ..Sources::of(paths) }
    }

    fn next_path(&mut self) -> Option<Source> {
        if let Some(path) = self.paths.pop_front() {
            return Some(Ok(path));
        }
        match self.list.as_mut()?.next()? {
            Ok(path) => Some(Ok(path)),
            Err(error) => {
                self.list = None;
                Some(Err(SourceError::List(Arc::new(error))))
            }
        }
    }

    /// The next drawing of the folder that is being searched.
    fn next_in_folder(&mut self) -> Option<Source> {
        let folder = self.folder.as_mut()?;
        for entry in folder.entries.by_ref() {
            let found = match entry {
                Ok(entry) if entry.file_type().is_file() && is_dxf(entry.path()) => Ok(entry.into_path()),
                Ok(_) => continue,
                Err(error) => Err(SourceError::Folder(Arc::new(not_searched(&error)))),
            };
            folder.empty = false;
            return Some(found);
        }
        let Folder { path, empty, .. } = self.folder.take()?;
        empty.then_some(Err(SourceError::NoDrawings(path)))
    }
}

/// Why a part of a folder was not searched, with what to do.
fn not_searched(error: &walkdir::Error) -> io::Error {
    let path = error.path().map(|path| paths::text(path).into_owned()).unwrap_or_default();
    let cause = error.io_error();
    let kind = cause.map_or(io::ErrorKind::Other, io::Error::kind);
    let words = match (error.loop_ancestor(), cause) {
        (Some(ancestor), _) => format!(
            "{path}: this link leads back to the folder {}, so it was not followed: remove the link if drawings are missing",
            paths::text(ancestor)
        ),
        (None, Some(cause)) => {
            format!(
                "{path}: this cannot be searched: {cause}: check that it is there and that you may read it"
            )
        }
        (None, None) => format!("{path}: this cannot be searched"),
    };
    io::Error::new(kind, words)
}

impl Iterator for Sources {
    type Item = Source;

    fn next(&mut self) -> Option<Source> {
        let path = match self.next_found()? {
            Ok(path) => path,
            error => return Some(error),
        };
        Some(match self.given.before(&path) {
            Some(first) => Err(SourceError::Repeated { path, first }),
            None => Ok(path),
        })
    }
}

impl Sources {
    /// The next drawing, whether it was given before or not.
    fn next_found(&mut self) -> Option<Source> {
        loop {
            if let Some(found) = self.next_in_folder() {
                return Some(found);
            }
            match self.next_path()? {
                Ok(path) if path.is_dir() => {
                    let entries = WalkDir::new(&path).follow_links(true).sort_by_file_name().into_iter();
                    self.folder = Some(Folder { path, entries, empty: true });
                }
                other => return Some(other),
            }
        }
    }
}

/// The path ends in .dxf, in any letter case.
pub fn is_dxf(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf"))
}

/// So many bytes of a list show whether its paths end at NULs or at ends of lines.
const LIST_PART: u64 = 1 << 16;

/// What some editors put before text in UTF-8; it belongs to no path.
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Paths being read from a list.
struct List<R> {
    source: R,
    /// What a path ends with.
    end: u8,
}

impl<R: BufRead> Iterator for List<R> {
    type Item = io::Result<PathBuf>;

    fn next(&mut self) -> Option<io::Result<PathBuf>> {
        loop {
            let mut bytes = Vec::new();
            match self.source.read_until(self.end, &mut bytes) {
                Ok(0) => return None,
                Ok(_) => {}
                Err(error) => return Some(Err(error)),
            }
            if bytes.last() == Some(&self.end) {
                bytes.pop();
            }
            if self.end == b'\n' && bytes.last() == Some(&b'\r') {
                bytes.pop();
            }
            if bytes.is_empty() {
                continue;
            }
            let written = path(bytes);
            match (self.end, written) {
                (b'\n', Ok(written)) => {
                    if let Some(path) = as_meant(written) {
                        return Some(Ok(path));
                    }
                }
                (_, written) => return Some(written),
            }
        }
    }
}

/// The path that a line of a list names: without blanks and quotation marks around it, and without a comment behind `#`; none
/// where there is nothing else. A file that is called as the line stands goes before all that.
fn as_meant(written: PathBuf) -> Option<PathBuf> {
    let Some(text) = written.to_str() else { return Some(written) };
    // As a schedule writes a path that is no text.
    let named = paths::of_text(text.trim());
    if named.as_os_str() != text.trim() && !written.exists() && named.exists() {
        return Some(named);
    }
    let plain = !text.contains(['#', '"', '\'']) && text == text.trim();
    if plain || written.exists() {
        return Some(written);
    }
    let text = text.trim();
    let quoted = ['"', '\''].iter().find_map(|mark| {
        let (within, behind) = text.strip_prefix(*mark)?.split_once(*mark)?;
        let behind = behind.trim();
        (behind.is_empty() || behind.starts_with('#')).then_some(within)
    });
    let meant = quoted.unwrap_or_else(|| match text.starts_with('#') {
        true => "",
        false => text.split_once(" #").map_or(text, |(path, _)| path.trim_end()),
    });
    (!meant.is_empty()).then(|| PathBuf::from(meant))
}

/// The paths of a list, whatever ends them: a NUL can't be in a path, so where there is one, paths end with it.
fn listed(mut source: impl Read + Send + 'static) -> Box<dyn Iterator<Item = io::Result<PathBuf>> + Send> {
    let mut begin = Vec::new();
    // A pipe may bring little at a time.
    if let Err(error) = source.by_ref().take(LIST_PART).read_to_end(&mut begin) {
        return Box::new(std::iter::once(Err(error)));
    }
    if begin.starts_with(b"\xff\xfe") || begin.starts_with(b"\xfe\xff") {
        // Some shells write lists so; every second byte would end a path.
        return Box::new(std::iter::once(Err(io::Error::other("it is in UTF-16: save it in UTF-8"))));
    }
    if begin.starts_with(BYTE_ORDER_MARK) {
        begin.drain(..BYTE_ORDER_MARK.len());
    }
    let end = if begin.contains(&0) { 0 } else { b'\n' };
    Box::new(List { source: io::BufReader::new(io::Cursor::new(begin).chain(source)), end })
}

#[cfg(unix)]
fn path(bytes: Vec<u8>) -> io::Result<PathBuf> {
    use std::os::unix::ffi::OsStringExt;
    Ok(PathBuf::from(std::ffi::OsString::from_vec(bytes)))
}

#[cfg(not(unix))]
fn path(bytes: Vec<u8>) -> io::Result<PathBuf> {
    String::from_utf8(bytes).map(PathBuf::from).map_err(|_| io::Error::other("a path in it is not UTF-8"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed_in(text: &'static [u8]) -> Vec<String> {
        Sources::with_list(vec!["first.dxf".into()], text)
            .map(|source| paths::text(&source.unwrap()).into_owned())
            .collect()
    }

    #[test]
    fn lists_of_lines_and_of_nuls() {
        assert_eq!(
            listed_in(b"a.dxf\nb c.dxf\r\n\n\xc3\xa9.dxf"),
            ["first.dxf", "a.dxf", "b c.dxf", "é.dxf"]
        );
        assert_eq!(listed_in(b"a\nb.dxf\0c.dxf\r\0\0"), ["first.dxf", "a\nb.dxf", "c.dxf\r"]);
        assert_eq!(listed_in(b""), ["first.dxf"]);
        assert_eq!(listed_in(b"\xef\xbb\xbfa.dxf\r\nb.dxf"), ["first.dxf", "a.dxf", "b.dxf"]);
        let messages: Vec<Source> = Sources::with_list(Vec::new(), &b"\xff\xfea\0.\0d\0x\0f\0"[..]).collect();
        assert!(
            matches!(&messages[..], [Err(error @ SourceError::List(_))] if error.to_string().contains("save it in UTF-8")),
            "{messages:?}"
        );
    }

    #[test]
    fn folders_are_searched_in_order() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures");
        let found: Vec<PathBuf> = Sources::of(vec![folder.into()]).map(Result::unwrap).collect();
        let mut sorted = found.clone();
        sorted.sort_by(|a, b| a.iter().cmp(b.iter()));
        assert!(found.len() > 100 && found == sorted);
        let empty = concat!(env!("CARGO_MANIFEST_DIR"), "/shared/pictures");
        let messages: Vec<Source> = Sources::of(vec![empty.into(), "there.dxf".into()]).collect();
        assert!(
            messages[0].as_ref().is_err_and(|error| error.to_string().contains("no drawings in this folder"))
        );
        assert_eq!(messages[1].as_deref().ok(), Some(Path::new("there.dxf")));
    }
}
