//! The name that was probably meant. The one file that names strsim.

/// Longer words are no slip of the pen.
const LONGEST: usize = 80;

/// Letters by which a word counts as longer, so that two that changed places in a short one are a slip too.
const SHORT: usize = 2;

/// The candidate that differs from the word in the fewest letters; `None` where more than about a third of it differs. Of
/// equally near ones the first.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    let length = word.chars().count();
    if length > LONGEST {
        return None;
    }
    candidates
        .into_iter()
        .filter_map(|candidate| {
            let letters: String = candidate.to_lowercase().chars().take(LONGEST + 1).collect();
            let differing = strsim::levenshtein(&word, &letters);
            let is_near = differing * 3 <= length + SHORT && differing < length.max(letters.chars().count());
            is_near.then_some((differing, candidate))
        })
        .min_by_key(|(differing, _)| *differing)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

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
