//! A schedule of few sections, upright: a line for each property and a column for each section, so that it is read down
//! the page as a calculation is.

use super::super::cell::Part;
use super::super::shown::{cut, pushed_right, shown, width, wrapped};
use super::super::{Column, ColumnKey, Format, Row, Style};
use super::{Cut, GAP, HEADING, Page, Whose};

/// More sections have a row each.
pub(super) const MOST: usize = 4;

/// As wide as it becomes; a wider terminal helps nobody to read down a column.
const WIDEST: usize = Format::USUAL_WIDTH;

/// A name of a property that has to be broken into lines is given no less than this.
const NARROWEST_NAME: usize = 12;

/// Text that needs more lines in its column is cut instead.
const MOST_LINES: usize = 3;

/// What a property says of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Subject {
    /// Which section it is; stands at the head of its column.
    Name,
    Place,
    Plate,
    Axes,
    Principal,
    Plastic,
    Stated,
    Field,
    Evidence,
}

impl Subject {
    /// Those that have a heading, in their order.
    const HEADED: [Subject; 8] = [
        Subject::Place,
        Subject::Plate,
        Subject::Axes,
        Subject::Principal,
        Subject::Plastic,
        Subject::Stated,
        Subject::Field,
        Subject::Evidence,
    ];

    fn heading(self) -> &'static str {
        match self {
            Subject::Name => "",
            Subject::Place => "Area, place and centroid",
            Subject::Plate => "Cut as a plate",
            Subject::Axes => "About x and y through the centroid",
            Subject::Principal => "About the principal axes 1 and 2",
            Subject::Plastic => "Plastic, about axes that halve the area",
            Subject::Stated => "About the axes of the job",
            Subject::Field => "Torsion, warping and shear",
            Subject::Evidence => "Evidence",
        }
    }

    /// Names every column, so that a new one finds its place.
    fn of(key: ColumnKey) -> Subject {
        use ColumnKey as K;
        match key {
            K::Drawing | K::Section | K::Layer | K::Status | K::Label | K::Findings => Subject::Name,
            K::Parts
            | K::Holes
            | K::Area
            | K::Perimeter
            | K::XMin
            | K::XMax
            | K::YMin
            | K::YMax
            | K::CentroidX
            | K::CentroidY
            | K::MassPerLength => Subject::Place,
            K::SecondMomentX
            | K::SecondMomentY
            | K::ProductMomentXy
            | K::GyrationX
            | K::GyrationY
            | K::ElasticModulusXTop
            | K::ElasticModulusXBottom
            | K::ElasticModulusYLeft
            | K::ElasticModulusYRight => Subject::Axes,
            K::SecondMoment1
            | K::SecondMoment2
            | K::PrincipalAngle
            | K::Gyration1
            | K::Gyration2
            | K::ElasticModulus1Top
            | K::ElasticModulus1Bottom
            | K::ElasticModulus2Left
            | K::ElasticModulus2Right => Subject::Principal,
            K::PlasticModulusX
            | K::PlasticModulusY
            | K::PlasticModulus1
            | K::PlasticModulus2
            | K::PlasticAxisY
            | K::PlasticAxisX => Subject::Plastic,
            K::StripCheck | K::DrawingUnit => Subject::Evidence,
            K::Thickness
            | K::Mass
            | K::CutLength
            | K::Pierces
            | K::StockLength
            | K::StockWidth
            | K::StockAngle
            | K::BalanceX
            | K::BalanceY
            | K::OuterPerimeter
            | K::InnerPerimeter => Subject::Plate,
            K::StatedPointX
            | K::StatedPointY
            | K::StatedAngle
            | K::StatedSecondMomentX
            | K::StatedSecondMomentY
            | K::StatedProductMomentXy => Subject::Stated,
            K::TorsionConstant
            | K::TorsionConstantLower
            | K::TorsionConstantUpper
            | K::WarpingConstant
            | K::WarpingConstantError
            | K::ShearCentreX
            | K::ShearCentreY
            | K::ShearCentreFromCentroidX
            | K::ShearCentreFromCentroidY
            | K::ShearCentreError
            | K::ShearAreaX
            | K::ShearAreaXError
            | K::ShearAreaY
            | K::ShearAreaYError
            | K::ShearArea1
            | K::ShearArea1Error
            | K::ShearArea2
            | K::ShearArea2Error
            | K::Monosymmetry1
            | K::Monosymmetry1Error
            | K::Monosymmetry2
            | K::Monosymmetry2Error
            | K::TorsionStress
            | K::TorsionStressError
            | K::TorsionStressX
            | K::TorsionStressY
            | K::SharpCorners
            | K::FieldUnknowns => Subject::Field,
        }
    }
}

