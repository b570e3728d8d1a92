//! From the entities of layers to closed rings: what they outline together, and the bodies that some bound alone.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::str::FromStr;

use super::band::Band;
use super::filled::{LeftOut, area_of};
use super::widths::{Widths, bevelled, is_wide, partly_wide};
use crate::drawing::{Entity, EntityKind, LayerIndex, Shape};
use crate::finding::Finding;
use crate::outline::{self, Branching, InputPath, Joining, OpenChain, Origin, Outline, Ring};
use crate::region;
use crate::words::{UnknownWord, chosen};

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

impl Hatches {
    /// Each with the word for it.
    pub const WORDS: [(&'static str, Hatches); 3] =
        [("ignore", Hatches::Ignore), ("only-where-no-other", Hatches::WhereNoOther), ("use", Hatches::Use)];
}

impl FromStr for Hatches {
    type Err = UnknownWord;

    /// One of its words, in any letter case.
    fn from_str(word: &str) -> Result<Hatches, UnknownWord> {
        chosen(word, &Hatches::WORDS)
    }
}

/// The chains of an entity, as the outline stage takes them.
pub fn drawn(entity: &Entity) -> impl Iterator<Item = InputPath> + '_ {
    entity.shape.chains().iter().map(|chain| InputPath {
        curves: chain.curves(),
        closed: chain.is_closed(),
        origin: origin(entity),
    })
}

/// Where an entity stands.
pub(super) fn origin(entity: &Entity) -> Origin {
    Origin { position: Some(entity.position()), handle: entity.handle() }
}

/// What entities come to.
#[derive(Clone, Debug, Default)]
#[must_use]
#[non_exhaustive]
pub struct Traced {
    /// Rings of the outlines that entities draw together, nested among each other.
    pub rings: Vec<Ring>,
    /// Rings of each hatch, polygon or region that counts, and of each polyline that counts with its width, nested among
    /// each other alone.
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
    /// hatches and polylines with a width as told.
    pub fn of(entities: &[&Entity], tolerance: f64, hatches: Hatches, widths: Widths) -> Traced {
        Traced::taken(entities, joining(tolerance), hatches, widths, Traced::add_band)
    }

    /// As [`Traced::of`], with an outline for each face where lines branch.
    pub(super) fn apart(entities: &[&Entity], tolerance: f64, hatches: Hatches, widths: Widths) -> Traced {
        let joining = Joining { branching: Branching::Apart, ..joining(tolerance) };
        Traced::taken(entities, joining, hatches, widths, Traced::add_band)
    }

    /// As [`Traced::of`], for what is to be cut out of others: what lies within one of its rings is cut out, so that a
    /// closed polyline with a width is more than one ring.
    pub fn voids(entities: &[&Entity], tolerance: f64, hatches: Hatches, widths: Widths) -> Traced {
        Traced::taken(entities, joining(tolerance), hatches, widths, Traced::add_band_to_cut)
    }

