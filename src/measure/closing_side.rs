//! Outlines that lack their closing side.

use super::Traced;
use super::traced::drawn;
use super::widths::is_wide;
use crate::drawing::{Entity, EntityKind};
use crate::finding::{Code, Finding, Value};
use crate::geometry::Curve;
use crate::outline::{OpenChain, Ring};
use crate::region;

/// What is to be said of the one open chain of a layer, where it is a polyline that goes round closed outlines and lacks its
/// closing side: whether those are solid or holes can't be told without it.
pub(super) fn around_others(entities: &[&Entity], traced: &Traced) -> Option<Finding> {
    let [chain] = &traced.open[..] else { return None };
    let entity = entities.iter().find(|e| Some(e.position()) == chain.origin.position)?;
    let (ring, finding) = missing(entity, chain)?;
    let holds = |other: &Ring| {
        let curves = other.curves();
        let mut places = curves.iter().map(|curve| curve.at(0.5));
        ring.bounds().contains(&other.bounds()) && places.all(|place| ring.contains(place))
    };
    traced.all_rings().any(holds).then_some(finding)
}

/// What is to be said where all that a layer holds is one polyline of three sides or more that would be an outline with
/// one more: it is drawn round and not closed.
pub(super) fn alone(entities: &[&Entity], traced: &Traced) -> Option<Finding> {
    let ([chain], [entity]) = (&traced.open[..], entities) else { return None };
    missing(entity, chain).map(|(_, finding)| finding)
}

/// The outline that an open polyline of three sides or more would be with one more, and what to say of that.
fn missing(entity: &Entity, chain: &OpenChain) -> Option<(Ring, Finding)> {
    /// Of fewer sides it may as well be an angle or a line.
    const SIDES: usize = 3;
    let is_polyline = matches!(entity.kind, EntityKind::LwPolyline | EntityKind::Polyline);
    if !is_polyline || is_wide(entity) || chain.nearly_closed || chain.straight || chain.pieces < SIDES {
        return None;
    }
    let mut curves: Vec<Curve> = drawn(entity).flat_map(|path| path.curves).collect();
    curves.push(Curve::line(curves.last()?.end(), curves.first()?.start()));
    let closed = Ring::new(curves, chain.origin)?;
    let resolved = region::resolve(std::slice::from_ref(&closed), &[]);
    // A line that the closing side would cross is no outline: a break line, a path.
    let is_simple = !resolved.findings.iter().any(|finding| finding.code == Code::OutlineMeetsItself);
    let finding = Finding::of(Code::ClosingSideMissing)
        .with("sides", chain.pieces)
        .with("start", chain.start)
        .with("end", chain.end)
        .with("gap", Value::Length(chain.gap))
        .in_file(chain.origin.position)
        .on_entity(chain.origin.handle);
    (is_simple && resolved.region.is_some()).then_some((closed, finding))
}
