//! Strings of a drawing: UTF-8 or the drawing's code page, then the escapes of DXF. The one file that names
//! `encoding_rs`.

use std::borrow::Cow;

use super::dos_pages;
use encoding_rs::{
    BIG5, EUC_KR, Encoding, GB18030, IBM866, ISO_8859_2, ISO_8859_3, ISO_8859_4, ISO_8859_5, ISO_8859_6,
    ISO_8859_7, ISO_8859_8, ISO_8859_15, KOI8_R, MACINTOSH, SHIFT_JIS, UTF_8, WINDOWS_874, WINDOWS_1250,
    WINDOWS_1251, WINDOWS_1252, WINDOWS_1253, WINDOWS_1254, WINDOWS_1255, WINDOWS_1256, WINDOWS_1257,
    WINDOWS_1258,
};

/// A code page.
#[derive(Clone, Copy, Debug)]
enum CodePage {
    Known(&'static Encoding),
    /// One of DOS, by its characters from 0x80.
    Dos(&'static str),
}

/// How the strings of one drawing are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Encoder {
    code_page: CodePage,
    /// From R2007 (AC1021) strings are UTF-8; the code page is the second choice, since some files mix them.
    unicode: bool,
}

impl Default for Encoder {
    fn default() -> Encoder {
        Encoder { code_page: CodePage::Known(WINDOWS_1252), unicode: true }
    }
}

impl Encoder {
    /// By $DWGCODEPAGE and by whether the version writes UTF-8.
    pub fn new(code_page: Option<&str>, unicode: bool) -> Encoder {
        let named = code_page.and_then(named);
        // A drawing that names no code page is as likely to be UTF-8 as anything else.
        let code_page = named.unwrap_or(CodePage::Known(WINDOWS_1252));
        Encoder { code_page, unicode: unicode || named.is_none() }
    }

    /// A code page of this name can be read.
    pub fn knows(code_page: &str) -> bool {
        named(code_page).is_some()
    }

    /// The text of a value's bytes, escapes resolved, without blanks around.
    pub fn decode(&self, bytes: &[u8]) -> String {
        let bytes = bytes.trim_ascii();
        let text = if bytes.is_ascii() { String::from_utf8_lossy(bytes) } else { self.decode_bytes(bytes) };
        resolve_escapes(&text)
    }

    fn decode_bytes<'b>(&self, bytes: &'b [u8]) -> Cow<'b, str> {
        // Text of a one-byte code page that happens to be UTF-8 is hardly ever found; in the code pages of two
        // bytes it is common.
        let is_single_byte = match self.code_page {
            CodePage::Known(encoding) => encoding.is_single_byte(),
            CodePage::Dos(_) => true,
        };
        let utf_8_first = self.unicode || is_single_byte;
        if utf_8_first && let Ok(text) = std::str::from_utf8(bytes) {
            return text.into();
        }
        let decoded = match self.code_page {
            CodePage::Known(encoding) => encoding.decode_without_bom_handling_and_without_replacement(bytes),
            CodePage::Dos(upper_half) => Some(dos_pages::decode(upper_half, bytes).into()),
        };
        if let Some(text) = decoded {
            return text;
        }
        match std::str::from_utf8(bytes) {
            Ok(text) => text.into(),
            Err(_) => WINDOWS_1252.decode_without_bom_handling(bytes).0,
        }
    }
}

/// The encoding behind a $DWGCODEPAGE value such as `ANSI_1252`.
fn named(code_page: &str) -> Option<CodePage> {
    let name: String =
        code_page.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
    let short = ["ansi", "dos", "cp", "windows", "ibm"].iter().find_map(|prefix| name.strip_prefix(prefix));
    Some(CodePage::Known(match short.unwrap_or(&name) {
        "874" => WINDOWS_874,
        "932" | "shiftjis" | "sjis" => SHIFT_JIS,
        "936" | "gb2312" | "gbk" | "gb18030" => GB18030,
        "949" | "ksc5601" | "ksc56011987" => EUC_KR,
        "950" | "big5" => BIG5,
        "866" => IBM866,
        "1250" => WINDOWS_1250,
        "1251" => WINDOWS_1251,
        "1252" | "iso88591" | "ascii" | "" => WINDOWS_1252,
        "1253" => WINDOWS_1253,
        "1254" | "iso88599" => WINDOWS_1254,
        "1255" => WINDOWS_1255,
        "1256" => WINDOWS_1256,
        "1257" => WINDOWS_1257,
        "1258" => WINDOWS_1258,
        "iso88592" => ISO_8859_2,
        "iso88593" => ISO_8859_3,
        "iso88594" => ISO_8859_4,
        "iso88595" => ISO_8859_5,
        "iso88596" => ISO_8859_6,
        "iso88597" => ISO_8859_7,
        "iso88598" => ISO_8859_8,
        "iso885915" => ISO_8859_15,
        "koi8r" => KOI8_R,
        "macroman" | "mac" | "macintosh" => MACINTOSH,
        "utf8" | "65001" => UTF_8,
        number => return dos_pages::upper_half(number).map(CodePage::Dos),
    }))
}

