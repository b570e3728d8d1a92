//! The text that the crate writes, as it is handed on.

/// The text without the header's times of writing, so that the same sections give the same bytes, and with handles for the
/// heads of tables, which the crate leaves out.
pub(super) fn tidied(text: &[u8]) -> Vec<u8> {
    let lines: Vec<&[u8]> = text.split_inclusive(|byte| *byte == b'\n').collect();
    // A line with a group code, a line with its value.
    let pairs: Vec<&[&[u8]]> = lines.chunks(2).collect();
    let is = |pair: &[&[u8]], code: &[u8], value: &[u8]| {
        pair.first().is_some_and(|line| line.trim_ascii() == code)
            && pair.get(1).is_some_and(|line| line.trim_ascii() == value)
    };
    let heads = pairs.iter().filter(|pair| is(pair, b"0", b"TABLE")).count() as u64;
    let mut next_handle = 0;
    let mut out = Vec::with_capacity(text.len());
    let mut pairs = pairs.into_iter();
    while let Some(pair) = pairs.next() {
        let name = pair.get(1).copied().unwrap_or_default();
        let is_variable = pair[0].trim_ascii() == b"9";
        if is_variable && name.starts_with(b"$TD") {
            // Its value goes with it.
            pairs.next();
            continue;
        }
        out.extend(pair.concat());
        if is_variable && name.trim_ascii() == b"$HANDSEED" {
            let seed = pairs.next().and_then(|value| value.get(1).copied()).unwrap_or_default();
            let seed = std::str::from_utf8(seed.trim_ascii()).unwrap_or_default();
            next_handle = u64::from_str_radix(seed, 16).unwrap_or(HIGH);
            out.extend(format!("  5\r\n{:X}\r\n", next_handle + heads).bytes());
        } else if is(pair, b"0", b"TABLE") {
            // Its name, and then its handle.
            out.extend(pairs.next().unwrap_or_default().concat());
            out.extend(format!("  5\r\n{next_handle:X}\r\n").bytes());
            next_handle += 1;
        }
    }
    out
}

/// Above any handle that a marked drawing has.
const HIGH: u64 = 1 << 40;
