//! What every picture has around the section: words beside it, overall sizes, orientation, scale, what the lines mean.

use super::canvas::{Anchor, BASELINE, Canvas};
use super::path::{number, pair};
use super::place::{shortened, spread, text_width, wrapped};
use super::scale::{SIZES, Scale, Stretch, round_down};
use super::svg::{Element, Svg};
use super::words::Words;
use super::{Look, Picture, Sign};
use crate::geometry::Point;
use crate::schedule::Digits;

/// A side of the section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Side {
    Right,
    Top,
    Left,
    Bottom,
}

/// Words beside the section that name what ends at a point.
pub(super) struct Label {
    pub(super) side: Side,
    pub(super) from: Point,
    pub(super) text: String,
    pub(super) class: &'static str,
}

/// A number beside a mark on the edge of the section.
struct Number {
    mark: Point,
    /// Unit vector away from the section.
    outwards: Point,
    class: &'static str,
    text: &'static str,
}

/// A picture being laid out. The section's box has its upper left corner at the origin.
pub(super) struct Layout<'a> {
    pub(super) scale: Scale,
    pub(super) words: Words<'a>,
    pub(super) id: String,
    pub(super) canvas: Canvas,
    pub(super) labels: Vec<Label>,
    pub(super) notes: Vec<String>,
    numbers: Vec<Number>,
    look: Look,
    signs: Vec<DrawnSign>,
}

/// A kind of line or a mark, drawn as a sample, and what it means.
struct DrawnSign {
    /// It stands in every picture, not in one that stands alone only.
    always: bool,
    words: String,
    sample: Svg,
}

/// From the section's box to the middle of the dimension lines.
fn dimension_distance() -> f64 {
    SIZES.overhang + SIZES.band + SIZES.dimension
}

/// The edges of the picture.
#[derive(Clone, Copy)]
struct Edges {
    left: f64,
    right: f64,
    top: f64,
}

