//! Where words may stand: what is taken, by boxes and strokes in a grid.

use std::collections::HashMap;

use crate::geometry::{Bounds, Curve, Point};
use crate::region::Region;

/// A line of text: the left end of its foot, the height of its letters, and the box that it takes at most.
#[derive(Clone, Copy, Debug)]
pub(super) struct TextBox {
    pub foot: Point,
    pub height: f64,
    pub bounds: Bounds,
}

impl TextBox {
    /// The text with its foot at a point. Letters are as wide as high in the widest of the usual fonts of drawings.
    pub(super) fn of(text: &str, foot: Point, height: f64) -> TextBox {
        let width = |letter: char| if letter.is_ascii() { 1.0 } else { 1.4 };
        let wide: f64 = text.chars().map(width).sum();
        let bounds = Bounds {
            min: foot - Point::new(0.0, 0.35 * height),
            max: foot + Point::new(wide * height, 1.2 * height),
        };
        TextBox { foot, height, bounds }
    }
}

/// What takes room.
#[derive(Clone, Copy)]
enum Item {
    /// Words or marks.
    Words(Bounds),
    /// A line.
    Stroke(Point, Point),
    /// All of a section.
    Section(Bounds),
}

/// All that words must stand clear of.
pub(super) struct Taken {
    corner: Point,
    cell: f64,
    cells: HashMap<(i64, i64), Vec<u32>>,
    items: Vec<Item>,
    /// Those that would take very many cells.
    large: Vec<u32>,
    /// Around all.
    all: Bounds,
    /// The upper left corner of the next label beside the whole drawing.
    column: Option<Point>,
}

/// Cells along the greater side of a drawing.
const CELLS: f64 = 128.0;

/// A box in more cells than this is in none, and always looked at.
const MOST_CELLS: i64 = 1024;

/// Outlines of more curves than this in all are not kept clear of, for the time that it takes.
const MOST_CURVES: usize = 200_000;

impl Taken {
    pub(super) fn within(extent: &Bounds) -> Taken {
        let size = extent.width().max(extent.height());
        let is_sound = size.is_finite() && size > 0.0;
        let (corner, cell) = if is_sound { (extent.min, size / CELLS) } else { (Point::ORIGIN, 1.0) };
        Taken {
            corner,
            cell,
            cells: HashMap::new(),
            items: Vec::new(),
            large: Vec::new(),
            all: Bounds::EMPTY,
            column: None,
        }
    }

    fn cells_of(&self, bounds: &Bounds) -> [(i64, i64); 2] {
        [bounds.min, bounds.max].map(|p| {
            let at = (p - self.corner) * (1.0 / self.cell);
            (at.x.floor() as i64, at.y.floor() as i64)
        })
    }

    fn add(&mut self, item: Item, bounds: Bounds) {
        let number = self.items.len() as u32;
        self.items.push(item);
        self.all = self.all.union(bounds);
        let [(left, low), (right, high)] = self.cells_of(&bounds);
        if (right - left + 1).saturating_mul(high - low + 1) > MOST_CELLS {
            self.large.push(number);
            return;
        }
        for x in left..=right {
            for y in low..=high {
                self.cells.entry((x, y)).or_default().push(number);
            }
        }
    }

    pub(super) fn add_text(&mut self, text: TextBox) {
        self.add(Item::Words(text.bounds), text.bounds);
    }

    pub(super) fn add_mark(&mut self, bounds: Bounds) {
        self.add(Item::Words(bounds), bounds);
    }

    pub(super) fn add_section(&mut self, bounds: Bounds) {
        self.add(Item::Section(bounds), bounds);
    }

    /// A line, in parts that each take a few cells.
    pub(super) fn add_stroke(&mut self, from: Point, to: Point) {
        let parts = (from.distance(to) / (4.0 * self.cell)).ceil().clamp(1.0, 4.0 * CELLS) as u32;
        let at = |k: u32| from + (to - from) * (f64::from(k) / f64::from(parts));
        for k in 0..parts {
            let (a, b) = (at(k), at(k + 1));
            self.add(Item::Stroke(a, b), Bounds::EMPTY.with(a).with(b));
        }
    }

    /// The outlines of a section, curves as chords.
    pub(super) fn add_outlines(&mut self, region: &Region) {
        const CHORDS: u32 = 12;
        for curve in region.rings().flat_map(|(_, ring)| ring.curves()) {
            if self.items.len() > MOST_CURVES {
                return;
            }
            let chords = if matches!(*curve, Curve::Line(_)) { 1 } else { CHORDS };
            let at = |k: u32| curve.at(f64::from(k) / f64::from(chords));
            (0..chords).for_each(|k| self.add_stroke(at(k), at(k + 1)));
        }
    }

    /// Whether a text there meets no words and no line, nor a section where it must not stand within one.
    pub(super) fn is_free(&self, text: &TextBox, off_sections: bool) -> bool {
        let meets = |number: &u32| match &self.items[*number as usize] {
            Item::Words(other) => other.meets(&text.bounds),
            Item::Stroke(from, to) => text.bounds.is_crossed(*from, *to),
            Item::Section(other) => off_sections && other.meets(&text.bounds),
        };
        if self.large.iter().any(meets) {
            return false;
        }
        let [(left, low), (right, high)] = self.cells_of(&text.bounds);
        let count = (right - left + 1).saturating_mul(high - low + 1);
        if count > self.items.len() as i64 {
            return !(0..self.items.len() as u32).any(|number| meets(&number));
        }
        !(left..=right).any(|x| {
            (low..=high).any(|y| self.cells.get(&(x, y)).is_some_and(|numbers| numbers.iter().any(meets)))
        })
    }

    /// The first of these places that is free.
    pub(super) fn first_free(&self, places: &[TextBox], off_sections: bool) -> Option<TextBox> {
        places.iter().find(|place| self.is_free(place, off_sections)).copied()
    }

    /// The next free place in a column to the right of all that there is; `of` gives the box of what stands there.
    pub(super) fn next_in_column(&mut self, gap: f64, of: impl Fn(Point) -> TextBox) -> TextBox {
        let top = Point::new(self.all.max.x + gap, self.all.max.y);
        let mut corner = self.column.unwrap_or(top);
        loop {
            let place = of(corner);
            corner.y = place.bounds.min.y - gap;
            // Below all that there is nothing is taken.
            if self.is_free(&place, true) || place.bounds.max.y < self.all.min.y {
                self.column = Some(corner);
                return place;
            }
        }
    }
}
