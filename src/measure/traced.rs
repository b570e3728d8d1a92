//! From the entities of layers to closed rings: what they outline together, and the bodies that some bound alone.

use std::collections::BTreeMap;

use crate::drawing::{Entity, Kind, LayerIndex};
use crate::finding::Finding;
use crate::outline::{self, Drawn, OpenChain, Origin, Outline, Ring};

/// What hatches count for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hatches {
    /// Nothing.
    Ignore,
    /// For the solid of a layer that has no other closed outline.
    #[default]
    WhereNoOther,
    /// For solid, beside the other outlines of their layer; what both bound counts once.
    Use,
}

/// The chains of an entity, as the outline stage takes them.
pub fn drawn(entity: &Entity) -> impl Iterator<Item = Drawn> + '_ {
    entity.shape.chains().iter().map(|chain| Drawn {
        curves: chain.curves(),
        closed: chain.is_closed(),
        origin: Origin { position: entity.position(), handle: entity.handle() },
    })
}

/// What entities come to.
#[derive(Clone, Debug, Default)]
pub struct Traced {
    /// Rings of the outlines that entities draw together, nested among each other.
    pub rings: Vec<Ring>,
    /// Rings of each hatch, polygon or region that counts, nested among each other alone.
    pub bodies: Vec<Vec<Ring>>,
    /// Chains that close nothing.
    pub open: Vec<OpenChain>,
    /// What the nearly closed among them would be with their gaps closed.
    pub nearly_closed: Vec<Ring>,
    /// What the reader must know.
    pub findings: Vec<Finding>,
}

impl Traced {
    /// Joins the entities of one or several layers, ends within `tolerance` (drawing units) of each other, and takes
    /// hatches as told.
    pub fn of(entities: &[&Entity], tolerance: f64, hatches: Hatches) -> Traced {
        let (bodies, plain): (Vec<&Entity>, Vec<&Entity>) = entities.iter().partition(|e| e.kind.is_body());
        let outlines = trace(&plain, tolerance);
        let (hatched, bodies): (Vec<&Entity>, Vec<&Entity>) =
            bodies.iter().partition(|e| e.kind == Kind::Hatch);
        let Outline { rings, open, nearly_closed, findings, .. } = outlines;
        let mut traced = Traced { rings, open, nearly_closed, findings, ..Traced::default() };
        for body in &bodies {
            traced.add_body(body, tolerance);
        }
        let by_layer = by_layer(&hatched);
        let one_layer = by_layer.len() == 1 && entities.iter().all(|e| e.layer == hatched[0].layer);
        let mut left_out = 0;
        for (layer, hatched) in by_layer {
            let used = match hatches {
                Hatches::Ignore => false,
                Hatches::Use => true,
                Hatches::WhereNoOther if bodies.iter().any(|e| e.layer == layer) => false,
                Hatches::WhereNoOther if one_layer => traced.rings.is_empty(),
                Hatches::WhereNoOther => {
                    let others: Vec<&Entity> = plain.iter().filter(|e| e.layer == layer).copied().collect();
                    trace(&others, tolerance).rings.is_empty()
                }
            };
            if used {
                hatched.iter().for_each(|hatch| traced.add_body(hatch, tolerance));
            } else {
                left_out += hatched.len();
            }
        }
        traced.findings.extend(left_out_finding(left_out, hatches));
        // The order of drawing makes no difference.
        traced.bodies.sort_by(|a, b| match (a.first(), b.first()) {
            (Some(a), Some(b)) => a.by_place(b),
            _ => a.len().cmp(&b.len()),
        });
        traced
    }

    fn add_body(&mut self, entity: &Entity, tolerance: f64) {
        let Outline { mut rings, open, nearly_closed, findings, .. } = trace(&[entity], tolerance);
        rings.sort_by(Ring::by_place);
        if !rings.is_empty() {
            self.bodies.push(rings);
        }
        self.open.extend(open);
        self.nearly_closed.extend(nearly_closed);
        self.findings.extend(findings);
    }

    /// The rings to be resolved, one list for each body.
    pub fn solids(&self) -> Vec<&[Ring]> {
        let bodies = self.bodies.iter().map(Vec::as_slice);
        std::iter::once(self.rings.as_slice()).chain(bodies).filter(|rings| !rings.is_empty()).collect()
    }

    /// All rings, of whatever body.
    pub fn all_rings(&self) -> impl Iterator<Item = &Ring> {
        self.rings.iter().chain(self.bodies.iter().flatten())
    }

    /// There is no ring.
    pub fn is_empty(&self) -> bool {
        self.rings.is_empty() && self.bodies.is_empty()
    }
}

fn trace(entities: &[&Entity], tolerance: f64) -> Outline {
    let all: Vec<Drawn> = entities.iter().flat_map(|entity| drawn(entity)).collect();
    outline::trace(&all, tolerance)
}

fn by_layer<'a>(entities: &[&'a Entity]) -> BTreeMap<LayerIndex, Vec<&'a Entity>> {
    let mut layers: BTreeMap<LayerIndex, Vec<&Entity>> = BTreeMap::new();
    for entity in entities {
        layers.entry(entity.layer).or_default().push(entity);
    }
    layers
}

fn left_out_finding(count: usize, hatches: Hatches) -> Option<Finding> {
    let what = match count {
        0 => return None,
        1 => "a HATCH was left out".to_owned(),
        _ => format!("{count} HATCH were left out"),
    };
    Some(match hatches {
        Hatches::Ignore => Finding::note(format!("{what}, as --hatches ignore says")),
        _ => Finding::note(format!("{what} beside other outlines"))
            .hint("--hatches use counts what they fill as solid too"),
    })
}