impl<'a> Layout<'a> {
    pub(super) fn new(scale: Scale, words: Words<'a>, look: Look, id: &str) -> Layout<'a> {
        // Whatever else an id holds could end an attribute or a reference.
        let plain = |letter: char| if letter.is_ascii_alphanumeric() || letter == '_' { letter } else { '-' };
        let id: String = id.chars().map(plain).collect();
        let id =
            if id.starts_with(|first: char| first.is_ascii_alphabetic()) { id } else { format!("p{id}") };
        let (canvas, labels, notes) = (Canvas::new(), Vec::new(), Vec::new());
        let (numbers, signs) = (Vec::new(), Vec::new());
        Layout { scale, words, id, canvas, labels, notes, numbers, look, signs }
    }

    /// Names what ends at a point.
    pub(super) fn label(&mut self, side: Side, from: Point, class: &'static str, text: String) {
        self.labels.push(Label { side, from, text, class });
    }

    /// Puts a number beside a mark on the edge, where no other words stand.
    pub(super) fn beside(&mut self, mark: Point, outwards: Point, class: &'static str, text: &'static str) {
        self.numbers.push(Number { mark, outwards, class, text });
    }

    /// Says what a line or mark means; `always` where it stands in pictures within a page too, not in their legend
    /// alone.
    pub(super) fn sign(&mut self, always: bool, words: String, draw: impl FnOnce(&mut Canvas)) {
        let mut canvas = Canvas::new();
        draw(&mut canvas);
        self.signs.push(DrawnSign { always, words, sample: canvas.into_svg() });
    }

    /// Puts everything together.
    pub(super) fn finish(mut self, heading: &str, title: &str, description: &str) -> Picture {
        let size = self.scale.size;
        let (width, height) = (self.words.length(size.x), self.words.length(size.y));
        let direction = match self.scale.stretch {
            Stretch::None => None,
            Stretch::Heights(times) => Some(("heights", times)),
            Stretch::Widths(times) => Some(("widths", times)),
        };
        if let Some((what, times)) = direction {
            let times = Digits::default().text(times, 0.0);
            let note = format!("not to scale: {what} × {times}; angles and curves are stretched too");
            self.notes.insert(0, note);
        }
        let messages: String = self.notes.iter().map(|note| format!(" Note: {note}.")).collect();
        let edges = self.edges(&width, &height);
        let top = self.place_labels(edges);
        self.dimensions(&width, &height);
        for Number { mark, outwards, class, text } in std::mem::take(&mut self.numbers) {
            let (beyond, aside) = (mark + outwards * SIZES.number, outwards.quarter_turned() * SIZES.letter);
            let places = [beyond, beyond + aside, beyond - aside, mark - outwards * SIZES.letter];
            self.canvas.short_text(class, &places, text);
        }
        let mut y = self.scale.height + dimension_distance() + 2.0 * SIZES.line;
        y = self.foot(edges.left + SIZES.margin, y);
        let mut top = top - SIZES.margin;
        if self.look == Look::Alone {
            top -= 1.5 * SIZES.line;
            let widest = edges.right - edges.left - 2.0 * SIZES.margin;
            // Bold letters are wider.
            let text = shortened(heading, 1.2 * SIZES.heading, widest);
            let at = Point::new(edges.left + SIZES.margin, top + SIZES.margin + SIZES.heading);
            self.canvas.text("heading", at, Anchor::Start, &text);
        }
        y = self.lines(edges, y);
        let bottom = (y + SIZES.margin - 0.5 * SIZES.line).ceil();
        self.written(Edges { top: top.floor(), ..edges }, bottom, title, &format!("{description}{messages}"))
    }

    /// Left and right edge with room for all words.
    fn edges(&self, width: &str, height: &str) -> Edges {
        let wide = |text: &str| text_width(text, SIZES.letter);
        let (middle, half) = (0.5 * self.scale.width, 0.5 * wide(width));
        let beside = dimension_distance() + SIZES.beside + wide(height);
        let words = self.labels.iter().filter(|label| label.side == Side::Right);
        let longest = words.map(|label| wide(&label.text)).fold(0.0, f64::max);
        let left = (-beside).min(middle - half) - SIZES.margin;
        let right = (self.scale.width + SIZES.overhang + SIZES.leader + longest).max(middle + half);
        let above: f64 = self.labels.iter().filter(|label| label.side == Side::Top).map(length).sum();
        let right = right + SIZES.margin;
        let wanted = SIZES.least_width.max(above + 2.0 * SIZES.margin);
        let more = 0.5 * (wanted - (right - left)).max(0.0);
        Edges { left: (left - more).floor(), right: (right + more).ceil(), top: 0.0 }
    }

    /// Draws all labels with their leaders; gives the top of the words above.
    fn place_labels(&mut self, edges: Edges) -> f64 {
        let (width, height, overhang) = (self.scale.width, self.scale.height, SIZES.overhang);
        let mut labels = std::mem::take(&mut self.labels);
        let along = |label: &Label| match label.side {
            Side::Right | Side::Left => label.from.y,
            Side::Top | Side::Bottom => label.from.x,
        };
        labels.sort_by(|a, b| a.side.cmp(&b.side).then(along(a).total_cmp(&along(b))));
        let mut top = -overhang;
        for side in [Side::Right, Side::Top, Side::Left, Side::Bottom] {
            let here: Vec<&Label> = labels.iter().filter(|label| label.side == side).collect();
            let wanted: Vec<f64> = here.iter().map(|label| along(label)).collect();
            let lengths: Vec<f64> = here.iter().map(|label| length(label)).collect();
            let (low, high) = match side {
                Side::Right => (-overhang - 4.0, height + overhang + SIZES.band),
                Side::Top => (edges.left + SIZES.margin, edges.right - SIZES.margin),
                // Between the lines to the dimensions.
                Side::Left => (2.0, height - 2.0),
                Side::Bottom => (2.0, width - 2.0),
            };
            let middles = spread(&wanted, &lengths, low, high);
            let moved = middles.iter().zip(&wanted).map(|(m, w)| (m - w).abs()).fold(0.0, f64::max);
            // The further words stand aside, the steeper their leaders must be to be told apart.
            let rise = (0.7 * SIZES.leader + 0.12 * moved).min(3.0 * SIZES.leader);
            for (label, middle) in here.into_iter().zip(middles) {
                let canvas = &mut self.canvas;
                match side {
                    Side::Right => {
                        let at = Point::new(width + overhang + SIZES.leader, middle);
                        canvas.line("leader", label.from, at - Point::new(3.0, 0.0));
                        canvas.text(label.class, at + BASELINE, Anchor::Start, &label.text);
                    }
                    Side::Top => {
                        let at = Point::new(middle, -overhang - rise);
                        canvas.line("leader", label.from, at + Point::new(0.0, 2.0));
                        canvas.text(label.class, at - Point::new(0.0, 2.0), Anchor::Middle, &label.text);
                        top = top.min(at.y - SIZES.line);
                    }
                    Side::Left => {
                        let at = Point::new(-overhang - 4.0, middle) + BASELINE;
                        canvas.text(label.class, at, Anchor::End, &label.text);
                    }
                    Side::Bottom => {
                        let at = Point::new(middle, height + overhang + SIZES.letter);
                        canvas.text(label.class, at, Anchor::Middle, &label.text);
                    }
                }
            }
        }
        top
    }

    /// Overall width below and overall height on the left.
    fn dimensions(&mut self, width_words: &str, height_words: &str) {
        let (width, height, away) = (self.scale.width, self.scale.height, dimension_distance());
        let canvas = &mut self.canvas;
        for x in [0.0, width] {
            canvas.line("dimension", Point::new(x, height + 4.0), Point::new(x, height + away + 4.0));
        }
        for y in [0.0, height] {
            canvas.line("dimension", Point::new(-4.0, y), Point::new(-away - 4.0, y));
        }
        let (right, up) = (Point::new(1.0, 0.0), Point::new(0.0, -1.0));
        let (from, to) = (Point::new(0.0, height + away), Point::new(width, height + away));
        canvas.line("dimension", from, to);
        canvas.head("arrow", from, -right);
        canvas.head("arrow", to, right);
        let below = Point::new(0.5 * width, height + away + SIZES.line);
        canvas.text("", below, Anchor::Middle, width_words);
        let (from, to) = (Point::new(-away, height), Point::new(-away, 0.0));
        canvas.line("dimension", from, to);
        canvas.head("arrow", from, -up);
        canvas.head("arrow", to, up);
        let beside = Point::new(-away - SIZES.beside, 0.5 * height) + BASELINE;
        canvas.text("", beside, Anchor::End, height_words);
    }

    /// Axis cross and scale bars below the section; gives where the next words may stand.
    fn foot(&mut self, left: f64, top: f64) -> f64 {
        let ground = top + 44.0;
        let origin = Point::new(left + 6.0, ground);
        for (to, name, at) in [
            (Point::new(1.0, 0.0), "x", Point::new(34.0, 4.0)),
            (Point::new(0.0, -1.0), "y", Point::new(-4.0, -34.0)),
        ] {
            self.canvas.line("bar", origin, origin + to * 24.0);
            self.canvas.head("centroid-mark", origin + to * 30.0, to);
            self.canvas.text("", origin + at, Anchor::Start, name);
        }
        // px for one unit of the figures.
        let (x, y) = (self.scale.x / self.words.factor(), self.scale.y / self.words.factor());
        let across = round_down(150.0 / x);
        let from = Point::new(left + 76.0, ground);
        let to = from + Point::new(across * x, 0.0);
        self.bar(from, to, Point::new(0.0, 4.0));
        let both = self.scale.stretch == Stretch::None;
        let words = self.words.stated_length(across);
        let text = if both { words } else { format!("widths: {words}") };
        let at = to + Point::new(8.0, 0.0) + BASELINE;
        self.canvas.text("", at, Anchor::Start, &text);
        if !both {
            let up = round_down(36.0 / y);
            let from = Point::new(at.x + text_width(&text, SIZES.letter) + 28.0, ground);
            self.bar(from, from - Point::new(0.0, up * y), Point::new(4.0, 0.0));
            let words = format!("heights: {}", self.words.stated_length(up));
            self.canvas.text("", from + Point::new(12.0, 0.0) + BASELINE, Anchor::Start, &words);
        }
        ground + 1.5 * SIZES.line
    }

    /// A length between two small ticks.
    fn bar(&mut self, from: Point, to: Point, tick: Point) {
        let data = [(from, to), (from - tick, from + tick), (to - tick, to + tick)]
            .map(|(a, b)| format!("M{}L{}", pair(a), pair(b)));
        self.canvas.path("bar", &data.concat());
    }

    /// What the lines mean, then the notes; gives where the next line would stand.
    fn lines(&mut self, edges: Edges, mut y: f64) -> f64 {
        let left = edges.left + SIZES.margin;
        let alone = self.look == Look::Alone;
        let widest = edges.right - SIZES.margin - left;
        for sign in self.signs.iter().filter(|sign| sign.always || alone) {
            self.canvas.sample(Point::new(left, y - 11.0), &sign.sample);
            for line in wrapped(&sign.words, SIZES.letter, widest - SIZES.sample) {
                self.canvas.text("", Point::new(left + SIZES.sample, y), Anchor::Start, &line);
                y += SIZES.line;
            }
        }
        let mut notes = self.notes.clone();
        if alone {
            notes.push(CAUTION.to_owned());
        }
        for line in notes.iter().flat_map(|note| wrapped(note, SIZES.letter, widest)) {
            self.canvas.text("", Point::new(left, y), Anchor::Start, &line);
            y += SIZES.line;
        }
        y
    }

    fn written(self, edges: Edges, bottom: f64, title: &str, description: &str) -> Picture {
        let (width, height) = (edges.right - edges.left, bottom - edges.top);
        let (left, top) = (number(edges.left), number(edges.top));
        let id = |what: &str| format!("{}-{what}", self.id);
        let drawn = self.canvas.into_svg();
        let mut svg = Svg::new();
        picture(&mut svg)
            .with("role", "img")
            .with("aria-labelledby", format_args!("{} {}", id("title"), id("desc")))
            .with("viewBox", format_args!("{left} {top} {width} {height}"))
            .with("width", width)
            .with("height", height)
            .lines(|svg| {
                svg.element("title").with("id", id("title")).words(title);
                svg.element("desc").with("id", id("desc")).words(description);
                if self.look == Look::Alone {
                    svg.element("style").rules();
                }
                svg.element("defs").row(|svg| hatch(svg, &id("hatch")));
                if self.look == Look::Alone {
                    let ground = format!("M{left} {top}h{width}v{height}h-{width}Z");
                    svg.element("path").with("class", "paper").with("d", ground).empty();
                }
                svg.add(&drawn);
            });
        let legend =
            self.signs.into_iter().map(|sign| Sign { sample: sample(&sign.sample), words: sign.words });
        Picture { svg: svg.into_string(), width, height, legend: legend.collect() }
    }
}

/// Begins the element of a picture.
fn picture(svg: &mut Svg) -> Element<'_> {
    svg.element("svg").with("xmlns", "http://www.w3.org/2000/svg").with("class", "section-picture")
}

