//! Every line of the working on a sheet, reckoned again from nothing but the printed text: whoever follows it with a pocket
//! calculator arrives at the printed values.

use crate::run;

use run::{Folder, fixture};

/// The text of markup without tags, references resolved.
fn text(markup: &str) -> String {
    let mut out = String::new();
    let mut within = false;
    for letter in markup.chars() {
        match letter {
            '<' => within = true,
            '>' => within = false,
            _ if !within => out.push(letter),
            _ => {}
        }
    }
    [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&amp;", "&")]
        .iter()
        .fold(out, |text, (from, to)| text.replace(from, to))
}

/// A printed number; `None` for an empty cell.
fn number(text: &str) -> Option<f64> {
    text.trim().replace('−', "-").parse().ok()
}

/// One unit of the last printed digit; zeros at the end are not printed, but nine digits hold at least.
fn unit(text: &str) -> f64 {
    let text = text.trim().trim_start_matches('−');
    let mantissa = text.split('e').next().unwrap();
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let count = digits.trim_start_matches('0').len().max(9);
    let value = number(text).unwrap();
    if value == 0.0 {
        0.0
    } else {
        10_f64.powi(value.abs().log10().floor() as i32 + 1 - count as i32) * 1.001
    }
}

/// Reckons `a + b × c² / √(d)` and the like.
struct Calculator {
    letters: Vec<char>,
    at: usize,
    /// The largest value on the way, beside which a difference may be rounding.
    largest: f64,
}

impl Calculator {
    fn reckon(text: &str) -> (f64, f64) {
        // The sign of an exponent is none of a difference.
        let text = text.replace("e−", "e-");
        let letters = text.chars().filter(|letter| !letter.is_whitespace()).collect();
        let mut calculator = Calculator { letters, at: 0, largest: 0.0 };
        let value = calculator.sum();
        assert_eq!(calculator.at, calculator.letters.len(), "not all of “{text}” was understood");
        (value, calculator.largest)
    }

    fn next_is(&mut self, word: &str) -> bool {
        let word: Vec<char> = word.chars().collect();
        let found = self.letters[self.at..].starts_with(&word);
        if found {
            self.at += word.len();
        }
        found
    }

    fn sum(&mut self) -> f64 {
        let mut value = self.product();
        loop {
            if self.next_is("+") {
                value += self.product();
            } else if self.next_is("−") {
                value -= self.product();
            } else {
                return value;
            }
        }
    }

    fn product(&mut self) -> f64 {
        let mut value = self.power();
        loop {
            if self.next_is("×") {
                value *= self.power();
            } else if self.next_is("/") {
                value /= self.power();
            } else {
                self.largest = self.largest.max(value.abs());
                return value;
            }
        }
    }

    fn power(&mut self) -> f64 {
        let value = self.factor();
        if self.next_is("²") { value * value } else { value }
    }

    fn factor(&mut self) -> f64 {
        for (word, apply) in [
            ("√(", f64::sqrt as fn(f64) -> f64),
            ("cos(", |degrees| degrees.to_radians().cos()),
            ("sin(", |degrees| degrees.to_radians().sin()),
            ("arctan(", |value| value.atan().to_degrees()),
            ("(", |value| value),
        ] {
            if self.next_is(word) {
                let value = apply(self.sum());
                assert!(self.next_is(")"), "a bracket is not closed");
                return value;
            }
        }
        let sign = if self.next_is("−") { -1.0 } else { 1.0 };
        let rest: String = self.letters[self.at..].iter().collect();
        let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == 'e')).unwrap_or(rest.len());
        // 1e-5 has a sign within.
        let end = if rest[..end].ends_with('e') {
            let tail = &rest[end + 1..];
            end + 1 + tail.find(|c: char| !c.is_ascii_digit()).unwrap_or(tail.len())
        } else {
            end
        };
        self.at += rest[..end].chars().count();
        let value: f64 = rest[..end].parse().unwrap_or_else(|_| panic!("no number at “{rest}”"));
        self.largest = self.largest.max(value.abs());
        sign * value
    }
}

