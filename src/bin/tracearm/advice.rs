//! What to try next, in the words of the command line.

pub use tracearm::finding::advice_with_options as of;

#[cfg(test)]
mod tests {
    use super::*;
    use tracearm::finding::{Code, Finding};

    const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/shared/findings.csv");

    /// Every kind of finding: its name, weight and values, an example of its sentence, and what to try next in the words of
    /// the library and of the command line.
    fn table() -> String {
        let mut table =
            "code,severity,values,sentence,example,advice,advice_of_the_command_line\n".to_owned();
        for code in Code::ALL {
            let example = Finding::example(*code);
            assert!(example.is_complete(), "{code}");
            let values: Vec<String> =
                code.keys().iter().map(|(key, kind)| format!("{key} ({kind})")).collect();
            let cells = [
                code.name().to_owned(),
                code.severity().word().to_owned(),
                values.join(", "),
                code.sentence().to_owned(),
                example.message(),
                example.hint(Code::advice),
                example.hint(of),
            ];
            let cells = cells.map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")));
            table.push_str(&cells.join(","));
            table.push('\n');
        }
        table
    }

    /// TRACEARM_WRITE_FINDINGS=1 writes the file anew; what has changed is then seen as any change is.
    #[test]
    fn every_sentence_stands_in_the_table() {
        let table = table();
        if std::env::var_os("TRACEARM_WRITE_FINDINGS").is_some() {
            std::fs::write(FILE, &table).expect("the table is written");
        }
        let written = std::fs::read_to_string(FILE).expect("shared/findings.csv is there");
        for (line, (now, then)) in (1..).zip(table.lines().zip(written.lines())) {
            assert_eq!(now, then, "line {line}");
        }
        assert_eq!(table.lines().count(), written.lines().count());
    }

    #[test]
    fn names_are_in_small_letters_and_each_is_one_code() {
        let mut names: Vec<&str> = Code::ALL.iter().map(|code| code.name()).collect();
        assert!(
            names.iter().all(|name| name.bytes().all(|b| b == b'-' || b.is_ascii_lowercase() || b == b'8'))
        );
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Code::ALL.len());
    }

    /// The library speaks of drawings, not of options.
    #[test]
    fn only_the_command_line_names_its_options() {
        for code in Code::ALL {
            for text in [code.sentence(), code.advice().unwrap_or_default()] {
                assert!(!text.contains("--") && !text.contains("tracearm "), "{code}: {text}");
            }
        }
    }
}
