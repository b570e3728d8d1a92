//! A page printed to PDF by a Chromium that is installed.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use tracearm::measure::Measurement;
use tracearm::paths;
use tracearm::schedule::Style;
use tracearm::sheet::{self, Form, Provenance};

/// Names under which Chromium is installed.
const NAMES: [&str; 3] = ["chromium", "chromium-browser", "chrome"];

/// Prints a sheet. Where it has several sections it is printed twice: the first time tells on which page each begins, which
/// the list at the front says the second time.
///
/// # Errors
/// Where no Chromium is installed, or it prints nothing, with what to do instead.
pub fn printed(
    source: &Provenance,
    sections: &[Measurement],
    style: Style,
    mut form: Form,
    output: &Path,
) -> Result<Vec<u8>, String> {
    let count = sections.len();
    if count < 2 {
        return print(sheet::html(source, sections, style, &form).as_bytes(), output);
    }
    // As wide as the numbers that will stand there.
    form.pages = vec![888; count];
    let first = print(sheet::html(source, sections, style, &form).as_bytes(), output)?;
    form.pages = pages(&first, count).unwrap_or_default();
    print(sheet::html(source, sections, style, &form).as_bytes(), output)
}

/// The page on which each section begins, from 1: Chromium writes the places that links of the page lead to with the object
/// of their page, and the objects of pages in their order. `None` where it does not.
fn pages(pdf: &[u8], count: usize) -> Option<Vec<usize>> {
    let text = String::from_utf8_lossy(pdf);
    let number = |line: &str| line.strip_suffix(" 0 obj")?.parse::<u64>().ok();
    let lines: Vec<&str> = text.lines().collect();
    let objects: Vec<u64> = lines
        .windows(2)
        .filter(|pair| pair[1].trim_end() == "<</Type /Page")
        .filter_map(|pair| number(pair[0].trim_end()))
        .collect();
    (1..=count)
        .map(|section| {
            let (_, rest) = text.split_once(&format!("/section-{section} ["))?;
            let object = rest.split(' ').next()?.parse::<u64>().ok()?;
            objects.iter().position(|own| *own == object).map(|page| page + 1)
        })
        .collect()
}

/// Prints a page, which lies beside the PDF meanwhile.
fn print(page: &[u8], output: &Path) -> Result<Vec<u8>, String> {
    let beside = |ending: &str| {
        let mut name = output.file_name().unwrap_or_default().to_os_string();
        name.push(format!(".{}.{ending}", std::process::id()));
        output.with_file_name(name)
    };
    let (html, pdf) = (beside("html"), beside("pdf"));
    let result = fs::write(&html, page)
        .map_err(|error| format!("cannot write beside {}: {error}", paths::text(&output)))
        .and_then(|()| run(&html, &pdf));
    let _ = fs::remove_file(&html);
    let written = result.and_then(|()| {
        fs::read(&pdf)
            .map_err(|error| format!("the browser printed nothing ({error}): write .html and print that"))
    });
    let _ = fs::remove_file(&pdf);
    written
}

fn run(html: &Path, pdf: &Path) -> Result<(), String> {
    let html = fs::canonicalize(html).map_err(|error| format!("cannot find the page again: {error}"))?;
    let mut last = None;
    for name in NAMES {
        // Some machines let nobody have a sandbox, the administrator least of all; the page has no script.
        for sandbox in [&[][..], &["--no-sandbox"][..]] {
            let mut to = std::ffi::OsString::from("--print-to-pdf=");
            to.push(pdf);
            let mut command = Command::new(name);
            command
                .args(["--headless", "--disable-gpu", "--no-pdf-header-footer"])
                .args(sandbox)
                .arg(to)
                .arg(&html);
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
            match command.status() {
                Ok(status) if status.success() && pdf.is_file() => return Ok(()),
                Ok(status) => last = Some(format!("{name} ended with {status}")),
                Err(_) => break,
            }
        }
    }
    Err(match last {
        Some(how) => format!("no PDF was printed: {how}: write .html and print that from a browser"),
        None => "a PDF is printed by Chromium, which is not installed here: install it, or write .html and print that \
                 from a browser"
            .to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_of_sections_are_found() {
        let pdf = b"%PDF-1.4\n2 0 obj\n<</Type /Page\n/Parent 9 0 R>>\nendobj\n5 0 obj\n<</Type /Page\n>>\nendobj\n\
                    7 0 obj\n<</Type /Page\n>>\nendobj\n9 0 obj\n<</Type /Pages\n/Count 3>>\nendobj\n\
                    12 0 obj\n<</section-1 [5 0 R /XYZ 6 777.75 0]\n/section-2 [7 0 R /XYZ 6 777.75 0]>>\nendobj\n";
        assert_eq!(pages(pdf, 2), Some(vec![2, 3]));
        assert_eq!(pages(pdf, 3), None);
    }
}
