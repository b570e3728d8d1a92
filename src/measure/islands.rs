//! Which layers lie clear of all others, told by boxes around what is drawn, before anything is traced.

use crate::drawing::Entity;
use crate::geometry::Bounds;
use crate::geometry::near::{Grid, near_pairs};
use crate::outline::Sets;

/// For each layer whether an outline of it may lie in or across one of another layer. Ends within `tolerance` are joined.
pub(super) fn meeting(layers: &[&[&Entity]], tolerance: f64) -> Vec<bool> {
    let bounds = |entity: &&Entity| entity.shape.rough_bounds();
    let whole: Vec<Bounds> = layers
        .iter()
        .map(|layer| layer.iter().map(bounds).fold(Bounds::EMPTY, Bounds::union).grown(tolerance))
        .collect();
    let mut meets = meeting_another(&whole, |k| k);
    let (mut islands, mut of): (Vec<Bounds>, Vec<usize>) = (Vec::new(), Vec::new());
    for (k, layer) in layers.iter().enumerate().filter(|(k, _)| meets[*k]) {
        islands.extend(connected(&layer.iter().map(bounds).collect::<Vec<_>>(), tolerance));
        of.resize(islands.len(), k);
    }
    let met = meeting_another(&islands, |k| of[k]);
    meets.fill(false);
    of.iter().zip(met).for_each(|(layer, met)| meets[*layer] |= met);
    meets
}

/// Which boxes meet one of another layer.
fn meeting_another(boxes: &[Bounds], layer: impl Fn(usize) -> usize) -> Vec<bool> {
    let grid = Grid::over(boxes, 0.0);
    let meets = |k: usize| {
        let meets = |other: usize| layer(other) != layer(k) && boxes[other].meets(&boxes[k]);
        !boxes[k].is_empty() && grid.any_within(&boxes[k], meets)
    };
    (0..boxes.len()).map(meets).collect()
}

/// A box around each heap of boxes that touch one another. An outline is drawn by pieces that touch, and so is what
/// outlines that touch or cross come to: it lies in one of these boxes.
fn connected(boxes: &[Bounds], tolerance: f64) -> Vec<Bounds> {
    let mut heaps = Sets::new(boxes.len());
    near_pairs(boxes, tolerance, |a, b| heaps.unite(a as u32, b as u32));
    let mut around = vec![Bounds::EMPTY; boxes.len()];
    for (k, bounds) in boxes.iter().enumerate() {
        let first = heaps.root(k as u32) as usize;
        around[first] = around[first].union(*bounds);
    }
    around.retain(|bounds| !bounds.is_empty());
    around.iter_mut().for_each(|bounds| *bounds = bounds.grown(tolerance));
    around
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Drawing;

    /// Whether layers A, B, … of lines from corner to corner meet others.
    fn meets(layers: &[&[[f64; 4]]], tolerance: f64) -> Vec<bool> {
        let mut text = "0\nSECTION\n2\nENTITIES\n".to_owned();
        for (k, lines) in layers.iter().enumerate() {
            for [x0, y0, x1, y1] in *lines {
                text += &format!("0\nLINE\n8\nL{k}\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n");
            }
        }
        let drawing = Drawing::read((text + "0\nENDSEC\n0\nEOF\n").as_bytes()).expect("a drawing");
        let on = |name: String| -> Vec<&Entity> {
            drawing.entities.iter().filter(|e| drawing.layer(e.layer).name == name).collect()
        };
        let entities: Vec<Vec<&Entity>> = (0..layers.len()).map(|k| on(format!("L{k}"))).collect();
        meeting(&entities.iter().map(Vec::as_slice).collect::<Vec<_>>(), tolerance)
    }

    #[test]
    fn what_lies_in_a_plate_of_loose_lines_meets_it() {
        let plate: &[[f64; 4]] = &[
            [10.0, 5.0, 90.0, 5.0],
            [90.0, 5.004, 90.0, 60.0],
            [90.0, 60.0, 10.0, 60.0],
            [10.0, 60.0, 10.0, 5.0],
        ];
        let within: &[[f64; 4]] =
            &[[30.0, 30.0, 40.0, 30.0], [40.0, 30.0, 35.0, 38.0], [35.0, 38.0, 30.0, 30.0]];
        let beside: &[[f64; 4]] = &[[30.0, 80.0, 40.0, 99.0], [200.0, 5.0, 220.0, 60.0]];
        assert_eq!(meets(&[plate, within, beside], 0.01), [true, true, false]);
        // Layers all over the sheet whose outlines keep clear of each other.
        let far: &[[f64; 4]] = &[[0.0, 0.0, 9.0, 4.0], [95.0, 62.0, 99.0, 70.0]];
        assert_eq!(meets(&[plate, far, beside], 0.01), [false, false, false]);
        // Ends that the tolerance joins: the lines go round what lies between them.
        let open: &[[f64; 4]] = &[[10.0, 5.0, 30.0, 20.0], [31.0, 21.0, 60.0, 60.0]];
        let between: &[[f64; 4]] = &[[10.0, 50.0, 11.0, 59.0]];
        assert_eq!(meets(&[open, between], 0.5), [false, false]);
        assert_eq!(meets(&[open, between], 2.0), [true, true]);
    }
}
