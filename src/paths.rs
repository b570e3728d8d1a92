//! Paths as text: no two paths have the same text, also where they are no UTF-8.

use std::borrow::Cow;
use std::ffi::{OsStr, OsString};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// The path as text. What is UTF-8 stands as it is; other bytes stand as `\xFC`, with their two hexadecimal digits, and a
/// backslash that could be taken for the begin of one stands as `\x5C`. [`of_text`] gives the path back.
///
/// Where paths are made of 16-bit units, one that is no text stands as `\uD800`.
pub fn text<P: AsRef<Path> + ?Sized>(path: &P) -> Cow<'_, str> {
    let path = path.as_ref();
    match path.to_str() {
        Some(text) if !looks_escaped(text) => Cow::Borrowed(text),
        _ => Cow::Owned(system::escaped(path.as_os_str())),
    }
}

/// The path whose [`text`] this is.
pub fn of_text(text: &str) -> PathBuf {
    if looks_escaped(text) { PathBuf::from(system::unescaped(text)) } else { PathBuf::from(text) }
}

/// Whether there is anything in the text that an escape could be.
fn looks_escaped(text: &str) -> bool {
    text.match_indices('\\').any(|(at, _)| escape(&text[at..]).is_some())
}

/// The value of the escape that the text begins with, and the text behind it.
fn escape(text: &str) -> Option<(u32, &str)> {
    let rest = text.strip_prefix(system::ESCAPE)?;
    let (digits, rest) = (rest.get(..system::DIGITS)?, rest.get(system::DIGITS..)?);
    let is_hexadecimal = digits.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'A'..=b'F'));
    is_hexadecimal.then(|| u32::from_str_radix(digits, 16).ok()).flatten().map(|value| (value, rest))
}

/// Text in which a backslash that begins an escape is one itself.
#[cfg_attr(not(any(unix, windows)), allow(dead_code, reason = "paths of other systems are text"))]
fn with_backslashes(text: &str, out: &mut String) {
    for (at, letter) in text.char_indices() {
        match letter {
            '\\' if escape(&text[at..]).is_some() => push_escape(out, u32::from(b'\\')),
            letter => out.push(letter),
        }
    }
}

#[cfg_attr(not(any(unix, windows)), allow(dead_code, reason = "paths of other systems are text"))]
fn push_escape(out: &mut String, value: u32) {
    // Writing to a string can't fail.
    let _ = write!(out, "{}{value:0width$X}", system::ESCAPE, width = system::DIGITS);
}

#[cfg(unix)]
mod system {
    use super::{OsStr, OsString, escape, push_escape, with_backslashes};
    use std::os::unix::ffi::{OsStrExt, OsStringExt};

    pub(super) const ESCAPE: &str = "\\x";
    pub(super) const DIGITS: usize = 2;

    pub(super) fn escaped(path: &OsStr) -> String {
        let mut out = String::new();
        for chunk in path.as_bytes().utf8_chunks() {
            with_backslashes(chunk.valid(), &mut out);
            chunk.invalid().iter().for_each(|byte| push_escape(&mut out, u32::from(*byte)));
        }
        out
    }

    pub(super) fn unescaped(text: &str) -> OsString {
        let (mut bytes, mut rest) = (Vec::with_capacity(text.len()), text);
        while let Some(letter) = rest.chars().next() {
            if let Some((value, behind)) = escape(rest) {
                bytes.push(value as u8);
                rest = behind;
            } else {
                let (own, behind) = rest.split_at(letter.len_utf8());
                bytes.extend_from_slice(own.as_bytes());
                rest = behind;
            }
        }
        OsString::from_vec(bytes)
    }
}

#[cfg(windows)]
mod system {
    use super::{OsStr, OsString, escape, push_escape, with_backslashes};
    use std::os::windows::ffi::{OsStrExt, OsStringExt};

    pub(super) const ESCAPE: &str = "\\u";
    pub(super) const DIGITS: usize = 4;

    pub(super) fn escaped(path: &OsStr) -> String {
        let (mut out, mut valid) = (String::new(), String::new());
        for unit in char::decode_utf16(path.encode_wide()) {
            match unit {
                Ok(letter) => valid.push(letter),
                Err(unit) => {
                    with_backslashes(&std::mem::take(&mut valid), &mut out);
                    push_escape(&mut out, u32::from(unit.unpaired_surrogate()));
                }
            }
        }
        with_backslashes(&valid, &mut out);
        out
    }

    pub(super) fn unescaped(text: &str) -> OsString {
        let (mut units, mut rest) = (Vec::with_capacity(text.len()), text);
        while let Some(letter) = rest.chars().next() {
            if let Some((value, behind)) = escape(rest) {
                units.push(value as u16);
                rest = behind;
            } else {
                units.extend_from_slice(letter.encode_utf16(&mut [0; 2]));
                rest = &rest[letter.len_utf8()..];
            }
        }
        OsString::from_wide(&units)
    }
}

#[cfg(not(any(unix, windows)))]
mod system {
    use super::{OsStr, OsString};

    pub(super) const ESCAPE: &str = "\\x";
    pub(super) const DIGITS: usize = 2;

    pub(super) fn escaped(path: &OsStr) -> String {
        path.to_string_lossy().into_owned()
    }

    pub(super) fn unescaped(text: &str) -> OsString {
        OsString::from(text)
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::ffi::OsStrExt;

    #[test]
    fn no_two_paths_have_the_same_text() {
        let paths: [&[u8]; 12] = [
            b"shop/a.dxf",
            "T\u{fc}r.dxf".as_bytes(),
            b"T\xfcr.dxf",
            b"T\xf6r.dxf",
            b"T\\xFCr.dxf",
            b"T\\x5CxFCr.dxf",
            b"T\\\xfcr.dxf",
            b"T\\xfcr.dxf",
            b"\\",
            b"a\\x",
            b"a\\x\xfc",
            b"\xe2\x82",
        ];
        let texts: Vec<String> =
            paths.iter().map(|bytes| text(Path::new(OsStr::from_bytes(bytes))).into_owned()).collect();
        assert_eq!(
            texts[..5],
            ["shop/a.dxf", "T\u{fc}r.dxf", "T\\xFCr.dxf", "T\\xF6r.dxf", "T\\x5CxFCr.dxf"]
        );
        for (k, (text, bytes)) in texts.iter().zip(paths).enumerate() {
            assert_eq!(of_text(text).as_os_str().as_bytes(), bytes, "{text}");
            assert!(!texts[..k].contains(text), "{text}");
        }
    }
}
