//! Composes the drawings of a library: which parts, on which layers, with which faults.

use crate::dress::{self, Dimensions};
use crate::numbers::Numbers;
use crate::shapes::{self, Outline, Shape, Vertex};
use crate::writer::{Place, Version, Writer};

/// One in so many drawings has a fault.
const FAULTY: usize = 200;
/// No drawing has more layers with outlines than this.
const MOST_LAYERS: usize = 60;
/// Bytes of the outlines and notes of the smallest drawing and how many times as many those of the largest are meant to
/// be; the last part of a drawing goes over that.
const SMALLEST: f64 = 3000.0;
const SPREAD: f64 = 30.0;
/// The same of a drawing with all that a program writes beside: fewer parts, with their dimensions.
const SMALLEST_DRESSED: f64 = 1000.0;
const SPREAD_DRESSED: f64 = 20.0;

/// A kind of part: the name of its drawings, of its layers, and who draws it.
pub struct EntityKind {
    pub name: &'static str,
    pub layer: &'static str,
    pub make: fn(&mut Numbers, f64) -> Shape,
}

pub const KINDS: [EntityKind; 12] = [
    EntityKind { name: "end-plate", layer: "END PLATE", make: shapes::end_plate },
    EntityKind { name: "splice", layer: "SPLICE", make: shapes::splice_plate },
    EntityKind { name: "lug", layer: "LUG", make: shapes::lug },
    EntityKind { name: "girder", layer: "GIRDER", make: shapes::girder },
    EntityKind { name: "gusset", layer: "GUSSET", make: shapes::gusset },
    EntityKind { name: "bracket", layer: "BRACKET", make: shapes::bracket },
    EntityKind { name: "stiffeners", layer: "STIFFENER", make: shapes::stiffener },
    EntityKind { name: "flange-ring", layer: "RING", make: shapes::flange_ring },
    EntityKind { name: "wheel", layer: "WHEEL", make: shapes::wheel },
    EntityKind { name: "rack", layer: "RACK", make: shapes::rack },
    EntityKind { name: "panel", layer: "PANEL", make: shapes::panel },
    EntityKind { name: "profile", layer: "PROFILE", make: shapes::profile },
];
const STIFFENER: usize = 6;
/// The kinds that faults are drawn on, gussets, brackets, stiffeners and profiles: their outlines have sides.
const MAY_BE_FAULTY: [usize; 4] = [4, 5, STIFFENER, 11];

/// What can be wrong with a drawing, as it happens in an office.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fault {
    /// A line ends short of the next one.
    Gap,
    /// A line is not there.
    Missing,
    /// Two corners are in the wrong order, so that the outline crosses itself.
    Crossing,
    /// A hole lies over the edge.
    HoleOverEdge,
    /// The outline is drawn twice.
    Twice,
}

const FAULTS: [Fault; 5] = [Fault::Gap, Fault::Missing, Fault::Crossing, Fault::HoleOverEdge, Fault::Twice];

/// A drawing: the name of its kind and its text.
pub struct Made {
    pub kind: &'static str,
    pub text: String,
}

/// Where on the page the next part goes: in rows, from left to right.
struct Page {
    left: f64,
    x: f64,
    y: f64,
    row: f64,
}

impl Page {
    /// The middle of a free square of this size.
    fn room(&mut self, size: f64) -> (f64, f64) {
        const WIDTH: f64 = 6000.0;
        const CLEAR: f64 = 60.0;
        if self.x > self.left + WIDTH {
            (self.x, self.y) = (self.left, self.y + self.row + CLEAR);
            self.row = 0.0;
        }
        let middle = (self.x + size / 2.0, self.y + size / 2.0);
        self.x += size + CLEAR;
        self.row = self.row.max(size);
        middle
    }
}

/// How the outlines of one part are written.
#[derive(Clone, Copy)]
pub struct Manner {
    /// As lines and arcs of their own, in any order.
    pub loose: bool,
    /// Closed polylines by their flag; else by repeating the first vertex.
    pub by_flag: bool,
}

impl Manner {
    pub fn any(numbers: &mut Numbers, shape: &Shape) -> Manner {
        Manner { loose: !shape.touching && numbers.chance(0.45), by_flag: numbers.chance(0.85) }
    }
}

/// The entities of one outline.
fn outline(writer: &mut Writer, layer: &str, place: Place, outline: &Outline, manner: Manner) -> Vec<String> {
    match outline {
        Outline::Circle { x, y, radius } => vec![writer.circle(layer, place, (*x, *y), *radius)],
        Outline::Ring(vertices) if manner.loose => {
            pieces(vertices).map(|(from, to)| writer.piece(layer, place, from, to)).collect()
        }
        Outline::Ring(vertices) => vec![writer.polyline(layer, place, vertices, manner.by_flag)],
    }
}

fn pieces(vertices: &[Vertex]) -> impl Iterator<Item = (Vertex, Vertex)> + '_ {
    vertices.iter().copied().zip(vertices.iter().copied().cycle().skip(1))
}

