//! `tracearm inspect`: what a drawing holds, before anything is measured.

use std::collections::BTreeMap;
use std::fmt::Write;

use tracearm::drawing::{Drawing, Entity, LengthUnit};
use tracearm::finding::{Finding, Position, short};
use tracearm::geometry::Point;
use tracearm::measure::{self, Hatches, LayerChoice, Traced};

use super::Outcome;
use super::args::InspectArguments;
use super::output::{tell, to_stdout};
use super::schedule::{layer_choice, no_such_layer};

/// Runs the command.
pub fn run(arguments: &InspectArguments) -> Outcome {
    let layers = match layer_choice(&arguments.reading) {
        Ok(layers) => layers,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            return Outcome::Nothing;
        }
    };
    let name = arguments.drawing.display().to_string();
    if arguments.drawing.is_dir() {
        tell(&format!("{name}: this is a folder: name one drawing"));
        return Outcome::Nothing;
    }
    let drawing = match Drawing::open(&arguments.drawing) {
        Ok(drawing) => drawing,
        Err(error) => {
            tell(&format!("{name}: {error}: {}", error.hint()));
            return Outcome::Nothing;
        }
    };
    let (unit, assumed) = measure::drawing_unit(&drawing, arguments.reading.drawing_units);
    let shown = arguments.units.unwrap_or(unit);
    let join_mm = arguments.reading.join.map_or(measure::DEFAULT_JOIN_MM, |l| l.millimetres(shown));
    let mut report = Report {
        text: String::new(),
        drawing: &drawing,
        layers: &layers,
        hatches: arguments.reading.hatches.into(),
        unit: shown,
        drawing_unit: unit,
        factor: unit.millimetres() / shown.millimetres(),
    };
    report.head(&name, unit, assumed.as_ref(), arguments.reading.drawing_units.is_some());
    report.layers(join_mm / unit.millimetres());
    report.passed_over();
    report.findings(assumed.as_ref());
    let names = drawing.layers.iter().map(|l| l.name.as_str());
    for pattern in layers.unmatched(names.clone()) {
        tell(&no_such_layer(pattern, names.clone()));
    }
    match to_stdout(report.text.as_bytes()) {
        Ok(()) => Outcome::Done,
        Err(error) => {
            tell(&format!("tracearm: cannot write: {error}"));
            Outcome::Nothing
        }
    }
}

struct Report<'a> {
    text: String,
    drawing: &'a Drawing,
    layers: &'a LayerChoice,
    hatches: Hatches,
    unit: LengthUnit,
    drawing_unit: LengthUnit,
    factor: f64,
}

