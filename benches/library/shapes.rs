//! The parts of a crane and fabrication shop as outlines, in millimetres and in coordinates of their own.

use std::f64::consts::{PI, TAU};

use crate::numbers::Numbers;

/// A corner of an outline, with the bulge of the piece that runs to the next one.
#[derive(Clone, Copy)]
pub struct Vertex {
    pub x: f64,
    pub y: f64,
    /// tan(included angle / 4), positive where the arc turns left; 0 is a line.
    pub bulge: f64,
}

pub enum Outline {
    Ring(Vec<Vertex>),
    Circle { x: f64, y: f64, radius: f64 },
}

/// One part, or several plates that touch each other.
pub struct Shape {
    /// The solid first, then its holes; of touching plates, each plate.
    pub outlines: Vec<Outline>,
    pub width: f64,
    pub height: f64,
    /// Plates that touch along their edges: turned, their edges would no longer lie on each other to the last digit; as
    /// loose lines nobody could tell where one plate ends.
    pub touching: bool,
}

impl Shape {
    fn new(outlines: Vec<Outline>, width: f64, height: f64) -> Shape {
        Shape { outlines, width, height, touching: false }
    }
}

/// Clearance holes of M12 to M30, the usual ones.
const HOLES: [f64; 6] = [14.0, 18.0, 22.0, 26.0, 30.0, 33.0];

/// A polygon whose corners (x, y, radius) are rounded by arcs that touch both sides.
fn rounded(corners: &[(f64, f64, f64)]) -> Outline {
    let mut vertices = Vec::with_capacity(2 * corners.len());
    for (i, &(x, y, radius)) in corners.iter().enumerate() {
        if radius == 0.0 {
            vertices.push(Vertex { x, y, bulge: 0.0 });
            continue;
        }
        let before = corners[(i + corners.len() - 1) % corners.len()];
        let after = corners[(i + 1) % corners.len()];
        let (ux, uy, reach) = direction((before.0, before.1), (x, y));
        let (vx, vy, length) = direction((x, y), (after.0, after.1));
        let turn = (ux * vy - uy * vx).atan2(ux * vx + uy * vy);
        // Less than half of each side, so that two arcs never meet.
        let cut = (radius * (turn.abs() / 2.0).tan()).min(0.45 * reach.min(length));
        vertices.push(Vertex { x: x - ux * cut, y: y - uy * cut, bulge: (turn / 4.0).tan() });
        vertices.push(Vertex { x: x + vx * cut, y: y + vy * cut, bulge: 0.0 });
    }
    Outline::Ring(vertices)
}

fn direction(from: (f64, f64), to: (f64, f64)) -> (f64, f64, f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    (dx / length, dy / length, length)
}

fn rectangle(x: f64, y: f64, width: f64, height: f64, radius: f64) -> Outline {
    rounded(&[
        (x, y, radius),
        (x + width, y, radius),
        (x + width, y + height, radius),
        (x, y + height, radius),
    ])
}

fn hole(x: f64, y: f64, diameter: f64) -> Outline {
    Outline::Circle { x, y, radius: diameter / 2.0 }
}

/// A slot as long as `length` from centre to centre of its ends, lying along x.
fn slot(x: f64, y: f64, diameter: f64, length: f64) -> Outline {
    let (right, left) = (x + length / 2.0, x - length / 2.0);
    let (low, high) = (y - diameter / 2.0, y + diameter / 2.0);
    Outline::Ring(vec![
        Vertex { x: left, y: low, bulge: 0.0 },
        Vertex { x: right, y: low, bulge: 1.0 },
        Vertex { x: right, y: high, bulge: 0.0 },
        Vertex { x: left, y: high, bulge: 1.0 },
    ])
}

/// How many of something: `least` for the smallest drawing, up to `most` for a rich one.
fn many(numbers: &mut Numbers, richness: f64, least: usize, most: usize) -> usize {
    let top = least + ((most - least) as f64 * richness) as usize;
    numbers.count(least, top)
}

