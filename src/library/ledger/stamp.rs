//! What shows, without reading a file, that it was changed.

use std::fs::Metadata;
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Times of files are this coarse where they are coarsest (two seconds, common practice of FAT): what was changed so
/// shortly before it was looked at may be changed again without showing.
const COARSE: Duration = Duration::from_secs(2);

/// Size and times of a file. Times are nanoseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) struct Stamp {
    pub(super) size: i64,
    /// When its content was written, as the file system has it; whoever copies a file may set it.
    pub(super) modified: i64,
    /// When anything about it was last changed, which no program can set; 0 where the system does not know.
    pub(super) changed: i64,
    /// When the file was looked at.
    pub(super) looked: i64,
}

impl Stamp {
    /// The stamp of a file; `None` where there is none.
    pub(in super::super) fn of(path: &Path) -> Option<Stamp> {
        let metadata = std::fs::metadata(path).ok().filter(Metadata::is_file)?;
        Some(Stamp {
            size: i64::try_from(metadata.len()).unwrap_or(i64::MAX),
            modified: metadata.modified().map_or(0, since_1970),
            changed: changed(&metadata),
            looked: since_1970(SystemTime::now()),
        })
    }

    /// Whether a file that looked like `before` and looks like this now can't have changed.
    pub(super) fn proves_unchanged_since(&self, before: &Stamp) -> bool {
        let coarse = i64::try_from(COARSE.as_nanos()).unwrap_or(i64::MAX);
        let settled = before.modified.max(before.changed).saturating_add(coarse) < before.looked;
        settled
            && self.size == before.size
            && self.modified == before.modified
            && self.changed == before.changed
    }
}

fn since_1970(time: SystemTime) -> i64 {
    let nanoseconds = |time: Duration| i64::try_from(time.as_nanos()).unwrap_or(i64::MAX);
    match time.duration_since(UNIX_EPOCH) {
        Ok(after) => nanoseconds(after),
        Err(before) => -nanoseconds(before.duration()),
    }
}

#[cfg(unix)]
fn changed(metadata: &Metadata) -> i64 {
    use std::os::unix::fs::MetadataExt;
    metadata.ctime().saturating_mul(1_000_000_000).saturating_add(metadata.ctime_nsec())
}

#[cfg(not(unix))]
fn changed(_: &Metadata) -> i64 {
    0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_just_written_proves_nothing() {
        const SECOND: i64 = 1_000_000_000;
        let before = Stamp { size: 7, modified: 100 * SECOND, changed: 101 * SECOND, looked: 200 * SECOND };
        let now = Stamp { looked: 900 * SECOND, ..before };
        assert!(now.proves_unchanged_since(&before));
        for other in [
            Stamp { size: 8, ..now },
            Stamp { modified: now.modified + 1, ..now },
            Stamp { changed: now.changed + 1, ..now },
        ] {
            assert!(!other.proves_unchanged_since(&before), "{other:?}");
        }
        let at_once = Stamp { looked: before.changed + SECOND, ..before };
        assert!(!now.proves_unchanged_since(&at_once));
        assert!(Stamp::of(Path::new(env!("CARGO_MANIFEST_DIR"))).is_none());
        let file = Stamp::of(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml"))).unwrap();
        assert!(file.size > 100 && file.modified > 1_500_000_000 * SECOND && file.looked > file.modified);
    }
}