/// Holds a printed value against what it is reckoned from; differences of what nearly cancels are as good as their terms.
fn hold(what: &str, printed: &str, reckoned: f64, largest: f64) {
    let value = number(printed).unwrap_or_else(|| panic!("{what}: no number “{printed}”"));
    // Where terms cancel, nine digits of the largest is all that their digits can give.
    let slack = unit(printed).max(if value == 0.0 { 4e-8 * largest } else { 0.0 });
    assert!((value - reckoned).abs() <= slack, "{what}: printed {printed}, reckoned {reckoned}");
}

/// The rows of a table: cells as text, heads of rows first.
fn rows(table: &str) -> Vec<Vec<String>> {
    rows_of(table.split("</thead>").nth(1).unwrap())
}

fn rows_of(body: &str) -> Vec<Vec<String>> {
    body.split("<tr")
        .skip(1)
        .map(|row| {
            let cells = row.split("<t").skip(1).filter(|cell| cell.starts_with('h') || cell.starts_with("d"));
            cells.map(|cell| text(&format!("<t{}", cell.split("</t").next().unwrap()))).collect()
        })
        .collect()
}

fn tables<'a>(article: &'a str, class: &str) -> Vec<&'a str> {
    let start = format!("<table class=\"figures {class}\">");
    article.split(start.as_str()).skip(1).map(|rest| rest.split("</table>").next().unwrap()).collect()
}

/// The numbers of the last cells, and the sum below them.
fn sums(what: &str, rows: &[Vec<String>], columns: std::ops::Range<usize>) {
    let (foot, body) = rows.split_last().unwrap();
    for column in columns {
        let terms = body.iter().map(|row| number(&row[column]).unwrap());
        let largest = terms.clone().map(f64::abs).sum();
        hold(&format!("{what}, sum of column {column}"), &foot[column], terms.sum(), largest);
    }
}

/// The largest value of a column: what is far smaller is written as 0.
fn largest(rows: &[Vec<String>], column: usize) -> f64 {
    rows.iter().filter_map(|row| number(&row[column])).map(f64::abs).fold(0.0, f64::max)
}

/// Area and own second moments of a circular segment from its measures, whose centroid is held too.
fn segment(what: &str, words: &[&str], centroid: [&String; 2]) -> (f64, f64, f64) {
    let measure = |k: usize| number(words[k].trim_matches(['°', '(', ')'])).unwrap();
    let (r, phi, towards) = (measure(3), measure(6).to_radians(), measure(9).to_radians());
    let (half_sine, half_cosine) = ((phi / 2.0).sin(), (phi / 2.0).cos());
    let area = r * r * (phi - phi.sin()) / 2.0;
    let out = 4.0 * r * half_sine.powi(3) / (3.0 * (phi - phi.sin()));
    let about = r.powi(4) * ((phi - phi.sin()) / 8.0 - half_sine.powi(3) * half_cosine / 6.0);
    let across =
        r.powi(4) * ((phi + phi.sin()) / 8.0 - half_cosine.powi(3) * half_sine / 2.0) - area * out * out;
    let (sine, cosine) = towards.sin_cos();
    hold(&format!("{what}: x′ of a segment"), centroid[0], measure(12) + out * cosine, r);
    hold(&format!("{what}: y′ of a segment"), centroid[1], measure(14) + out * sine, r);
    let own = |first: f64, second: f64| across * first * first + about * second * second;
    (area, own(sine, cosine), own(cosine, sine))
}

/// What the table of both sides has of each equal-area axis.
fn axes(article: &str) -> Vec<&str> {
    let start = "<tr class=\"axis\">";
    tables(article, "cut").iter().flat_map(|table| table.split(start).skip(1)).collect()
}