/// The entities of one part, in any order if they are loose.
pub fn part(
    numbers: &mut Numbers,
    writer: &mut Writer,
    layer: &str,
    place: Place,
    shape: &Shape,
    manner: Manner,
) -> Vec<String> {
    let mut entities: Vec<String> =
        shape.outlines.iter().flat_map(|ring| outline(writer, layer, place, ring, manner)).collect();
    if manner.loose {
        numbers.shuffle(&mut entities);
    }
    entities
}

/// A part with something wrong; its first outline is a ring.
fn faulty_part(writer: &mut Writer, layer: &str, place: Place, shape: &Shape, fault: Fault) -> Vec<String> {
    let manner = Manner { loose: false, by_flag: true };
    let mut entities = Vec::new();
    for (i, ring) in shape.outlines.iter().enumerate() {
        let (0, Outline::Ring(vertices)) = (i, ring) else {
            entities.extend(outline(writer, layer, place, ring, manner));
            continue;
        };
        match fault {
            Fault::Gap | Fault::Missing => {
                for (side, (from, to)) in pieces(vertices).enumerate() {
                    if side > 0 {
                        entities.push(writer.piece(layer, place, from, to));
                    } else if fault == Fault::Gap {
                        let to =
                            Vertex { x: to.x * 0.98 + from.x * 0.02, y: to.y * 0.98 + from.y * 0.02, ..to };
                        entities.push(writer.piece(layer, place, from, to));
                    }
                }
            }
            Fault::Crossing => {
                let mut vertices = vertices.clone();
                vertices.swap(0, 1);
                entities.push(writer.polyline(layer, place, &vertices, true));
            }
            Fault::HoleOverEdge => {
                entities.extend(outline(writer, layer, place, ring, manner));
                let on_edge = vertices[0];
                entities.push(writer.circle(layer, place, (on_edge.x, on_edge.y), 15.0));
            }
            Fault::Twice => {
                entities.extend(outline(writer, layer, place, ring, manner));
                entities.extend(outline(writer, layer, place, ring, manner));
            }
        }
    }
    entities
}

/// The place of a shape whose middle comes to `middle`. Turned by any angle or by none.
pub fn placed(shape: &Shape, middle: (f64, f64), turn: f64) -> Place {
    let (sin, cos) = if turn == 0.0 { (0.0, 1.0) } else { turn.to_radians().sin_cos() };
    let (x, y) = (shape.width / 2.0, shape.height / 2.0);
    Place { cos, sin, x: middle.0 - x * cos + y * sin, y: middle.1 - x * sin - y * cos }
}

fn any_turn(numbers: &mut Numbers, shape: &Shape) -> f64 {
    if shape.touching || numbers.chance(0.6) {
        0.0
    } else if numbers.chance(0.5) {
        numbers.length(15.0, 345.0, 15.0)
    } else {
        360.0 * numbers.share()
    }
}

fn any_writer(numbers: &mut Numbers) -> Writer {
    let version = if numbers.chance(0.3) { Version::R12 } else { Version::R2000 };
    // Millimetres for most; inches, centimetres, metres and nothing at all for some.
    let units = [Some(4), Some(1), Some(5), Some(6), None][match numbers.below(100) {
        0..84 => 0,
        84..90 => 1,
        90..93 => 2,
        93..96 => 3,
        _ => 4,
    }];
    // Six decimals are too few where the unit is not small: corners of metres would be told apart by rounding.
    let six_decimals = units == Some(4) && numbers.chance(0.35);
    let line_end = if numbers.chance(0.5) { "\r\n" } else { "\n" };
    Writer::new(version, six_decimals, line_end, units)
}

/// The layer names of one drawing are all of one habit.
fn layer_name(habit: usize, word: &str, number: usize) -> String {
    match habit {
        0 => format!("{word} {number}"),
        1 => format!("S-{}-{number:02}", word.replace(' ', "_")),
        2 => format!("{number}0 {}", word.to_lowercase()),
        _ => format!("PL{}_{word}", 100 + number),
    }
}

