//! Entities by kind and layer, against two readers in another language that share nothing with this one: one complete,
//! one that knows group codes alone. tests/entity_counts/count.py counts; its table for the fixtures is kept beside it,
//! and one for other drawings is read where `TRACEARM_DRAWINGS` names their folder and `TRACEARM_COUNTS` the table.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use tracearm::drawing::{Drawing, Reason};

/// Kind and layer, the layer in small letters.
type Counts = BTreeMap<(String, String), u64>;

/// The other readers.
const EZDXF: &str = "ezdxf";
const CODES: &str = "group codes";

/// A difference that is known: drawing, reader, kind (`*` for any), reason. One that no longer occurs fails the test.
type Known = (&'static str, &'static str, &'static str, &'static str);

const FIXTURES: &[Known] = &[
    ("bad-header.dxf", EZDXF, "*", "refuses a drawing for a header variable that is no number"),
    ("block-array-too-large.dxf", EZDXF, "*", "knows no limit of what blocks may put into a drawing"),
    ("block-array-too-large.dxf", CODES, "*", "knows no limit of what blocks may put into a drawing"),
    ("before-r11.dxf", EZDXF, "*", "does not read 3DLINE, which is a LINE here"),
    ("before-r11.dxf", CODES, "*", "counts 3DLINE by its own name"),
    ("byte-order-mark.dxf", EZDXF, "*", "takes UTF-8 behind a byte-order mark for a code page"),
    ("damaged-binary-cut.dxf", EZDXF, "*", "refuses a binary drawing that ends within an entity"),
    ("damaged-slip.dxf", EZDXF, "*", "refuses a drawing with a line where a group code should stand"),
    ("damaged-slip.dxf", CODES, "*", "stops at a line where a group code should stand"),
    ("comments-and-blanks.dxf", EZDXF, "*", "knows no section names in small letters"),
    ("escaped-multibyte.dxf", EZDXF, "LWPOLYLINE", "leaves \\M+nXXXX in layer names as it is"),
    ("handles.dxf", EZDXF, "CIRCLE", "gives one of two entities that share a handle"),
    ("native-drawing.dxf", EZDXF, "refused", "recovers an empty drawing from what is none"),
    ("numbers-out-of-range.dxf", EZDXF, "*", "expands a reference with a scale of 0"),
    ("numbers-out-of-range.dxf", CODES, "*", "expands a reference with a scale of 0"),
    ("repeated-sections.dxf", EZDXF, "*", "keeps the last of several sections of one name"),
    ("escaped-layer.dxf", EZDXF, "LWPOLYLINE", "leaves \\U+XXXX in layer names as it is"),
    ("truncated.dxf", EZDXF, "LWPOLYLINE", "gives nothing of a file that ends within its entities"),
];

const COLUMNS: &str = "takes the columns of a text for one text, and their frame for a part of it";
const NO_VERSION: &str = "reads a drawing without version as R12, where layers stand elsewhere";

const OTHERS: &[Known] = &[
    ("b-mleader.dxf", EZDXF, "MULTILEADER", NO_VERSION),
    ("b-splines.dxf", EZDXF, "SPLINE", NO_VERSION),
    ("c-ascii_r12.dxf", EZDXF, "*", "leaves \\U+XXXX in layer names as it is"),
    ("c-columns_r2007.dxf", EZDXF, "MTEXT", COLUMNS),
    ("c-mtext_columns_r2000.dxf", EZDXF, "MTEXT", COLUMNS),
    ("c-mtext_columns_r2007-2.dxf", EZDXF, "MTEXT", COLUMNS),
    ("c-mtext_columns_r2007.dxf", EZDXF, "MTEXT", COLUMNS),
    ("c-mtext_framed_columns.dxf", EZDXF, "*", COLUMNS),
    ("c-mtext_text_frame.dxf", EZDXF, "LWPOLYLINE", COLUMNS),
];

#[test]
fn fixtures_hold_what_other_readers_count() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let messages = compare(&folder, &table("tests/entity_counts/fixtures.csv".as_ref()), FIXTURES);
    println!("{messages}");
}

#[test]
fn other_drawings_hold_what_other_readers_count() {
    let variables = (std::env::var_os("TRACEARM_DRAWINGS"), std::env::var_os("TRACEARM_COUNTS"));
    let (Some(folder), Some(counts)) = variables else {
        println!("skipped: TRACEARM_DRAWINGS and TRACEARM_COUNTS name no drawings and their counts");
        return;
    };
    println!("{}", compare(Path::new(&folder), &table(Path::new(&counts)), OTHERS));
}

