//! What measuring takes of the memory that a drawing may take.

use super::traced::Traced;
use crate::drawing::{Drawing, Entity};
use crate::finding::{Code, Finding, Value};

/// Bytes that a line, arc or span takes until the outlines that it belongs to are measured, at the peak and with what it takes
/// as an entity: half a million lines of separate rectangles took 478 each, as many circles 390, vertices of one polyline 230.
const PER_PIECE: u64 = 500;

/// Why the outlines of entities are not measured, where that would take more memory than the drawing may.
pub(super) fn over_memory(drawing: &Drawing, entities: &[&Entity]) -> Option<Finding> {
    if drawing.memory_left == u64::MAX {
        return None;
    }
    let pieces: u64 = entities.iter().map(|entity| entity.shape.pieces()).sum();
    let needed = pieces.saturating_mul(PER_PIECE);
    (needed > drawing.memory_left).then(|| {
        Finding::of(Code::MemoryToMeasure)
            .with("needed", Value::megabytes(needed))
            .with("left", Value::megabytes(drawing.memory_left))
    })
}

impl Traced {
    /// Of entities whose outlines can't be told, for this reason.
    pub(super) fn failed(finding: Finding) -> Traced {
        Traced { findings: vec![finding], ..Traced::default() }
    }
}