/// A property with what each section has of it.
struct Property {
    /// `None` for the numbers of the sections.
    key: Option<ColumnKey>,
    name: String,
    unit: String,
    /// Words may be broken into lines or cut, figures never.
    words: bool,
    cells: Vec<String>,
}

impl Property {
    /// How wide its name is with the unit behind it.
    fn room(&self) -> usize {
        let unit = width(&self.unit);
        width(&self.name) + if unit > 0 { 1 + unit } else { 0 }
    }

    /// Its name in lines of this width, the unit at the end of the last.
    fn name_lines(&self, room: usize) -> Vec<String> {
        let mut lines = wrapped(&self.name, room);
        let unit = width(&self.unit);
        let last = lines.last().map_or(0, |line| width(line));
        if unit > 0 && last + 1 + unit > room {
            lines.push(String::new());
        }
        if let Some(last) = lines.last_mut() {
            let space = room.saturating_sub(width(last) + unit);
            *last = format!("{last}{}{}", " ".repeat(space), self.unit);
        }
        lines
    }
}

/// Lines that belong together under a heading, which may be empty.
struct Heap {
    heading: &'static str,
    properties: Vec<Property>,
}

/// Writes the sections side by side, as many as fit; where not all do, in several blocks below one another.
pub(super) fn table(page: &mut Page, sections: &[Row], style: Style, whose: &Whose, cuts: &mut Vec<Cut>) {
    let heaps = heaps(sections, style, whose);
    let limit = page.line.min(WIDEST);
    let (names, blocks) = layout(&heaps, sections.len(), limit);
    for (k, block) in blocks.iter().enumerate() {
        if k > 0 {
            page.paragraph("", 0);
        }
        write_block(page, &heaps, names, block, cuts);
    }
}

/// The numbers and names at the head, then what is to be told of the sections: under headings, or in the order in which
/// columns were chosen.
fn heaps(sections: &[Row], style: Style, whose: &Whose) -> Vec<Heap> {
    let mut head = Vec::new();
    if sections.len() > 1 {
        let cells = (1..=sections.len()).map(|number| number.to_string()).collect();
        let (name, unit) = (String::new(), String::new());
        head.push(Property { key: None, name, unit, words: false, cells });
    }
    let named = |key: ColumnKey, cells: Vec<String>| Property {
        key: Some(key),
        name: key.name().to_owned(),
        unit: String::new(),
        words: true,
        cells,
    };
    if !whose.is_one {
        head.push(named(ColumnKey::Drawing, sections.iter().map(|row| shown(whose.path(row))).collect()));
    }
    if sections.iter().any(|row| !row.section().is_empty()) {
        head.push(named(ColumnKey::Section, sections.iter().map(|row| shown(row.section())).collect()));
    }
    let told: Vec<(Subject, Property)> = style
        .written()
        .into_iter()
        .filter_map(|(at, column)| Some((Subject::of(column.key), property(at, column, sections, style)?)))
        .collect();
    if style.choice.is_some() {
        let properties = told.into_iter().map(|(_, property)| property).collect();
        return vec![Heap { heading: "", properties: head }, Heap { heading: "", properties }];
    }
    let mut heaps = vec![Heap { heading: "", properties: head }];
    heaps.extend(Subject::HEADED.map(|subject| Heap { heading: subject.heading(), properties: Vec::new() }));
    for (subject, property) in told {
        let at = Subject::HEADED.iter().position(|headed| *headed == subject).map_or(0, |at| at + 1);
        heaps[at].properties.push(property);
    }
    heaps
}

