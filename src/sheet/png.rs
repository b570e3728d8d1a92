//! SVG as PNG. The one file that names resvg and dejavu.
//!
//! The letters are those of DejaVu Sans, which comes with the library, so that a picture with Latin, Greek or Cyrillic
//! letters looks the same wherever it is made. Fonts of the system are asked only for letters that it lacks.

use std::fmt;
use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb};

/// The largest width and height of a PNG in pixels: four times a large screen, 200 MB of memory when square.
pub const LARGEST_WIDTH: u32 = 7680;

/// A picture that could not be turned into a PNG, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PngError(String);

impl fmt::Display for PngError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the picture can't be turned into a PNG: {}", self.0)
    }
}

impl std::error::Error for PngError {}

/// The SVG as a PNG, `width` pixels wide and as high as its proportions say.
///
/// The same bytes for the same SVG wherever it runs, as long as it holds Latin, Greek and Cyrillic letters alone.
/// Colours must be stated in the SVG itself, as in a picture that stands [alone](super::picture::Look::Alone): custom
/// properties and media queries of a page are not known here. Images that it refers to are left out.
///
/// # Errors
///
/// The SVG is not well-formed or has no size, or the PNG would be 0 pixels or more than [`LARGEST_WIDTH`] wide or high.
pub fn png(svg: &str, width: u32) -> Result<Vec<u8>, PngError> {
    let tree = tree(svg)?;
    let scale = width as f32 / tree.size().width();
    let height = (tree.size().height() * scale).round();
    if width == 0 || width > LARGEST_WIDTH || !(1.0..=LARGEST_WIDTH as f32).contains(&height) {
        return Err(PngError(format!(
            "{width} by {height} pixels: ask for a width and a height from 1 to {LARGEST_WIDTH}"
        )));
    }
    let mut pixels = Pixmap::new(width, height as u32)
        .ok_or_else(|| PngError(format!("{width} by {height} pixels don't fit into memory")))?;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| PngError(error.to_string()))
}

fn tree(svg: &str) -> Result<usvg::Tree, PngError> {
    let options = usvg::Options {
        font_family: FAMILY.to_owned(),
        fontdb: Arc::clone(&letters().fonts),
        font_resolver: usvg::FontResolver {
            select_font: Box::new(|font, _| {
                let bold = font.weight() >= BOLD;
                if bold { letters().bold.or(letters().regular) } else { letters().regular }
            }),
            select_fallback: Box::new(fallback),
        },
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(svg, &options).map_err(|error| PngError(error.to_string()))
}

const FAMILY: &str = "DejaVu Sans";

/// From this weight on letters are bold (halfway between regular, 400, and bold, 700).
const BOLD: u16 = 550;

/// The letters that come with the library.
struct Letters {
    fonts: Arc<fontdb::Database>,
    regular: Option<fontdb::ID>,
    bold: Option<fontdb::ID>,
}

fn letters() -> &'static Letters {
    static LETTERS: OnceLock<Letters> = OnceLock::new();
    LETTERS.get_or_init(|| {
        let mut fonts = fontdb::Database::new();
        let mut load = |data: &'static [u8]| {
            fonts.load_font_source(fontdb::Source::Binary(Arc::new(data))).first().copied()
        };
        let (regular, bold) = (load(dejavu::sans::regular()), load(dejavu::sans::bold()));
        Letters { fonts: Arc::new(fonts), regular, bold }
    })
}

/// A font with a letter that those used so far lack: one that comes with the library, else one of the system's.
fn fallback(letter: char, used: &[fontdb::ID], fonts: &mut Arc<fontdb::Database>) -> Option<fontdb::ID> {
    let find = usvg::FontResolver::default_fallback_selector();
    if let Some(id) = find(letter, used, fonts) {
        return Some(id);
    }
    if fonts.len() == letters().fonts.len() {
        let mut system = fontdb::Database::new();
        system.load_system_fonts();
        // By name: folders give files in any order.
        let mut faces: Vec<&fontdb::FaceInfo> = system.faces().collect();
        faces.sort_by(|a, b| a.post_script_name.cmp(&b.post_script_name).then(a.index.cmp(&b.index)));
        let all = Arc::make_mut(fonts);
        for face in faces {
            all.push_face_info(face.clone());
        }
    }
    find(letter, used, fonts)
}

