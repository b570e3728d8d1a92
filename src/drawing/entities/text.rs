//! TEXT, MTEXT and ATTRIB: what is written, and where.

use crate::drawing::groups::Groups;
use crate::drawing::plane::{Axes, Point3};

/// Something written, before it is put into the drawing plane.
#[derive(Clone, Debug)]
pub(in crate::drawing) struct Lettering {
    /// The bytes of the file.
    pub bytes: Vec<u8>,
    /// It is written with the formatting codes of MTEXT.
    pub formatted: bool,
    /// In the coordinates of the drawing or of the block.
    pub place: Point3,
}

/// A longer text is no label: what goes beyond is not kept.
const LONGEST: usize = 4096;

/// The text and the point that it hangs on; `None` for one that has neither or does not show. A bad number leaves out
/// the text and nothing else: it draws no outline.
pub(super) fn text(groups: &mut Groups, name: &str) -> Option<Lettering> {
    let formatted = name == "MTEXT";
    let (mut bytes, mut last) = (Vec::new(), Vec::new());
    let (mut first_point, mut second_point): ([Option<f64>; 3], [Option<f64>; 3]) = ([None; 3], [None; 3]);
    let (mut aligned, mut invisible) = (false, false);
    while let Some(group) = groups.next() {
        match group.code {
            1 if last.is_empty() => last.extend_from_slice(&group.text()[..group.text().len().min(LONGEST)]),
            3 if formatted && bytes.len() < LONGEST => bytes.extend_from_slice(group.text()),
            10 | 20 | 30 => first_point[(group.code / 10 - 1) as usize] = group.real().ok(),
            11 | 21 | 31 if !formatted => second_point[(group.code / 10 - 1) as usize] = group.real().ok(),
            72..=74 if !formatted => aligned |= group.whole().is_ok_and(|how| how != 0),
            70 if name == "ATTRIB" => invisible = group.whole().is_ok_and(|flags| flags & 1 != 0),
            _ => {}
        }
    }
    bytes.append(&mut last);
    let point = if aligned && second_point[0].is_some() { second_point } else { first_point };
    let [Some(x), Some(y), z] = point else { return None };
    if bytes.trim_ascii().is_empty() || invisible {
        return None;
    }
    let place = [x, y, z.unwrap_or(0.0)];
    // MTEXT stands in world coordinates, the others in those of their own plane.
    let place = if formatted { place } else { Axes::of_normal(groups.common.normal).to_world(place) };
    Some(Lettering { bytes, formatted, place })
}
