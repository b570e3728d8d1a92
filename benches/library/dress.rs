//! What a drawing office's program writes around and beside the outlines: a header, tables, blocks, a sheet with a frame,
//! dimensions, and objects that nobody sees. Names and codes are those of the format's reference, values a metric shop's.

use crate::writer::{Place, Version, Writer};

/// Lines of these files are a group code and its value; those that begin with `+` are for R2000 alone, with `-` for R12.
const VARIABLES: &str = include_str!("dress/variables.txt");
const TABLES: &str = include_str!("dress/tables.txt");
const MORE_TABLES: &str = include_str!("dress/more_tables.txt");
const OBJECTS: &str = include_str!("dress/objects.txt");

/// Where dimensions stand.
pub const DIMENSIONS: &str = "DIMENSIONS";
/// Where the frame of the sheet stands.
pub const FRAME: &str = "FRAME";

/// The owner of what stands in model space, and of what stands on the sheet.
const MODEL_SPACE: &str = "92";
const PAPER_SPACE: &str = "93";

/// The dimensions of a drawing, which are blocks too.
#[derive(Default)]
pub struct Dimensions {
    /// Names and handles of the records of their blocks.
    records: Vec<(String, u64)>,
    blocks: String,
}

impl Dimensions {
    /// The dimension between two places of a part, so far off (mm) the line between them, as an entity.
    pub fn add(&mut self, writer: &mut Writer, place: Place, ends: [(f64, f64); 2], off: f64) -> String {
        let name = format!("*D{}", self.records.len() + 1);
        writer.handle += 1;
        let record = writer.handle;
        self.records.push((name.clone(), record));
        let [from, to] = ends;
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        let (along, across) = (
            ((to.0 - from.0) / length, (to.1 - from.1) / length),
            (-(to.1 - from.1) / length, (to.0 - from.0) / length),
        );
        let beside = |end: (f64, f64), by: f64| (end.0 + across.0 * by, end.1 + across.1 * by);
        let (first, last) = (beside(from, off), beside(to, off));
        let middle = ((first.0 + last.0) / 2.0, (first.1 + last.1) / 2.0);
        let words = format!("{length:.0}");
        let mut block = begun(writer, &name, record);
        for (end, line_end) in [(from, first), (to, last)] {
            let (sign, beyond) = (off.signum(), off.signum() * 12.5);
            block.push_str(&writer.line("0", place, beside(end, sign * 6.25), beside(line_end, beyond)));
        }
        block.push_str(&writer.line("0", place, first, last));
        for (tip, way) in [(first, 25.0), (last, -25.0)] {
            let base = (tip.0 + along.0 * way, tip.1 + along.1 * way);
            block.push_str(&writer.arrow("0", place, tip, [beside(base, 4.0), beside(base, -4.0)]));
        }
        block.push_str(&writer.text("0", place.of(beside(middle, 6.25)), 25.0, &words));
        block.push_str(&ended(writer, record));
        self.blocks.push_str(&block);
        writer.dimension(DIMENSIONS, &name, place, [first, middle], ends, &words)
    }
}

/// What stands before the entities.
pub fn head(writer: &mut Writer, layers: &[String], dimensions: &Dimensions) -> String {
    let mut out = String::with_capacity(32 * 1024);
    writer.open_section(&mut out, "HEADER");
    writer.version_and_units(&mut out);
    pairs(writer, &mut out, VARIABLES);
    if writer.version == Version::R2000 {
        writer.pair(&mut out, 9, "$MEASUREMENT");
        writer.pair(&mut out, 70, u8::from(writer.units != Some(1)));
    }
    writer.pair(&mut out, 0, "ENDSEC");
    if writer.version == Version::R2000 {
        writer.open_section(&mut out, "CLASSES");
        writer.pair(&mut out, 0, "ENDSEC");
    }
    writer.open_section(&mut out, "TABLES");
    pairs(writer, &mut out, TABLES);
    writer.layer_table(&mut out, layers);
    pairs(writer, &mut out, MORE_TABLES);
    if writer.version == Version::R2000 {
        block_records(writer, &mut out, dimensions);
    }
    writer.pair(&mut out, 0, "ENDSEC");
    writer.open_section(&mut out, "BLOCKS");
    if writer.version == Version::R2000 {
        for (name, owner) in [("*Model_Space", 0x92), ("*Paper_Space", 0x93)] {
            out.push_str(&begun(writer, name, owner));
            out.push_str(&ended(writer, owner));
        }
    }
    out.push_str(&dimensions.blocks);
    writer.pair(&mut out, 0, "ENDSEC");
    writer.open_section(&mut out, "ENTITIES");
    out
}