/// The font that is wanted for letters of a text, such as a page or a picture, which no font here has; `None` where all can be
/// shown, as far as it is known.
pub fn missing_font(text: &str) -> Option<&'static str> {
    let mut seen = std::collections::BTreeSet::new();
    let mut fonts = Arc::clone(&letters().fonts);
    text.chars().filter(|letter| !letter.is_ascii() && seen.insert(*letter)).find_map(|letter| {
        let font = super::letters::font(letter)?;
        // Beside the bold letters the regular ones are asked first, then those of the system.
        let used: Vec<fontdb::ID> = letters().bold.into_iter().collect();
        let is_there = used.is_empty() || fallback(letter, &used, &mut fonts).is_some();
        (!is_there).then_some(font)
    })
}

/// What tests ask of a picture.
#[cfg(test)]
pub(super) mod reading {
    use super::{tree, usvg};

    /// An element with its attributes and its own text.
    pub(in crate::sheet) struct Element {
        pub(in crate::sheet) name: String,
        pub(in crate::sheet) attributes: Vec<(String, String)>,
        pub(in crate::sheet) text: String,
    }

    impl Element {
        pub(in crate::sheet) fn attribute(&self, name: &str) -> Option<&str> {
            self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
        }
    }

    /// All elements in their order; an error where the text is no well-formed XML.
    pub(in crate::sheet) fn elements(xml: &str) -> Result<Vec<Element>, String> {
        let document = roxmltree::Document::parse(xml).map_err(|error| error.to_string())?;
        let elements = document.descendants().filter(|node| node.is_element());
        Ok(elements
            .map(|node| Element {
                name: node.tag_name().name().to_owned(),
                attributes: node.attributes().map(|a| (a.name().to_owned(), a.value().to_owned())).collect(),
                text: node.text().unwrap_or_default().to_owned(),
            })
            .collect())
    }

    /// A box: left, top, right, bottom in the SVG's own coordinates from the upper left corner of its view.
    pub(in crate::sheet) type Extent = [f64; 4];

    /// Each text with the box of its letters alone, and all lines and outlines of marks as straight pieces, in the same
    /// coordinates.
    pub(in crate::sheet) fn strokes(svg: &str) -> (Vec<(String, Extent)>, Vec<Extent>) {
        use resvg::tiny_skia::{PathSegment, Point};
        /// Chords of a curve.
        const CHORDS: u16 = 16;
        fn walk(group: &usvg::Group, texts: &mut Vec<(String, Extent)>, lines: &mut Vec<Extent>) {
            for node in group.children() {
                match node {
                    usvg::Node::Group(inner) => walk(inner, texts, lines),
                    usvg::Node::Text(text) => {
                        let words: String = text.chunks().iter().map(usvg::TextChunk::text).collect();
                        let r = text.flattened().abs_bounding_box();
                        texts.push((words, [r.left(), r.top(), r.right(), r.bottom()].map(f64::from)));
                    }
                    usvg::Node::Path(path) => {
                        let Some(data) = path.data().clone().transform(path.abs_transform()) else {
                            continue;
                        };
                        let (mut first, mut last) = (Point::zero(), Point::zero());
                        let mut to = |last: &mut Point, next: Point| {
                            lines.push([last.x, last.y, next.x, next.y].map(f64::from));
                            *last = next;
                        };
                        for segment in data.segments() {
                            match segment {
                                PathSegment::MoveTo(p) => (first, last) = (p, p),
                                PathSegment::LineTo(p) => to(&mut last, p),
                                PathSegment::Close => to(&mut last, first),
                                PathSegment::QuadTo(c, p) => {
                                    let from = last;
                                    for k in 1..=CHORDS {
                                        let t = f32::from(k) / f32::from(CHORDS);
                                        let at = |a: f32, b: f32, c: f32| {
                                            (1.0 - t).powi(2) * a + 2.0 * t * (1.0 - t) * b + t * t * c
                                        };
                                        to(
                                            &mut last,
                                            Point::from_xy(at(from.x, c.x, p.x), at(from.y, c.y, p.y)),
                                        );
                                    }
                                }
                                PathSegment::CubicTo(c, d, p) => {
                                    let from = last;
                                    for k in 1..=CHORDS {
                                        let t = f32::from(k) / f32::from(CHORDS);
                                        let at = |a: f32, b: f32, c: f32, d: f32| {
                                            let s = 1.0 - t;
                                            s * s * s * a
                                                + 3.0 * s * s * t * b
                                                + 3.0 * s * t * t * c
                                                + t * t * t * d
                                        };
                                        let next = Point::from_xy(
                                            at(from.x, c.x, d.x, p.x),
                                            at(from.y, c.y, d.y, p.y),
                                        );
                                        to(&mut last, next);
                                    }
                                }
                            }
                        }
                    }
                    usvg::Node::Image(_) => {}
                }
            }
        }
        let tree = tree(svg).expect("a picture");
        let (mut texts, mut lines) = (Vec::new(), Vec::new());
        walk(tree.root(), &mut texts, &mut lines);
        (texts, lines)
    }

