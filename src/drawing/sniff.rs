//! What a file is by its first bytes, so that a file of another kind is named as what it is.

use super::error::ReadError;
use crate::finding::{Code, Finding};

/// Beginnings of files that people take for drawings, with the name of the kind.
const KNOWN: [(&[u8], &str); 14] = [
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive (or an office document)"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"ISO-10303", "a STEP model"),
    (b"<", "a file of markup (SVG, XML or HTML)"),
    (b"{", "a file of JSON"),
    (b"\xd0\xcf\x11\xe0", "an office document"),
];

/// The error for bytes that are plainly no DXF; `None` where they may be.
pub(super) fn refused(head: &[u8]) -> Option<ReadError> {
    if head.len() >= 6 && head.starts_with(b"AC10") && head[4..6].iter().all(u8::is_ascii_digit) {
        let version = String::from_utf8_lossy(&head[..6]).into_owned();
        return Some(ReadError::of(Finding::of(Code::FileIsDwg).with("version", version)));
    }
    if head.starts_with(b"\xff\xfe") || head.starts_with(b"\xfe\xff") || head.starts_with(b"\0\0\xfe\xff") {
        return Some(wide_text());
    }
    // Without a mark: every other byte of the first blanks, digits and line ends is zero.
    if head.len() >= 8 {
        let zeros = |from: usize| head[from..8].iter().step_by(2).all(|b| *b == 0);
        let text =
            |from: usize| head[from..8].iter().step_by(2).all(|b| matches!(b, b'\t'..=b'\r' | b' '..=b'~'));
        if zeros(0) && text(1) || zeros(1) && text(0) {
            return Some(wide_text());
        }
    }
    let text = head.trim_ascii_start();
    let (_, name) = KNOWN.iter().find(|(start, _)| text.starts_with(start))?;
    Some(ReadError::of(Finding::of(Code::FileIsOther).with("kind", *name)))
}

fn wide_text() -> ReadError {
    ReadError::of(Finding::of(Code::FileIsWideText))
}

#[cfg(test)]
mod tests {
    use super::super::error::ReadErrorKind;
    use super::*;

    #[test]
    fn files_of_other_kinds_are_named() {
        let kind = |head: &[u8]| refused(head).map(|error| error.kind());
        assert_eq!(kind(b"AutoCAD Binary DXF\r\n\x1a\0\0\0"), None);
        assert_eq!(kind(b"AC1015\0\0\0\0\0\0"), Some(ReadErrorKind::Dwg));
        assert_eq!(kind(b"\xff\xfe \0 \x000\0"), Some(ReadErrorKind::WideText));
        assert_eq!(kind(b" \0 \x000\0\n\0"), Some(ReadErrorKind::WideText));
        assert_eq!(kind(b"\x89PNG\r\n\x1a\n"), Some(ReadErrorKind::OtherFormat));
        assert_eq!(kind(b"%PDF-1.7"), Some(ReadErrorKind::OtherFormat));
        assert_eq!(kind(b"  0\nSECTION\n"), None);
        assert_eq!(kind(b"999\nmade by hand\n"), None);
    }
}
