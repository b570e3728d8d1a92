//! How large a section is drawn: from drawing coordinates to the picture's.

use super::Look;
use crate::geometry::{Affine, Bounds, Curve, Point};

/// How far the thin direction is drawn stretched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stretch {
    /// Both directions have one scale.
    None,
    /// Heights are this many times as large as widths.
    Heights(f64),
    /// Widths are this many times as large as heights.
    Widths(f64),
}

/// The picture's coordinates: CSS px from the upper left corner of the box around the section, x to the right, y down.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    /// Upper left corner in drawing coordinates.
    corner: Point,
    /// Width and height of the section in drawing units.
    pub(super) size: Point,
    /// px for one drawing unit along x.
    pub(super) x: f64,
    /// px for one drawing unit along y.
    pub(super) y: f64,
    /// Width of the section in px.
    pub(super) width: f64,
    /// Height of the section in px.
    pub(super) height: f64,
    /// What is not to scale.
    pub(super) stretch: Stretch,
}

/// Sizes in px that pictures are laid out by.
pub(super) struct Sizes {
    /// A section is drawn at most this wide.
    pub(super) widest: f64,
    /// A section is drawn at most this high.
    pub(super) highest: f64,
    /// The same within a page, so that results fit below it on paper.
    pub(super) highest_on_page: f64,
    /// Stretched sections are at least this thick: six lines of words fit beside them.
    pub(super) thick: f64,
    /// Axes run this far beyond the section.
    pub(super) overhang: f64,
    /// Room for the names of axes between their ends and the dimension lines.
    pub(super) band: f64,
    /// From there to the dimension lines.
    pub(super) dimension: f64,
    /// Leaders from the ends of lines to their words.
    pub(super) leader: f64,
    /// From one line of words to the next.
    pub(super) line: f64,
    /// Size of letters.
    pub(super) letter: f64,
    /// Size of the letters of the heading.
    pub(super) heading: f64,
    /// From a dimension line to the words beside it.
    pub(super) beside: f64,
    /// Room for the sample of a line before its words.
    pub(super) sample: f64,
    /// Lines along the fibres of turned axes run this far beyond where the section touches them.
    pub(super) fibre: f64,
    /// From the tip of a mark on the edge to the middle of its number: past the head of its arrow.
    pub(super) number: f64,
    /// A picture is at least this wide.
    pub(super) least_width: f64,
    /// Around all.
    pub(super) margin: f64,
}

/// The sizes of every picture.
pub(super) const SIZES: Sizes = Sizes {
    widest: 440.0,
    highest: 340.0,
    highest_on_page: 155.0,
    thick: 48.0,
    overhang: 14.0,
    band: 18.0,
    dimension: 10.0,
    leader: 18.0,
    line: 16.0,
    letter: 12.0,
    heading: 15.0,
    beside: 8.0,
    sample: 50.0,
    fibre: 10.0,
    number: 15.0,
    least_width: 660.0,
    margin: 10.0,
};

/// Sections longer than this many times their thickness are drawn stretched.
const SLENDER: u32 = 12;

impl Scale {
    /// The scale at which the section in `bounds` fits; `None` where its size is too small or too large to be drawn.
    #[cfg(test)]
    pub(super) fn fit(bounds: &Bounds) -> Option<Scale> {
        Scale::fit_as(bounds, Look::Alone)
    }

    /// The same for where the picture stands: on a page there is less room.
    pub(super) fn fit_as(bounds: &Bounds, look: Look) -> Option<Scale> {
        Scale::fit_within(bounds, look, SIZES.widest)
    }

    /// The same no wider than so many px.
    pub(super) fn fit_within(bounds: &Bounds, look: Look, widest: f64) -> Option<Scale> {
        let highest = match look {
            Look::Page => SIZES.highest_on_page,
            Look::Alone => SIZES.highest,
        };
        let (width, height) = (bounds.width(), bounds.height());
        let both = (widest / width).min(highest / height);
        let (mut x, mut y, mut stretch) = (both, both, Stretch::None);
        if width > f64::from(SLENDER) * height {
            let times = round_up(SIZES.thick / (height * both));
            (y, stretch) = (both * times, Stretch::Heights(times));
        } else if height > f64::from(SLENDER) * width {
            let times = round_up(SIZES.thick / (width * both));
            (x, stretch) = (both * times, Stretch::Widths(times));
        }
        let corner = Point::new(bounds.min.x, bounds.max.y);
        let size = Point::new(width, height);
        let scale = Scale { corner, size, x, y, width: width * x, height: height * y, stretch };
        let sound = |v: f64| v.is_finite() && v > 0.0;
        let drawable = corner.is_finite() && [x, y, scale.width, scale.height].into_iter().all(sound);
        drawable.then_some(scale)
    }