/// Holds the tables of both sides of each equal-area axis; gives how many values were held.
fn both_sides(what: &str, article: &str, pieces: &[Vec<String>], counted: usize) -> usize {
    let mut held = 0;
    let steps: String = article.split("<p class=\"step\">").skip(1).map(text).collect();
    for axis in axes(article) {
        let caption = text(axis.split("</th>").next().unwrap());
        let level = caption.split("axis at ").nth(1).and_then(|at| {
            let (letter, level) = at.split(';').next()?.split_once(" = ")?;
            Some((letter.to_owned(), number(level)?))
        });
        // Behind the row that names the axis.
        let rows = rows_of(axis.split_once("</tr>").unwrap().1);
        let (foot, body) = rows.split_last().unwrap();
        let cell = |row: &[String], column: usize| number(&row[column]).unwrap_or(0.0);
        let most = |column: usize| body.iter().map(|row| cell(row, column).abs()).fold(0.0, f64::max);
        for column in [1, 3, 4, 6] {
            let terms = body.iter().map(|row| cell(row, column));
            let largest = terms.clone().map(f64::abs).sum();
            hold(&format!("{what}: {caption}, sum"), &foot[column], terms.sum(), largest);
            held += 1;
        }
        let halves = [cell(foot, 1), cell(foot, 4)];
        assert!((halves[0] - halves[1]).abs() <= 1e-7 * halves[0], "{what}: {caption}: {halves:?}");
        // The sums are what the step goes on with.
        let shown = |text: &str| if text.starts_with('−') { format!("({text})") } else { text.to_owned() };
        let goes_on = format!("{} + {}", shown(&foot[3]), shown(&foot[6]));
        assert!(steps.contains(&goes_on), "{what}: {caption}: {goes_on}");
        assert_eq!(body.len(), pieces.len(), "{what}: {caption}");
        for (row, piece) in body.iter().zip(pieces) {
            let of = format!("{what}: {caption}, {}", row[0]);
            assert_eq!(row[0], piece[0], "{of}");
            for side in [1, 4] {
                if row[side] != "–" {
                    let product = cell(row, side) * cell(row, side + 1);
                    hold(&of, &row[side + 2], product, most(side + 2));
                    held += 1;
                }
            }
            let area = cell(piece, counted + 1);
            let sum = cell(row, 1) + cell(row, 4);
            // A rest of nearly nothing is a difference of whole areas.
            // Areas that are sums along edges carry the rounding of larger terms.
            let slack = 5e-8 * (cell(row, 1).abs() + cell(row, 4).abs()) + 1e-15 * most(1).max(most(4));
            assert!((sum - area).abs() <= slack, "{of}: {sum} of {area}");
            let Some((letter, level)) = &level else { continue };
            let at = cell(piece, counted + if letter == "x′" { 2 } else { 3 });
            let (upper, lower) = (cell(row, 3), cell(row, 6));
            let moment = area * (at - level);
            let slack = 5e-8 * (upper.abs() + lower.abs() + most(3).max(most(6)) + (area * at).abs());
            assert!((upper - lower - moment).abs() <= slack, "{of}: {upper} less {lower}, not {moment}");
            // What is cut of a rectangle is a rectangle.
            let words: Vec<&str> = row[0].split([' ', ',']).collect();
            if words[1] == "rectangle" && row[1] != "–" && row[4] != "–" {
                let (b, h) = (number(words[2]).unwrap(), number(words[4]).unwrap());
                let (wide, high) = if letter == "x′" { (h, b) } else { (b, h) };
                let above = at + high / 2.0 - level;
                let sign = area.signum();
                let count = area / (b * h) * sign;
                hold(&of, &row[1], sign * count * wide * above, area.abs());
                hold(&of, &row[2], above / 2.0, high);
                held += 2;
            }
            held += 2;
        }
    }
    held
}