pub fn end_plate(numbers: &mut Numbers, richness: f64) -> Shape {
    let width = numbers.length(140.0, 420.0, 10.0);
    let edge = numbers.length(35.0, 50.0, 5.0);
    let columns = if width > 300.0 && numbers.chance(0.4) { 4 } else { 2 };
    let gauge = (width - 2.0 * edge) / f64::from(columns - 1);
    let diameter = numbers.of(&HOLES).min((gauge / 2.5).floor());
    let rows = many(numbers, richness, 2, 16);
    let pitch = numbers.length(70.0, 120.0, 5.0);
    let height = 2.0 * edge + pitch * (rows - 1) as f64;
    let plate = if numbers.chance(0.3) {
        let chamfer = numbers.length(10.0, 30.0, 5.0);
        rounded(&[
            (chamfer, 0.0, 0.0),
            (width - chamfer, 0.0, 0.0),
            (width, chamfer, 0.0),
            (width, height - chamfer, 0.0),
            (width - chamfer, height, 0.0),
            (chamfer, height, 0.0),
            (0.0, height - chamfer, 0.0),
            (0.0, chamfer, 0.0),
        ])
    } else {
        let radius = *numbers.of(&[0.0, 0.0, 10.0, 15.0, 20.0]);
        rectangle(0.0, 0.0, width, height, radius)
    };
    let slotted = numbers.chance(0.2);
    let mut outlines = vec![plate];
    for row in 0..rows {
        for column in 0..columns {
            let (x, y) = (edge + gauge * f64::from(column), edge + pitch * row as f64);
            // The outer rows of a slotted plate allow for the length of the girder.
            let is_slot = slotted && (row == 0 || row + 1 == rows);
            outlines.push(if is_slot { slot(x, y, diameter, diameter * 0.5) } else { hole(x, y, diameter) });
        }
    }
    Shape::new(outlines, width, height)
}

pub fn splice_plate(numbers: &mut Numbers, richness: f64) -> Shape {
    let columns = many(numbers, richness, 2, 6);
    let rows = many(numbers, richness, 4, 28);
    let diameter = *numbers.of(&HOLES);
    let pitch = 5.0 * (diameter * 0.6).ceil();
    let edge = 5.0 * (diameter * 0.4).ceil();
    let (width, height) = (2.0 * edge + pitch * (columns - 1) as f64, 2.0 * edge + pitch * (rows - 1) as f64);
    let mut outlines = vec![rectangle(0.0, 0.0, width, height, 0.0)];
    for i in 0..rows * columns {
        let (column, row) = ((i % columns) as f64, (i / columns) as f64);
        outlines.push(hole(edge + pitch * column, edge + pitch * row, diameter));
    }
    Shape::new(outlines, width, height)
}

pub fn lug(numbers: &mut Numbers, _: f64) -> Shape {
    let radius = numbers.length(40.0, 120.0, 5.0);
    let foot = radius * numbers.length(2.0, 4.0, 0.25);
    let stub = numbers.length(10.0, 30.0, 5.0);
    let eye = stub + radius * numbers.length(1.25, 2.5, 0.25);
    // The tangent from the top of the stub at the right to the head.
    let (dx, dy) = (foot / 2.0, stub - eye);
    let touch = dy.atan2(dx) + (radius / dx.hypot(dy)).acos();
    let middle = foot / 2.0;
    let head = |angle: f64, bulge: f64| Vertex {
        x: middle + radius * angle.cos(),
        y: eye + radius * angle.sin(),
        bulge,
    };
    let corner = |x: f64, y: f64| Vertex { x, y, bulge: 0.0 };
    let outline = Outline::Ring(vec![
        corner(0.0, 0.0),
        corner(foot, 0.0),
        corner(foot, stub),
        head(touch, ((PI - 2.0 * touch) / 4.0).tan()),
        head(PI - touch, 0.0),
        corner(0.0, stub),
    ]);
    let bore = radius * numbers.length(0.7, 1.0, 0.05);
    let mut outlines = vec![outline, hole(middle, eye, bore)];
    if numbers.chance(0.3) && stub >= 20.0 {
        outlines.push(hole(foot * 0.2, stub * 0.75, stub * 0.5));
        outlines.push(hole(foot * 0.8, stub * 0.75, stub * 0.5));
    }
    Shape::new(outlines, foot, eye + radius)
}

