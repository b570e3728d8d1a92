//! Drawings that bytes were changed in until something broke (`tests/fuzz`): each is read, measured in every way and
//! written, and what holds for any input holds.

mod common;

use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

use common::sound;

/// No drawing of some kilobytes may take longer, on a machine that does other work too.
const LONGEST: Duration = Duration::from_secs(5);

#[test]
fn mangled_drawings_are_read_measured_and_written() {
    let drawings = mangled();
    assert!(!drawings.is_empty(), "no drawings in fixtures/mangled");
    let mut wrong = Vec::new();
    for (name, bytes) in &drawings {
        assert!(bytes.len() <= 20_000, "{name} is no small drawing");
        for way in 0..sound::WAYS {
            let start = Instant::now();
            let result = sound::check(bytes, way);
            let took = start.elapsed();
            wrong.extend(result.err().map(|what| format!("{name}, way {way}: {what}")));
            if took > LONGEST {
                wrong.push(format!("{name}, way {way}: took {took:.1?}"));
            }
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
