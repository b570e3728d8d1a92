//! Where words stand: beside a side of the section, in the order of what they name, none over another.

/// How wide a text is in px, letters of `size` px: rather too wide than too narrow. The widths are those of DejaVu Sans,
/// which is wider than most.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    let letter = |c: char| match c {
        'i' | 'j' | 'l' | '\'' | '|' => 0.34,
        ' ' | '\u{202f}' | '.' | ',' | ':' | ';' | '/' => 0.35,
        '-' | 'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '"' => 0.47,
        'm' | 'M' | 'W' | '%' | '@' => 1.01,
        'w' | '=' | '+' | '−' | '×' | '…' | '<' | '>' | '#' | '&' | 'O' | 'Q' => 0.86,
        'A'..='Z' => 0.78,
        '°' => 0.51,
        ' '..='~' => 0.65,
        // Latin, Greek and Cyrillic letters with and without marks.
        '\u{a0}'..='\u{52f}' => 0.9,
        _ => 1.3,
    };
    text.chars().map(letter).sum::<f64>() * size
}

/// The text, shortened with an ellipsis where it is wider than `widest`.
pub(super) fn shortened(text: &str, size: f64, widest: f64) -> String {
    if text_width(text, size) <= widest {
        return text.to_owned();
    }
    let room = widest - text_width("…", size);
    let mut used = 0.0;
    let mut kept: String = text
        .chars()
        .take_while(|letter| {
            used += text_width(letter.encode_utf8(&mut [0; 4]), size);
            used <= room
        })
        .collect();
    kept.push('…');
    kept
}

/// The words in lines no wider than `widest`; a single longer word has a line of its own.
pub(super) fn wrapped(text: &str, size: f64, widest: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line)
                if text_width(line, size) + text_width(" ", size) + text_width(word, size) <= widest =>
            {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The same with longer words shortened, so that no line is wider.
pub(super) fn wrapped_within(text: &str, size: f64, widest: f64) -> Vec<String> {
    wrapped(text, size, widest).into_iter().map(|line| shortened(&line, size, widest)).collect()
}

/// Middles for boxes of the given lengths along a line, as near to the wanted middles as there is room between `low` and
/// `high`, in the order given; `wanted` must not fall. Where there is no room for all, they reach beyond `high`.
pub(super) fn spread(wanted: &[f64], lengths: &[f64], low: f64, high: f64) -> Vec<f64> {
    // From the first middle to each, when all boxes touch.
    let mut offsets: Vec<f64> = Vec::with_capacity(wanted.len());
    let mut before: Option<f64> = None;
    for length in lengths {
        let offset = match (offsets.last(), before) {
            (Some(last), Some(before)) => last + 0.5 * (before + length),
            _ => 0.0,
        };
        offsets.push(offset);
        before = Some(*length);
    }
    let (Some(first), Some(last), Some(total)) = (lengths.first(), lengths.last(), offsets.last()) else {
        return Vec::new();
    };
    // Less their offsets the middles must not fall: neighbours that would are taken together at their mean.
    let mut runs: Vec<(f64, usize)> = Vec::new();
    for (middle, offset) in wanted.iter().zip(&offsets) {
        let mut run = (middle - offset, 1);
        while let Some((mean, count)) = runs.pop_if(|(mean, _)| *mean > run.0) {
            let all = count + run.1;
            run = ((mean * count as f64 + run.0 * run.1 as f64) / all as f64, all);
        }
        runs.push(run);
    }
    let lowest = low + 0.5 * first;
    let highest = (high - 0.5 * last - total).max(lowest);
    let means = runs.into_iter().flat_map(|(mean, count)| std::iter::repeat_n(mean, count));
    means.zip(&offsets).map(|(mean, offset)| mean.clamp(lowest, highest) + offset).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_keep_apart_and_in_order() {
        let lengths = [10.0, 20.0, 10.0, 10.0];
        assert_eq!(spread(&[0.0, 100.0, 200.0, 300.0], &lengths, -50.0, 400.0), [0.0, 100.0, 200.0, 300.0]);
        let crowded = spread(&[50.0, 50.0, 50.0, 90.0], &lengths, 0.0, 100.0);
        assert_eq!(crowded, [35.0, 50.0, 65.0, 90.0]);
        let pushed = spread(&[99.0, 99.0, 99.0, 99.0], &lengths, 0.0, 100.0);
        assert_eq!(pushed, [55.0, 70.0, 85.0, 95.0]);
        let too_many = spread(&[5.0, 5.0, 5.0, 5.0], &lengths, 0.0, 20.0);
        assert_eq!(too_many, [5.0, 20.0, 35.0, 45.0]);
        assert!(spread(&[], &[], 0.0, 1.0).is_empty());
    }

    #[test]
    fn words_are_shortened_and_wrapped() {
        assert_eq!(shortened("HEB 300", 12.0, 100.0), "HEB 300");
        let short = shortened(&"M".repeat(300), 12.0, 100.0);
        assert!(short.ends_with('…') && text_width(&short, 12.0) <= 100.0);
        assert_eq!(wrapped("one two three", 10.0, 60.0), ["one two", "three"]);
        assert_eq!(wrapped("", 10.0, 60.0), [""]);
    }
}
