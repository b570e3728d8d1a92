//! Markup of the page. The one file that names maud.
//!
//! A string that `html!` is given becomes text, whatever stands in it. Markup has a type of its own, which only `html!`
//! makes; the functions here make it of the few strings that this program has written as markup itself.

use maud::PreEscaped;
pub(super) use maud::{DOCTYPE, Markup, html};

use super::letters::fitted;
use super::picture::{Picture, Sign};

/// A picture: its canvas has escaped all words in it.
pub(super) fn picture(picture: &Picture) -> PreEscaped<&str> {
    PreEscaped(&picture.svg)
}

/// The sample of a sign, which a canvas has written too.
pub(super) fn sample(sign: &Sign) -> PreEscaped<&str> {
    PreEscaped(&sign.sample)
}

/// The rules of a style sheet, in which there are no references: a constant of this program.
pub(super) fn rules(rules: &'static str) -> PreEscaped<&'static str> {
    PreEscaped(rules)
}

/// Rules that this program has made, with strings in them that [`super::heading`] has quoted.
pub(super) fn own_rules(rules: String) -> PreEscaped<String> {
    PreEscaped(rules)
}

/// The page as it is written, without letters that no page may hold.
pub(super) fn written(page: Markup) -> String {
    fitted(page.into_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_stays_markup() {
        let hostile = "<a href=\"x\">&A\u{1}B\u{202e}C\u{ffff}";
        let page = html! { p title=(hostile) { (hostile) } };
        let safe = "&lt;a href=&quot;x&quot;&gt;&amp;A\u{fffd}B\u{fffd}C\u{fffd}";
        assert_eq!(written(page), format!("<p title=\"{safe}\">{safe}</p>"));
        assert_eq!(written(html! { "Größe 平 مقطع" }), "Größe 平 مقطع");
    }
}
