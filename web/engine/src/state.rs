//! What is kept between requests: the drawing that is looked at, and the rows of all.

use std::collections::BTreeMap;

use serde_json::{Value, json};
use tracearm::drawing::{Drawing, LayerIndex};
use tracearm::field::FieldOptions;
use tracearm::finding::{Code, Finding, Position};
use tracearm::library::{DrawingFile, LayerByLayer, Unmatched, unmatched};
use tracearm::mark;
use tracearm::measure::{self, Measurement, Message, Options, Progress};
use tracearm::schedule::{Format, Row, Schedule, Style};

use crate::curves::{Drawn, Numbers};
use crate::options::{Measuring, Refusal};
use crate::requests::Input;

/// What is kept between requests.
#[derive(Default)]
pub struct State {
    /// A drawing that was read and waits to be measured.
    waiting: Option<Waiting>,
    /// The sections that are looked at.
    shown: Option<Shown>,
    /// The rows of every drawing by its number on the page.
    rows: BTreeMap<u64, Rows>,
}

struct Waiting {
    name: String,
    /// Where it could not be read, why.
    drawing: Result<UnderWay, Finding>,
    measuring: Measuring,
}

/// A drawing that was read, and is measured layer by layer once that has begun.
struct UnderWay {
    read: Option<Drawing>,
    /// Names of its layers.
    names: Vec<String>,
    layers: Option<LayerByLayer<'static, Measurement>>,
}

impl UnderWay {
    fn of(drawing: Drawing) -> UnderWay {
        let names = drawing.layers.iter().map(|layer| layer.name.clone()).collect();
        UnderWay { read: Some(drawing), names, layers: None }
    }

    /// Measures a layer; false where none is left.
    fn go_on(&mut self, name: &str, options: &Options) -> bool {
        if let Some(drawing) = self.read.take() {
            self.layers = Some(LayerByLayer::of(name, drawing, options.clone()));
        }
        self.layers.as_mut().is_some_and(|layers| layers.go_on(&kept_whole))
    }
}

/// Sections that are looked at, with the style of their figures.
pub struct Shown {
    sections: Vec<Measurement>,
    style: Style,
    /// Torsion, warping and shear, where they were asked for.
    field: Option<FieldOptions>,
    /// What is said of patterns that no layer matches.
    unmatched: Vec<Finding>,
}

/// What remains of a drawing.
struct Rows {
    rows: Vec<Row>,
    style: Style,
    unmatched: Vec<String>,
    layers: Vec<String>,
    was_read: bool,
}

impl State {
    /// The section of this number among those that are looked at.
    pub fn section(&self, index: usize) -> Result<(&Measurement, Style), Refusal> {
        let shown = self.shown.as_ref().ok_or_else(|| Refusal::of("no drawing is open"))?;
        let section = shown.sections.get(index).ok_or_else(|| Refusal::of("there is no such section"))?;
        Ok((section, shown.style))
    }

    /// What was asked of torsion, warping and shear in the sections that are looked at.
    pub fn field(&self) -> Option<&FieldOptions> {
        self.shown.as_ref().and_then(|shown| shown.field.as_ref())
    }

    /// Takes note of a drawing that could not be handed over whole, for this reason.
    pub fn unreadable(&mut self, name: &str, measuring: Measuring, why: &str) -> (Value, Drawn) {
        (self.waiting, self.shown) = (None, None);
        let source = Unreadable(why.to_owned());
        let told = match Drawing::read_with(source, &measuring.reading) {
            Ok(_) => json!({}),
            Err(error) => {
                let told = json!({ "refused": finding(error.finding()) });
                let drawing = Err(error.finding().clone());
                self.waiting = Some(Waiting { name: name.to_owned(), drawing, measuring });
                told
            }
        };
        (told, Drawn::default())
    }

