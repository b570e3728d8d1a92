//! Splines of a body that are given exactly (`exactcur`). The form is from memory: degree, closure, knots with their
//! multiplicities, control points as they lie in space, each with its weight where the spline is rational.

use super::Problem;
use super::records::Record;
use crate::drawing::spline::{HIGHEST_DEGREE, Nurbs, Spans};

/// A parameter of an edge this near to an end of its spline, as a share of the spline's range, is that end.
const END: f64 = 1e-9;

/// The spans of the spline between the stated parameters, or all of them, and whether the edge runs against them.
pub(super) fn spans(
    curve: Record<'_>,
    parameters: Option<[f64; 2]>,
    edge_reversed: bool,
) -> Result<(Spans, bool), Problem> {
    let against = edge_reversed != curve.is_reversed(0)?;
    let nurbs = nurbs(curve)?;
    let fault = |what: String| curve.damaged(&what);
    let Some(parameters) = parameters else { return Ok((nurbs.spans().map_err(fault)?, against)) };
    // Reversed, a curve counts its parameters the other way.
    let [a, b] = if against { [-parameters[1], -parameters[0]] } else { parameters };
    let (Some(low), Some(high)) = (nurbs.knots.first().copied(), nurbs.knots.last().copied()) else {
        return Err(curve.damaged("no knots"));
    };
    let end = END * (high - low);
    if a < low - end || b > high + end || b <= a {
        return Err(curve.not_read("an edge that goes on beyond the ends of its spline"));
    }
    let a = if a < low + end { low } else { a };
    let b = if b > high - end { high } else { b };
    Ok((nurbs.spans_within(a, b).map_err(fault)?, against))
}

fn nurbs(curve: Record<'_>) -> Result<Nurbs, Problem> {
    if curve.word(1) != b"{" || !matches!(curve.word(2), b"exactcur" | b"exact_int_cur") {
        return Err(curve.not_read("a spline that is not given exactly"));
    }
    let mut field = 3;
    if curve.word(field) == b"full" {
        field += 1;
    }
    let rational = match curve.word(field) {
        b"nubs" => false,
        b"nurbs" => true,
        _ => return Err(curve.not_read("a spline in a form that is not known")),
    };
    let degree = usize::try_from(curve.whole(field + 1)?).unwrap_or(0);
    if degree == 0 || degree > HIGHEST_DEGREE {
        return Err(curve.damaged(&format!("degree {}", curve.whole(field + 1)?)));
    }
    if !matches!(curve.word(field + 2), b"open" | b"closed" | b"periodic" | b"0" | b"1" | b"2") {
        return Err(curve.not_read("a spline in a form that is not known"));
    }
    let count = curve.whole(field + 3)?;
    field += 4;
    if count < 2 || count > curve.len() as i64 {
        return Err(curve.damaged(&format!("{count} knots")));
    }
    let mut knots = Vec::new();
    for i in 0..count {
        let (knot, times) = (curve.real(field)?, curve.whole(field + 1)?);
        let is_end = i == 0 || i == count - 1;
        // The first and last knot are written as often as the degree, once less than the curve has them.
        let often = usize::try_from(times).ok().filter(|times| (1..=degree + 1).contains(times));
        let Some(often) = often.filter(|often| !is_end || *often >= degree) else {
            return Err(curve.not_read(&format!("a spline with a knot of multiplicity {times}")));
        };
        knots.extend(std::iter::repeat_n(knot, if is_end { degree + 1 } else { often }));
        field += 2;
    }
    let size = knots.len().saturating_sub(degree + 1);
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    for _ in 0..size {
        points.push(curve.point(field)?);
        field += 3;
        if rational {
            weights.push(curve.real(field)?);
            field += 1;
        }
    }
    Ok(Nurbs { degree, knots, points, weights, periodic: false })
}