/// A girder of plates that touch each other: flanges, one or two webs, cover plates, stiffeners, a rail.
pub fn girder(numbers: &mut Numbers, richness: f64) -> Shape {
    let boxed = numbers.chance(0.5);
    let web = *numbers.of(&[8.0, 10.0, 12.0, 15.0]);
    let depth = numbers.length(400.0, 1600.0, 20.0);
    let (lower, upper) = (numbers.length(12.0, 40.0, 2.0), numbers.length(12.0, 40.0, 2.0));
    let narrow = numbers.length(260.0, 600.0, 20.0);
    let wide = narrow + numbers.length(0.0, 120.0, 20.0);
    let mut plates = vec![((wide - narrow) / 2.0, 0.0, narrow, lower), (0.0, lower + depth, wide, upper)];
    let middle = wide / 2.0;
    // Half of the distance between the webs, from middle to middle.
    let spread = if boxed { narrow / 2.0 - numbers.length(30.0, 50.0, 5.0) } else { 0.0 };
    let webs: &[f64] = if boxed { &[-1.0, 1.0] } else { &[0.0] };
    for side in webs {
        plates.push((middle + side * spread - web / 2.0, lower, web, depth));
    }
    let stiffeners = many(numbers, richness, 0, 9);
    let pitch = ((depth - 60.0) / (stiffeners + 1) as f64).floor();
    for i in 0..stiffeners {
        let y = lower + 30.0 + pitch * (i + 1) as f64 - 4.0;
        // Inside of a box, right of a single web; every other one on the left too.
        let reach = if boxed { 60.0 } else { 80.0 };
        let left_web = middle - spread + web / 2.0;
        plates.push((left_web, y, reach, 8.0));
        if i % 2 == 1 {
            let right_web = middle + spread - web / 2.0;
            plates.push((right_web - reach, y, reach, 8.0));
        }
    }
    let mut height = lower + depth + upper;
    if numbers.chance(0.5) {
        let rail = (*numbers.of(&[50.0, 60.0, 70.0]), *numbers.of(&[30.0, 40.0, 50.0]));
        let over = if boxed { middle + spread } else { middle };
        plates.push((over - rail.0 / 2.0, height, rail.0, rail.1));
        height += rail.1;
    }
    let outlines = plates.into_iter().map(|(x, y, w, h)| rectangle(x, y, w, h, 0.0)).collect();
    Shape { outlines, width: wide, height, touching: true }
}

pub fn gusset(numbers: &mut Numbers, richness: f64) -> Shape {
    let (width, height) = (numbers.length(200.0, 520.0, 10.0), numbers.length(200.0, 520.0, 10.0));
    let (low, near) = (numbers.length(50.0, 80.0, 5.0), numbers.length(50.0, 80.0, 5.0));
    let snipe = numbers.length(10.0, 30.0, 5.0);
    let inner = numbers.length(40.0, 160.0, 10.0);
    let tip = *numbers.of(&[0.0, 10.0, 15.0]);
    let share = numbers.length(0.2, 0.4, 0.05);
    let outline = rounded(&[
        (snipe, 0.0, 0.0),
        (width, 0.0, 0.0),
        (width, low, tip),
        (near + (width - near) * share, low + (height - low) * share, inner),
        (near, height, tip),
        (0.0, height, 0.0),
        (0.0, snipe, 0.0),
    ]);
    let mut outlines = vec![outline];
    let pitch = if richness > 0.5 { 30.0 } else { 60.0 };
    for (length, across, lying) in [(width, low, true), (height, near, false)] {
        let mut along = 60.0;
        while along < length - 30.0 {
            let (x, y) = if lying { (along, across / 2.0) } else { (across / 2.0, along) };
            outlines.push(hole(x, y, 18.0));
            along += pitch;
        }
    }
    Shape::new(outlines, width, height)
}