    /// Reads a drawing, which is measured by the next request: its layers, what is known of it and its curves.
    pub fn read(&mut self, name: &str, measuring: Measuring, input: Input, curves: bool) -> (Value, Drawn) {
        (self.waiting, self.shown) = (None, if curves { None } else { self.shown.take() });
        let read = Drawing::read_with(input.bytes(), &measuring.reading);
        // What was read needs its bytes no more.
        drop(input);
        let drawing = read.map_err(|error| error.finding().clone());
        let told = match &drawing {
            Ok(drawing) => described(drawing, &measuring),
            Err(why) => json!({ "refused": finding(why) }),
        };
        let numbers = match &drawing {
            Ok(drawing) if curves => drawn(drawing, measuring.hidden),
            _ => Drawn::default(),
        };
        let drawing = drawing.map(UnderWay::of);
        self.waiting = Some(Waiting { name: name.to_owned(), drawing, measuring });
        (told, numbers)
    }

    /// Measures a layer of the drawing that was read, and says how far that has come.
    pub fn go_on(&mut self) -> Value {
        let Some(Waiting { name, drawing: Ok(under_way), measuring }) = &mut self.waiting else {
            return json!({ "more": false });
        };
        let more = under_way.go_on(name, &measuring.options);
        let progress = under_way.layers.as_ref().map(LayerByLayer::progress).unwrap_or_default();
        let Progress { traced, to_trace, measured, to_measure, .. } = progress;
        json!({ "more": more, "traced": [traced, to_trace], "measured": [measured, to_measure] })
    }

    /// Measures what is left of the drawing that was read: its sections, and their outlines where it is to be looked at.
    pub fn measure(&mut self, id: u64, outlines: bool) -> Result<(Value, Drawn), Refusal> {
        let waiting = self.waiting.take().ok_or_else(|| Refusal::of("no drawing was read"))?;
        let Waiting { name, drawing, measuring } = waiting;
        let mut under_way = match drawing {
            Ok(under_way) => under_way,
            Err(why) => return Ok(self.failed(id, &name, Failed::Refused(why), &measuring)),
        };
        while under_way.go_on(&name, &measuring.options) {}
        let UnderWay { names, layers, .. } = under_way;
        let layers = layers.ok_or_else(|| Refusal::of("the drawing was not measured"))?;
        let file = layers.finish(&kept_whole);
        let without = unmatched(&names, &measuring.options);
        Ok(self.kept(id, file, &measuring, (names, without), outlines))
    }

    /// A drawing that could not be read, or whose measuring was ended, in place of its sections a row that says so.
    pub fn failed(&mut self, id: u64, name: &str, how: Failed, measuring: &Measuring) -> (Value, Drawn) {
        let (path, options) = (std::path::Path::new(name), &measuring.options);
        let file = match how {
            Failed::Refused(finding) => {
                let mut file = DrawingFile::died(path, "", None, options, |section| section);
                file.sections = vec![Measurement::failed(name, finding.clone())];
                file.messages = vec![Message::of(name, finding)];
                file
            }
            Failed::Late(limit) => DrawingFile::over_time(path, limit, None, options, |section| section),
            Failed::Died(how) => DrawingFile::died(path, &how, None, options, |section| section),
        };
        self.waiting = None;
        self.kept(id, file, measuring, (Vec::new(), Vec::new()), false)
    }