/// The line of a column; `None` for what stands elsewhere, tells nothing new, or is empty for every section.
fn property(at: usize, column: &Column, sections: &[Row], style: Style) -> Option<Property> {
    let is_elsewhere =
        matches!(column.key, ColumnKey::Drawing | ColumnKey::Section) || column.holds_findings();
    let is_known = column.key == ColumnKey::Layer && sections.iter().all(|row| row.layer() == row.section());
    if is_elsewhere || is_known {
        return None;
    }
    let parts: Vec<Part> = sections.iter().map(|row| row.cells.get(at).unwrap_or(Part::Empty)).collect();
    if parts.iter().all(|part| *part == Part::Empty) {
        return None;
    }
    let words = parts.iter().any(|part| matches!(part, Part::Text(_)));
    let cells = parts.iter().map(|part| match part {
        Part::Empty => String::new(),
        Part::Text(text) => shown(text),
        Part::Number(figure) => (*figure).to_owned(),
    });
    Some(Property {
        key: Some(column.key),
        name: column.key.name().replace('_', " "),
        unit: column.quantity.unit_text(style.units()).unwrap_or_default(),
        words,
        cells: cells.collect(),
    })
}

/// Sections side by side: which they are, from the first on, and how wide the column of each is.
struct Block {
    first: usize,
    widths: Vec<usize>,
}

/// How wide the names of the properties are, and which sections stand side by side within the limit: in as few blocks as
/// there can be, of as many sections each.
fn layout(heaps: &[Heap], sections: usize, limit: usize) -> (usize, Vec<Block>) {
    let all = || heaps.iter().flat_map(|heap| &heap.properties);
    let names = all().map(Property::room).max().unwrap_or(0);
    // For each section how wide its figures are, and how wide its words.
    let widest = |section: usize, words: bool| {
        let cells = all().filter(|property| property.words == words);
        cells.filter_map(|property| property.cells.get(section)).map(|cell| width(cell)).max().unwrap_or(0)
    };
    let needs: Vec<[usize; 2]> = (0..sections).map(|k| [widest(k, false), widest(k, true)]).collect();
    // What a column needs where its words are given so much.
    let needed = |section: usize, room: usize| {
        needs.get(section).map_or(0, |[figures, words]| *figures.max(&(*words).min(room)))
    };
    let widths_of = |first: usize, count: usize, room: usize| -> Vec<usize> {
        (first..sections.min(first + count)).map(|section| needed(section, room)).collect()
    };
    let used = |widths: &[usize]| names + widths.iter().map(|width| GAP + width).sum::<usize>();
    let fits = |count: usize| {
        (0..sections).step_by(count).all(|first| used(&widths_of(first, count, HEADING)) <= limit)
    };
    let count = (1..=sections).map(|blocks| sections.div_ceil(blocks)).find(|count| fits(*count));
    let Some(count) = count else {
        // Not one has room beside names in one line.
        let widest = (0..sections).map(|section| needed(section, HEADING)).max().unwrap_or(0);
        let names = limit.saturating_sub(GAP + widest).max(NARROWEST_NAME);
        let room = limit.saturating_sub(names + GAP);
        let blocks = (0..sections).map(|first| Block { first, widths: widths_of(first, 1, room) });
        return (names, blocks.collect());
    };
    let blocks = (0..sections).step_by(count).map(|first| {
        // Names are cut no more than there is need to.
        let rooms = (HEADING..=limit).rev().map(|room| widths_of(first, count, room));
        let widths = rooms.into_iter().find(|widths| used(widths) <= limit);
        Block { first, widths: widths.unwrap_or_else(|| widths_of(first, count, HEADING)) }
    });
    (names, blocks.collect())
}

fn write_block(page: &mut Page, heaps: &[Heap], names: usize, block: &Block, cuts: &mut Vec<Cut>) {
    let all = names + block.widths.iter().map(|width| GAP + width).sum::<usize>();
    let here = block.first..block.first + block.widths.len();
    for (k, heap) in heaps.iter().enumerate() {
        // What none of these sections has is left out, as of sections that failed.
        let is_known = |property: &&Property| {
            property.cells.get(here.clone()).is_some_and(|cells| cells.iter().any(|cell| !cell.is_empty()))
        };
        let properties: Vec<&Property> = heap.properties.iter().filter(is_known).collect();
        if properties.is_empty() {
            continue;
        }
        if k > 0 {
            let heading = if heap.heading.is_empty() { String::new() } else { format!("{} ", heap.heading) };
            let rest = all.saturating_sub(width(&heading));
            page.line(&format!("{heading}{}", "─".repeat(rest)));
        }
        for property in properties {
            write_property(page, property, names, block, cuts);
        }
    }
}

