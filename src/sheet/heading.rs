//! What a sheet carries as a paper of a project: the title block, and what runs along the edges of every printed page.

use std::fmt::Write;

use super::letters::is_unfit;
use super::markup::{Markup, html};
use super::{Provenance, file_name, plain_name};
use crate::measure::Measurement;

/// What the title block of a sheet says; empty where it is to be filled in by hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heading {
    /// Name of the project.
    pub project: String,
    /// Number of the job.
    pub job_number: String,
    /// Revision of the sheet.
    pub revision: String,
    /// Who has prepared it.
    pub prepared: String,
    /// Who has checked it.
    pub checked: String,
    /// Who has approved it.
    pub approved: String,
}

/// The title block, with room for dates and signatures.
pub(super) fn block(heading: &Heading, source: &Provenance) -> Markup {
    let drawing = file_name(&source.name);
    html! {
        section class="title-block" aria-label="Title block" {
            table {
                tbody {
                    tr {
                        th scope="row" { "Project" } td colspan="3" { bdi { (heading.project) } }
                        th scope="row" { "Job number" } td { bdi { (heading.job_number) } }
                    }
                    tr {
                        th scope="row" { "Drawing" } td { bdi { (drawing) } }
                        th scope="row" { "Date" } td { (source.date) }
                        th scope="row" { "Revision" } td { bdi { (heading.revision) } }
                    }
                    @for (head, name) in [
                        ("Prepared by", &heading.prepared),
                        ("Checked by", &heading.checked),
                        ("Approved by", &heading.approved),
                    ] {
                        tr class="sign" {
                            th scope="row" { (head) } td { bdi { (name) } }
                            th scope="row" { "Date" } td {}
                            th scope="row" { "Signature" } td {}
                        }
                    }
                }
            }
        }
    }
}

/// Names in the running head are cut off after so many letters: it has one line.
const LONGEST: usize = 44;

/// Rules for what runs along the edges of printed pages: project, drawing, revision and section above, the number of the
/// page below.
pub(super) fn running(heading: &Heading, source: &Provenance, sections: &[Measurement]) -> String {
    let stated =
        |what: &str, text: &str| if text.is_empty() { String::new() } else { format!("{what}{text}") };
    let left = [shortened(&heading.project), stated("job ", &shortened(&heading.job_number))];
    let left: Vec<&str> = left.iter().map(String::as_str).filter(|text| !text.is_empty()).collect();
    let drawing = file_name(&source.name);
    let right = if heading.revision.is_empty() {
        source.date.clone()
    } else {
        format!("revision {}, {}", shortened(&heading.revision), source.date)
    };
    let mut rules = String::new();
    // Writing to a string can't fail.
    let _ = writeln!(
        rules,
        "@page{{@top-left{{content:{}}}@top-right{{content:{}}}@bottom-left{{content:{}}}\
         @bottom-right{{content:\"Sheet \" counter(page) \" of \" counter(pages)}}}}",
        quoted(&left.join(", ")),
        quoted(&shortened(drawing)),
        quoted(&right),
    );
    if sections.len() == 1 {
        // Else the title block would have a page of its own.
        rules.push_str("body{page:s1}\n");
    }
    for (k, section) in sections.iter().enumerate() {
        let words = format!("{} of {}: {}", k + 1, sections.len(), shortened(plain_name(section)));
        let number = k + 1;
        let _ = writeln!(
            rules,
            "@page s{number}{{@bottom-center{{content:{}}}}}\n#section-{number}{{page:s{number}}}",
            quoted(&format!("Section {words}"))
        );
    }
    rules
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    text.chars().take(LONGEST - 1).chain(['…']).collect()
}

/// A string of a style sheet: whatever could end it, or the style sheet, stands as a number.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        let letter = if is_unfit(letter) || letter == '\n' || letter == '\t' { '\u{fffd}' } else { letter };
        if letter.is_ascii_alphanumeric() || matches!(letter, ' ' | '.' | ',' | ':' | '-' | '_') {
            out.push(letter);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(letter));
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_ends_a_string_of_a_style_sheet() {
        assert_eq!(quoted("Pier 7, rev. B"), "\"Pier 7, rev. B\"");
        assert_eq!(quoted("a\"}</style>"), "\"a\\22 \\7d \\3c \\2f style\\3e \"");
        assert_eq!(quoted("\\平\u{202e}\n"), "\"\\5c \\5e73 \\fffd \\fffd \"");
        assert_eq!(shortened(&"l".repeat(500)).chars().count(), LONGEST);
    }
}
