//! What the commands that read drawings or tables have in common.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use tracearm::drawing::ReadOptions;
use tracearm::library;
use tracearm::measure::LayerChoice;

use super::args::ReadingArguments;

/// How drawings are read.
pub fn read_options(arguments: &ReadingArguments) -> ReadOptions {
    let mut options = ReadOptions::with(|r| r.space = arguments.space.into());
    options.limits.memory = library::memory_for_one();
    for (name, value) in &arguments.limits {
        options.limits.set(name, *value);
    }
    options
}

/// A table as bytes; of a larger one as much as shows that it is too large.
pub fn read_at_most(path: &Path, largest: usize) -> io::Result<Vec<u8>> {
    let file = File::open(path)?;
    // In one piece, so that nothing is copied as it grows; one byte more shows where the file ends.
    let size = usize::try_from(file.metadata()?.len()).unwrap_or(usize::MAX);
    let mut bytes = Vec::with_capacity(size.min(largest) + 1);
    file.take(largest as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The layers that the options choose.
pub fn layer_choice(arguments: &ReadingArguments) -> Result<LayerChoice, String> {
    LayerChoice::new(&arguments.layers, &arguments.skip, arguments.hidden).map_err(|error| error.to_string())
}

/// What to say of a pattern that matches no layer: which layers there are.
pub fn no_such_layer<'a>(pattern: &str, layers: impl Iterator<Item = &'a str>) -> String {
    /// More names than this don't help to see a slip of spelling.
    const SHOWN: usize = 12;
    let mut names: Vec<&str> = layers.collect();
    names.sort_unstable();
    names.dedup();
    let more = if names.len() > SHOWN { ", …" } else { "" };
    names.truncate(SHOWN);
    format!("tracearm: no layer matches “{pattern}”; the layers are: {}{more}", names.join(", "))
}
