//! The name that was probably meant.

/// Longer words are no slip of the pen.
const LONGEST: usize = 80;

/// Letters by which a word counts as longer, so that two that changed places in a short one are a slip too.
const SHORT: usize = 2;

/// The candidate that differs from the word in the fewest letters; `None` where more than about a third of it differs. Of
/// equally near ones the first.
pub(super) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word: Vec<char> = word.to_lowercase().chars().collect();
    if word.len() > LONGEST {
        return None;
    }
    candidates
        .into_iter()
        .filter_map(|candidate| {
            let letters: Vec<char> = candidate.to_lowercase().chars().take(LONGEST + 1).collect();
            let differing = distance(&word, &letters);
            (differing * 3 <= word.len() + SHORT).then_some((differing, candidate))
        })
        .min_by_key(|(differing, _)| *differing)
        .map(|(_, candidate)| candidate)
}

/// Letters to put in, take out or change so that one word becomes the other.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut before = i;
        let mut left = i + 1;
        let mut next = vec![left];
        for (y, above) in b.iter().zip(row.iter().skip(1)) {
            left = (before + usize::from(x != y)).min(above + 1).min(left + 1);
            before = *above;
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_differ() {
        let letters = |word: &str| word.chars().collect::<Vec<char>>();
        for (a, b, differing) in [
            ("", "", 0),
            ("lug", "", 3),
            ("", "lug", 3),
            ("plate", "plate", 0),
            ("plate", "plates", 1),
            ("gusset", "guset", 1),
            ("kitten", "sitting", 3),
        ] {
            assert_eq!(distance(&letters(a), &letters(b)), differing, "{a} {b}");
        }
    }

    #[test]
    fn slips() {
        let names = ["area_mm2", "area_cm2", "perimeter_mm"];
        assert_eq!(nearest("area_mm", names), Some("area_mm2"));
        assert_eq!(nearest("Area_cm2 ", names), Some("area_cm2"));
        assert_eq!(nearest("aera", ["area", "parts"]), Some("area"));
        assert_eq!(nearest("colour", names), None);
        assert_eq!(nearest(&"x".repeat(5000), names), None);
        assert_eq!(nearest("", names), None);
    }
}
