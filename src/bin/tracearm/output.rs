//! Where results and messages go.

use std::io::{self, BufWriter, Write};

/// Tells something on stderr; a closed stderr is nobody's loss. Names from drawings may hold what a terminal would take
/// for an order.
pub fn tell(message: &str) {
    let lines: String = message.split('\n').flat_map(|line| [clean(line), "\n".to_owned()]).collect();
    // At once: standard error keeps nothing back, and each write costs a call to the system.
    let _ = io::stderr().lock().write_all(lines.as_bytes());
}

/// Writes a result to standard output. A reader that has gone away is no error.
pub fn to_stdout(bytes: &[u8]) -> io::Result<()> {
    streamed_to_stdout(|out| out.write_all(bytes))
}

/// The same for a result that is written piece by piece.
pub fn streamed_to_stdout(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    let mut out = BufWriter::new(io::stdout().lock());
    match write(&mut out).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Text of one line: control characters, and marks that change the direction of what follows, would reach beyond it.
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|letter| match letter {
            '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
            _ if letter.is_control() => '\u{fffd}',
            _ => letter,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line() {
        assert_eq!(clean("A\u{1b}[2J\nB\u{202e}C größe"), "A\u{fffd}[2J\u{fffd}B\u{fffd}C größe");
    }
}
