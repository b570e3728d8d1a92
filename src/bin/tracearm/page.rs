//! `tracearm page`: the page for browsers, where the program was built with it.

use std::io::Write;

use tracearm::paths;

use super::Completion;
use super::args::PageArguments;
use super::output::tell;
use super::pending_file::PendingFile;

/// The page, where the feature of this name is built in.
#[cfg(feature = "page")]
const PAGE: Option<&[u8]> = Some(include_bytes!(env!(
    "TRACEARM_PAGE",
    "with the feature page, TRACEARM_PAGE names the page that web/build.mjs has put together, by its whole path"
)));
#[cfg(not(feature = "page"))]
const PAGE: Option<&[u8]> = None;

/// Runs the command.
pub fn run(arguments: &PageArguments) -> Completion {
    match written(arguments) {
        Ok(()) => Completion::Done,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            Completion::Nothing
        }
    }
}

fn written(arguments: &PageArguments) -> Result<(), String> {
    let output = &arguments.output;
    let shown = paths::text(output);
    let ending = output.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    if !["html", "htm"].iter().any(|known| ending.eq_ignore_ascii_case(known)) {
        return Err(format!("{shown} must end in .html: the page is for a browser"));
    }
    let page = PAGE.ok_or(
        "this program was built without the page: docs/page.md in the project says how to build the page, and a program with \
         it",
    )?;
    let write = || {
        let mut file = PendingFile::create(output)?;
        file.write_all(page)?;
        file.keep()
    };
    write().map_err(|error| format!("cannot write {shown}: {error}"))
}
