//! How a sentence names its values.
//!
//! - `{gap:length}` stands for the value of the key `gap`, which is a length.
//! - `{count/a joint lies/# joints lie}` are the words for one and for many; `#` is the number, a count.
//! - `{unit}` is the symbol of the finding's unit.
//! - `{gap:above}` is a round length above the length of that key, with a unit that options take: `0.8mm`.
//! - `[one {gap:length}|other]` is the first of these of which all values are there, and nothing where there is none. The
//!   last may be without values, or empty.

use super::value::short;
use super::{Finding, Value};
use crate::unit::LengthUnit;

/// The words that stand for the unit of the drawing where it is not known.
const UNKNOWN_UNIT: &str = "drawing units";

/// What stands for a round length above another.
const ABOVE: &str = "above";

/// A sentence with the values of a finding.
pub(super) fn of(template: &str, finding: &Finding) -> String {
    let mut out = String::with_capacity(2 * template.len());
    write(template, finding, None, &mut out);
    out
}

/// Whether all values of a sentence are there.
pub(super) fn is_whole(template: &str, finding: &Finding) -> bool {
    write(template, finding, None, &mut String::new())
}

/// Every key of a sentence with the kind of its values.
pub(super) fn keys(template: &'static str) -> Vec<(&'static str, &'static str)> {
    let mut keys = Vec::new();
    let mut rest = template;
    while let Some(at) = rest.find('{') {
        rest = &rest[at + 1..];
        let end = rest.find([':', '/', '}']).unwrap_or(rest.len());
        let (key, mark) = (&rest[..end], rest[end..].chars().next());
        let kind = match mark {
            Some(':') => &rest[end + 1..rest.find('}').unwrap_or(rest.len())],
            Some('/') => "count",
            _ => continue,
        };
        let kind = if kind == ABOVE { "length" } else { kind };
        if !keys.contains(&(key, kind)) {
            keys.push((key, kind));
        }
        rest = &rest[end..];
    }
    keys
}

/// Writes a part of a sentence, with `number` for each `#`; false where a value is missing.
fn write(template: &str, finding: &Finding, number: Option<u64>, out: &mut String) -> bool {
    let mut is_whole = true;
    let mut rest = template;
    while let Some(at) = rest.find(['{', '[', '#']) {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        if let Some(behind) = from.strip_prefix('#') {
            match number {
                Some(number) => out.push_str(&number.to_string()),
                None => out.push('#'),
            }
            rest = behind;
            continue;
        }
        let (inner, behind) = enclosed(from);
        if from.starts_with('{') {
            is_whole &= value(inner, finding, out);
        } else {
            choice(inner, finding, number, out);
        }
        rest = behind;
    }
    out.push_str(rest);
    is_whole
}