/// Reckons one section again; gives how many values were held.
fn section(what: &str, article: &str) -> usize {
    let mut held = 0;
    for step in article.split("<p class=\"step\">").skip(1) {
        let step = text(step.split("</p>").next().unwrap());
        let parts: Vec<&str> = step.split(" = ").collect();
        // An equal-area axis stands behind some values with a sign of its own.
        let value_at = parts.iter().position(|part| part.contains("(equal-area")).unwrap_or(parts.len() - 1);
        let printed = parts[value_at].split_whitespace().next().unwrap();
        let (reckoned, largest) = Calculator::reckon(parts[value_at - 1]);
        hold(&format!("{what}: {step}"), printed, reckoned, largest);
        held += 1;
    }
    let Some(areas) = tables(article, "areas").first().map(|table| rows(table)) else { return held };
    let columns = areas[0].len();
    let counted = usize::from(columns == 7);
    let cell = |row: &[String], column: usize| number(&row[column]).unwrap();
    let (_, pieces) = areas.split_last().unwrap();
    for row in pieces {
        let [area, x, y] = [1, 2, 3].map(|k| cell(row, counted + k));
        hold(
            &format!("{what}: A·x′ of {}", row[0]),
            &row[counted + 4],
            area * x,
            largest(&areas, counted + 4),
        );
        hold(
            &format!("{what}: A·y′ of {}", row[0]),
            &row[counted + 5],
            area * y,
            largest(&areas, counted + 5),
        );
        held += 2;
    }
    for column in [1, 4, 5] {
        sums(&format!("{what}: pieces"), &areas, counted + column..counted + column + 1);
        held += 1;
    }
    let own = tables(article, "own").first().map(|table| rows(table));
    if let Some(own) = &own {
        sums(&format!("{what}: own"), own, 1..4);
        for (row, area) in own.iter().zip(pieces) {
            let count = if counted == 1 { number(&area[1]) } else { Some(1.0) };
            let Some(count) = count else { continue };
            let words: Vec<&str> = row[0].split([' ', ',']).collect();
            let measure = |k: usize| number(words[k]).unwrap();
            let expected = match words[1] {
                "rectangle" => {
                    let (b, h) = (measure(2), measure(4));
                    Some((b * h, b * h.powi(3) / 12.0, h * b.powi(3) / 12.0))
                }
                "circle" => {
                    let d: f64 = number(words[2].trim_start_matches('⌀')).unwrap();
                    let pi = std::f64::consts::PI;
                    Some((pi * d * d / 4.0, pi * d.powi(4) / 64.0, pi * d.powi(4) / 64.0))
                }
                "ring" => {
                    let (outer, inner) = words[2].trim_start_matches('⌀').split_once('/').unwrap();
                    let (outer, inner) = (number(outer).unwrap(), number(inner).unwrap());
                    let pi = std::f64::consts::PI;
                    let own = pi * (outer.powi(4) - inner.powi(4)) / 64.0;
                    Some((pi * (outer * outer - inner * inner) / 4.0, own, own))
                }
                "segment" => Some(segment(what, &words, [&area[counted + 2], &area[counted + 3]])),
                "right" => {
                    let (b, h) = (measure(3), measure(5));
                    Some((b * h / 2.0, b * h.powi(3) / 36.0, h * b.powi(3) / 36.0))
                }
                _ => None,
            };
            let Some((a, x, y)) = expected else { continue };
            hold(&format!("{what}: A of {}", row[0]), &area[counted + 1], count * a, a);
            hold(&format!("{what}: own I_x of {}", row[0]), &row[1], count * x, x);
            hold(&format!("{what}: own I_y of {}", row[0]), &row[2], count * y, y);
            held += 3;
        }
    }
    if let Some(transfer) = tables(article, "transfer").first().map(|table| rows(table)) {
        sums(&format!("{what}: transfer"), &transfer, 3..6);
        // Beside the section's own second moments.
        let moments = own.iter().flat_map(|own| [largest(own, 1), largest(own, 2)]);
        let most = moments.chain((3..6).map(|column| largest(&transfer, column))).fold(0.0, f64::max);
        for (row, area) in transfer.iter().zip(pieces) {
            let (area, dx, dy) = (cell(area, counted + 1), cell(row, 1), cell(row, 2));
            for (column, value) in [(3, area * dy * dy), (4, area * dx * dx), (5, area * dx * dy)] {
                hold(&format!("{what}: transfer of {}", row[0]), &row[column], value, most);
                held += 1;
            }
        }
    }
    held += both_sides(what, article, pieces, counted);
    for (first, second) in tables(article, "edges").iter().zip(tables(article, "edge-moments")) {
        let (first, second) = (rows(first), rows(second));
        sums(&format!("{what}: edges"), &first, 3..6);
        sums(&format!("{what}: moments of edges"), &second, 1..4);
        let (_, corners) = first.split_last().unwrap();
        let most = (1..4).map(|column| largest(&second, column)).fold(0.0, f64::max);
        for (k, (row, moments)) in corners.iter().zip(&second).enumerate() {
            if row[0].contains(' ') {
                // Arcs, ellipses and splines.
                continue;
            }
            let next = &corners[(k + 1) % corners.len()];
            let [x1, y1, x2, y2] = [cell(row, 1), cell(row, 2), cell(next, 1), cell(next, 2)];
            let c = cell(row, 3);
            hold(
                &format!("{what}: c of edge {}", row[0]),
                &row[3],
                x1 * y2 - x2 * y1,
                (x1 * y2).abs().max((x2 * y1).abs()),
            );
            for (printed, value) in [
                (&row[4], c * (x1 + x2)),
                (&row[5], c * (y1 + y2)),
                (&moments[1], c * (y1 * y1 + y1 * y2 + y2 * y2)),
                (&moments[2], c * (x1 * x1 + x1 * x2 + x2 * x2)),
                (&moments[3], c * (2.0 * x1 * y1 + x1 * y2 + x2 * y1 + 2.0 * x2 * y2)),
            ] {
                hold(&format!("{what}: edge {}", row[0]), printed, value, most.max(value.abs()));
                held += 1;
            }
        }
    }
    held
}

