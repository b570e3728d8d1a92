//! A page printed to PDF by a Chromium that is installed.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// Names under which Chromium is installed.
const NAMES: [&str; 3] = ["chromium", "chromium-browser", "chrome"];

/// Prints a page. The page lies beside the PDF while it is printed.
///
/// # Errors
/// Where no Chromium is installed, or it prints nothing, with what to do instead.
pub fn printed(page: &[u8], output: &Path) -> Result<Vec<u8>, String> {
    let beside = |ending: &str| {
        let mut name = output.file_name().unwrap_or_default().to_os_string();
        name.push(format!(".{}.{ending}", std::process::id()));
        output.with_file_name(name)
    };
    let (html, pdf) = (beside("html"), beside("pdf"));
    let result = fs::write(&html, page)
        .map_err(|error| format!("cannot write beside {}: {error}", output.display()))
        .and_then(|()| run(&html, &pdf));
    let _ = fs::remove_file(&html);
    let written = result.and_then(|()| {
        fs::read(&pdf)
            .map_err(|error| format!("the browser has printed nothing ({error}): write .html and print that"))
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