    /// What is drawn: each text with its box, and the boxes of all else with their strokes.
    pub(in crate::sheet) fn drawn(svg: &str) -> (Vec<(String, Extent)>, Vec<Extent>) {
        fn walk(group: &usvg::Group, texts: &mut Vec<(String, Extent)>, others: &mut Vec<Extent>) {
            let extent = |r: usvg::Rect| [r.left(), r.top(), r.right(), r.bottom()].map(f64::from);
            for node in group.children() {
                match node {
                    usvg::Node::Group(inner) => walk(inner, texts, others),
                    usvg::Node::Text(text) => {
                        let words: String = text.chunks().iter().map(usvg::TextChunk::text).collect();
                        texts.push((words, extent(text.abs_bounding_box())));
                    }
                    other => others.push(extent(other.abs_stroke_bounding_box())),
                }
            }
        }
        let tree = tree(svg).expect("a picture");
        let (mut texts, mut others) = (Vec::new(), Vec::new());
        walk(tree.root(), &mut texts, &mut others);
        (texts, others)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LETTERS: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='90' height='30' viewBox='0 0 90 30'>\
        <text x='5' y='20' font-family='DejaVu Sans' font-size='14'>Aß ΩЖ 7</text></svg>";

    /// Width and height as the header of a PNG states them.
    fn size(png: &[u8]) -> (u32, u32) {
        let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
        (number(16), number(20))
    }

    #[test]
    fn letters_are_drawn_and_the_same_each_time() {
        let first = png(LETTERS, 270).unwrap();
        assert_eq!(size(&first), (270, 90));
        assert_eq!(first, png(LETTERS, 270).unwrap());
        let empty = png(&LETTERS.replace("Aß ΩЖ 7", ""), 270).unwrap();
        assert!(first.len() > empty.len());
        // Whatever family is asked for, the letters are the same.
        assert_eq!(first, png(&LETTERS.replace("DejaVu Sans", "Courier"), 270).unwrap());
        // A letter that no font here may have costs nothing but itself.
        assert_eq!(size(&png(&LETTERS.replace('7', "平"), 270).unwrap()), (270, 90));
        assert_ne!(first, png(&LETTERS.replace("font-size", "font-weight='bold' font-size"), 270).unwrap());
    }

    #[test]
    fn what_cannot_be_drawn_is_told() {
        assert!(png("<svg", 100).is_err());
        assert!(png("", 100).is_err());
        assert!(png(LETTERS, 0).unwrap_err().to_string().contains("from 1 to 7680"));
        assert!(png(LETTERS, LARGEST_WIDTH + 1).is_err());
        assert!(png(&LETTERS.replace("height='30'", "height='90000'"), 7000).is_err());
    }

    #[test]
    fn files_are_not_read() {
        let image = LETTERS.replace("<text", "<image href='/etc/hostname' width='90' height='30'/><text");
        assert_eq!(png(&image, 90).unwrap(), png(LETTERS, 90).unwrap());
    }
}
