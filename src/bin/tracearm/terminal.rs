//! The terminal. The one file that names `terminal_size`.

use std::io::{self, IsTerminal};

use tracearm::schedule::Format;

/// The width of the terminal that standard output is, in columns; `None` where it is none.
pub fn width_of_output() -> Option<usize> {
    let output = io::stdout();
    if !output.is_terminal() {
        return None;
    }
    // Some terminals don't say, or say 0.
    let messages = terminal_size::terminal_size_of(output).map(|(width, _)| usize::from(width.0));
    Some(messages.filter(|width| *width > 0).unwrap_or(Format::USUAL_WIDTH))
}