/// The frame of the sheet with its title, which follows the entities, and what stands behind them.
pub fn tail(writer: &mut Writer, title: &str) -> String {
    let mut out = String::with_capacity(8 * 1024);
    let edges = [
        ((10.0, 10.0), (410.0, 10.0)),
        ((410.0, 10.0), (410.0, 287.0)),
        ((410.0, 287.0), (10.0, 287.0)),
        ((10.0, 287.0), (10.0, 10.0)),
        ((230.0, 10.0), (230.0, 60.0)),
        ((230.0, 60.0), (410.0, 60.0)),
        ((230.0, 35.0), (410.0, 35.0)),
    ];
    writer.on_sheet = true;
    edges.iter().for_each(|(from, to)| out.push_str(&writer.line(FRAME, Place::HERE, *from, *to)));
    for (line, words) in
        [title, "CRANE AND FABRICATION SHOP", "ALL SIZES IN MM UNLESS STATED"].iter().enumerate()
    {
        out.push_str(&writer.text(FRAME, (235.0, 48.0 - 15.0 * line as f64), 5.0, words));
    }
    writer.on_sheet = false;
    writer.pair(&mut out, 0, "ENDSEC");
    if writer.version == Version::R2000 {
        writer.open_section(&mut out, "OBJECTS");
        pairs(writer, &mut out, OBJECTS);
        writer.pair(&mut out, 0, "ENDSEC");
    }
    writer.pair(&mut out, 0, "EOF");
    out
}

fn pairs(writer: &Writer, out: &mut String, text: &str) {
    for line in text.lines() {
        let (line, only) = match line.as_bytes().first() {
            Some(b'+') => (&line[1..], Some(Version::R2000)),
            Some(b'-') => (&line[1..], Some(Version::R12)),
            _ => (line, None),
        };
        let (code, value) = line.split_once(' ').unwrap_or((line, ""));
        if let (true, Ok(code)) = (only.is_none_or(|only| only == writer.version), code.parse()) {
            writer.pair(out, code, value);
        }
    }
}

fn block_records(writer: &Writer, out: &mut String, dimensions: &Dimensions) {
    for (code, value) in [(0, "TABLE"), (2, "BLOCK_RECORD"), (5, "94"), (330, "0"), (100, "AcDbSymbolTable")]
    {
        writer.pair(out, code, value);
    }
    writer.pair(out, 70, dimensions.records.len() + 2);
    let own = [("*Model_Space".to_owned(), 0x92), ("*Paper_Space".to_owned(), 0x93)];
    for (name, handle) in own.iter().chain(&dimensions.records) {
        writer.pair(out, 0, "BLOCK_RECORD");
        writer.pair(out, 5, format_args!("{handle:X}"));
        for (code, value) in [(330, "94"), (100, "AcDbSymbolTableRecord"), (100, "AcDbBlockTableRecord")] {
            writer.pair(out, code, value);
        }
        writer.pair(out, 2, name);
        let layout = [("92", "A7"), ("93", "A6")].iter().find(|(of, _)| format!("{handle:X}") == *of);
        writer.pair(out, 340, layout.map_or("0", |(_, layout)| layout));
    }
    writer.pair(out, 0, "ENDTAB");
}

/// The beginning of a block.
fn begun(writer: &mut Writer, name: &str, record: u64) -> String {
    let mut out = writer.start_in(record, "BLOCK", "0", "AcDbBlockBegin");
    writer.pair(&mut out, 2, name);
    writer.pair(&mut out, 70, u8::from(name.starts_with("*D")));
    for code in [10, 20, 30] {
        writer.pair(&mut out, code, "0.0");
    }
    writer.pair(&mut out, 3, name);
    writer.pair(&mut out, 1, "");
    out
}

fn ended(writer: &mut Writer, record: u64) -> String {
    writer.start_in(record, "ENDBLK", "0", "AcDbBlockEnd")
}

/// The handle of the space that an entity stands in.
pub fn owner(on_sheet: bool) -> &'static str {
    if on_sheet { PAPER_SPACE } else { MODEL_SPACE }
}
