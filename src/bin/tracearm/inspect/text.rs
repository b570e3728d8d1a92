//! The report for people.

use std::fmt::Write;

use tracearm::drawing::PassedOver;
use tracearm::finding::{Place, Position, short};
use tracearm::geometry::Point;
use tracearm::measure::{Measurement, Traced, UnitSource};

use super::{LayerReport, Report};
use crate::advice;

/// Longer lists are cut with a count, unless all is asked for.
const SHOWN: usize = 40;

/// The report as text; `all` does not cut its lists.
pub(super) fn write(report: &Report, all: bool) -> String {
    let shown = if all { usize::MAX } else { SHOWN };
    let mut pages = Pages { text: String::new(), report, shown };
    pages.head();
    for layer in &report.layers {
        pages.layer(layer);
    }
    for section in &report.sections {
        pages.section(section);
    }
    pages.passed_over(all);
    pages.findings();
    pages.text
}

struct Pages<'a> {
    text: String,
    report: &'a Report<'a>,
    shown: usize,
}

impl Pages<'_> {
    fn line(&mut self, text: &str) {
        // Writing to a String can't fail.
        let _ = writeln!(self.text, "{}", text.trim_end());
    }

    fn head(&mut self) {
        let Report { name, drawing, drawing_unit, unit_source, unit, .. } = self.report;
        let source = match (unit_source, drawing.units) {
            (UnitSource::Stated, _) => "as stated by --drawing-units".to_owned(),
            (UnitSource::Insunits, units) => {
                format!("from $INSUNITS {}", units.insunits.unwrap_or_default())
            }
            (UnitSource::Measurement, units) => {
                format!("from $MEASUREMENT {}; see the findings", units.measurement.unwrap_or_default())
            }
            (UnitSource::Assumed, _) => "assumed; see the findings".to_owned(),
        };
        self.line(name);
        self.line(&format!("  version    {}, {}", drawing.version, drawing.form));
        self.line(&format!("  units      {} ({source})", drawing_unit.name()));
        if let Some(page) = &drawing.code_page {
            self.line(&format!("  code page  {page}"));
        }
        self.line(&format!("  all lengths in {}", unit.plural()));
    }

    fn layer(&mut self, report: &LayerReport) {
        let LayerReport { layer, kinds, measured, invisible, traced, solid_or_hole } = report;
        let counts: Vec<String> = kinds.iter().map(|(kind, count)| format!("{kind} {count}")).collect();
        let mut state = Vec::new();
        for (holds, word) in [
            (layer.off, "off"),
            (layer.frozen, "frozen"),
            (layer.locked, "locked"),
            (!layer.is_plotted(), "not plotted"),
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
        if counts.is_empty() {
            return;
        }
        if !measured {
            self.line("  left out of a schedule unless --hidden is given");
        }
        if *invisible > 0 {
            self.line(&format!("  {invisible} invisible, left out unless --hidden is given"));
        }
        self.outlines(traced, solid_or_hole);
    }

    fn outlines(&mut self, traced: &Traced, solid_or_hole: &[Option<bool>]) {
        let factor = self.report.factor();
        let count = traced.all_rings().count();
        self.line(&format!("  closed outlines: {count}"));
        for (ring, solid) in traced.all_rings().zip(solid_or_hole).take(self.shown) {
            let bounds = ring.bounds();
            let curves = ring.curves().len();
            let text = format!(
                "    {}area {} {}², {curves} {}, from {} to {}{}",
                match solid {
                    Some(true) => "solid, ",
                    Some(false) => "hole, ",
                    None => "",
                },
                short(ring.area() * factor * factor),
                self.report.unit.symbol(),
                if curves == 1 { "curve" } else { "curves" },
                self.place(bounds.min),
                self.place(bounds.max),
                origin(ring.origin().position, ring.origin().handle),
            );
            self.line(&text);
        }
        self.cut(count);
        self.joints(traced);
        if !traced.open.is_empty() {
            self.line(&format!("  open chains: {}", traced.open.len()));
        }
        for chain in traced.open.iter().take(self.shown) {
            let near = |nearest: Option<(Point, f64)>| match nearest {
                Some((_, 0.0)) => "meets others there".to_owned(),
                Some((point, distance)) => {
                    format!("nearest open end {} away at {}", short(distance * factor), self.place(point))
                }
                None => "no other open end".to_owned(),
            };
            let text = format!(
                "    length {}, {} {}{}{}\n      end {}: {}\n      end {}: {}",
                short(chain.length * factor),
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
        self.cut(traced.open.len());
        for finding in &traced.findings {
            self.line(&format!("  {}", finding.words(advice::of)));
        }
    }

    /// A section of a job: the outlines that it is made of, as they count.
    fn section(&mut self, section: &Measurement) {
        let factor = self.report.factor();
        let layer =
            if section.layer.is_empty() { String::new() } else { format!(": layer {}", section.layer) };
        self.line("");
        self.line(&format!("section {}{layer}: {}", section.section, section.status().word()));
        self.line(&format!("  pieces: {}", section.pieces.len()));
        for measured in section.pieces.iter().take(self.shown) {
            let (piece, material) = (&measured.piece, measured.material());
            let bounds = piece.ring.bounds();
            let of = if material.is_empty() {
                String::new()
            } else {
                format!(" of {material}, modular ratio {}", short(measured.ratio()))
            };
            let text = format!(
                "    {}{of}, area {} {}², from {} to {}{}",
                if piece.solid { "solid" } else { "hole" },
                short(piece.ring.area() * factor * factor),
                self.report.unit.symbol(),
                self.place(bounds.min),
                self.place(bounds.max),
                origin(piece.ring.origin().position, piece.ring.origin().handle),
            );
            self.line(&text);
        }
        self.cut(section.pieces.len());
        for finding in &section.findings {
            self.line(&format!("  {}", finding.words(advice::of)));
        }
    }

    /// Where ends that did not meet were joined, the widest first.
    fn joints(&mut self, traced: &Traced) {
        /// More are reported with --all.
        const WIDEST: usize = 10;
        let factor = self.report.factor();
        let slips = super::widest_slips(traced);
        if slips.is_empty() {
            return;
        }
        self.line(&format!("  joints whose ends did not meet: {}", slips.len()));
        let shown = if self.shown == usize::MAX { usize::MAX } else { WIDEST };
        for slip in slips.iter().take(shown) {
            let mut text = format!("    at {}: {} apart", self.place(slip.place), short(slip.apart * factor));
            if slip.gap > 0.0 {
                let _ = write!(text, ", gap of {} closed", short(slip.gap * factor));
            }
            if slip.overhang > 0.0 {
                let _ = write!(text, ", {} cut off", short(slip.overhang * factor));
            }
            let _ = write!(
                text,
                ", up to {} {}²",
                short(slip.area() * factor * factor),
                self.report.unit.symbol()
            );
            self.line(&text);
        }
        if slips.len() > shown {
            self.line(&format!("    … and {} more (--all shows them)", slips.len() - shown));
        }
    }

    fn cut(&mut self, count: usize) {
        if count > self.shown {
            self.line(&format!("    … and {} more (--all shows them)", count - self.shown));
        }
    }

    fn passed_over(&mut self, all: bool) {
        let drawing = self.report.drawing;
        if drawing.passed_over.is_empty() {
            return;
        }
        self.line("");
        self.line("passed over:");
        for passed in &drawing.passed_over {
            let layer = passed.layer.map_or("unknown", |l| &drawing.layer(l).name);
            let what = format!("  {} {} on layer {layer}: {}", passed.count, passed.kind, passed.reason);
            let places = &passed.places;
            match places.first() {
                Some(first) if !all || places.len() == 1 => {
                    let from = if passed.count > 1 { "first " } else { "" };
                    let place =
                        origin(Some(first.position), first.handle).replacen('(', &format!("({from}"), 1);
                    self.line(&(what + &place));
                }
                _ => {
                    self.line(&what);
                    self.places(passed);
                }
            }
        }
    }

    /// Where each of them stands; those of a block once, however often it is inserted.
    fn places(&mut self, passed: &PassedOver) {
        for place in &passed.places {
            let text = origin(Some(place.position), place.handle);
            self.line(&format!("   {}", text.replace(['(', ')'], "")));
        }
    }

    fn findings(&mut self) {
        if self.report.findings.is_empty() {
            return;
        }
        self.line("");
        self.line("findings:");
        for finding in &self.report.findings {
            self.line(&format!("  {}", finding.words(advice::of)));
        }
    }

    fn place(&self, point: Point) -> String {
        tracearm::finding::coordinates(point * self.report.factor())
    }
}

/// Where in the file something stands.
fn origin(position: Option<Position>, handle: Option<u64>) -> String {
    let place = Place { position, handle, ..Place::default() }.to_string();
    if place.is_empty() { place } else { format!(" ({place})") }
}
