//! SVG being written.

use std::fmt::Write;

use super::path::{number, pair};
use crate::geometry::Point;
use crate::sheet::markup::escaped;

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Elements of an SVG in their order.
#[derive(Default)]
pub(super) struct Canvas {
    pub(super) elements: String,
}

impl Canvas {
    pub(super) fn line(&mut self, class: &str, from: Point, to: Point) {
        self.path(class, &format!("M{}L{}", pair(from), pair(to)));
    }

    /// A path; nothing where there are no data.
    pub(super) fn path(&mut self, class: &str, data: &str) {
        if !data.is_empty() {
            let _ = writeln!(self.elements, "<path class=\"{class}\" d=\"{data}\"/>");
        }
    }

    /// A path filled with the pattern of that id, by the even-odd rule.
    pub(super) fn filled(&mut self, pattern: &str, data: &str) {
        let _ =
            writeln!(self.elements, "<path fill=\"url(#{pattern})\" fill-rule=\"evenodd\" d=\"{data}\"/>");
    }

    pub(super) fn text(&mut self, class: &str, at: Point, anchor: Anchor, text: &str) {
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let (x, y, text) = (number(at.x), number(at.y), escaped(text));
        let _ = writeln!(self.elements, "<text{class} x=\"{x}\" y=\"{y}\"{anchor}>{text}</text>");
    }

    /// The sign of a centre of gravity: a circle of four quarters.
    pub(super) fn centroid(&mut self, at: Point) {
        let (x, y, r) = (number(at.x), number(at.y), RADIUS);
        let _ = writeln!(self.elements, "<circle class=\"centroid\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
        let quarters = format!("M{x} {y}v-{r}a{r} {r} 0 0 1 {r} {r}zM{x} {y}v{r}a{r} {r} 0 0 1 -{r} -{r}z");
        self.path("centroid-mark", &quarters);
    }

    /// A filled head of an arrow whose tip is at `tip`, pointing along the unit vector `to`.
    pub(super) fn head(&mut self, class: &str, tip: Point, to: Point) {
        let (back, side) = (tip - to * f64::from(HEAD), to.quarter_turned() * (0.5 * f64::from(HEAD)));
        self.path(class, &format!("M{}L{}L{}Z", pair(tip), pair(back + side), pair(back - side)));
    }
}

/// Radius of the centroid's sign in px.
const RADIUS: u32 = 6;
/// Length of the head of an arrow in px.
const HEAD: u32 = 7;
