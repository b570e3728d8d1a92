//! Text DXF written again as binary DXF, by types that are stated here once more, from the group code ranges of the
//! published DXF reference (from memory): not those that the reader goes by.

/// How a value is written.
enum EntityKind {
    Text,
    Real,
    /// A whole number of as many bytes.
    Whole(usize),
    Chunk,
}

fn kind(code: i64) -> Option<EntityKind> {
    Some(match code {
        0..=9 | 100 | 102 | 105 | 300..=309 | 320..=369 | 390..=399 | 410..=419 | 430..=439 | 470..=481 => {
            EntityKind::Text
        }
        101 | 999..=1003 | 1005..=1009 => EntityKind::Text,
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => EntityKind::Real,
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => EntityKind::Whole(2),
        90..=99 | 420..=429 | 440..=459 | 1071 => EntityKind::Whole(4),
        160..=169 => EntityKind::Whole(8),
        290..=299 => EntityKind::Whole(1),
        310..=319 | 1004 => EntityKind::Chunk,
        _ => return None,
    })
}

/// A text DXF in binary form, with group codes of two bytes (`wide`) or of one. What is no number becomes NaN, or 0
/// where it should be whole; pairs with a code that no drawing has are left out. Blanks around text are not kept.
pub fn binary(text: &[u8], wide: bool) -> Vec<u8> {
    let mut bytes = b"AutoCAD Binary DXF\r\n\x1a\0".to_vec();
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    let line_end = if text.contains(&b'\n') { b'\n' } else { b'\r' };
    let mut lines = text.split(|byte| *byte == line_end).map(<[u8]>::trim_ascii);
    while let Some(code) = lines.find(|line| !line.is_empty()) {
        let Some(code) = std::str::from_utf8(code).ok().and_then(|code| code.parse().ok()) else { break };
        let Some(value) = lines.next() else { break };
        put(&mut bytes, code, value, wide);
        if code == 0 && value == b"EOF" {
            break;
        }
    }
    bytes
}

fn put(bytes: &mut Vec<u8>, code: i64, value: &[u8], wide: bool) {
    let (Some(kind), Ok(short)) = (kind(code), u16::try_from(code)) else { return };
    match u8::try_from(code) {
        Ok(code) if !wide && code < 255 => bytes.push(code),
        _ if wide => bytes.extend_from_slice(&short.to_le_bytes()),
        _ => {
            bytes.push(255);
            bytes.extend_from_slice(&short.to_le_bytes());
        }
    }
    let real = std::str::from_utf8(value).ok().and_then(|text| text.parse::<f64>().ok());
    match kind {
        EntityKind::Text => {
            bytes.extend_from_slice(value);
            bytes.push(0);
        }
        EntityKind::Real => bytes.extend_from_slice(&real.unwrap_or(f64::NAN).to_le_bytes()),
        EntityKind::Whole(size) => {
            bytes.extend_from_slice(&(real.unwrap_or(0.0) as i64).to_le_bytes()[..size]);
        }
        EntityKind::Chunk => {
            let digit = |byte: &u8| (*byte as char).to_digit(16).unwrap_or(0) as u8;
            let data: Vec<u8> =
                value.chunks(2).map(|pair| pair.iter().fold(0, |sum, byte| sum << 4 | digit(byte))).collect();
            bytes.push(data.len() as u8);
            bytes.extend_from_slice(&data);
        }
    }
}
