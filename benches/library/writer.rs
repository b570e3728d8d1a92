//! Writes entities as DXF, in the dress of R12 or of R2000.

use std::fmt::{Display, Write};

use crate::dress;

use crate::shapes::Vertex;

/// Which of the two dresses a drawing wears.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Version {
    /// No handles and no subclass marks; outlines as POLYLINE and VERTEX.
    R12,
    /// Handles and subclass marks; outlines as LWPOLYLINE.
    R2000,
}

/// How a drawing writes what it holds.
pub struct Writer {
    pub version: Version,
    /// Six decimals, or every digit that a coordinate has.
    pub six_decimals: bool,
    pub line_end: &'static str,
    /// The code of $INSUNITS; none is written where it is absent.
    pub units: Option<u8>,
    /// The last handle that was given away.
    pub handle: u64,
    /// Entities that name the space that they stand in, as programs write them.
    pub names_owners: bool,
    /// What is written stands on the sheet, not in the model.
    pub on_sheet: bool,
}

/// Where a shape lies: turned about the origin of its own coordinates, then moved.
#[derive(Clone, Copy)]
pub struct Place {
    pub cos: f64,
    pub sin: f64,
    pub x: f64,
    pub y: f64,
}

impl Place {
    /// Where coordinates are as they are.
    pub const HERE: Place = Place { cos: 1.0, sin: 0.0, x: 0.0, y: 0.0 };

    pub fn of(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.x + x * self.cos - y * self.sin, self.y + x * self.sin + y * self.cos)
    }
}

/// Header variables as programs write them beside what matters here.
const USUAL: [(&str, u16, &str); 24] = [
    ("$ANGBASE", 50, "0.0"),
    ("$ANGDIR", 70, "0"),
    ("$ATTMODE", 70, "1"),
    ("$AUNITS", 70, "0"),
    ("$AUPREC", 70, "2"),
    ("$CECOLOR", 62, "256"),
    ("$CELTYPE", 6, "ByLayer"),
    ("$CLAYER", 8, "0"),
    ("$DIMASZ", 40, "2.5"),
    ("$DIMEXE", 40, "1.25"),
    ("$DIMEXO", 40, "0.625"),
    ("$DIMGAP", 40, "0.625"),
    ("$DIMSCALE", 40, "1.0"),
    ("$DIMTXT", 40, "2.5"),
    ("$FILLMODE", 70, "1"),
    ("$LTSCALE", 40, "1.0"),
    ("$LUNITS", 70, "2"),
    ("$LUPREC", 70, "4"),
    ("$ORTHOMODE", 70, "0"),
    ("$PDMODE", 70, "0"),
    ("$PDSIZE", 40, "0.0"),
    ("$QTEXTMODE", 70, "0"),
    ("$REGENMODE", 70, "1"),
    ("$TEXTSIZE", 40, "2.5"),
];

impl Writer {
    pub fn new(version: Version, six_decimals: bool, line_end: &'static str, units: Option<u8>) -> Writer {
        let (names_owners, on_sheet) = (false, false);
        // Layers and what else a drawing begins with have the handles below 0x100.
        Writer { version, six_decimals, line_end, units, handle: 0xFF, names_owners, on_sheet }
    }

    /// The millimetres of one drawing unit, as $INSUNITS has them.
    fn unit(&self) -> f64 {
        match self.units {
            Some(1) => 25.4,
            Some(5) => 10.0,
            Some(6) => 1000.0,
            _ => 1.0,
        }
    }

    pub fn pair(&self, out: &mut String, code: u16, value: impl Display) {
        let end = self.line_end;
        // Writing to a string can't fail.
        let _ = write!(out, "{code:>3}{end}{value}{end}");
    }

    /// A number without a unit.
    fn number(&self, out: &mut String, code: u16, value: f64) {
        if self.six_decimals {
            self.pair(out, code, format_args!("{value:.6}"));
        } else {
            self.pair(out, code, format_args!("{value:?}"));
        }
    }

    /// A length, given in millimetres.
    fn length(&self, out: &mut String, code: u16, millimetres: f64) {
        self.number(out, code, millimetres / self.unit());
    }

    fn point_pairs(&self, out: &mut String, code: u16, (x, y): (f64, f64)) {
        self.length(out, code, x);
        self.length(out, code + 10, y);
        self.pair(out, code + 20, "0.0");
    }

    fn start(&mut self, name: &str, layer: &str, class: &str) -> String {
        let mut out = String::with_capacity(256);
        self.pair(&mut out, 0, name);
        if self.version == Version::R2000 {
            self.handle += 1;
            self.pair(&mut out, 5, format_args!("{:X}", self.handle));
            if self.names_owners {
                self.pair(&mut out, 330, dress::owner(self.on_sheet));
            }
            self.pair(&mut out, 100, "AcDbEntity");
        }
        if self.on_sheet {
            self.pair(&mut out, 67, 1);
        }
        self.pair(&mut out, 8, layer);
        self.class(&mut out, class);
        out
    }

