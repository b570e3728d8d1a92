//! The formats that a schedule can be written in.

use std::fmt;
use std::path::Path;
use std::str::FromStr;

/// A format of the schedule. All have the same columns and the same figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values: the headings, then a row for each section.
    Csv,
    /// One JSON document, as `shared/schedule.schema.json` describes it.
    Json,
    /// A JSON object for each section, one on each line.
    JsonLines,
    /// A workbook (XLSX) with the sheets Schedule, Columns and Findings.
    Workbook,
    /// A table to read, in lines of text.
    Table {
        /// The longest line in columns of a terminal; never less than 40.
        width: usize,
    },
}

/// A word that names no format.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownFormat(String);

impl fmt::Display for UnknownFormat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "unknown format “{}”: use {}", self.0.escape_debug(), Format::WORDS)
    }
}

impl std::error::Error for UnknownFormat {}

impl Format {
    /// The width of a table where that of the terminal is not known.
    pub const USUAL_WIDTH: usize = 80;

    /// The names that [`from_str`](Format::from_str) takes.
    pub const WORDS: &'static str = "csv, json, jsonl, xlsx or table";

    /// The endings that [`of_file`](Format::of_file) knows.
    pub const ENDINGS: &'static str = ".csv, .json, .jsonl, .xlsx or .txt (a table)";

    /// The format that the ending of a file's name stands for, in any letter case; `None` for another ending or none.
    pub fn of_file(path: &Path) -> Option<Format> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "txt" => Some(Format::Table { width: Format::USUAL_WIDTH }),
            "ndjson" => Some(Format::JsonLines),
            // The name of a format that is no ending of a file.
            "table" => None,
            _ => ending.parse().ok(),
        }
    }

    /// Whether this build of the library writes the format: JSON needs the feature `json`, a workbook `workbook`. A schedule in
    /// one that is not built in can't be begun, and the error says so.
    pub fn is_built_in(self) -> bool {
        match self {
            Format::Csv | Format::Table { .. } => true,
            Format::Json | Format::JsonLines => cfg!(feature = "json"),
            Format::Workbook => cfg!(feature = "workbook"),
        }
    }

    /// What to say of a format that is not built in.
    #[cfg(not(all(feature = "json", feature = "workbook")))]
    pub(super) fn not_built_in(self) -> std::io::Error {
        let (what, feature) =
            if self == Format::Workbook { ("workbooks", "workbook") } else { ("JSON", "json") };
        let text = format!(
            "this build of tracearm can't write {what}: build it with its feature {feature}, or take csv or table"
        );
        std::io::Error::new(std::io::ErrorKind::Unsupported, text)
    }

    /// Whether the format is text, which a terminal can show.
    pub fn is_text(self) -> bool {
        self != Format::Workbook
    }
}

impl FromStr for Format {
    type Err = UnknownFormat;

    /// `csv`, `json`, `jsonl`, `xlsx` or `table` (of the [usual width](Format::USUAL_WIDTH)), in any letter case.
    fn from_str(text: &str) -> Result<Format, UnknownFormat> {
        match text.to_ascii_lowercase().as_str() {
            "csv" => Ok(Format::Csv),
            "json" => Ok(Format::Json),
            "jsonl" => Ok(Format::JsonLines),
            "xlsx" => Ok(Format::Workbook),
            "table" => Ok(Format::Table { width: Format::USUAL_WIDTH }),
            _ => Err(UnknownFormat(text.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_and_words() {
        let of = |name: &str| Format::of_file(Path::new(name));
        assert_eq!(of("plates.CSV"), Some(Format::Csv));
        assert_eq!(of("a.b/plates.json"), Some(Format::Json));
        assert_eq!(of("plates.ndjson"), Some(Format::JsonLines));
        assert_eq!(of("plates.xlsx"), Some(Format::Workbook));
        assert_eq!(of("plates.txt"), Some(Format::Table { width: 80 }));
        for name in ["plates", "plates.docx", "plates.table", "plates.csv.bak", ".csv", "a.csv/plates"] {
            assert_eq!(of(name), None, "{name}");
        }
        // Every word that the messages name is one, and so is every ending.
        for word in Format::WORDS.replace(" or ", ", ").split(", ") {
            assert!(word.parse::<Format>().is_ok(), "{word}");
        }
        for ending in Format::ENDINGS.split(' ').filter(|word| word.starts_with('.')) {
            assert!(of(&format!("plates{}", ending.trim_end_matches(','))).is_some(), "{ending}");
        }
        let messages = "yaml".parse::<Format>().unwrap_err().to_string();
        assert!(messages.contains("yaml") && messages.contains("jsonl"), "{messages}");
    }
}