    fn kept(
        &mut self,
        id: u64,
        file: DrawingFile<Measurement>,
        measuring: &Measuring,
        (layers, without): (Vec<String>, Vec<String>),
        outlines: bool,
    ) -> (Value, Drawn) {
        let style = measuring.style;
        let mut sections = file.sections;
        let rows = Row::all(&sections, style);
        let columns: Vec<_> = style.columns().collect();
        let unmatched: Vec<Finding> = without
            .iter()
            .map(|pattern| Unmatched::finding(pattern, layers.iter().map(String::as_str)))
            .collect();
        let cells = |row: &Row| -> Vec<String> {
            columns.iter().map(|column| row.cell(column.key, style).unwrap_or_default().to_owned()).collect()
        };
        let messages: Vec<Value> = file
            .messages
            .iter()
            .map(|message| {
                json!({
                    "section": message.section,
                    "layer": message.is_layer,
                    "routine": message.is_routine,
                    "measured": !message.not_measured,
                    "findings": message.findings.iter().map(finding).collect::<Vec<_>>(),
                })
            })
            .collect();
        let told = json!({
            "headings": columns.iter().map(|column| column.heading(style.units())).collect::<Vec<_>>(),
            "keys": columns.iter().map(|column| column.key.name()).collect::<Vec<_>>(),
            "rows": rows.iter().map(cells).collect::<Vec<_>>(),
            "sections": sections.iter().map(section).collect::<Vec<_>>(),
            "messages": messages,
            "unmatched": unmatched.iter().map(finding).collect::<Vec<_>>(),
        });
        let mut numbers = Numbers::default();
        if outlines {
            for (index, measurement) in sections.iter().enumerate() {
                for (_, ring) in measurement.region().into_iter().flat_map(|region| region.rings()) {
                    numbers.chain(index, &ring.curves());
                }
                numbers.end(index);
            }
            // Their order is that of the rows.
            let sections = std::mem::take(&mut sections);
            self.shown = Some(Shown { sections, style, field: measuring.options.field, unmatched });
        }
        let was_read = file.layers.is_some();
        self.rows.insert(id, Rows { rows, style, unmatched: without, layers, was_read });
        (told, numbers.all())
    }

    /// The schedule of drawings in this order; those whose rows are not here are named instead.
    pub fn schedule(&self, ids: &[u64], format: Format) -> Result<Result<Vec<u8>, Vec<u64>>, Refusal> {
        let missing: Vec<u64> = ids.iter().copied().filter(|id| !self.rows.contains_key(id)).collect();
        if !missing.is_empty() {
            return Ok(Err(missing));
        }
        let kept = || ids.iter().filter_map(|id| self.rows.get(id));
        let style = kept().map(|rows| rows.style).next();
        let style = style.ok_or_else(|| Refusal::of("no drawing was measured"))?;
        let mut patterns = Unmatched::new();
        for rows in kept().filter(|rows| rows.was_read) {
            patterns.take(&rows.unmatched, rows.layers.iter().map(String::as_str));
        }
        let beside = patterns.findings();
        let write = || {
            let mut schedule = Schedule::begin(style, format, Vec::new())?;
            for row in kept().flat_map(|rows| &rows.rows) {
                let with = |row: Row, finding: &Finding| row.with_finding(finding.clone(), style);
                schedule.push(beside.iter().fold(row.clone(), with))?;
            }
            schedule.finish()
        };
        write().map(Ok).map_err(|error: std::io::Error| Refusal::of(error.to_string()))
    }

    /// The marked drawing of the sections that are looked at.
    pub fn marked(&mut self, date: &str) -> Result<Vec<u8>, Refusal> {
        let shown = self.shown.as_mut().ok_or_else(|| Refusal::of("no drawing is open"))?;
        let Shown { sections, style, unmatched, .. } = shown;
        if !mark::has_marks(sections) {
            return Err(Refusal::of("nothing was measured, so nothing can be marked"));
        }
        // What is said of all sections decides what is written as the status of each, and stands in no other answer.
        for section in &mut *sections {
            section.findings.extend(unmatched.iter().cloned());
        }
        let written = mark::dxf_dated(sections, *style, date);
        for section in sections {
            section.findings.truncate(section.findings.len() - unmatched.len());
        }
        written.map_err(|error| Refusal::of(error.to_string()))
    }

    /// Lets go of the rows of a drawing that was closed.
    pub fn forget(&mut self, id: u64) {
        self.rows.remove(&id);
    }
}

/// Sections are kept as they are.
fn kept_whole(section: Measurement) -> Measurement {
    section
}

