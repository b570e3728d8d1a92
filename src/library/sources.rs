//! The drawings that were asked for: files as they are, folders searched. The one file that names walkdir.

use std::path::{Path, PathBuf};

use walkdir::WalkDir;

/// A drawing to read, or a reason why an argument gives none.
pub type Source = Result<PathBuf, String>;

/// The drawings of all arguments in order; those of a folder sorted by path.
pub fn drawings(arguments: &[PathBuf]) -> Vec<Source> {
    let mut sources = Vec::new();
    for argument in arguments {
        if !argument.is_dir() {
            sources.push(Ok(argument.clone()));
            continue;
        }
        let before = sources.len();
        for entry in WalkDir::new(argument).follow_links(true).sort_by_file_name() {
            match entry {
                Ok(entry) if entry.file_type().is_file() && is_dxf(entry.path()) => {
                    sources.push(Ok(entry.into_path()));
                }
                Ok(_) => {}
                Err(error) => sources.push(Err(format!("{error}"))),
            }
        }
        if sources.len() == before {
            sources.push(Err(format!(
                "{}: no drawings in this folder: name a folder that holds .dxf files",
                argument.display()
            )));
        }
    }
    sources
}

/// The path ends in .dxf, in any letter case.
pub fn is_dxf(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("dxf"))
}
