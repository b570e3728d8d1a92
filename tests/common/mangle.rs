//! Drawings spoiled at random: the same number gives the same bytes.
#![allow(dead_code, reason = "every test file uses a part of it")]

use std::fmt::Write;

/// Numbers that a damaged or odd drawing may hold where a good one has a measure.
const NUMBERS: [&str; 36] = [
    "1e300",
    "-1e300",
    "1e-310",
    "nan",
    "inf",
    "32767",
    "2147483647",
    "-1",
    "",
    "0",
    "-0.0",
    "1",
    "1e-17",
    "1e17",
    "1e154",
    "-1e154",
    "1e76",
    "1e-76",
    "1e-154",
    "5e-324",
    "1.7976931348623157e308",
    "1e400",
    "1e9",
    "1e-9",
    "0.01",
    "3.141592653589793",
    "90",
    "360",
    "32768",
    "65536",
    "-2147483648",
    "9223372036854775807",
    "99999999999999999999",
    "1,5",
    "1.0D1",
    "seven",
];

/// Group codes that mean something to a reader, and some that don't.
const CODES: [&str; 34] = [
    "0", "1", "2", "3", "5", "6", "8", "9", "10", "11", "12", "20", "21", "30", "40", "41", "42", "43", "44",
    "50", "51", "62", "66", "67", "70", "71", "72", "73", "90", "100", "102", "210", "230", "999",
];

/// A generator of numbers that depends on nothing but its seed (splitmix64, public domain, from memory).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number below `end`; 0 where `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { (self.next() % end as u64) as usize }
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    fn byte(&mut self) -> u8 {
        self.next() as u8
    }
}

/// A drawing spoiled between one and eight times, and what was done to it.
pub fn mangle(random: &mut Random, drawings: &[(String, Vec<u8>)]) -> (Vec<u8>, String) {
    let (name, bytes) = &drawings[random.below(drawings.len())];
    let (mut bytes, mut done) = (bytes.clone(), name.clone());
    loop {
        once(random, &mut bytes, &mut done, drawings);
        // Half of the drawings are spoiled once, a quarter twice, …
        if random.below(2) == 0 || done.len() > 400 {
            return (bytes, done);
        }
    }
}

fn once(random: &mut Random, bytes: &mut Vec<u8>, done: &mut String, drawings: &[(String, Vec<u8>)]) {
    match random.below(20) {
        0 => {
            let count = 1 + random.below(8);
            let _ = write!(done, "; {count} bits turned over");
            for _ in 0..count {
                let at = random.below(bytes.len());
                let bit = random.below(8);
                bytes.get_mut(at).into_iter().for_each(|byte| *byte ^= 1 << bit);
            }
        }
        1 => {
            let (from, to) = stretch(random, bytes.len(), 64);
            let _ = write!(done, "; bytes {from} to {to} overwritten");
            let one = random.pick(&[None, Some(0), Some(b'0'), Some(b'\n'), Some(0xFF), Some(b' ')]);
            bytes[from..to].iter_mut().for_each(|byte| *byte = one.unwrap_or_else(|| random.byte()));
        }
        2 => {
            let at = random.below(bytes.len() + 1);
            let _ = write!(done, "; cut at byte {at}");
            bytes.truncate(at);
        }
        3 => {
            let (from, to) = stretch(random, bytes.len(), 400);
            let _ = write!(done, "; bytes {from} to {to} taken out");
            bytes.drain(from..to);
        }
        4 => {
            let (name, other) = &drawings[random.below(drawings.len())];
            splice(random, bytes, other, name, done);
        }
        5..=7 => lines(random, bytes, done),
        8 => repeat(random, bytes, done),
        9 => {
            with_pair(random, bytes, |random, lines, k| {
                let code = random.pick(&CODES);
                let _ = write!(done, "; group code of line {} made {code}", 2 * k + 1);
                lines[2 * k] = code.as_bytes().to_vec();
            });
        }
        10..=11 => {
            with_pair(random, bytes, |random, lines, k| {
                let other = random.below(lines.len() / 2);
                let _ = write!(done, "; value of line {} copied to line {}", 2 * other + 2, 2 * k + 2);
                lines[2 * k + 1] = lines[2 * other + 1].clone();
            });
        }
        12..=13 => {
            with_pair(random, bytes, |random, lines, k| {
                let factor = random.pick(&[-1.0, 0.0, 0.5, 2.0, 1e3, 1e6, 1e12, 1e-3, 1e-6, 1e-12]);
                let added = random.pick(&[0.0, 1e-12, 1e-9, 1e-6, 0.005, 0.02, 1.0, -1.0, 25.0]);
                let old = String::from_utf8_lossy(&lines[2 * k + 1]).trim().parse::<f64>();
                let new = old.unwrap_or(0.0) * if added == 0.0 { factor } else { 1.0 } + added;
                let _ = write!(done, "; line {} made {new}", 2 * k + 2);
                lines[2 * k + 1] = new.to_string().into_bytes();
            });
        }
        _ => {
            with_pair(random, bytes, |random, lines, k| {
                let number = random.pick(&NUMBERS);
                let _ = write!(done, "; line {} made {number:?}", 2 * k + 2);
                lines[2 * k + 1] = number.as_bytes().to_vec();
            });
        }
    }
}