fn write_property(page: &mut Page, property: &Property, names: usize, block: &Block, cuts: &mut Vec<Cut>) {
    let name = property.name_lines(names);
    let mut cells: Vec<Vec<String>> = Vec::new();
    for (k, room) in block.widths.iter().enumerate() {
        let row = block.first + k;
        let cell = property.cells.get(row).map_or("", String::as_str);
        let words = property.key.filter(|_| property.words);
        cells.push(match words.map(|key| (key, broken(cell, *room))) {
            None => vec![cell.to_owned()],
            Some((_, Some(lines))) => lines,
            Some((key, None)) => {
                cuts.push(Cut { row, key, text: cell.to_owned() });
                vec![cut(cell, *room)]
            }
        });
    }
    let tallest = cells.iter().map(Vec::len).chain([name.len()]).max().unwrap_or(1);
    for k in 0..tallest {
        let begin = name.get(k).map_or("", String::as_str);
        let mut line = format!("{begin}{}", " ".repeat(names.saturating_sub(width(begin))));
        for (lines, room) in cells.iter().zip(&block.widths) {
            // Beside a name in several lines a figure stands where the unit does.
            let above = name.len().saturating_sub(lines.len());
            let cell = k.checked_sub(above).and_then(|k| lines.get(k)).map_or("", String::as_str);
            line.push_str(&" ".repeat(GAP));
            line.push_str(&pushed_right(cell, *room));
        }
        page.line(&line);
    }
}

/// Text in lines of this width, broken between words alone; `None` where that takes too many lines, or a word is wider.
fn broken(text: &str, room: usize) -> Option<Vec<String>> {
    if text.split(' ').any(|word| width(word) > room) {
        return None;
    }
    let lines: Vec<String> = wrapped(text, room).iter().map(|line| line.trim_end().to_owned()).collect();
    (lines.len() <= MOST_LINES).then_some(lines)
}

#[cfg(test)]
mod tests {
    use super::super::NARROWEST;
    use super::*;
    use crate::drawing::Drawing;
    use crate::finding::{Code, Finding};
    use crate::measure::{Measurement, Options, drawing as measured};
    use crate::schedule::{ColumnChoice, Digits, TextRows, write_csv};

