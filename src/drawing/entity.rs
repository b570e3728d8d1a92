//! Entities that draw outlines.

use std::fmt;
use std::num::NonZeroU64;

use super::shape::Shape;
use super::tables::LayerIndex;
use crate::finding::Position;

/// Kinds of entity that draw outlines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "The names are those of DXF")]
pub enum EntityKind {
    Line,
    Arc,
    Circle,
    Ellipse,
    LwPolyline,
    Polyline,
    Spline,
    Solid,
    Trace,
    Face,
    Mline,
    Hatch,
    Mpolygon,
    Region,
    Body,
}

impl EntityKind {
    /// Its name in DXF, such as `LINE`.
    pub fn name(self) -> &'static str {
        match self {
            EntityKind::Line => "LINE",
            EntityKind::Arc => "ARC",
            EntityKind::Circle => "CIRCLE",
            EntityKind::Ellipse => "ELLIPSE",
            EntityKind::LwPolyline => "LWPOLYLINE",
            EntityKind::Polyline => "POLYLINE",
            EntityKind::Spline => "SPLINE",
            EntityKind::Solid => "SOLID",
            EntityKind::Trace => "TRACE",
            EntityKind::Face => "3DFACE",
            EntityKind::Mline => "MLINE",
            EntityKind::Hatch => "HATCH",
            EntityKind::Mpolygon => "MPOLYGON",
            EntityKind::Region => "REGION",
            EntityKind::Body => "BODY",
        }
    }

    /// Its loops bound a body of their own: nested among each other alone, and united with whatever else is drawn.
    pub fn is_body(self) -> bool {
        matches!(self, EntityKind::Hatch | EntityKind::Mpolygon | EntityKind::Region | EntityKind::Body)
    }

    #[inline]
    pub(super) fn named(name: &[u8]) -> Option<EntityKind> {
        Some(match name {
            // 3DLINE is how R9 and R10 name a line in space.
            b"LINE" | b"3DLINE" => EntityKind::Line,
            b"ARC" => EntityKind::Arc,
            b"CIRCLE" => EntityKind::Circle,
            b"ELLIPSE" => EntityKind::Ellipse,
            b"LWPOLYLINE" => EntityKind::LwPolyline,
            b"POLYLINE" => EntityKind::Polyline,
            b"SPLINE" => EntityKind::Spline,
            b"SOLID" => EntityKind::Solid,
            b"TRACE" => EntityKind::Trace,
            b"3DFACE" => EntityKind::Face,
            b"REGION" => EntityKind::Region,
            b"BODY" => EntityKind::Body,
            b"MLINE" => EntityKind::Mline,
            b"HATCH" => EntityKind::Hatch,
            b"MPOLYGON" => EntityKind::Mpolygon,
            _ => return None,
        })
    }
}

impl fmt::Display for EntityKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// One entity of model space, or one that a block reference puts there.
#[derive(Clone, Debug, PartialEq)]
pub struct Entity {
    /// Its kind.
    pub kind: EntityKind,
    /// Its layer; for an entity on layer 0 of a block, the layer of the block reference.
    pub layer: LayerIndex,
    pub(super) handle: Option<NonZeroU64>,
    pub(super) position: Packed,
    /// It does not show, whatever its own layer: it is marked invisible, or a block reference that holds it is
    /// invisible or on a frozen layer.
    pub hidden: bool,
    /// What it draws.
    pub shape: Shape,
}

/// A position in six bytes, which fit where the fields of an entity leave room: its lowest bit tells a byte from a
/// line, the other 47 count up to 140 million million, which no file reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Packed([u8; 6]);

impl Packed {
    #[inline]
    pub fn new(position: Position) -> Packed {
        const MOST: u64 = (1 << 47) - 1;
        let bits = match position {
            Position::Line(line) => line.min(MOST) << 1,
            Position::Byte(byte) => byte.min(MOST) << 1 | 1,
        };
        let [a, b, c, d, e, f, ..] = bits.to_le_bytes();
        Packed([a, b, c, d, e, f])
    }

    pub fn position(self) -> Position {
        let [a, b, c, d, e, f] = self.0;
        let bits = u64::from_le_bytes([a, b, c, d, e, f, 0, 0]);
        if bits & 1 == 0 { Position::Line(bits >> 1) } else { Position::Byte(bits >> 1) }
    }
}

impl Entity {
    /// Where in the file it begins; for an entity of a block, where it stands within the block.
    pub fn position(&self) -> Position {
        self.position.position()
    }

    /// Its handle; for an entity of a block, the handle it has within the block, so that several may share one.
    pub fn handle(&self) -> Option<u64> {
        self.handle.map(NonZeroU64::get)
    }
}