    fn taken(
        entities: &[&Entity],
        joining: Joining,
        hatches: Hatches,
        widths: Widths,
        add_band: fn(&mut Traced, &Entity),
    ) -> Traced {
        let tolerance = joining.tolerance;
        let is_wide = |e: &Entity| widths == Widths::Solid && is_wide(e);
        let is_plain = |e: &Entity| !e.kind.is_body() && !is_wide(e);
        let kind = |wanted: &dyn Fn(&Entity) -> bool| -> Vec<&Entity> {
            entities.iter().copied().filter(|e| wanted(e)).collect()
        };
        let hatched = kind(&|e| e.kind == EntityKind::Hatch);
        let bodies = kind(&|e| e.kind.is_body() && e.kind != EntityKind::Hatch);
        let wide = kind(&|e| !e.kind.is_body() && is_wide(e));
        // Nearly always everything is plain, and may be a million holes.
        let plain = if entities.iter().all(|e| is_plain(e)) {
            Cow::Borrowed(entities)
        } else {
            Cow::Owned(kind(&is_plain))
        };
        let beside_others = !(bodies.is_empty() && wide.is_empty());
        let outlines = trace_each(&plain, Joining { beside_others, ..joining });
        let Outline { rings, open, nearly_closed, findings, .. } = outlines;
        let mut traced = Traced { rings, open, nearly_closed, findings, ..Traced::default() };
        bodies.iter().for_each(|body| traced.add_body(body, tolerance));
        wide.iter().for_each(|polyline| add_band(&mut traced, polyline));
        traced.findings.extend(partly_wide(&plain, widths));
        let by_layer = by_layer(&hatched);
        let one_layer = by_layer.len() == 1 && entities.iter().all(|e| e.layer == hatched[0].layer);
        let mut left_out = LeftOut::default();
        for (layer, hatched) in by_layer {
            let beside = match hatches {
                Hatches::Ignore => None,
                Hatches::Use => Some(Traced::default()),
                Hatches::WhereNoOther if one_layer => Some(Traced {
                    rings: traced.rings.clone(),
                    bodies: traced.bodies.clone(),
                    ..Traced::default()
                }),
                Hatches::WhereNoOther => {
                    let others = kind(&|e| e.kind != EntityKind::Hatch && e.layer == layer);
                    Some(Traced::of(&others, tolerance, Hatches::Ignore, widths))
                }
            };
            match beside {
                Some(beside) if beside.is_empty() => {
                    hatched.iter().for_each(|hatch| traced.add_body(hatch, tolerance));
                }
                beside => left_out.add(&hatched, beside.as_ref(), tolerance),
            }
        }
        traced.findings.extend(left_out.finding(hatches));
        // The order of drawing makes no difference.
        traced.bodies.sort_by(|a, b| match (a.first(), b.first()) {
            (Some(a), Some(b)) => a.by_place(b),
            _ => a.len().cmp(&b.len()),
        });
        traced
    }

    fn add_band(&mut self, entity: &Entity) {
        let Some((polyline, map)) = entity.shape.wide() else { return };
        let Band { mut rings, bevelled: corners, findings } = Band::of(polyline, &map, origin(entity));
        rings.sort_by(Ring::by_place);
        if !rings.is_empty() {
            self.bodies.push(rings);
        }
        self.findings.extend(findings);
        self.findings.extend(bevelled(&corners, entity));
    }

    fn add_band_to_cut(&mut self, entity: &Entity) {
        let Some((polyline, map)) = entity.shape.wide() else { return };
        self.bodies.extend(Band::solids(polyline, &map, origin(entity)).into_iter().map(|ring| vec![ring]));
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

    /// The area that all rings bound together, less `voids`, in drawing units squared; 0 where there is no ring, `None`
    /// where solid and void can't be told apart.
    pub fn area(&self, voids: &Traced, tolerance: f64) -> Option<f64> {
        if self.is_empty() {
            return Some(0.0);
        }
        let voids: Vec<Ring> = voids.all_rings().cloned().collect();
        region::resolve_bodies(&self.solids(), &[], &voids, tolerance).region.as_ref().map(area_of)
    }

    /// Whether each ring of [`all_rings`](Traced::all_rings) bounds solid, or else a hole, by what the others go round it; `None`
    /// for one that repeats another, or where that can't be told.
    pub fn solid_or_hole(&self, tolerance: f64) -> Vec<Option<bool>> {
        let resolved = region::resolve_bodies(&self.solids(), &[], &[], tolerance);
        let known: HashMap<usize, bool> =
            resolved.pieces.iter().map(|piece| (piece.ring.identity(), piece.solid)).collect();
        self.all_rings().map(|ring| known.get(&ring.identity()).copied()).collect()
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

pub(super) fn trace(entities: &[&Entity], tolerance: f64) -> Outline {
    trace_each(entities, joining(tolerance))
}

fn joining(tolerance: f64) -> Joining {
    Joining { tolerance, ..Joining::default() }
}

/// Joins the chains of entities, made one by one: all of them at once would take as much memory as the outlines.
fn trace_each(entities: &[&Entity], joining: Joining) -> Outline {
    let all_closed = entities.iter().flat_map(|entity| entity.shape.chains()).all(Shape::is_closed);
    outline::trace_each(entities.iter().flat_map(|entity| drawn(entity)), joining, all_closed)
}

fn by_layer<'a>(entities: &[&'a Entity]) -> BTreeMap<LayerIndex, Vec<&'a Entity>> {
    let mut layers: BTreeMap<LayerIndex, Vec<&Entity>> = BTreeMap::new();
    for entity in entities {
        layers.entry(entity.layer).or_default().push(entity);
    }
    layers
}