    /// The beginning or the end of a block with this record.
    pub fn start_in(&mut self, record: u64, name: &str, layer: &str, class: &str) -> String {
        let mut out = String::with_capacity(256);
        self.pair(&mut out, 0, name);
        if self.version == Version::R2000 {
            self.handle += 1;
            self.pair(&mut out, 5, format_args!("{:X}", self.handle));
            self.pair(&mut out, 330, format_args!("{record:X}"));
            self.pair(&mut out, 100, "AcDbEntity");
        }
        self.pair(&mut out, 8, layer);
        self.class(&mut out, class);
        out
    }

    fn class(&self, out: &mut String, class: &str) {
        if self.version == Version::R2000 {
            self.pair(out, 100, class);
        }
    }

    pub fn line(&mut self, layer: &str, place: Place, from: (f64, f64), to: (f64, f64)) -> String {
        let mut out = self.start("LINE", layer, "AcDbLine");
        self.point_pairs(&mut out, 10, place.of(from));
        self.point_pairs(&mut out, 11, place.of(to));
        out
    }

    /// The piece between two vertices of an outline: a line, or the arc that the first one's bulge asks for.
    pub fn piece(&mut self, layer: &str, place: Place, from: Vertex, to: Vertex) -> String {
        let bulge = from.bulge;
        if bulge == 0.0 {
            return self.line(layer, place, (from.x, from.y), (to.x, to.y));
        }
        let (a, b) = (place.of((from.x, from.y)), place.of((to.x, to.y)));
        // The centre lies on the chord's perpendicular bisector, left of it where a small arc turns left.
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let along = (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = ((a.0 + b.0) / 2.0 - dy * along, (a.1 + b.1) / 2.0 + dx * along);
        let direction =
            |point: (f64, f64)| (point.1 - centre.1).atan2(point.0 - centre.0).to_degrees().rem_euclid(360.0);
        // An arc always runs to the left: one that turns right is written from its other end.
        let (start, end) = if bulge > 0.0 { (a, b) } else { (b, a) };
        let mut out = self.start("ARC", layer, "AcDbCircle");
        self.point_pairs(&mut out, 10, centre);
        self.length(&mut out, 40, (a.0 - centre.0).hypot(a.1 - centre.1));
        self.class(&mut out, "AcDbArc");
        self.number(&mut out, 50, direction(start));
        self.number(&mut out, 51, direction(end));
        out
    }

    pub fn circle(&mut self, layer: &str, place: Place, centre: (f64, f64), radius: f64) -> String {
        let mut out = self.start("CIRCLE", layer, "AcDbCircle");
        self.point_pairs(&mut out, 10, place.of(centre));
        self.length(&mut out, 40, radius);
        out
    }

    /// A closed polyline: by its flag, or by a last vertex that repeats the first.
    pub fn polyline(&mut self, layer: &str, place: Place, vertices: &[Vertex], by_flag: bool) -> String {
        let repeated = if by_flag { None } else { vertices.first().map(|v| Vertex { bulge: 0.0, ..*v }) };
        let vertices = vertices.iter().copied().chain(repeated);
        let mut out = match self.version {
            Version::R12 => self.start("POLYLINE", layer, ""),
            Version::R2000 => self.start("LWPOLYLINE", layer, "AcDbPolyline"),
        };
        if self.version == Version::R12 {
            self.pair(&mut out, 66, 1);
            self.point_pairs(&mut out, 10, (0.0, 0.0));
            self.pair(&mut out, 70, u8::from(by_flag));
            for vertex in vertices {
                self.pair(&mut out, 0, "VERTEX");
                self.pair(&mut out, 8, layer);
                self.point_pairs(&mut out, 10, place.of((vertex.x, vertex.y)));
                self.bulge(&mut out, vertex.bulge);
            }
            self.pair(&mut out, 0, "SEQEND");
            self.pair(&mut out, 8, layer);
        } else {
            self.pair(&mut out, 90, vertices.clone().count());
            self.pair(&mut out, 70, u8::from(by_flag));
            self.pair(&mut out, 43, "0.0");
            for vertex in vertices {
                let (x, y) = place.of((vertex.x, vertex.y));
                self.length(&mut out, 10, x);
                self.length(&mut out, 20, y);
                self.bulge(&mut out, vertex.bulge);
            }
        }
        out
    }

    fn bulge(&self, out: &mut String, bulge: f64) {
        if bulge != 0.0 {
            // Always with every digit: six decimals of a bulge are too few for a large arc.
            self.pair(out, 42, format_args!("{bulge:?}"));
        }
    }

    pub fn text(&mut self, layer: &str, at: (f64, f64), height: f64, words: &str) -> String {
        let mut out = self.start("TEXT", layer, "AcDbText");
        self.point_pairs(&mut out, 10, at);
        self.length(&mut out, 40, height);
        self.pair(&mut out, 1, words);
        self.class(&mut out, "AcDbText");
        out
    }

    /// The filled triangle at the end of a dimension line.
    pub fn arrow(&mut self, layer: &str, place: Place, tip: (f64, f64), base: [(f64, f64); 2]) -> String {
        let mut out = self.start("SOLID", layer, "AcDbTrace");
        let [one, other] = base;
        for (code, corner) in [(10, one), (11, other), (12, tip), (13, tip)] {
            self.point_pairs(&mut out, code, place.of(corner));
        }
        out
    }

    /// A dimension along the line between two places: where its line and its text are, what it measures, what it says.
    pub fn dimension(
        &mut self,
        layer: &str,
        block: &str,
        place: Place,
        line: [(f64, f64); 2],
        ends: [(f64, f64); 2],
        words: &str,
    ) -> String {
        let mut out = self.start("DIMENSION", layer, "AcDbDimension");
        self.pair(&mut out, 2, block);
        self.point_pairs(&mut out, 10, place.of(line[0]));
        self.point_pairs(&mut out, 11, place.of(line[1]));
        self.pair(&mut out, 70, 33);
        self.pair(&mut out, 1, words);
        self.pair(&mut out, 3, "SHOP-10");
        self.class(&mut out, "AcDbAlignedDimension");
        self.point_pairs(&mut out, 13, place.of(ends[0]));
        self.point_pairs(&mut out, 14, place.of(ends[1]));
        out
    }

    pub fn point(&mut self, layer: &str, place: Place, at: (f64, f64)) -> String {
        let mut out = self.start("POINT", layer, "AcDbPoint");
        self.point_pairs(&mut out, 10, place.of(at));
        out
    }

    pub fn open_section(&self, out: &mut String, name: &str) {
        self.pair(out, 0, "SECTION");
        self.pair(out, 2, name);
    }

    /// The variables of a header that matter here.
    pub fn version_and_units(&self, out: &mut String) {
        let version = if self.version == Version::R12 { "AC1009" } else { "AC1015" };
        self.pair(out, 9, "$ACADVER");
        self.pair(out, 1, version);
        if let Some(units) = self.units {
            self.pair(out, 9, "$INSUNITS");
            self.pair(out, 70, units);
        }
    }

    /// The table of the layers, which take the handles from `0x20` on.
    pub fn layer_table(&self, out: &mut String, layers: &[String]) {
        let modern = self.version == Version::R2000;
        self.pair(out, 0, "TABLE");
        self.pair(out, 2, "LAYER");
        if modern {
            self.pair(out, 5, "2");
            self.pair(out, 100, "AcDbSymbolTable");
        }
        self.pair(out, 70, layers.len());
        for (i, layer) in layers.iter().enumerate() {
            self.pair(out, 0, "LAYER");
            if modern {
                self.pair(out, 5, format_args!("{:X}", 0x20 + i));
                self.pair(out, 100, "AcDbSymbolTableRecord");
                self.pair(out, 100, "AcDbLayerTableRecord");
            }
            self.pair(out, 2, layer);
            self.pair(out, 70, 0);
            self.pair(out, 62, 1 + i % 7);
            self.pair(out, 6, "CONTINUOUS");
        }
        self.pair(out, 0, "ENDTAB");
    }

    /// What stands before the entities of a drawing that has nothing but outlines and notes.
    pub fn head(&self, layers: &[String], usual_variables: bool) -> String {
        let mut out = String::with_capacity(4096);
        self.open_section(&mut out, "HEADER");
        self.version_and_units(&mut out);
        if usual_variables {
            for (name, code, value) in USUAL {
                self.pair(&mut out, 9, name);
                self.pair(&mut out, code, value);
            }
        }
        self.pair(&mut out, 0, "ENDSEC");
        self.open_section(&mut out, "TABLES");
        self.layer_table(&mut out, layers);
        self.pair(&mut out, 0, "ENDSEC");
        self.open_section(&mut out, "ENTITIES");
        out
    }

    /// What stands after the entities.
    pub fn tail(&self) -> String {
        let mut out = String::new();
        self.pair(&mut out, 0, "ENDSEC");
        self.pair(&mut out, 0, "EOF");
        out
    }
}