    /// A point of the drawing in the picture.
    pub(super) fn point(&self, point: Point) -> Point {
        let from = point - self.corner;
        Point::new(from.x * self.x, -from.y * self.y)
    }

    /// A direction of the drawing in the picture.
    pub(super) fn vector(&self, vector: Point) -> Point {
        Point::new(vector.x * self.x, -vector.y * self.y)
    }

    /// A curve of the drawing in the picture; where directions are stretched, arcs become arcs of ellipses.
    pub(super) fn curve(&self, curve: &Curve) -> Curve {
        // Moved first, so that no digits are lost far from the origin.
        curve.translated(-self.corner).transformed(&Affine::scaling(self.x, -self.y))
    }
}

/// 1, 2 or 5 times a power of ten, the first that is no smaller than a value above 0.
fn round_up(value: f64) -> f64 {
    let power = value.log10().floor();
    let steps = [round(1, power), round(2, power), round(5, power)];
    steps.into_iter().find(|step| *step >= value).unwrap_or(round(1, power + 1.0))
}

/// 1, 2 or 5 times a power of ten, the last that is no larger than a value above 0: a length for a scale bar.
pub(super) fn round_down(value: f64) -> f64 {
    let power = value.log10().floor();
    let steps = [round(5, power), round(2, power)];
    steps.into_iter().find(|step| *step <= value).unwrap_or(round(1, power))
}

/// A digit times a power of ten, to the last bit: written and read, as products and powers are a rounding off.
fn round(digit: u32, power: f64) -> f64 {
    format!("{digit}e{power}").parse().unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn boxed(x: f64, y: f64, width: f64, height: f64) -> Bounds {
        Bounds { min: Point::new(x, y), max: Point::new(x + width, y + height) }
    }

    #[test]
    fn sections_fit() {
        let scale = Scale::fit(&boxed(1e6, -50.0, 120.0, 80.0)).unwrap();
        assert_eq!(scale.stretch, Stretch::None);
        assert!(scale.width <= SIZES.widest && scale.height <= SIZES.highest);
        assert!((scale.width / scale.height - 1.5).abs() < 1e-12);
        assert_eq!(scale.point(Point::new(1e6, 30.0)), Point::ORIGIN);
        let low = scale.point(Point::new(1e6 + 120.0, -50.0));
        assert!((low.x - scale.width).abs() < 1e-9 && (low.y - scale.height).abs() < 1e-9);
        assert_eq!(scale.size, Point::new(120.0, 80.0));
    }

    #[test]
    fn slender_sections_are_stretched_by_round_factors() {
        // 8 mm at 440 px for 6000 mm are 0.587 px: 100 times that are 58.7 px, 50 times too little.
        let strip = Scale::fit(&boxed(0.0, 0.0, 6000.0, 8.0)).unwrap();
        assert_eq!(strip.stretch, Stretch::Heights(100.0));
        assert!((strip.width - 440.0).abs() < 1e-9 && strip.height >= SIZES.thick);
        let upright = Scale::fit(&boxed(5.0, 7.0, 3.0, 2000.0)).unwrap();
        assert!(matches!(upright.stretch, Stretch::Widths(_)) && upright.width >= SIZES.thick);
        assert_eq!(Scale::fit(&boxed(0.0, 0.0, 120.0, 10.0)).unwrap().stretch, Stretch::None);
        assert!(Scale::fit(&boxed(0.0, 0.0, 1e-320, 1e-320)).is_none());
        assert!(Scale::fit(&Bounds::EMPTY).is_none());
    }

    #[test]
    fn round_numbers() {
        assert_eq!([0.7, 1.0, 3.0, 51.0].map(round_up), [1.0, 1.0, 5.0, 100.0]);
        assert_eq!([0.7, 1.0, 3.0, 51.0].map(round_down), [0.5, 1.0, 2.0, 50.0]);
        assert_eq!([7e-6, 2.1e-3, 4e22].map(round_down), [5e-6, 2e-3, 2e22]);
    }
}