/// Counts by drawing and reader; `None` where that reader refuses the drawing.
fn table(path: &Path) -> BTreeMap<String, BTreeMap<String, Option<Counts>>> {
    let mut all: BTreeMap<String, BTreeMap<String, Option<Counts>>> = BTreeMap::new();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let mut rows = csv::Reader::from_path(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    for row in rows.deserialize::<(String, String, String, String, u64)>() {
        let (drawing, reader, kind, layer, count) = row.expect("drawing,reader,kind,layer,count");
        let counts = all.entry(drawing).or_default().entry(reader);
        match kind.as_str() {
            "refused" => drop(counts.or_insert(None)),
            "nothing" => drop(counts.or_insert(Some(Counts::new()))),
            _ => {
                let counts = counts.or_insert_with(|| Some(Counts::new()));
                counts.as_mut().expect("not refused").insert((kind, layer.to_lowercase()), count);
            }
        }
    }
    all
}

/// Compares every drawing of a folder, and every row of the table; says how many.
fn compare(
    folder: &Path,
    table: &BTreeMap<String, BTreeMap<String, Option<Counts>>>,
    known: &[Known],
) -> String {
    let drawings = drawings(folder);
    let names: BTreeSet<&String> = drawings.keys().collect();
    assert_eq!(names, table.keys().collect(), "the drawings and those in the table");
    let (mut wrong, mut occurring, mut compared) = (Vec::new(), BTreeSet::new(), 0);
    for (name, path) in &drawings {
        let own = Drawing::open(path).ok().map(|drawing| counts(&drawing));
        for reader in [EZDXF, CODES] {
            let other = table[name].get(reader).unwrap_or_else(|| panic!("{name}: no counts by {reader}"));
            for (kind, text) in differences(own.as_ref(), other.as_ref()) {
                let at = known
                    .iter()
                    .position(|row| row.0 == name && row.1 == reader && (row.2 == "*" || row.2 == kind));
                match at {
                    Some(at) => drop(occurring.insert(at)),
                    None => wrong.push(format!("{name}, {reader}: {text}")),
                }
            }
            compared += 1;
        }
    }
    for (at, (name, reader, kind, reason)) in known.iter().enumerate() {
        if drawings.contains_key(*name) && !occurring.contains(&at) {
            wrong.push(format!(
                "{name}, {reader}: {kind} no longer differs ({reason}): take it off the table"
            ));
        }
    }
    assert!(wrong.is_empty(), "{} differences:\n{}", wrong.len(), wrong.join("\n"));
    format!("{compared} comparisons over {} drawings, {} known differences", drawings.len(), occurring.len())
}

fn drawings(folder: &Path) -> BTreeMap<String, PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf")))
        .map(|path| (path.file_name().expect("a name").to_string_lossy().into_owned(), path))
        .collect()
}

/// What the drawing holds in model space, read or passed over.
fn counts(drawing: &Drawing) -> Counts {
    let mut counts = Counts::new();
    for entity in &drawing.entities {
        let layer = drawing.layer(entity.layer).name.to_lowercase();
        *counts.entry((entity.kind.name().to_owned(), layer)).or_default() += 1;
    }
    for passed in drawing.passed_over.iter().filter(|passed| passed.reason != Reason::PaperSpace) {
        let layer = passed.layer.map_or_else(String::new, |layer| drawing.layer(layer).name.to_lowercase());
        *counts.entry((passed.kind.clone(), layer)).or_default() += passed.count;
    }
    counts
}

/// Kind and words for everything that is not counted alike.
fn differences(own: Option<&Counts>, other: Option<&Counts>) -> Vec<(String, String)> {
    let (own, other) = match (own, other) {
        (None, None) => return Vec::new(),
        (Some(_), None) => return vec![("refused".to_owned(), "refused by the other reader".to_owned())],
        (None, Some(_)) => return vec![("refused".to_owned(), "refused here".to_owned())],
        (Some(own), Some(other)) => (own, other),
    };
    let keys: BTreeSet<&(String, String)> = own.keys().chain(other.keys()).collect();
    keys.into_iter()
        .map(|key| (key, own.get(key).unwrap_or(&0), other.get(key).unwrap_or(&0)))
        .filter(|(_, own, other)| own != other)
        .map(|((kind, layer), own, other)| {
            (kind.clone(), format!("{own} {kind} on layer {layer}, by the other reader {other}"))
        })
        .collect()
}
