//! What every picture has around the section: words beside it, overall sizes, orientation, scale, what the lines mean.

use super::canvas::{Anchor, BASELINE, Canvas};
use super::path::{number, pair};
use super::place::{shortened, spread, text_width, wrapped, wrapped_within};
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

/// Words that stand where there is room for them, at the first of these places, or not at all.
struct FreeWords {
    class: &'static str,
    places: Vec<Point>,
    text: String,
    /// Shorter words for where there is no room for these, with their places.
    shorter: Option<(String, Vec<Point>)>,
}

/// A picture being laid out. The section's box has its upper left corner at the origin.
pub(super) struct Layout<'a> {
    pub(super) scale: Scale,
    pub(super) words: Words<'a>,
    pub(super) id: String,
    pub(super) canvas: Canvas,
    pub(super) labels: Vec<Label>,
    pub(super) notes: Vec<String>,
    /// What stands above a picture that stands alone, below its heading.
    pub(super) subtitle: String,
    /// Places along x and y, in the drawing, between which distances are given; several choices, the first that fits.
    pub(super) chains: [Vec<Vec<f64>>; 2],
    /// Something that should be in the picture has no room there.
    pub(super) is_short: bool,
    numbers: Vec<Number>,
    free: Vec<FreeWords>,
    /// From where to where something is thin, and how thick it is.
    thin: Vec<(Point, Point, String)>,
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

/// Distances one after the other along a side: from where to where in the picture, and the distance.
type Chain = Vec<(f64, f64, String)>;

