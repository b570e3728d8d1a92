//! The rows of one drawing: what a layer was traced to is resolved and measured.

use super::beside::{Beside, Found};
use super::by_layer::Source;
use super::closing_side;
use super::drawn::Drawn;
use super::filled::area_of;
use super::groups::Group;
use super::outlines::{SharedEdge, outer_outlines, shared_edges, side_by_side};
use super::plausible;
use super::remarks::{holes_of_other_layers, measured_layers, name_layers, reading_findings, wide_join};
use super::widths::is_wide;
use super::{
    DrawingUnit, LayerWithoutOutline, Mass, MeasuredPiece, MeasuredSection, Measurement, NotMeasured,
    Options, Per, Traced, Widths, centre_line_finding, drawing_unit, nearly_closed, row_findings, slips,
};
use crate::drawing::{Drawing, Entity};
use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::Bounds;
use crate::outline::Ring;
use crate::region::{self, Piece, Region};
use crate::section::Section;

/// A section before it is measured.
pub(super) struct Resolved {
    pub region: Option<Region>,
    pieces: Vec<Piece>,
    findings: Vec<Finding>,
    /// The box around its outlines.
    extent: Bounds,
    /// Where each outline is a part by itself, what is known of each part of the region.
    parts: Option<Vec<OutlinePart>>,
}

/// An outer outline among others.
struct OutlinePart {
    pieces: Vec<Piece>,
    /// What is to be said of the edges that it shares.
    finding: Option<Finding>,
    /// So much of its edges is cut with others.
    elsewhere: f64,
}

/// What all rows of a drawing share.
#[derive(Clone, Copy)]
pub(super) struct Settings {
    pub unit: DrawingUnit,
    /// Joining tolerance in drawing units.
    pub tolerance: f64,
}

impl Settings {
    pub fn of(drawing: &Drawing, options: &Options) -> Settings {
        let unit = drawing_unit(drawing, options.drawing_unit);
        Settings { unit, tolerance: options.join_mm / unit.unit.millimetres() }
    }
}

/// What the rows of a drawing are made with.
pub(super) struct Rows<'a> {
    pub source: Source<'a>,
    pub settings: Settings,
    pub void_entities: &'a Drawn<'a>,
    pub voids: &'a Traced,
}

