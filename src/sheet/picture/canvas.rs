//! What a picture is drawn of: lines, marks and words.

use super::path::{number, pair};
use super::place::text_width;
use super::scale::SIZES;
use super::svg::Svg;
use crate::geometry::{Bounds, Point};

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// What is drawn, in its order.
pub(super) struct Canvas {
    svg: Svg,
    /// The boxes of the words and of marks that no words may stand on.
    words: Vec<Bounds>,
    /// Straight strokes that no words may cross: lines as they are drawn, curves as chords.
    strokes: Vec<[Point; 2]>,
}

impl Canvas {
    /// Nothing yet.
    pub(super) fn new() -> Canvas {
        Canvas { svg: Svg::new(), words: Vec::new(), strokes: Vec::new() }
    }

    /// The elements of all that was drawn.
    pub(super) fn into_svg(self) -> Svg {
        self.svg
    }

    pub(super) fn line(&mut self, class: &str, from: Point, to: Point) {
        self.path(class, &format!("M{}L{}", pair(from), pair(to)));
        self.keep_clear([from, to]);
    }

    /// Keeps words off a stroke, which is drawn otherwise.
    pub(super) fn keep_clear(&mut self, stroke: [Point; 2]) {
        self.strokes.push(stroke);
    }

    /// A path; nothing where there are no data.
    pub(super) fn path(&mut self, class: &str, data: &str) {
        if !data.is_empty() {
            self.svg.element("path").with("class", class).with("d", data).empty();
        }
    }

    /// A path filled with the pattern of that id, by the even-odd rule.
    pub(super) fn filled(&mut self, pattern: &str, data: &str) {
        let fill = format_args!("url(#{pattern})");
        self.svg.element("path").with("fill", fill).with("fill-rule", "evenodd").with("d", data).empty();
    }

    pub(super) fn text(&mut self, class: &str, at: Point, anchor: Anchor, text: &str) {
        self.words.push(word_box(at, anchor, text));
        let anchor = match anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        self.svg
            .element("text")
            .maybe("class", Some(class).filter(|class| !class.is_empty()))
            .with("x", number(at.x))
            .with("y", number(at.y))
            .maybe("text-anchor", anchor)
            .words(text);
    }

    /// A sample of a line or mark with its upper left corner at a point.
    pub(super) fn sample(&mut self, at: Point, sample: &Svg) {
        let place = format!("translate({})", pair(at));
        self.svg.element("g").with("transform", place).lines(|svg| svg.add(sample));
    }

    /// Writes a short text with its middle at the first of the places where it stands over no other words and crosses no
    /// line, or else where it meets the fewest.
    pub(super) fn short_text(&mut self, class: &str, places: &[Point], text: &str) {
        if self.free_text(class, places, text) {
            return;
        }
        let met = |middle: &&Point| {
            let own = word_box(**middle + BASELINE, Anchor::Middle, text);
            let words = self.words.iter().filter(|other| own.meets(other)).count();
            let lines = self.strokes.iter().filter(|stroke| own.is_crossed(stroke[0], stroke[1])).count();
            // Words over words can't be read at all.
            1000 * words + lines
        };
        if let Some(place) = places.iter().min_by_key(met) {
            self.text(class, *place + BASELINE, Anchor::Middle, text);
        }
    }

    /// The same, but only where nothing is met; whether there is such a place.
    pub(super) fn free_text(&mut self, class: &str, places: &[Point], text: &str) -> bool {
        let free = |foot: &Point| {
            let own = word_box(*foot, Anchor::Middle, text).grown(CLEAR);
            let apart = Point::new(APART, 0.0);
            let room = Bounds { min: own.min - apart, max: own.max + apart };
            !self.words.iter().any(|other| room.meets(other))
                && !self.strokes.iter().any(|stroke| own.is_crossed(stroke[0], stroke[1]))
        };
        let Some(foot) = places.iter().map(|middle| *middle + BASELINE).find(free) else { return false };
        self.text(class, foot, Anchor::Middle, text);
        true
    }

    /// Whether a stroke would cross no words.
    pub(super) fn is_clear(&self, stroke: &[Point; 2]) -> bool {
        !self.words.iter().any(|words| words.grown(CLEAR).is_crossed(stroke[0], stroke[1]))
    }

    /// The sign of a centre of gravity: a circle of four quarters.
    pub(super) fn centroid(&mut self, at: Point) {
        let (x, y, r) = (number(at.x), number(at.y), RADIUS);
        self.svg
            .element("circle")
            .with("class", "centroid")
            .with("cx", &x)
            .with("cy", &y)
            .with("r", r)
            .empty();
        let quarters = format!("M{x} {y}v-{r}a{r} {r} 0 0 1 {r} {r}zM{x} {y}v{r}a{r} {r} 0 0 1 -{r} -{r}z");
        self.path("centroid-mark", &quarters);
        let reach = Point::new(f64::from(r) + 1.0, f64::from(r) + 1.0);
        self.words.push(Bounds { min: at - reach, max: at + reach });
    }

    /// A filled head of an arrow whose tip is at `tip`, pointing along the unit vector `to`.
    pub(super) fn head(&mut self, class: &str, tip: Point, to: Point) {
        let (back, side) = (tip - to * f64::from(HEAD), to.quarter_turned() * (0.5 * f64::from(HEAD)));
        self.path(class, &format!("M{}L{}L{}Z", pair(tip), pair(back + side), pair(back - side)));
        for (a, b) in [(tip, back + side), (back + side, back - side), (back - side, tip)] {
            self.keep_clear([a, b]);
        }
    }
}

/// The box of a text of the usual size.
fn word_box(at: Point, anchor: Anchor, text: &str) -> Bounds {
    let wide = text_width(text, SIZES.letter);
    let left = match anchor {
        Anchor::Start => at.x,
        Anchor::Middle => at.x - 0.5 * wide,
        Anchor::End => at.x - wide,
    };
    let (above, below) = (0.8 * SIZES.letter, 0.25 * SIZES.letter);
    Bounds { min: Point::new(left, at.y - above), max: Point::new(left + wide, at.y + below) }
}

/// From the middle of a line of words down to the foot of its letters.
pub(super) const BASELINE: Point = Point::new(0.0, 4.2);
/// Words keep this much further (px) from those before and behind them, with which they would be read as one.
const APART: f64 = 5.0;
/// Words keep this far (px) from what they may not meet.
const CLEAR: f64 = 1.0;
/// Radius of the centroid's sign in px.
const RADIUS: u32 = 6;
/// Length of the head of an arrow in px.
const HEAD: u32 = 7;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_move_aside_or_stay_away() {
        let mut canvas = Canvas::new();
        canvas.line("axis", Point::new(0.0, 50.0), Point::new(100.0, 50.0));
        let places = [Point::new(50.0, 50.0), Point::new(50.0, 30.0)];
        assert!(canvas.free_text("", &places, "7"));
        assert!(!canvas.free_text("", &places, "8"));
        // Somewhere all the same: over the line, not over other words.
        canvas.short_text("", &places, "9");
        assert!(
            canvas
                .into_svg()
                .into_string()
                .contains("<text x=\"50\" y=\"54.2\" text-anchor=\"middle\">9</text>")
        );
    }
}