/// From the section's box to the line of the overall width.
fn overall_distance(chain: &Chain) -> f64 {
    dimension_distance() + if chain.is_empty() { 0.0 } else { SIZES.line + SIZES.dimension }
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
        let (numbers, signs, free, thin) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let (subtitle, chains, is_short) = (String::new(), Default::default(), false);
        Layout {
            scale,
            words,
            id,
            canvas,
            labels,
            notes,
            subtitle,
            chains,
            is_short,
            numbers,
            free,
            thin,
            look,
            signs,
        }
    }

    /// Names what ends at a point.
    pub(super) fn label(&mut self, side: Side, from: Point, class: &'static str, text: String) {
        self.labels.push(Label { side, from, text, class });
    }

    /// Puts a number beside a mark on the edge, where no other words stand.
    pub(super) fn beside(&mut self, mark: Point, outwards: Point, class: &'static str, text: &'static str) {
        self.numbers.push(Number { mark, outwards, class, text });
    }

    /// Puts words at the first of these places where there is room, or else shorter ones, or none.
    pub(super) fn free(
        &mut self,
        class: &'static str,
        places: Vec<Point>,
        text: String,
        shorter: Option<(String, Vec<Point>)>,
    ) {
        self.free.push(FreeWords { class, places, text, shorter });
    }

    /// Gives the thickness from one point to another where there is room for arrows and words.
    pub(super) fn thickness(&mut self, from: Point, to: Point, words: String) {
        self.thin.push((from, to, words));
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
        let chains = self.fitting_chains();
        let edges = self.edges(&width, &height, &chains);
        let top = self.place_labels(edges);
        self.dimensions(&width, &height, &chains);
        for Number { mark, outwards, class, text } in std::mem::take(&mut self.numbers) {
            let (beyond, aside) = (mark + outwards * SIZES.number, outwards.quarter_turned() * SIZES.letter);
            let further = mark + outwards * (SIZES.number + SIZES.letter);
            let mut places = vec![beyond, beyond + aside, beyond - aside, mark - outwards * SIZES.letter];
            places.extend([
                beyond + aside * 2.0,
                beyond - aside * 2.0,
                further,
                further + aside,
                further - aside,
            ]);
            places.extend([1.0, -1.0, 2.0, -2.0].map(|k| mark - outwards * SIZES.number + aside * k));
            self.canvas.short_text(class, &places, text);
        }
        for (from, to, words) in std::mem::take(&mut self.thin) {
            // What stands in a chain of distances already is not said twice.
            if chains.iter().flatten().any(|(.., text)| *text == words) {
                continue;
            }
            self.is_short |= !draw_thickness(&mut self.canvas, from, to, &words);
        }
        for FreeWords { class, places, text, shorter } in std::mem::take(&mut self.free) {
            if !self.canvas.free_text(class, &places, &text) {
                self.is_short = true;
                if let Some((shorter, places)) = shorter {
                    self.canvas.free_text(class, &places, &shorter);
                }
            }
        }
        let mut y = self.scale.height + overall_distance(&chains[0]) + 2.0 * SIZES.line;
        y = self.foot(edges.left + SIZES.margin, y);
        let mut top = top - SIZES.margin;
        if self.look == Look::Alone {
            top -= 1.5 * SIZES.line;
            let widest = edges.right - edges.left - 2.0 * SIZES.margin;
            // Bold letters are wider.
            let text = shortened(heading, 1.2 * SIZES.heading, widest);
            let mut at = Point::new(edges.left + SIZES.margin, top + SIZES.margin + SIZES.heading);
            let lines = match self.subtitle.as_str() {
                "" => Vec::new(),
                subtitle => wrapped_within(subtitle, SIZES.letter, widest),
            };
            let more = lines.len() as f64 * SIZES.line;
            top -= more;
            at.y -= more;
            self.canvas.text("heading", at, Anchor::Start, &text);
            for line in lines {
                at.y += SIZES.line;
                self.canvas.text("", at, Anchor::Start, &line);
            }
        }
        y = self.lines(edges, y);
        let bottom = (y + SIZES.margin - 0.5 * SIZES.line).ceil();
        self.written(Edges { top: top.floor(), ..edges }, bottom, title, &format!("{description}{messages}"))
    }

    /// Left and right edge with room for all words.
    fn edges(&self, width: &str, height: &str, chains: &[Chain; 2]) -> Edges {
        let wide = |text: &str| text_width(text, SIZES.letter);
        let (middle, half) = (0.5 * self.scale.width, 0.5 * wide(width));
        let beside = self.height_distance(&chains[1]) + SIZES.beside + wide(height);
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

    /// From the section's box to the line of the overall height.
    fn height_distance(&self, chain: &Chain) -> f64 {
        let widest = chain.iter().map(|(.., text)| text_width(text, SIZES.letter)).fold(0.0, f64::max);
        dimension_distance() + if chain.is_empty() { 0.0 } else { SIZES.beside + widest + SIZES.dimension }
    }

    /// Of each direction the first choice of places between which distances fit; empty where none does.
    fn fitting_chains(&mut self) -> [Chain; 2] {
        let mut found: [Chain; 2] = Default::default();
        let corner = self.scale.point(Point::ORIGIN);
        for (axis, (choices, found)) in
            std::mem::take(&mut self.chains).into_iter().zip(&mut found).enumerate()
        {
            let in_picture = |value: f64| match axis {
                0 => value * self.scale.x + corner.x,
                _ => corner.y - value * self.scale.y,
            };
            let fits = |places: &Vec<f64>| -> Option<Chain> {
                let links: Chain = places
                    .windows(2)
                    .map(|pair| {
                        let text = self.words.bare_length(pair[1] - pair[0]);
                        (in_picture(pair[0]), in_picture(pair[1]), text)
                    })
                    .collect();
                let has_room = links.iter().all(|(a, b, text)| {
                    let room = if axis == 0 { text_width(text, SIZES.letter) + 6.0 } else { SIZES.line };
                    (b - a).abs() >= room
                });
                (links.len() > 1 && has_room).then_some(links)
            };
            self.is_short |= choices.first().is_some_and(|first| first.len() > 2 && fits(first).is_none());
            *found = choices.iter().find_map(fits).unwrap_or_default();
        }
        found
    }

    /// Overall width below and overall height on the left, and between them and the section the distances of its pieces.
    fn dimensions(&mut self, width_words: &str, height_words: &str, chains: &[Chain; 2]) {
        let (width, height) = (self.scale.width, self.scale.height);
        let (below, aside) = (overall_distance(&chains[0]), self.height_distance(&chains[1]));
        let canvas = &mut self.canvas;
        for x in [0.0, width] {
            canvas.line("dimension", Point::new(x, height + 4.0), Point::new(x, height + below + 4.0));
        }
        for y in [0.0, height] {
            canvas.line("dimension", Point::new(-4.0, y), Point::new(-aside - 4.0, y));
        }
        let (right, up) = (Point::new(1.0, 0.0), Point::new(0.0, -1.0));
        let (from, to) = (Point::new(0.0, height + below), Point::new(width, height + below));
        canvas.line("dimension", from, to);
        canvas.head("arrow", from, -right);
        canvas.head("arrow", to, right);
        let words = Point::new(0.5 * width, height + below + SIZES.line);
        canvas.text("", words, Anchor::Middle, width_words);
        let (from, to) = (Point::new(-aside, height), Point::new(-aside, 0.0));
        canvas.line("dimension", from, to);
        canvas.head("arrow", from, -up);
        canvas.head("arrow", to, up);
        let beside = Point::new(-aside - SIZES.beside, 0.5 * height) + BASELINE;
        canvas.text("", beside, Anchor::End, height_words);
        let tick = 4.0;
        let level = height + dimension_distance();
        for (k, (a, b, text)) in chains[0].iter().enumerate() {
            canvas.line("dimension", Point::new(*a, level), Point::new(*b, level));
            if k > 0 {
                canvas.line("dimension", Point::new(*a, level - tick), Point::new(*a, level + tick));
            }
            let middle = Point::new(0.5 * (a + b), level + SIZES.line);
            canvas.text("", middle, Anchor::Middle, text);
        }
        let place = -dimension_distance();
        for (k, (a, b, text)) in chains[1].iter().enumerate() {
            canvas.line("dimension", Point::new(place, *a), Point::new(place, *b));
            if k > 0 {
                canvas.line("dimension", Point::new(place - tick, *a), Point::new(place + tick, *a));
            }
            let middle = Point::new(place - SIZES.beside, 0.5 * (a + b)) + BASELINE;
            canvas.text("", middle, Anchor::End, text);
        }
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
        let is_short = self.is_short;
        Picture { svg: svg.into_string(), width, height, legend: legend.collect(), is_short }
    }
}