/// `\U+XXXX` (a UTF-16 unit), `\M+nXXXX` (a character of an East Asian code page), `^J` (a control character) and
/// `^ ` (a caret).
fn resolve_escapes(text: &str) -> String {
    let mut result = String::with_capacity(text.len());
    let mut units: Vec<u16> = Vec::new();
    let mut rest = text;
    loop {
        if let Some(unit) = rest.strip_prefix("\\U+").and_then(|tail| hexadecimal(tail, 4)) {
            // Two units may make one character.
            units.push(unit);
            rest = &rest[7..];
            continue;
        }
        if !units.is_empty() {
            result.extend(
                char::decode_utf16(units.drain(..)).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)),
            );
        }
        let mut characters = rest.chars();
        let Some(first) = characters.next() else { return result };
        if let Some(character) = multibyte(rest) {
            result.push_str(&character);
            rest = &rest[8..];
            continue;
        }
        let second = characters.next();
        match (first, second) {
            ('^', Some(' ')) => result.push('^'),
            ('^', Some(letter @ '@'..='_')) => result.push(char::from(letter as u8 - b'@')),
            _ => {
                result.push(first);
                rest = &rest[first.len_utf8()..];
                continue;
            }
        }
        rest = &rest[2..];
    }
}

fn multibyte(text: &str) -> Option<String> {
    let tail = text.strip_prefix("\\M+")?;
    let encoding = match tail.as_bytes().first()? {
        b'1' => SHIFT_JIS,
        b'2' => BIG5,
        b'3' => EUC_KR,
        b'5' => GB18030,
        _ => return None,
    };
    let bytes = hexadecimal(&tail[1..], 4)?.to_be_bytes();
    let bytes = if bytes[0] == 0 { &bytes[1..] } else { &bytes[..] };
    Some(encoding.decode_without_bom_handling_and_without_replacement(bytes)?.into_owned())
}

fn hexadecimal(text: &str, digits: usize) -> Option<u16> {
    let text = text.get(..digits)?;
    text.bytes().all(|b| b.is_ascii_hexdigit()).then(|| u16::from_str_radix(text, 16).ok())?
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seed::{properties, with_seed};

    #[test]
    fn unicode_and_code_pages() {
        let old = Encoder::new(Some("ANSI_1252"), false);
        assert_eq!(old.decode(b"Schwei\xdfnaht"), "Schweißnaht");
        assert_eq!(old.decode("Schweißnaht".as_bytes()), "Schweißnaht");
        let new = Encoder::new(Some("ANSI_1252"), true);
        assert_eq!(new.decode("板".as_bytes()), "板");
        assert_eq!(new.decode(b"Schwei\xdfnaht"), "Schweißnaht");
        assert_eq!(Encoder::new(Some("gb2312"), false).decode(b"\xb0\xe5"), "板");
        assert_eq!(Encoder::new(Some("dos850"), false).decode(b"Schwei\xe1naht"), "Schweißnaht");
        assert!(Encoder::knows("DOS437") && Encoder::knows("ANSI_1252") && !Encoder::knows("johab"));
        assert_eq!(Encoder::new(Some("ANSI_936"), false).decode(b"\xc1\xaa\xcd\xa8"), "联通");
    }

    #[test]
    fn a_trail_byte_that_looks_like_a_backslash_is_no_escape() {
        // 表 is 0x95 0x5C in code page 932.
        let japanese = Encoder::new(Some("ANSI_932"), false);
        assert_eq!(japanese.decode(b"\x95\x5cU+0041"), "表U+0041");
    }

    #[test]
    fn escapes() {
        let encoder = Encoder::default();
        assert_eq!(encoder.decode(b"Schwei\\U+00DFnaht"), "Schweißnaht");
        assert_eq!(encoder.decode(b"\\U+D83D\\U+DE00!"), "😀!");
        assert_eq!(encoder.decode(b"\\U+D83Dx"), "\u{fffd}x");
        assert_eq!(encoder.decode(b"\\M+195\\M+1955C"), "\\M+195表");
        assert_eq!(encoder.decode(b"a^Jb^ c^"), "a\nb^c^");
        assert_eq!(encoder.decode(b"\\U+12"), "\\U+12");
        assert_eq!(encoder.decode(b"A\\b"), "A\\b");
        assert_eq!(encoder.decode("\\U+00é0".as_bytes()), "\\U+00é0");
    }

    properties! { "DRAWING_SEED", 1975, 256;
        #[test]
        fn any_bytes(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..40)) {
            for page in ["ANSI_932", "ANSI_1252", "none"] {
                let text = Encoder::new(Some(page), false).decode(&bytes);
                proptest::prop_assert!(text.len() <= 4 * bytes.len());
            }
        }

        #[test]
        fn any_escapes(text in "[\\\\UM+0-9A-F^é ]{0,30}") {
            let decoded = Encoder::default().decode(text.as_bytes());
            proptest::prop_assert!(decoded.len() <= 4 * text.len());
        }
    }
}