/// From here to there, at most `longest` apart.
fn stretch(random: &mut Random, length: usize, longest: usize) -> (usize, usize) {
    let from = random.below(length + 1);
    let to = from + random.below(longest.min(length - from) + 1);
    (from, to)
}

/// The beginning of one drawing and the end of another.
fn splice(random: &mut Random, bytes: &mut Vec<u8>, other: &[u8], name: &str, done: &mut String) {
    let (mut at, mut from) = (random.below(bytes.len() + 1), random.below(other.len() + 1));
    if random.below(4) > 0 {
        // Mostly between lines, and so that group codes follow values as often as not.
        at = line_end(bytes, at);
        from = line_end(other, from);
    }
    let _ = write!(done, "; from byte {at} on as {name} from byte {from} on");
    bytes.truncate(at);
    bytes.extend_from_slice(&other[from..]);
}

fn line_end(bytes: &[u8], at: usize) -> usize {
    bytes[at..].iter().position(|byte| matches!(byte, b'\n' | b'\r')).map_or(bytes.len(), |k| at + k + 1)
}

/// Lines dropped, doubled, or changing places.
fn lines(random: &mut Random, bytes: &mut Vec<u8>, done: &mut String) {
    let (mut lines, newline) = split(bytes);
    let (from, to) = stretch(random, lines.len(), 12);
    match random.below(4) {
        0 => {
            let _ = write!(done, "; lines {} to {to} dropped", from + 1);
            lines.drain(from..to);
        }
        1 => {
            let _ = write!(done, "; lines {} to {to} doubled", from + 1);
            let again = lines[from..to].to_vec();
            lines.splice(to..to, again);
        }
        2 => {
            let other = random.below(lines.len());
            let _ = write!(done, "; lines {} and {} change places", from + 1, other + 1);
            if from < lines.len() {
                lines.swap(from, other);
            }
        }
        _ => {
            let moved: Vec<Vec<u8>> = lines.drain(from..to).collect();
            let at = random.below(lines.len() + 1);
            let _ = write!(done, "; lines {} to {to} moved behind line {at}", from + 1);
            lines.splice(at..at, moved);
        }
    }
    *bytes = lines.join(newline);
}

/// An entity, or any stretch, many times over.
fn repeat(random: &mut Random, bytes: &mut Vec<u8>, done: &mut String) {
    let (mut lines, newline) = split(bytes);
    let (from, to) = stretch(random, lines.len(), 60);
    let times = random.pick(&[2, 5, 20, 100]);
    let _ = write!(done, "; lines {} to {to} {times} times more", from + 1);
    let again: Vec<Vec<u8>> = std::iter::repeat_n(&lines[from..to], times).flatten().cloned().collect();
    lines.splice(to..to, again);
    *bytes = lines.join(newline);
}

/// Changes one pair of lines, of those after the first word of entities as a rule.
fn with_pair(
    random: &mut Random,
    bytes: &mut Vec<u8>,
    change: impl FnOnce(&mut Random, &mut Vec<Vec<u8>>, usize),
) {
    let (mut lines, newline) = split(bytes);
    let pairs = lines.len() / 2;
    if pairs == 0 {
        return;
    }
    let named = |line: &Vec<u8>| matches!(line.as_slice(), b"ENTITIES" | b"BLOCKS");
    let first = lines.iter().position(named).filter(|_| random.below(8) > 0).map_or(0, |line| line / 2);
    // A drawing that ends with such a word has no pair behind it.
    let first = first.min(pairs - 1);
    let pair = first + random.below(pairs - first);
    change(random, &mut lines, pair);
    *bytes = lines.join(newline);
}

/// Lines and what stands between them.
fn split(bytes: &[u8]) -> (Vec<Vec<u8>>, &'static [u8]) {
    let newline: &[u8] = if bytes.windows(2).any(|two| two == b"\r\n") {
        b"\r\n"
    } else if bytes.contains(&b'\n') {
        b"\n"
    } else {
        b"\r"
    };
    let (mut lines, mut rest) = (Vec::new(), bytes);
    while let Some(at) = rest.windows(newline.len()).position(|here| here == newline) {
        lines.push(rest[..at].to_vec());
        rest = &rest[at + newline.len()..];
    }
    lines.push(rest.to_vec());
    (lines, newline)
}
