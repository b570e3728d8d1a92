//! What the drawings are sorted by.

use std::fmt;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// No slip.
    Clean,
    /// No slip, with features down to a fifth of the joining tolerance.
    CleanSmall,
    /// Entities rounded to 3 or 4 decimals.
    Rounded,
    /// Pieces end short of their joint.
    Miss,
    /// Pieces go on beyond their joint.
    Overshoot,
    /// Both pieces of a joint miss or overshoot.
    BothSides,
    /// The end of a line moved in any direction.
    Oblique,
    /// Arcs with their centre moved.
    ArcMoved,
    /// Pieces drawn twice.
    Twice,
    /// Lines cut in two, with any slip at the cut.
    Cut,
    /// Two lines along one edge that share a part.
    Strokes,
    /// All slips in one drawing.
    Mixed,
    /// All slips among features of one to five times the joining tolerance.
    Small,
}

impl Class {
    pub const ALL: [Class; 13] = [
        Class::Clean,
        Class::CleanSmall,
        Class::Rounded,
        Class::Miss,
        Class::Overshoot,
        Class::BothSides,
        Class::Oblique,
        Class::ArcMoved,
        Class::Twice,
        Class::Cut,
        Class::Strokes,
        Class::Mixed,
        Class::Small,
    ];

    pub fn of_seed(seed: u64) -> Class {
        Class::ALL[(seed % Class::ALL.len() as u64) as usize]
    }

    pub fn name(self) -> &'static str {
        match self {
            Class::Clean => "clean",
            Class::CleanSmall => "clean_small",
            Class::Rounded => "rounded",
            Class::Miss => "miss",
            Class::Overshoot => "overshoot",
            Class::BothSides => "both_sides",
            Class::Oblique => "oblique",
            Class::ArcMoved => "arc_moved",
            Class::Twice => "twice",
            Class::Cut => "cut",
            Class::Strokes => "strokes",
            Class::Mixed => "mixed",
            Class::Small => "small",
        }
    }

    pub fn is_clean(self) -> bool {
        matches!(self, Class::Clean | Class::CleanSmall)
    }

    /// Every kind of slip may be in it.
    pub fn has_all(self) -> bool {
        matches!(self, Class::Mixed | Class::Small)
    }
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}