/// The drawing with this number in the library of this seed: as a program writes it, or `bare`, with little else than
/// outlines and notes.
pub fn drawing(seed: u64, number: u64, bare: bool) -> Made {
    let numbers = &mut Numbers::new(seed, number);
    let writer = &mut any_writer(numbers);
    writer.names_owners = !bare;
    let (smallest, spread) = if bare { (SMALLEST, SPREAD) } else { (SMALLEST_DRESSED, SPREAD_DRESSED) };
    let wanted = smallest * spread.powf((numbers.share() + numbers.share()) / 2.0);
    let fault = (numbers.below(FAULTY) == 0).then(|| *numbers.of(&FAULTS));
    let main = if fault.is_some() { *numbers.of(&MAY_BE_FAULTY) } else { numbers.below(KINDS.len()) };
    let habit = numbers.below(4);
    let left = if numbers.chance(0.3) { 0.0 } else { numbers.length(-5000.0, 20000.0, 5.0) };
    let mut page = Page { left, x: left, y: numbers.length(-2000.0, 8000.0, 5.0), row: 0.0 };

    let mut layers = vec!["0".to_owned(), "NOTES".to_owned(), "CENTRES".to_owned()];
    let mut dimensions = Dimensions::default();
    if !bare {
        layers.extend([dress::DIMENSIONS.to_owned(), dress::FRAME.to_owned()]);
    }
    let own_layers = layers.len();
    let mut entities: Vec<String> = Vec::new();
    let mut bytes = 800.0;
    let centres = numbers.chance(0.25);
    while entities.is_empty() || (bytes < wanted && layers.len() < MOST_LAYERS + own_layers) {
        let chosen =
            if entities.is_empty() || numbers.chance(0.25) { main } else { numbers.below(KINDS.len()) };
        let kind = &KINDS[chosen];
        // A drawing that has far to go yet gets parts with more in them.
        let richness = ((wanted - bytes) / 25_000.0).clamp(0.0, 1.0);
        let layer = layer_name(habit, kind.layer, layers.len() - own_layers + 1);
        let shape = (kind.make)(numbers, richness);
        let copies = if chosen == STIFFENER { numbers.count(2, 8) } else { 1 };
        let turn = any_turn(numbers, &shape);
        let manner = Manner::any(numbers, &shape);
        let size = if turn == 0.0 { shape.width.max(shape.height) } else { shape.width.hypot(shape.height) };
        let mut last = (0.0, 0.0);
        let mut added = Vec::new();
        for copy in 0..copies {
            last = page.room(size.ceil());
            let place = placed(&shape, last, turn);
            added.extend(match fault.filter(|_| entities.is_empty()) {
                Some(fault) => faulty_part(writer, &layer, place, &shape, fault),
                None => part(numbers, writer, &layer, place, &shape, manner),
            });
            if centres {
                added.extend(marks(writer, place, &shape));
            }
            // Of parts that are alike one has its sizes.
            if !bare && copy == 0 {
                added.extend(dimensioned(numbers, writer, &mut dimensions, place, &shape));
            }
        }
        added.extend(labels(numbers, writer, &layer, last, size, &shape));
        bytes += added.iter().map(String::len).sum::<usize>() as f64 + 100.0;
        entities.extend(added);
        layers.push(layer);
    }
    // Some programs write by the order of drawing, some by no order that can be seen.
    if numbers.chance(0.2) {
        numbers.shuffle(&mut entities);
    }
    let mut text =
        if bare { writer.head(&layers, wanted > 8000.0) } else { dress::head(writer, &layers, &dimensions) };
    text.extend(entities);
    text.push_str(&if bare { writer.tail() } else { dress::tail(writer, KINDS[main].layer) });
    Made { kind: KINDS[main].name, text }
}

/// The overall sizes of a part, and sometimes one more.
fn dimensioned(
    numbers: &mut Numbers,
    writer: &mut Writer,
    dimensions: &mut Dimensions,
    place: Place,
    shape: &Shape,
) -> Vec<String> {
    let (width, height) = (shape.width, shape.height);
    let mut ends = vec![([(0.0, 0.0), (width, 0.0)], -80.0), ([(0.0, 0.0), (0.0, height)], 80.0)];
    if numbers.chance(0.5) {
        ends.push(([(0.0, height), (numbers.length(0.2, 0.8, 0.05) * width, height)], 40.0));
    }
    ends.into_iter().map(|(ends, off)| dimensions.add(writer, place, ends, off)).collect()
}

/// Points in the middle of round holes.
fn marks(writer: &mut Writer, place: Place, shape: &Shape) -> Vec<String> {
    let mut marks = Vec::new();
    for ring in &shape.outlines {
        if let Outline::Circle { x, y, .. } = ring {
            marks.push(writer.point("CENTRES", place, (*x, *y)));
        }
    }
    marks
}

/// What is written beside a part: its mark, its sizes, what is to be done with it.
fn labels(
    numbers: &mut Numbers,
    writer: &mut Writer,
    layer: &str,
    middle: (f64, f64),
    size: f64,
    shape: &Shape,
) -> Vec<String> {
    const NOTES: [&str; 6] = [
        "BREAK ALL EDGES",
        "DRILL AFTER WELDING",
        "GRIND FLUSH THIS SIDE",
        "HOLES TO BE REAMED",
        "ALL ROUND FILLET 6",
        "PRIME ONE COAT",
    ];
    let on = if numbers.chance(0.6) { "NOTES" } else { layer };
    let at = (middle.0 - size / 2.0, middle.1 - size / 2.0 - 20.0);
    let thickness = numbers.of(&[6, 8, 10, 12, 15, 20, 25, 30]);
    let sizes = format!("PL {thickness} x {:.0} x {:.0}", shape.width, shape.height);
    let mut labels = vec![writer.text(on, at, 10.0, &sizes)];
    for line in 0..numbers.below(3) {
        let at = (at.0, at.1 - 15.0 * (line + 1) as f64);
        labels.push(writer.text(on, at, 10.0, NOTES[numbers.below(NOTES.len())]));
    }
    labels
}