/// Draws two arrows towards each other and the words beside one of them, where all of it has room; whether it has.
fn draw_thickness(canvas: &mut Canvas, from: Point, to: Point, words: &str) -> bool {
    /// Length (px) of an arrow.
    const ARROW: f64 = 13.0;
    let along = to - from;
    if along.length() == 0.0 {
        return false;
    }
    let along = along * (1.0 / along.length());
    let (tail, other) = (to + along * ARROW, from - along * ARROW);
    let half = Point::new(0.5 * text_width(words, SIZES.letter) + 3.0, 0.5 * SIZES.letter + 2.0);
    let away = half.x * along.x.abs() + half.y * along.y.abs();
    let aside = Point::new(half.x * along.y.abs(), half.y * along.x.abs());
    let mut places = Vec::new();
    for (end, outwards) in [(tail, along), (other, -along)] {
        places.push(end + outwards * away);
        places.extend([end - outwards * 5.0 + aside, end - outwards * 5.0 - aside]);
    }
    if ![[to, tail], [from, other]].iter().all(|stroke| canvas.is_clear(stroke)) {
        return false;
    }
    if !canvas.free_text("", &places, words) {
        return false;
    }
    for (tip, end, towards) in [(to, tail, -along), (from, other, along)] {
        canvas.line("dimension", tip, end);
        canvas.head("arrow", tip, towards);
    }
    true
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