pub fn bracket(numbers: &mut Numbers, richness: f64) -> Shape {
    let (width, height) = (numbers.length(300.0, 620.0, 10.0), numbers.length(220.0, 620.0, 10.0));
    let leg = numbers.length(60.0, 110.0, 5.0);
    let (heel, inside, tip) =
        (numbers.length(10.0, 50.0, 5.0), numbers.length(10.0, 40.0, 5.0), numbers.length(5.0, 25.0, 5.0));
    let two_legs = numbers.chance(0.4);
    let outline = if two_legs {
        rounded(&[
            (0.0, 0.0, heel),
            (width, 0.0, heel),
            (width, height, tip),
            (width - leg, height, tip),
            (width - leg, leg, inside),
            (leg, leg, inside),
            (leg, height, tip),
            (0.0, height, tip),
        ])
    } else {
        rounded(&[
            (0.0, 0.0, heel),
            (width, 0.0, 0.0),
            (width, leg, tip),
            (leg, leg, inside),
            (leg, height, tip),
            (0.0, height, 0.0),
        ])
    };
    let mut outlines = vec![outline];
    let pitch = if richness > 0.5 { 40.0 } else { 75.0 };
    let mut y = leg + 30.0;
    while y < height - 30.0 {
        outlines.push(hole(leg / 2.0, y, 22.0));
        if two_legs {
            outlines.push(hole(width - leg / 2.0, y, 22.0));
        }
        y += pitch;
    }
    outlines.push(slot(width / 2.0, leg / 2.0, 18.0, 30.0));
    Shape::new(outlines, width, height)
}

/// One of the stiffeners of a layer: whoever composes the drawing places it several times.
pub fn stiffener(numbers: &mut Numbers, _: f64) -> Shape {
    let (width, height) = (numbers.length(80.0, 220.0, 5.0), numbers.length(200.0, 900.0, 10.0));
    let snipe = numbers.length(15.0, 35.0, 5.0);
    let outline = rounded(&[
        (snipe, 0.0, 0.0),
        (width, 0.0, 0.0),
        (width, height, 0.0),
        (snipe, height, 0.0),
        (0.0, height - snipe, 0.0),
        (0.0, snipe, 0.0),
    ]);
    Shape::new(vec![outline], width, height)
}

pub fn flange_ring(numbers: &mut Numbers, richness: f64) -> Shape {
    let radius = numbers.length(90.0, 600.0, 10.0);
    let bore = radius * numbers.length(0.4, 0.7, 0.05);
    let circle = (radius + bore) / 2.0;
    // The holes take a third of the ring's width at most, and stand three diameters apart.
    let diameter = numbers.of(&HOLES).min(((radius - bore) / 3.0).floor());
    let room = (TAU * circle / (3.0 * diameter)) as usize;
    let holes = many(numbers, richness, 4, 60).min(room);
    let mut outlines = vec![hole(radius, radius, 2.0 * radius), hole(radius, radius, 2.0 * bore)];
    for i in 0..holes {
        let angle = TAU * (i as f64 + 0.5) / holes as f64;
        outlines.push(hole(radius + circle * angle.cos(), radius + circle * angle.sin(), diameter));
    }
    Shape::new(outlines, 2.0 * radius, 2.0 * radius)
}

/// The disc of a crane's wheel: openings to save weight, and a bore with a keyway.
pub fn wheel(numbers: &mut Numbers, richness: f64) -> Shape {
    let radius = numbers.length(160.0, 420.0, 10.0);
    let bore = radius * numbers.length(0.15, 0.25, 0.05);
    let key = bore * 0.25;
    let (shoulder, top) = ((bore * bore - key * key).sqrt(), bore * 1.2);
    let around = TAU - 2.0 * (key / bore).asin();
    let keyed = Outline::Ring(vec![
        Vertex { x: radius - key, y: radius + shoulder, bulge: (around / 4.0).tan() },
        Vertex { x: radius + key, y: radius + shoulder, bulge: 0.0 },
        Vertex { x: radius + key, y: radius + top, bulge: 0.0 },
        Vertex { x: radius - key, y: radius + top, bulge: 0.0 },
    ]);
    let mut outlines = vec![hole(radius, radius, 2.0 * radius), keyed];
    let openings = many(numbers, richness, 4, 9);
    for i in 0..openings {
        let angle = TAU * i as f64 / openings as f64;
        let from_middle = radius * 0.62;
        outlines.push(hole(
            radius + from_middle * angle.cos(),
            radius + from_middle * angle.sin(),
            radius * 0.3,
        ));
    }
    Shape::new(outlines, 2.0 * radius, 2.0 * radius)
}