/// The pattern of solids.
fn hatch(svg: &mut Svg, id: &str) {
    svg.element("pattern")
        .with("id", id)
        .with("width", 7)
        .with("height", 7)
        .with("patternUnits", "userSpaceOnUse")
        .row(|svg| {
            svg.element("path").with("class", "solid").with("d", "M0 0H7V7H0Z").empty();
            svg.element("path").with("class", "hatch").with("d", "M-1 1L1 -1M0 7L7 0M6 8L8 6").empty();
        });
}

/// A picture of a sample alone, on one line.
fn sample(drawn: &Svg) -> String {
    let mut svg = Svg::new();
    picture(&mut svg)
        .with("aria-hidden", true)
        .with("viewBox", "0 0 40 14")
        .with("width", 40)
        .with("height", 14)
        .row(|svg| svg.add(drawn));
    svg.into_string().trim_end().to_owned()
}

/// What stands below every picture that stands alone.
const CAUTION: &str = "Figures are geometry of the drawing as drawn; whether the section is fit for its purpose is \
                       decided by local codes and a licensed engineer.";

/// Room that a label takes along its side.
fn length(label: &Label) -> f64 {
    match label.side {
        Side::Right | Side::Left => SIZES.line,
        Side::Top | Side::Bottom => text_width(&label.text, SIZES.letter) + SIZES.letter,
    }
}
