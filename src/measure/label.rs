//! Labels: what is written in a part, or beside it, names it.

use crate::drawing::Text;
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Point};
use crate::region::Part;

/// What is written further from a part than this share of its size belongs to something else: a title, a note.
const REACH: f64 = 1.0;

/// More texts in a part than this are notes on it: the others are not told.
const MOST_TEXTS: usize = 6;

/// The label of each part: what is written inside its solid, line by line and from left to right; else in its holes; where
/// nothing is, the text beside it that is nearer to it than to any other part. `None` where there is none.
pub(super) fn labels(parts: &[&Part], texts: &[&Text]) -> Vec<Option<String>> {
    let mut inside: Vec<Vec<&Text>> = vec![Vec::new(); parts.len()];
    let mut in_holes: Vec<Vec<&Text>> = vec![Vec::new(); parts.len()];
    let mut beside: Vec<Option<(f64, &Text)>> = vec![None; parts.len()];
    let boxes: Vec<Bounds> = parts.iter().map(|part| part.edge.bounds()).collect();
    let grid = Grid::over(&boxes, 0.0);
    for text in texts {
        let point = text.place;
        let around = grid.around(point).filter(|k| parts[*k].edge.contains(point));
        // Of a part in the opening of another the inner one is meant.
        if let Some(k) = around.min_by(|a, b| parts[*a].edge.area().total_cmp(&parts[*b].edge.area())) {
            let is_in_hole = parts[k].holes.iter().any(|hole| hole.contains(point));
            let list = if is_in_hole { &mut in_holes } else { &mut inside };
            list[k].push(text);
        } else if let Some((k, distance)) = nearest(parts, &grid, point)
            && distance <= REACH * parts[k].edge.bounds().size()
            && beside[k].is_none_or(|(other, _)| distance < other)
        {
            beside[k] = Some((distance, text));
        }
    }
    let first = inside.into_iter().zip(in_holes);
    first
        .map(|(inside, in_holes)| if inside.is_empty() { in_holes } else { inside })
        .zip(beside)
        .map(|(mut inside, beside)| match beside {
            _ if !inside.is_empty() => {
                inside.sort_by(|a, b| {
                    let (p, q) = (a.place, b.place);
                    q.y.total_cmp(&p.y).then(p.x.total_cmp(&q.x)).then(a.content.cmp(&b.content))
                });
                let more = if inside.len() > MOST_TEXTS { " …" } else { "" };
                let messages: Vec<&str> =
                    inside.iter().take(MOST_TEXTS).map(|t| t.content.as_str()).collect();
                Some(messages.join(" | ") + more)
            }
            Some((_, text)) => Some(text.content.clone()),
            None => None,
        })
        .collect()
}

/// The part whose edge runs nearest to the point, and how near.
fn nearest(parts: &[&Part], grid: &Grid, point: Point) -> Option<(usize, f64)> {
    let mut nearest: Option<(usize, f64)> = None;
    grid.outwards(point, |k| {
        let known = nearest.map_or(f64::INFINITY, |(_, least)| least);
        let edge = &parts[k].edge;
        if nearest.is_some_and(|(known_part, _)| known_part == k) || away(&edge.bounds(), point) > known {
            return known;
        }
        let distance = edge.curves().iter().map(|c| c.distance(point)).fold(f64::INFINITY, f64::min);
        // Of parts equally near the first is meant, in whatever order they are visited.
        if nearest.is_none_or(|(other, least)| (distance, k) < (least, other)) {
            nearest = Some((k, distance));
        }
        distance.min(known)
    });
    nearest
}

/// The distance from a box to a point.
fn away(bounds: &Bounds, point: Point) -> f64 {
    let beyond = |low: f64, x: f64, high: f64| (low - x).max(x - high).max(0.0);
    beyond(bounds.min.x, point.x, bounds.max.x).hypot(beyond(bounds.min.y, point.y, bounds.max.y))
}