/// What stands between a bracket at the beginning and the one that closes it, and what stands behind that.
fn enclosed(text: &str) -> (&str, &str) {
    let mut depth = 0_usize;
    for (at, letter) in text.char_indices() {
        match letter {
            '{' | '[' => depth += 1,
            '}' | ']' => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 {
            return (&text[1..at], &text[at + 1..]);
        }
    }
    (&text[1..], "")
}

/// The parts of a text between `mark`s that stand in no bracket.
fn parts(text: &str, mark: char) -> Vec<&str> {
    let (mut parts, mut begin, mut depth) = (Vec::new(), 0, 0_usize);
    for (at, letter) in text.char_indices() {
        match letter {
            '{' | '[' => depth += 1,
            '}' | ']' => depth = depth.saturating_sub(1),
            _ if letter == mark && depth == 0 => {
                parts.push(&text[begin..at]);
                begin = at + letter.len_utf8();
            }
            _ => {}
        }
    }
    parts.push(&text[begin..]);
    parts
}

/// Writes what a pair of braces stands for; false where its value is missing.
fn value(inner: &str, finding: &Finding, out: &mut String) -> bool {
    if inner == "unit" {
        out.push_str(finding.unit().map_or(UNKNOWN_UNIT, |unit| unit.symbol()));
        return true;
    }
    let words = parts(inner, '/');
    let (key, kind) = words[0].split_once(':').unwrap_or((words[0], ""));
    if let (ABOVE, Some(Value::Length(length))) = (kind, finding.value(key)) {
        out.push_str(&length_above(*length, finding.unit()));
        return true;
    }
    match (finding.value(key), words.as_slice()) {
        (Some(Value::Count(1)), [_, one, _]) => write(one, finding, Some(1), out),
        (Some(Value::Count(count)), [_, _, many]) => write(many, finding, Some(*count), out),
        (Some(value), [_]) => {
            out.push_str(&value.to_string());
            true
        }
        _ => false,
    }
}

/// A round length above another, with its unit, as a tolerance to type.
fn length_above(length: f64, unit: Option<LengthUnit>) -> String {
    /// Units that a length on a command line may have.
    const TYPED: [LengthUnit; 5] = [
        LengthUnit::Millimetre,
        LengthUnit::Centimetre,
        LengthUnit::Metre,
        LengthUnit::Inch,
        LengthUnit::Foot,
    ];
    match unit {
        None => format!("{} {UNKNOWN_UNIT}", short(round_above(length))),
        Some(unit) if TYPED.contains(&unit) => format!("{}{}", short(round_above(length)), unit.symbol()),
        Some(unit) => format!("{}mm", short(round_above(length * unit.millimetres()))),
    }
}

/// The next of the lengths 1, 1.2, 1.5 … 10 times a power of ten that is clearly larger.
fn round_above(length: f64) -> f64 {
    const ROUND: [f64; 11] = [1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    /// Larger by this much, so that no rounding between units makes it smaller than the length.
    const CLEARLY: f64 = 1.001;
    let power = 10_f64.powf(length.log10().floor());
    if !(power.is_normal() && length.is_finite()) {
        return length;
    }
    let least = CLEARLY * length / power;
    ROUND.iter().find(|round| **round >= least).unwrap_or(&12.0) * power
}

/// Writes the first of several wordings of which all values are there.
fn choice(inner: &str, finding: &Finding, number: Option<u64>, out: &mut String) {
    for wording in parts(inner, '|') {
        let before = out.len();
        if write(wording, finding, number, out) {
            return;
        }
        out.truncate(before);
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Code, Finding};
    use super::*;
    use crate::unit::LengthUnit;

    #[test]
    fn words_for_one_for_many_and_for_what_is_there() {
        let finding =
            Finding::of(Code::SlipsMended).with("count", 3_usize).with("apart", Value::Length(0.25));
        let gap = finding.clone().with("gap", Value::Length(0.125)).in_unit(LengthUnit::Inch);
        for (finding, template, words) in [
            (&finding, "{count/a joint/# joints}: {apart:length} {unit}", "3 joints: 0.25 drawing units"),
            (&gap, "[{gap:length} {unit}|none] and {apart:length}", "0.125 in and 0.25"),
            (&finding, "a[ gap of {gap:length}|] b[ {gap:length}| c]", "a b c"),
            (&gap, "[{gap:length} and {overhang:length}|{gap:length}]", "0.125"),
            (&gap, "{count/one/[{overhang:length}|# at {gap:length}]}, # 1", "3 at 0.125, # 1"),
            (&finding, "an { open brace", "an "),
            (&gap, "--join {gap:above}", "--join 0.15in"),
            (&finding, "{apart:above}", "0.3 drawing units"),
        ] {
            assert_eq!(of(template, finding), words, "{template}");
        }
    }

    #[test]
    fn lengths_above_are_round_and_can_be_typed() {
        let lengths = [0.7, 0.8, 0.12, 1.0, 0.05, 9.9, 0.012_728, 35.0, 0.0].map(round_above).map(short);
        assert_eq!(lengths, ["0.8", "1", "0.15", "1.2", "0.06", "10", "0.015", "40", "0"]);
        let typed = |unit| length_above(0.7, Some(unit));
        assert_eq!(typed(LengthUnit::Millimetre), "0.8mm");
        // 0.7 yd are 640.08 mm; yards are no unit of an option.
        assert_eq!(typed(LengthUnit::Yard), "800mm");
    }

    #[test]
    fn keys_have_kinds() {
        assert_eq!(
            keys("{count/a {what:text}/# of [{gap:length}|{gap:length}]} {unit} {gap:above}"),
            [("count", "count"), ("what", "text"), ("gap", "length")]
        );
    }
}
