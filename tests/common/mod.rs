//! What the truth tests share: outlines drawn as DXF text in several dresses, the way from there to the text of the
//! CSV schedule, and the comparison of a row with published figures.
#![allow(dead_code, reason = "every test file uses a part of it")]

pub mod clipper;
pub mod draw;
pub mod mangle;
pub mod seed;
pub mod shapes;
pub mod sound;
pub mod truth;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use tracearm::drawing::{Drawing, LengthUnit};
use tracearm::measure::{self, Options};
use tracearm::schedule::{self, Digits, Style};

/// A row of the schedule by column key, as text.
pub type Row = BTreeMap<String, String>;

/// A file of the project as text.
pub fn file(path: &str) -> String {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// A CSV file of the project: one map of column to text a row.
pub fn table(path: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(file(path).as_bytes()).deserialize().map(|row| row.expect(path)).collect()
}

/// Keys and units of shared/schedule-columns.csv, in order.
pub fn columns() -> Vec<(String, String)> {
    let rows = table("shared/schedule-columns.csv");
    rows.iter().map(|row| (row["key"].clone(), row["unit"].clone())).collect()
}

/// The header a column must have when lengths are written in `unit`.
pub fn header(key: &str, kind: &str, unit: &str) -> String {
    match kind {
        "" => key.to_owned(),
        "length" => format!("{key}_{unit}"),
        "deg" => format!("{key}_deg"),
        "kg/m" => format!("{key}_kg_per_m"),
        power => format!("{key}_{unit}{}", power.strip_prefix("length^").expect("a power of a length")),
    }
}

/// From DXF bytes to the rows of the CSV schedule in millimetres with all digits, read back from its text.
pub fn schedule(name: &str, dxf: &[u8], options: &Options) -> Vec<Row> {
    let drawing = Drawing::read(dxf).unwrap_or_else(|e| panic!("{name}: {e}"));
    let measured = measure::drawing(name, &drawing, options);
    let style = Style::with(|s| {
        s.unit = LengthUnit::Millimetre;
        s.digits = Digits::FULL;
        // In the place of advice, the code of each finding.
        s.advice = |code| Some(code.name());
    });
    let mut text = Vec::new();
    schedule::write_csv(&measured.measurements, style, &mut text).expect("writing to memory");
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let headers = reader.headers().expect("a header").clone();
    let columns = columns();
    let expected: Vec<String> = columns.iter().map(|(key, kind)| header(key, kind, "mm")).collect();
    assert_eq!(headers.iter().collect::<Vec<_>>(), expected, "{name}: the header of the schedule");
    reader
        .records()
        .map(|record| {
            let record = record.expect("a row of the schedule");
            columns.iter().map(|(key, _)| key.clone()).zip(record.iter().map(str::to_owned)).collect()
        })
        .collect()
}

/// The only row of a drawing, which must have been measured without failure.
pub fn only_row(name: &str, dxf: &str) -> Row {
    let mut rows = schedule(name, dxf.as_bytes(), &Options::default());
    assert_eq!(rows.len(), 1, "{name}: one layer, one row");
    let row = rows.remove(0);
    assert_eq!(row["status"], "ok", "{name}: {}", row["findings"]);
    row
}

/// A figure of a row; the cell must not be empty.
pub fn figure(row: &Row, key: &str) -> f64 {
    row[key].parse().unwrap_or_else(|_| panic!("{key} of {} is {:?}", row["section"], row[key]))
}

/// Time that this thread has run, so that other work on the machine does not count; where the system does not say, what
/// the clock shows.
pub fn own_time() -> Duration {
    thread_local! {
        static BEGIN: Instant = Instant::now();
    }
    let messages = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = messages.and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| BEGIN.with(Instant::elapsed), Duration::from_nanos)
}