impl Rows<'_> {
    /// What the outlines of a group come to, which may be traced already; those without anything that could be measured have no
    /// row.
    pub fn resolve(
        &self,
        group: &mut Group,
        traced: Option<Traced>,
        trace: &dyn Fn(&[&Entity]) -> Traced,
    ) -> Result<Resolved, LayerWithoutOutline> {
        let entities = group.drawn.entities();
        let mut traced = traced.unwrap_or_else(|| trace(&entities));
        let mut findings = reading_findings(self.source.drawing, &group.layers);
        let measurable = !traced.is_empty();
        let broken = traced.findings.iter().any(|finding| finding.severity == Severity::Failure);
        if measurable && !broken {
            findings.extend(closing_side::around_others(&entities, &traced));
        }
        let lacks_a_side =
            (!measurable && !broken).then(|| closing_side::alone(&entities, &traced)).flatten();
        if let Some(finding) = lacks_a_side {
            traced.findings = vec![finding];
        } else if !measurable && !broken && !traced.open.iter().any(|chain| chain.nearly_closed) {
            // What concerns the whole drawing stands on other rows; open chains are counted.
            findings.retain(|f| f.severity >= Severity::Warning && f.place.layer.is_some());
            let said = self.centre_lines(&entities, Some(0.0));
            findings.extend(said.map(|f| f.in_unit(self.settings.unit.unit)));
            return Err(LayerWithoutOutline { name: group.name.clone(), open: traced.open.len(), findings });
        }
        if !measurable {
            traced.findings.iter_mut().for_each(fail);
        }
        findings.append(&mut traced.findings);
        let extent = traced.all_rings().fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds()));
        findings.extend(wide_join(&entities, self.source.options, self.settings.tolerance));
        findings.extend(nearly_closed::deciding(&traced, self.voids));
        // Where the outline itself can't be told there are no figures.
        if !measurable || findings.iter().any(|finding| finding.severity == Severity::Failure) {
            findings.extend(self.centre_lines(&entities, (!measurable).then_some(0.0)));
            return Ok(Resolved { region: None, pieces: Vec::new(), findings, extent, parts: None });
        }
        drop(entities);
        group.let_go_unless(|drawn| {
            self.source.options.widths == Widths::CentreLine && self.has_widths(drawn)
        });
        let entities = group.drawn.entities();
        let voids: Vec<Ring> =
            self.voids.all_rings().filter(|v| v.bounds().meets(&extent)).cloned().collect();
        findings.extend(self.voids.findings.iter().cloned());
        let memory = self.source.drawing.memory_left;
        let mut resolved =
            region::resolve_within(&traced.solids(), &[], &voids, self.settings.tolerance, memory);
        name_layers(&mut resolved, self.source.drawing, &entities);
        findings.extend(resolved.findings);
        findings.extend(holes_of_other_layers(&resolved.pieces, self.source.drawing, &entities));
        findings.extend(self.centre_lines(&entities, resolved.region.as_ref().map(area_of)));
        if resolved.region.is_none() {
            findings.extend(slips::without_figures(traced.all_rings(), self.settings.tolerance));
        }
        drop((traced, entities));
        let whole =
            Resolved { region: resolved.region, pieces: resolved.pieces, findings, extent, parts: None };
        Ok(self.with_outlines(group, whole, &voids))
    }

    /// The same with each outer outline as a part of its own, where that is asked for; and, where plates are cut, with what is
    /// to be said of the edges that outlines share.
    fn with_outlines(&self, group: &Group, mut resolved: Resolved, voids: &[Ring]) -> Resolved {
        let Some(region) = &resolved.region else { return resolved };
        let (apart, cut) =
            (self.source.options.per == Per::Outline, self.source.options.thickness_mm.is_some());
        let solids = resolved.pieces.iter().filter(|piece| piece.solid).count();
        // As many parts as outlines: none touches another.
        if !apart && (!cut || region.parts.len() >= solids) {
            return resolved;
        }
        let outlines = outer_outlines(&resolved.pieces, voids, self.settings.tolerance);
        let shared = if cut { shared_edges(&outlines, self.settings.tolerance) } else { Vec::new() };
        if !apart {
            let length: f64 = shared.iter().map(|edge| edge.length).sum();
            let finding = Finding::of(Code::EdgesShared).with("length", Value::Length(length));
            resolved.findings.extend((length > 0.0).then_some(finding));
            return resolved;
        }
        for finding in resolved.findings.iter_mut().filter(|finding| finding.code == Code::OutlinesCross) {
            finding.code = Code::OutlinesLap;
        }
        let (region, pieces) = side_by_side(&outlines);
        if region.parts.is_empty() {
            return resolved;
        }
        // An outline that a void cuts in two is two parts, which share its number of edges.
        let of: Vec<usize> =
            outlines.iter().enumerate().flat_map(|(k, o)| o.region.parts.iter().map(move |_| k)).collect();
        let name = |outline: usize| {
            let part = of.iter().position(|k| *k == outline).unwrap_or_default();
            format!("{}#{}", group.name, part + 1)
        };
        let part = |(k, pieces): (usize, Vec<Piece>)| {
            let with: Vec<&SharedEdge> = shared.iter().filter(|edge| edge.of.contains(&of[k])).collect();
            let others: Vec<String> =
                with.iter().map(|edge| name(edge.of[usize::from(edge.of[0] == of[k])])).collect();
            let sum =
                |edges: &mut dyn Iterator<Item = &&SharedEdge>| edges.map(|edge| edge.length).sum::<f64>();
            let length = sum(&mut with.iter());
            let elsewhere = match self.source.options.common_cuts {
                true => sum(&mut with.iter().filter(|edge| edge.of[1] == of[k])),
                false => 0.0,
            };
            let finding = Finding::of(Code::EdgeShared)
                .with("length", Value::Length(length))
                .with("others", others.join(", "))
                .with_some("elsewhere", (elsewhere > 0.0).then_some(Value::Length(elsewhere)))
                .with_some(
                    "counted",
                    (!self.source.options.common_cuts).then(|| Value::from("each of them")),
                );
            OutlinePart { pieces, finding: (length > 0.0).then_some(finding), elsewhere }
        };
        resolved.parts = Some(pieces.into_iter().enumerate().map(part).collect());
        resolved.region = Some(region);
        resolved
    }

    /// Polylines with a width are among these entities or those that are cut out.
    fn has_widths(&self, drawn: &Drawn) -> bool {
        let has = |drawn: &Drawn| drawn.entities().iter().any(|entity| is_wide(entity));
        has(drawn) || has(self.void_entities)
    }

    /// What is to be said of polylines with a width, whose centre lines bound this area.
    fn centre_lines(&self, entities: &[&Entity], area: Option<f64>) -> Option<Finding> {
        if self.source.options.widths != Widths::CentreLine {
            return None;
        }
        let Options { hatches, .. } = *self.source.options;
        let voids = self.void_entities.entities();
        centre_line_finding(self.source.drawing, entities, &voids, self.settings.tolerance, hatches, area)
    }

    /// Measures a section and hands on its row, or a row for each of its parts.
    pub fn measure(
        &self,
        group: &Group,
        resolved: Resolved,
        beside: &Beside,
        found: &[Found],
        take: &mut dyn FnMut(Measurement),
    ) {
        let Resolved { region, pieces, findings, extent, parts } = resolved;
        let findings_of = |k: usize, region: &Region| {
            let beside = found.get(k).map(|found| beside.findings(found, &region.parts));
            findings.iter().cloned().chain(beside.into_iter().flatten()).collect()
        };
        let row = |name: &str, region: Option<Region>, pieces: Vec<Piece>, extent: Bounds, k: usize| {
            let findings = region.as_ref().map_or_else(|| findings.clone(), |region| findings_of(k, region));
            Row { name: name.to_owned(), region, pieces, extent, findings, elsewhere: 0.0 }
        };
        match region {
            Some(region) if parts.is_some() => {
                let parts = parts.unwrap_or_default();
                for (k, (region, part)) in region.split().zip(parts).enumerate() {
                    let name = format!("{}#{}", group.name, k + 1);
                    let extent = region.bounds();
                    let mut row = row(&name, Some(region), part.pieces, extent, k);
                    row.findings.extend(part.finding);
                    row.elsewhere = part.elsewhere;
                    take(self.measured(group, row));
                }
            }
            Some(region) if self.source.options.per == Per::Part => {
                let mut of_parts: Vec<Vec<Piece>> = vec![Vec::new(); region.parts.len()];
                let parts = region.parts_of(pieces.iter().map(|piece| &piece.ring));
                for (piece, part) in pieces.into_iter().zip(parts) {
                    if let Some(part) = part {
                        of_parts[part].push(piece);
                    }
                }
                for (k, (part, pieces)) in region.split().zip(of_parts).enumerate() {
                    let name = format!("{}#{}", group.name, k + 1);
                    let extent = part.bounds();
                    take(self.measured(group, row(&name, Some(part), pieces, extent, k)));
                }
            }
            region => {
                let extent = region.as_ref().map_or(extent, Region::bounds);
                take(self.measured(group, row(&group.name, region, pieces, extent, 0)));
            }
        }
    }

    /// What a row says.
    fn measured(&self, group: &Group, row: Row) -> Measurement {
        let Row { name, region, pieces, extent, mut findings, elsewhere } = row;
        let properties = region.as_ref().and_then(|region| match Section::of(region) {
            Ok(properties) => {
                findings.extend(properties.findings.iter().cloned());
                let rings = pieces.iter().map(|piece| (1.0, &piece.ring));
                findings.extend(slips::finding(rings, &properties, self.settings.tolerance));
                Some(properties)
            }
            Err(error) => {
                findings.push(error.finding());
                let rings = pieces.iter().map(|piece| &piece.ring);
                findings.extend(slips::without_figures(rings, self.settings.tolerance));
                None
            }
        });
        if properties.is_some() {
            findings.extend(plausible::size(&extent, self.settings.unit.unit));
            findings.extend(self.source.options.density.and_then(plausible::density));
        }
        let result = match (properties, region) {
            (Some(properties), Some(region)) => Ok(MeasuredSection::new(properties, region)),
            (_, region) => Err(NotMeasured { region }),
        };
        let rings = pieces.iter().map(|piece| &piece.ring);
        let measured =
            measured_layers(&group.layers, &group.drawn.entities(), rings, self.settings.tolerance);
        let names: Vec<&str> = measured.iter().map(|l| self.source.drawing.layer(*l).name.as_str()).collect();
        let measured = Measurement {
            drawing: self.source.name.to_owned(),
            section: name,
            layer: names.join("+"),
            label: None,
            unit: self.settings.unit.unit,
            unit_source: Some(self.settings.unit.source),
            mass: self.source.options.density.map_or(Mass::Unknown, Mass::Density),
            result,
            pieces: pieces.into_iter().map(MeasuredPiece::from).collect(),
            findings: row_findings(self.settings.unit, &extent, findings),
        };
        let measured = match self.source.options.thickness_mm {
            Some(thickness) => measured.as_plate(thickness).cut_with_others(elsewhere),
            None => measured,
        };
        match &self.source.options.field {
            Some(options) => measured.with_field(options),
            None => measured,
        }
    }
}

/// What becomes a row.
struct Row {
    name: String,
    region: Option<Region>,
    pieces: Vec<Piece>,
    extent: Bounds,
    findings: Vec<Finding>,
    /// So much of its edges is cut with others.
    elsewhere: f64,
}

/// Open ends alone on a layer are why it has no figures.
fn fail(finding: &mut Finding) {
    if finding.severity == Severity::Warning {
        finding.severity = Severity::Failure;
    }
}
