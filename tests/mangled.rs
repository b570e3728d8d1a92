//! Drawings whose bytes were changed until something broke (`tests/fuzz`): each is read, measured and written, and what
//! holds for any input holds.

use crate::common;

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use common::{own_time, sound};

/// No drawing of some kilobytes may take longer, of the thread's own time where that is known.
const LONGEST: Duration = Duration::from_secs(5);

#[test]
fn mangled_drawings_are_read_measured_and_written() {
    let drawings = mangled();
    assert!(!drawings.is_empty(), "no drawings in fixtures/mangled");
    let mut wrong = Vec::new();
    for (name, bytes) in &drawings {
        assert!(bytes.len() <= 20_000, "{name} is no small drawing");
        // The search measures so too.
        let way = bytes.last().map_or(0, |last| usize::from(*last) % sound::WAYS);
        let start = own_time();
        let result = sound::check(bytes, way);
        let took = own_time().saturating_sub(start);
        println!("{name}: {result:?}, {took:.2?}");
        wrong.extend(result.err().map(|what| format!("{name}: {what}")));
        if took > LONGEST {
            wrong.push(format!("{name}: took {took:.1?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The drawings by name.
fn mangled() -> BTreeMap<String, Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/mangled");
    let entries = std::fs::read_dir(folder).expect("the folder of mangled drawings");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read(&path).expect("a drawing"))
        })
        .collect()
}
