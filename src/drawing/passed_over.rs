//! What a drawing holds beside the outlines that are read: counted by kind, layer and reason.

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;

use super::tables::{LayerIndex, Layers};
use crate::finding::Position;

/// Why an entity is not among the entities of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Reason {
    /// It draws no outline: text, dimensions, points, construction lines, bodies, meshes, views.
    NotOutline,
    /// It may bound an outline, but this kind, or what this one holds, is not read yet.
    NotReadYet,
    /// A kind that is not known.
    UnknownKind,
    /// It belongs to a sheet layout, not to model space.
    PaperSpace,
    /// It belongs to model space, where the sheet layout was asked for.
    ModelSpace,
    /// It stands upright on the drawing plane, so that only its edge is seen from above.
    TiltedPlane,
    /// It holds a value that it can't be drawn with; a finding says which.
    BadValue,
    /// It refers to a block that the drawing does not have; a finding says which.
    MissingBlock,
    /// It refers to another drawing file.
    ExternalDrawing,
    /// It is a block reference within the block that it refers to.
    WithinItself,
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Reason::NotOutline => "draws no outline",
            Reason::NotReadYet => "not read yet",
            Reason::UnknownKind => "not a kind that is known",
            Reason::PaperSpace => "on a sheet layout, not in model space",
            Reason::ModelSpace => "in model space, not on the sheet layout",
            Reason::TiltedPlane => "stands upright on the drawing plane, seen on edge",
            Reason::BadValue => "holds a value that can't be drawn",
            Reason::MissingBlock => "its block is missing",
            Reason::ExternalDrawing => "its block is another drawing file",
            Reason::WithinItself => "a block within itself",
        })
    }
}

/// Entities that are passed over for one reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PassedOver {
    /// Kind of entity as DXF names it, such as `HATCH`.
    pub kind: String,
    /// Layer; `None` where it is not known.
    pub layer: Option<LayerIndex>,
    /// Why they are passed over.
    pub reason: Reason,
    /// How many: those in blocks as often as the blocks are inserted.
    pub count: u64,
    /// Where they stand in the file, in its order; those in a block once, however often it is inserted. Never empty.
    pub places: Vec<EntityPlace>,
}

/// Where an entity stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EntityPlace {
    /// Where in the file it begins.
    pub position: Position,
    /// Its handle, where it has one.
    pub handle: Option<u64>,
}

/// Whether a kind of entity that is not read may bound an outline.
pub(super) fn reason_for_kind(name: &str) -> Reason {
    match name {
        // A proxy stands for an entity of another program, of whatever kind.
        "HELIX" | "PLANESURFACE" | "ACAD_PROXY_ENTITY" => Reason::NotReadYet,
        // A WIPEOUT hides what is drawn behind it, a SHAPE is a sign whose strokes are in a font file: neither is
        // material. Surfaces other than plane ones bound bodies.
        "3DSOLID"
        | "ACAD_TABLE"
        | "ARCALIGNEDTEXT"
        | "ARC_DIMENSION"
        | "ATTDEF"
        | "ATTRIB"
        | "CAMERA"
        | "DGNUNDERLAY"
        | "DIMENSION"
        | "DWFUNDERLAY"
        | "EXTRUDEDSURFACE"
        | "GEOPOSITIONMARKER"
        | "IMAGE"
        | "LARGE_RADIAL_DIMENSION"
        | "LEADER"
        | "LIGHT"
        | "LOAD"
        | "LOFTEDSURFACE"
        | "MESH"
        | "MTEXT"
        | "MULTILEADER"
        | "MLEADER"
        | "NURBSURFACE"
        | "OLE2FRAME"
        | "OLEFRAME"
        | "PDFUNDERLAY"
        | "POINT"
        | "POINTCLOUD"
        | "RAY"
        | "REVOLVEDSURFACE"
        | "RTEXT"
        | "SECTION"
        | "SECTIONOBJECT"
        | "SHAPE"
        | "SUN"
        | "SURFACE"
        | "SWEPTSURFACE"
        | "TEXT"
        | "TOLERANCE"
        | "UNDERLAY"
        | "VERTEX"
        | "VIEWPORT"
        | "WIPEOUT"
        | "XLINE" => Reason::NotOutline,
        _ => Reason::UnknownKind,
    }
}

/// Which name of entity kind, among those met in the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct KindName(u32);

/// One entity passed over.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passed {
    pub kind: KindName,
    pub layer: LayerIndex,
    pub reason: Reason,
    pub handle: Option<u64>,
    pub position: Position,
}

/// Entities passed over for one reason, so far.
struct Row {
    key: (KindName, LayerIndex, Reason),
    count: u64,
    places: Vec<EntityPlace>,
}

/// Counts what is passed over.
#[derive(Default)]
pub(super) struct Tally {
    names: Vec<Cow<'static, str>>,
    /// Those behind the first [`FEW`], which few drawings have.
    by_name: HashMap<String, KindName>,
    rows: Vec<Row>,
    by_key: HashMap<(KindName, LayerIndex, Reason), usize>,
    last: usize,
}

/// So many names are looked through; the others are found by a table.
const FEW: usize = 40;

impl Tally {
    /// Counts of nothing yet, in which these kinds have the first numbers.
    pub fn of_kinds(names: impl Iterator<Item = &'static str>) -> Tally {
        Tally { names: names.map(Cow::Borrowed).collect(), ..Tally::default() }
    }

    /// The name of a kind, kept once. Names longer than any kind has are cut short.
    pub fn kind(&mut self, name: &str) -> KindName {
        const LONGEST: usize = 80;
        let cut = name.char_indices().nth(LONGEST).map_or(name, |(end, _)| &name[..end]);
        if let Some(kind) = self.names.iter().take(FEW).position(|known| known == cut) {
            return KindName(kind as u32);
        }
        if let Some(kind) = self.by_name.get(cut) {
            return *kind;
        }
        let kind = KindName(self.names.len() as u32);
        self.names.push(Cow::Owned(cut.to_owned()));
        if self.names.len() > FEW {
            self.by_name.insert(cut.to_owned(), kind);
        }
        kind
    }

    /// Counts one.
    pub fn add(&mut self, passed: &Passed) {
        let key = (passed.kind, passed.layer, passed.reason);
        if self.rows.get(self.last).is_none_or(|row| row.key != key) {
            let next = self.rows.len();
            self.last = *self.by_key.entry(key).or_insert(next);
            if self.last == next {
                self.rows.push(Row { key, count: 0, places: Vec::new() });
            }
        }
        let row = &mut self.rows[self.last];
        row.count += 1;
        let place = EntityPlace { position: passed.position, handle: passed.handle };
        if row.places.last() != Some(&place) {
            row.places.push(place);
        }
    }

    /// The counts by kind, layer name and reason.
    pub fn sorted(self, layers: &Layers) -> Vec<PassedOver> {
        let Tally { names, rows, .. } = self;
        let mut list: Vec<PassedOver> = rows
            .into_iter()
            .map(|Row { key: (kind, layer, reason), count, mut places }| {
                places.sort();
                places.dedup();
                let kind = names.get(kind.0 as usize).cloned().unwrap_or_default().into_owned();
                PassedOver { kind, layer: Some(layer), reason, count, places }
            })
            .collect();
        let name =
            |row: &PassedOver| row.layer.and_then(|layer| layers.list.get(layer.index())).map(|l| &l.name);
        list.sort_by(|a, b| (&a.kind, name(a), a.reason).cmp(&(&b.kind, name(b), b.reason)));
        list
    }
}