/// The toothed bar of a trolley's drive.
pub fn rack(numbers: &mut Numbers, richness: f64) -> Shape {
    let teeth = many(numbers, richness, 8, 44);
    let pitch = numbers.length(12.0, 32.0, 2.0);
    let (back, tooth) = (numbers.length(30.0, 60.0, 5.0), pitch * 0.6);
    let radius = *numbers.of(&[0.0, 0.0, 1.0, 2.0]);
    let width = pitch * teeth as f64;
    let mut corners = vec![(0.0, 0.0, 0.0), (width, 0.0, 0.0)];
    for i in (0..teeth).rev() {
        let x = pitch * i as f64;
        corners.extend([
            (x + pitch, back, 0.0),
            (x + pitch * 0.8, back, radius),
            (x + pitch * 0.65, back + tooth, radius),
            (x + pitch * 0.35, back + tooth, radius),
            (x + pitch * 0.2, back, radius),
        ]);
    }
    corners.push((0.0, back, 0.0));
    let mut outlines = vec![rounded(&corners)];
    let mut x = 40.0;
    while x < width - 20.0 {
        outlines.push(hole(x, back * 0.4, 12.0));
        x += 120.0;
    }
    Shape::new(outlines, width, back + tooth)
}

/// A panel of a walkway or a guard, with rows of slots.
pub fn panel(numbers: &mut Numbers, richness: f64) -> Shape {
    let (columns, rows) = (many(numbers, richness, 2, 12), many(numbers, richness, 2, 10));
    let (pitch, rise) = (numbers.length(80.0, 140.0, 10.0), numbers.length(50.0, 90.0, 10.0));
    let (width, height) = (pitch * columns as f64 + 60.0, rise * rows as f64 + 60.0);
    let radius = *numbers.of(&[0.0, 20.0, 40.0]);
    let mut outlines = vec![rectangle(0.0, 0.0, width, height, radius)];
    for i in 0..columns * rows {
        let x = 30.0 + pitch * ((i % columns) as f64 + 0.5);
        let y = 30.0 + rise * ((i / columns) as f64 + 0.5);
        outlines.push(slot(x, y, rise * 0.4, pitch * 0.4));
    }
    Shape::new(outlines, width, height)
}

/// A rolled or hollow section with its radii: I, channel, angle, rectangular hollow.
pub fn profile(numbers: &mut Numbers, _: f64) -> Shape {
    let (width, height) = (numbers.length(80.0, 300.0, 10.0), numbers.length(120.0, 600.0, 10.0));
    let (web, flange) = (numbers.length(5.0, 14.0, 0.5), numbers.length(8.0, 24.0, 0.5));
    let root = numbers.length(9.0, 21.0, 3.0);
    let outlines = match numbers.below(4) {
        0 => {
            let (left, right) = ((width - web) / 2.0, (width + web) / 2.0);
            let upper = height - flange;
            vec![rounded(&[
                (0.0, 0.0, 0.0),
                (width, 0.0, 0.0),
                (width, flange, 0.0),
                (right, flange, root),
                (right, upper, root),
                (width, upper, 0.0),
                (width, height, 0.0),
                (0.0, height, 0.0),
                (0.0, upper, 0.0),
                (left, upper, root),
                (left, flange, root),
                (0.0, flange, 0.0),
            ])]
        }
        1 => vec![rounded(&[
            (0.0, 0.0, 0.0),
            (width, 0.0, 0.0),
            (width, flange, root / 3.0),
            (web, flange, root),
            (web, height - flange, root),
            (width, height - flange, root / 3.0),
            (width, height, 0.0),
            (0.0, height, 0.0),
        ])],
        2 => vec![rounded(&[
            (0.0, 0.0, 0.0),
            (width, 0.0, 0.0),
            (width, web, root / 3.0),
            (web, web, root),
            (web, height, root / 3.0),
            (0.0, height, 0.0),
        ])],
        _ => vec![
            rectangle(0.0, 0.0, width, height, 2.0 * web),
            rectangle(web, web, width - 2.0 * web, height - 2.0 * web, web),
        ],
    };
    Shape::new(outlines, width, height)
}
