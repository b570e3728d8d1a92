//! In which format the schedule is written.

use std::path::Path;

use tracearm::paths;
use tracearm::schedule::Format;

/// The format that is asked for, else the one that the file's ending names, else the one that suits standard output:
/// `terminal` is its width where it is a terminal.
pub fn chosen(
    requested: Option<Format>,
    output: Option<&Path>,
    terminal: Option<usize>,
) -> Result<Format, String> {
    match (requested, output) {
        (Some(Format::Table { width }), None) => Ok(Format::Table { width: terminal.unwrap_or(width) }),
        (Some(format), None) if terminal.is_some() && !format.is_text() => {
            Err("a workbook can't be shown on a terminal: write it to a file, such as -o plates.xlsx"
                .to_owned())
        }
        (Some(format), _) => Ok(format),
        (None, Some(path)) => Format::of_file(path).ok_or_else(|| {
            format!(
                "cannot write the schedule to {}: its ending does not say in which format; end the name in {}, or add \
                 --format",
                paths::text(&path),
                Format::ENDINGS
            )
        }),
        (None, None) => Ok(terminal.map_or(Format::Csv, |width| Format::Table { width })),
    }
}

/// Whether the ending of a file's name promises a format that CSV is not; .txt may hold any text.
pub fn is_csv(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"))
}

/// The ending of a file's name says another format than CSV.
pub fn is_other_than_csv(path: &Path) -> bool {
    matches!(Format::of_file(path), Some(Format::Json | Format::JsonLines | Format::Workbook))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_asked_for_goes_first() {
        let name = |name| Some(Path::new(name));
        assert_eq!(chosen(Some(Format::Json), name("plates.csv"), None), Ok(Format::Json));
        assert_eq!(chosen(Some(Format::Csv), name("plates.docx"), Some(100)), Ok(Format::Csv));
        assert_eq!(chosen(None, name("plates.xlsx"), Some(100)), Ok(Format::Workbook));
        // A file is the same whatever the terminal's width.
        assert_eq!(chosen(None, name("plates.txt"), Some(100)), Ok(Format::Table { width: 80 }));
        let messages = chosen(None, name("plates.docx"), None).unwrap_err();
        assert!(
            messages.contains("plates.docx") && messages.contains(".xlsx") && messages.contains("--format"),
            "{messages}"
        );
        assert!(chosen(None, name("plates"), None).is_err());
    }

    #[test]
    fn people_read_tables_and_programs_csv() {
        let table = Format::Table { width: 80 };
        assert_eq!(chosen(None, None, None), Ok(Format::Csv));
        assert_eq!(chosen(None, None, Some(132)), Ok(Format::Table { width: 132 }));
        assert_eq!(chosen(Some(table), None, Some(132)), Ok(Format::Table { width: 132 }));
        assert_eq!(chosen(Some(table), None, None), Ok(table));
        assert!(chosen(Some(Format::Workbook), None, Some(80)).is_err_and(|message| message.contains("-o")));
        assert_eq!(chosen(Some(Format::Workbook), None, None), Ok(Format::Workbook));
    }

    #[test]
    fn pieces_are_csv() {
        assert!(is_other_than_csv(Path::new("pieces.xlsx")) && is_other_than_csv(Path::new("pieces.JSON")));
        for name in ["pieces.csv", "pieces.txt", "pieces"] {
            assert!(!is_other_than_csv(Path::new(name)), "{name}");
        }
    }
}