/// A file that can't be read, for this reason.
struct Unreadable(String);

impl std::io::Read for Unreadable {
    fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
        Err(std::io::Error::other(self.0.clone()))
    }
}

/// Why a drawing has no sections.
pub enum Failed {
    /// It can't be read.
    Refused(Finding),
    /// It took longer than this.
    Late(std::time::Duration),
    /// The engine failed in this way.
    Died(String),
}

/// What is known of a drawing before it is measured.
fn described(drawing: &Drawing, measuring: &Measuring) -> Value {
    let mut counts = vec![0_u64; drawing.layers.len()];
    for entity in &drawing.entities {
        if let Some(count) = counts.get_mut(entity.layer.index()) {
            *count += 1;
        }
    }
    let layers = drawing.layers.iter().zip(&counts).map(|(layer, count)| {
        json!({
            "name": layer.name,
            "off": layer.off,
            "frozen": layer.frozen,
            "locked": layer.locked,
            "plotted": layer.is_plotted(),
            "hidden": layer.is_hidden(),
            "entities": count,
        })
    });
    let name_of = |layer: Option<LayerIndex>| layer.map(|index| drawing.layer(index).name.clone());
    let passed_over = drawing.passed_over.iter().map(|passed| {
        json!({
            "kind": passed.kind,
            "layer": name_of(passed.layer),
            "reason": passed.reason.to_string(),
            "count": passed.count,
        })
    });
    let unit = measure::drawing_unit(drawing, measuring.options.drawing_unit);
    json!({
        "layers": layers.collect::<Vec<_>>(),
        "passedOver": passed_over.collect::<Vec<_>>(),
        "entities": drawing.entities.len(),
        "version": drawing.version.to_string(),
        "form": drawing.form.to_string(),
        "unit": { "symbol": unit.unit.symbol(), "name": unit.unit.name(), "source": unit.source.word() },
        "findings": drawing.findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

/// The curves of all layers, one layer after the other.
fn drawn(drawing: &Drawing, hidden: bool) -> Drawn {
    let mut numbers = Numbers::default();
    let mut of_layer: Vec<Vec<u32>> = vec![Vec::new(); drawing.layers.len()];
    for (at, entity) in (0_u32..).zip(&drawing.entities) {
        if let Some(list) = of_layer.get_mut(entity.layer.index()).filter(|_| hidden || !entity.hidden) {
            list.push(at);
        }
    }
    for (layer, list) in of_layer.iter().enumerate() {
        for entity in list.iter().filter_map(|at| drawing.entities.get(*at as usize)) {
            for chain in entity.shape.chains() {
                numbers.chain(layer, &chain.curves());
            }
        }
        numbers.end(layer);
    }
    numbers.all()
}

/// A section in the list.
fn section(measurement: &Measurement) -> Value {
    let bounds = measurement.region().map(|region| region.bounds()).filter(|bounds| !bounds.is_empty());
    json!({
        "name": measurement.section,
        "layer": measurement.layer,
        "label": measurement.label,
        "status": measurement.status().word(),
        "measured": measurement.properties().is_some(),
        "area": measurement.properties().map(|section| section.area),
        "box": bounds.map(|bounds| [bounds.min.x, bounds.min.y, bounds.max.x, bounds.max.y]),
        "findings": measurement.findings.iter().map(finding).collect::<Vec<_>>(),
    })
}

/// A finding with its place.
pub fn finding(finding: &Finding) -> Value {
    let place = &finding.place;
    json!({
        "code": finding.code.name(),
        "severity": finding.severity.word(),
        "message": finding.message(),
        "hint": finding.hint(Code::advice),
        "option": finding.hint(tracearm::finding::advice_with_options),
        "where": place.to_string(),
        "layer": place.layer,
        "line": match place.position { Some(Position::Line(line)) => Some(line), _ => None },
        "point": place.point.map(|point| [point.x, point.y]),
    })
}