    /// Plates on these layers, as wide as their number in the list times 120, 25 high and a little off the axes.
    fn plates(name: &str, layers: &[&str], unit: u8, options: &Options) -> Vec<Measurement> {
        let plate = |(k, layer): (usize, &&str)| {
            let (x, w) = (200.25 * k as f64 - 7.5, 120.0 * (k + 1) as f64);
            let corners = [(x, 10.0), (x + w, 10.0), (x + w + 3.0, 35.0), (x, 35.0)];
            let corners: String = corners.iter().map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).collect();
            format!("0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n{corners}")
        };
        let entities: String = layers.iter().enumerate().map(plate).collect();
        let text = format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{unit}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
        );
        let drawing = Drawing::read(text.as_bytes()).unwrap();
        measured(name, &drawing, options).measurements
    }

    fn written(rows: &[Measurement], style: Style, line: usize) -> String {
        let mut text = Vec::new();
        super::super::write(&Row::all(rows, style), style, line, &mut text).unwrap();
        String::from_utf8(text).unwrap()
    }

    /// What stands beside the name of each property, without its unit, in the order of the lines; of several blocks one after
    /// the other.
    fn beside(text: &str, name: &str, unit: &str) -> Vec<String> {
        // The drawing's unit begins as the drawing does.
        let begin = if unit.is_empty() { "  " } else { " " };
        let lines = text.lines().filter_map(|line| line.strip_prefix(name)?.strip_prefix(begin));
        let cells = lines.filter_map(|rest| rest.trim_start().strip_prefix(unit));
        cells.flat_map(str::split_whitespace).map(str::to_owned).collect()
    }

    /// Every figure is the CSV's, at any width that has room for names in one line, in any unit and with any digits.
    #[test]
    fn figures_are_those_of_the_csv() {
        let options = Options::with(|options| {
            options.density = Some(7850.0);
            options.thickness_mm = Some(12.5);
        });
        let rows = plates("a.dxf", &["LUG", "PLATE", "RIB", "WEB"], 4, &options);
        for (line, digits) in [(80, Digits::SIX), (52, Digits::SIX), (80, Digits::FULL), (200, Digits::FULL)]
        {
            for unit in [crate::drawing::LengthUnit::Millimetre, crate::drawing::LengthUnit::Inch] {
                for count in 1..=MOST {
                    let style = Style::with(|style| {
                        (style.unit, style.digits, style.plates) = (unit, digits, true);
                    });
                    let text = written(&rows[..count], style, line);
                    let mut csv = Vec::new();
                    write_csv(&rows[..count], style, &mut csv).unwrap();
                    let (_, mut reading) = TextRows::of(std::str::from_utf8(&csv).unwrap()).unwrap();
                    let mut records: Vec<Vec<String>> = Vec::new();
                    while let Some((_, cells)) = reading.next_row().unwrap() {
                        records.push(cells.iter().map(|cell| (*cell).to_owned()).collect());
                    }
                    let mut compared = 0;
                    for (at, column) in style.columns().enumerate() {
                        let wanted = || records.iter().map(|cells| cells[at].as_str());
                        let name = column.key.name().replace('_', " ");
                        let unit = column.quantity.unit_text(style.units()).unwrap_or_default();
                        if Subject::of(column.key) == Subject::Name || column.key == ColumnKey::DrawingUnit {
                            continue;
                        }
                        let found = beside(&text, &name, &unit);
                        assert_eq!(found, wanted().collect::<Vec<_>>(), "{name} at {line}: {text}");
                        compared += found.len();
                    }
                    assert!(compared > 40 * count, "{compared}");
                }
            }
        }
    }

    #[test]
    fn headings_stand_in_their_order() {
        let rows = plates("a.dxf", &["LUG"], 4, &Options::default());
        let text = written(&rows, Style::default(), 80);
        let places: Vec<Option<usize>> = [
            "drawing: a.dxf\n\n",
            "section ",
            "status ",
            "Area, place and centroid ─",
            "area ",
            "centroid y ",
            "About x and y through the centroid ─",
            "second moment x ",
            "elastic modulus y right ",
            "About the principal axes 1 and 2 ─",
            "second moment 1 ",
            "Plastic, about axes that halve the area ─",
            "plastic modulus x ",
            "Evidence ─",
            "strip check ",
        ]
        .iter()
        .map(|words| text.find(words))
        .collect();
        assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{places:?} {text}");
        for absent in ["Cut as a plate", "About the axes of the job", "layer", "mass per", "total", "In full"]
        {
            assert!(!text.contains(absent), "{absent}: {text}");
        }
    }

    #[test]
    fn five_sections_have_a_row_each() {
        let rows = plates("a.dxf", &["A", "B", "C", "D", "E"], 4, &Options::default());
        let upright = |count: usize| {
            let text = written(&rows[..count], Style::default(), 80);
            text.lines().any(|line| line.starts_with("second moment x "))
        };
        assert_eq!([1, 4, 5].map(upright), [true, true, false]);
    }

    /// As few blocks as there can be, and no section without its neighbours' company where it could have it.
    #[test]
    fn what_has_no_room_stands_below() {
        let rows = plates("a.dxf", &["A", "B", "C", "D"], 4, &Options::default());
        let blocks = |line: usize| {
            let text = written(&rows, Style::default(), line);
            let numbers = text.lines().take_while(|line| !line.starts_with("total"));
            let numbers = numbers.filter(|line| line.trim().starts_with(|c: char| c.is_ascii_digit()));
            numbers.map(|line| line.split_whitespace().count()).collect::<Vec<_>>()
        };
        assert_eq!(
            [NARROWEST, 55, 70, 80, 200].map(blocks),
            [vec![1, 1, 1, 1], vec![2, 2], vec![2, 2], vec![4], vec![4]]
        );
        // Names that need several lines have their figures beside the unit.
        let text = written(&rows, Style::default(), NARROWEST);
        assert!(text.contains("\nelastic modulus x"), "{text}");
    }

    #[test]
    fn chosen_columns_keep_their_order() {
        let rows = plates("a.dxf", &["LUG", "WEB"], 4, &Options::default());
        let style = Style::with(|style| style.choice = ColumnChoice::of("perimeter,status,area,x_min").ok());
        let text = written(&rows, style, 80);
        let names: Vec<&str> = text
            .lines()
            .skip(2)
            .take_while(|line| !line.is_empty())
            .map(|line| line.split("  ").next().unwrap())
            .collect();
        assert_eq!(names.len(), 7, "{text}");
        assert!(names[2].starts_with('─') && names[1] == "section", "{text}");
        let begin = |at: usize| names[at].split(' ').next().unwrap();
        assert_eq!([3, 4, 5, 6].map(begin), ["perimeter", "status", "area", "x"], "{text}");
    }

    #[test]
    fn names_stay_apart() {
        let long =
            |end: &str| format!("GIRDER-FLANGE-OF-THE-NORTHERN-SPAN-{end}-WITH-ALL-ITS-HOLES-AS-DRAWN");
        let (left, right) = (long("LEFT"), long("RIGHT"));
        let mut rows =
            plates("yard/a.dxf", &[&left, &right, "LIFTING LUG OF THE END PLATE"], 0, &Options::default());
        rows.extend(plates("yard/b.dxf", &[&left], 4, &Options::default()));
        let text = written(&rows, Style::default(), 80);
        assert!(text.starts_with("drawings in yard/\n\n"), "{text}");
        assert_eq!(beside(&text, "drawing", ""), ["a.dxf", "a.dxf", "a.dxf", "b.dxf"], "{text}");
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let below = words.split("In full, where … stands above:").nth(1).unwrap_or_else(|| panic!("{text}"));
        let below = below.split(" total: ").next().unwrap();
        for (number, name) in [(1, &left), (2, &right), (4, &left)] {
            assert!(below.contains(&format!("{number} section: {name}")), "{text}");
        }
        // What can be broken between words is not cut.
        assert!(!below.contains("LIFTING") && text.contains(" LIFTING"), "{text}");
    }

    #[test]
    fn what_failed_has_no_figures() {
        let mut rows = plates("a.dxf", &["LUG"], 4, &Options::default());
        rows.push(Measurement::failed("c.dxf", Finding::of(Code::FileEmpty)));
        let text = written(&rows, Style::default(), 80);
        assert_eq!(beside(&text, "status", ""), ["ok", "failed"], "{text}");
        assert_eq!(beside(&text, "area", "mm²").len(), 1, "{text}");
        assert!(text.contains("Findings\n  2 c.dxf\n    failure: "), "{text}");
        // Below the others it has no empty lines either.
        let text = written(&rows, Style::default(), NARROWEST);
        let count = |words: &str| text.lines().filter(|line| line.starts_with(words)).count();
        assert_eq!([count("status "), count("area "), count("Evidence ")], [2, 1, 1], "{text}");
        // Of what failed alone there is nothing but that.
        let text = written(&rows[1..], Style::default(), 80);
        assert!(
            text.starts_with("drawing: c.dxf\n\nstatus  failed\n\nFindings\n  c.dxf\n    failure: "),
            "{text}"
        );
    }

    #[test]
    fn texts_are_broken_between_words() {
        let lines = |text: &str, room| broken(text, room);
        assert_eq!(lines("mm (assumed)", 12), Some(vec!["mm (assumed)".to_owned()]));
        assert_eq!(lines("mm (assumed)", 9), Some(vec!["mm".to_owned(), "(assumed)".to_owned()]));
        assert_eq!((lines("mm (assumed)", 8), lines("a b c d", 2)), (None, None));
        assert_eq!(lines("", 5), Some(vec![String::new()]));
    }
}
