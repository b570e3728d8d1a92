//! What a drawing says about the unit of its coordinates.

use crate::unit::LengthUnit;

/// What the header says about units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    /// $INSUNITS as written; `None` where the header has none.
    pub insunits: Option<i64>,
    /// $MEASUREMENT as written (0 imperial, 1 metric); `None` where the header has none.
    pub measurement: Option<i64>,
    /// The unit that $INSUNITS names; `None` where it is absent, 0 (unitless) or no known code.
    pub unit: Option<LengthUnit>,
}