impl Report<'_> {
    fn line(&mut self, text: &str) {
        // Writing to a String can't fail.
        let _ = writeln!(self.text, "{}", text.trim_end());
    }

    fn head(&mut self, name: &str, unit: LengthUnit, assumed: Option<&Finding>, stated: bool) {
        let source = match (stated, assumed, self.drawing.units.insunits) {
            (true, ..) => "as stated by --drawing-units".to_owned(),
            (_, None, Some(code)) => format!("from $INSUNITS {code}"),
            _ => "assumed; see the findings".to_owned(),
        };
        self.line(name);
        self.line(&format!("  version    {}", self.drawing.version));
        self.line(&format!("  units      {} ({source})", unit.name()));
        if let Some(page) = &self.drawing.code_page {
            self.line(&format!("  code page  {page}"));
        }
        self.line(&format!("  lengths below are in {}", self.unit.symbol()));
    }

    fn layers(&mut self, tolerance: f64) {
        let mut order: Vec<usize> = (0..self.drawing.layers.len()).collect();
        order.sort_by_cached_key(|i| (self.drawing.layers[*i].name.to_lowercase(), *i));
        for index in order {
            let layer = &self.drawing.layers[index];
            if !self.layers.names(&layer.name) {
                continue;
            }
            let entities: Vec<_> =
                self.drawing.entities.iter().filter(|e| e.layer.index() == index).collect();
            let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
            for entity in &entities {
                *kinds.entry(entity.kind.name()).or_default() += 1;
            }
            let counts: Vec<String> = kinds.iter().map(|(kind, count)| format!("{kind} {count}")).collect();
            let mut state = Vec::new();
            for (holds, word) in [
                (layer.off, "off"),
                (layer.frozen, "frozen"),
                (layer.locked, "locked"),
                (!layer.plotted, "not plotted"),
                (!layer.declared, "not in the layer table"),
            ] {
                if holds {
                    state.push(word);
                }
            }
            let state = if state.is_empty() { String::new() } else { format!(" ({})", state.join(", ")) };
            let held = if counts.is_empty() { "no outlines drawn".to_owned() } else { counts.join(", ") };
            self.line("");
            self.line(&format!("layer {}{state}: {held}", layer.name));
            if entities.is_empty() {
                continue;
            }
            if !self.layers.takes(layer) {
                self.line("  left out of a schedule unless --hidden is given");
            }
            let shown: Vec<&Entity> =
                entities.iter().filter(|e| self.layers.hidden() || !e.hidden).copied().collect();
            if shown.len() < entities.len() {
                self.line(&format!(
                    "  {} invisible, left out unless --hidden is given",
                    entities.len() - shown.len()
                ));
            }
            self.outlines(&Traced::of(&shown, tolerance, self.hatches));
        }
    }

    fn outlines(&mut self, traced: &Traced) {
        let count = traced.all_rings().count();
        self.line(&format!("  closed outlines: {count}"));
        /// Longer lists are cut with a count.
        const SHOWN: usize = 40;
        for ring in traced.all_rings().take(SHOWN) {
            let bounds = ring.bounds();
            let curves = ring.curves().len();
            let text = format!(
                "    area {} {}², {curves} {}, from {} to {}{}",
                short(ring.area() * self.factor * self.factor),
                self.unit.symbol(),
                if curves == 1 { "curve" } else { "curves" },
                self.place(bounds.min),
                self.place(bounds.max),
                origin(ring.origin().position, ring.origin().handle),
            );
            self.line(&text);
        }
        self.cut(count, SHOWN);
        if !traced.open.is_empty() {
            self.line(&format!("  open chains: {}", traced.open.len()));
        }
        for chain in traced.open.iter().take(SHOWN) {
            let near = |nearest: Option<(Point, f64)>| match nearest {
                Some((point, distance)) => {
                    format!(
                        "nearest open end {} away at {}",
                        short(distance * self.factor),
                        self.place(point)
                    )
                }
                None => "no other open end".to_owned(),
            };
            let text = format!(
                "    length {}, {} {}{}{}\n      end {}: {}\n      end {}: {}",
                short(chain.length * self.factor),
                chain.pieces,
                if chain.pieces == 1 { "piece" } else { "pieces" },
                if chain.nearly_closed { ", nearly closed" } else { "" },
                origin(chain.origin.position, chain.origin.handle),
                self.place(chain.start),
                near(chain.nearest_to_start),
                self.place(chain.end),
                near(chain.nearest_to_end),
            );
            self.line(&text);
        }
        self.cut(traced.open.len(), SHOWN);
        // The lengths in findings are those of the drawing, whatever unit is shown.
        let unit = self.drawing_unit.symbol();
        for finding in traced.findings.iter().cloned() {
            self.line(&format!("  {}", finding.in_unit(unit)));
        }
    }

    fn cut(&mut self, count: usize, shown: usize) {
        if count > shown {
            self.line(&format!("    … and {} more", count - shown));
        }
    }

    fn passed_over(&mut self) {
        if self.drawing.passed_over.is_empty() {
            return;
        }
        self.line("");
        self.line("passed over:");
        for passed in &self.drawing.passed_over {
            let layer = passed.layer.map_or("unknown", |l| &self.drawing.layer(l).name);
            let text = format!(
                "  {} {} on layer {layer}: {}{}",
                passed.count,
                passed.kind,
                passed.reason,
                origin(passed.first_position, passed.first_handle)
            );
            self.line(&text);
        }
    }

    fn findings(&mut self, assumed: Option<&Finding>) {
        let all: Vec<&Finding> = assumed.into_iter().chain(&self.drawing.findings).collect();
        if all.is_empty() {
            return;
        }
        self.line("");
        self.line("findings:");
        for finding in all {
            self.line(&format!("  {finding}"));
        }
    }

    fn place(&self, point: Point) -> String {
        tracearm::finding::coordinates(point * self.factor)
    }
}

fn origin(position: Position, handle: Option<u64>) -> String {
    match handle {
        Some(handle) => format!(" ({position}, handle {handle:X})"),
        None => format!(" ({position})"),
    }
}