#[test]
fn every_line_of_every_fixture_from_its_printed_text() {
    let folder = Folder::with(&[]);
    let (mut held, mut sections) = (0, 0);
    let mut names: Vec<String> = std::fs::read_dir(fixture(""))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".dxf"))
        .collect();
    names.sort();
    for name in &names {
        let _ = std::fs::remove_file(folder.path().join("sheet.html"));
        let run = folder.run(&["sheet", &fixture(name), "--full", "-o", "sheet.html"]);
        // What can't be read, or holds no section, has no sheet.
        if run.code == 2 {
            continue;
        }
        let page = folder.read("sheet.html");
        for article in page.split("<article ").skip(1) {
            let title = text(article.split("</h2>").next().unwrap().split("<h2>").nth(1).unwrap());
            let of_this = section(&format!("{name}, {title}"), article);
            assert!(of_this > 0 || article.contains("Status: not measured"), "{name}, {title}: no working");
            held += of_this;
            sections += usize::from(of_this > 0);
        }
    }
    assert!(sections > 150 && held > 50 * sections / 2, "{held} values of {sections} sections");
}

/// Shapes with formulas beside plates, off the origin, and cut by the equal-area axes.
#[test]
fn rings_segments_and_what_axes_cut() {
    use crate::common::draw::{drawing, lwpolyline};
    let circle = |x: f64, y: f64, r: f64| format!("0\nCIRCLE\n8\nPOST\n10\n{x}\n20\n{y}\n40\n{r}\n");
    let plate = |x: f64, y: f64, b: f64, h: f64| {
        lwpolyline("POST", &[[x, y, 0.0], [x + b, y, 0.0], [x + b, y + h, 0.0], [x, y + h, 0.0]])
    };
    // A chord with an arc of 120 degrees over it: the bulge is the tangent of a quarter of the angle.
    let segment = lwpolyline("POST", &[[430.0, 130.0, 30.0_f64.to_radians().tan()], [370.0, 141.0, 0.0]]);
    let entities = circle(300.0, -40.0, 30.0)
        + &circle(300.0, -40.0, 22.0)
        + &plate(250.0, -90.0, 130.0, 16.0)
        + &plate(345.0, -60.0, 12.0, 170.0)
        + &segment;
    let folder = Folder::with(&[("post.dxf", &drawing(4, "", &entities))]);
    let run = folder.run(&["sheet", "post.dxf", "-o", "sheet.html"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = folder.read("sheet.html");
    let article = page.split("<article ").nth(1).unwrap();
    let held = section("post", article);
    assert!(held > 120, "{held} values");
    let names: Vec<String> =
        rows(tables(article, "areas")[0]).into_iter().map(|row| row[0].clone()).collect();
    let ring = names.iter().find(|name| name.contains(" ring ⌀60/44")).expect("a ring");
    assert!(ring.split(' ').next().unwrap().contains('+'), "{ring} is of two outlines");
    assert!(names.iter().any(|name| name.contains(" segment r ") && name.contains("φ 120°")), "{names:?}");
    // Both axes of the drawing and both principal ones.
    assert_eq!(axes(article).len(), 4);
}
