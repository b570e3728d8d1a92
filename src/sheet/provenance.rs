//! Where the figures of a sheet come from, told of a drawing and of how it was measured.

use super::{OpenLines, Provenance, Unmeasured};
use crate::drawing::{Drawing, Entity};
use crate::finding::Severity;
use crate::geometry::{Bounds, Curve, Point};
use crate::measure::{self, Hatches, MeasuredDrawing, Measurement, Options, Per, Traced, Widths};
use crate::outline::OpenChain;

/// A drawing and how it was measured, as whoever asks for a sheet knows it.
#[derive(Clone, Copy, Debug)]
pub struct Measured<'a> {
    /// Name of the drawing file, as it was given.
    pub name: &'a str,
    /// Its size in bytes.
    pub bytes: u64,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: &'a str,
    /// What it holds.
    pub drawing: &'a Drawing,
    /// With what it was measured.
    pub options: &'a Options,
    /// What was asked for by name.
    pub asked: Asked<'a>,
    /// The date of the sheet.
    pub date: &'a str,
}

/// What was asked for by name: options have patterns of it, and a sheet shows it as it was written.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// The job file that composes the sections.
    pub job: Option<&'a str>,
    /// Layers that are measured.
    pub layers: &'a [String],
    /// Layers that are left out.
    pub skip: &'a [String],
    /// Layers that are cut out.
    pub void_layers: &'a [String],
    /// The one section that is wanted.
    pub section: Option<&'a str>,
}

impl Provenance {
    /// Of a drawing whose sections these are, and what of it was not measured.
    pub fn of(measured: &Measured<'_>, sections: &[Measurement], unmeasured: Vec<Unmeasured>) -> Provenance {
        let Measured { name, bytes, sha256, drawing, options, asked, date } = *measured;
        let known = measure::drawing_unit(drawing, options.drawing_unit);
        let extents = sections.iter().filter_map(|m| m.properties()).map(|section| section.extent);
        let assumed = known.finding(&extents.fold(Bounds::EMPTY, Bounds::union));
        let unit_source = match (&assumed, options.drawing_unit, drawing.units.insunits) {
            (_, Some(_), _) => "as stated for this sheet".to_owned(),
            (Some(finding), ..) => format!("{}; confirm it before signing", finding.message()),
            (None, None, Some(code)) => format!("from the drawing’s header ($INSUNITS {code})"),
            (None, None, None) => String::new(),
        };
        let mut layers: Vec<String> = sections.iter().map(|m| m.layer.clone()).collect();
        layers.dedup();
        let version = match (drawing.version.release(), drawing.version.code()) {
            (Some(release), Some(code)) => format!("{release} ({code})"),
            (None, Some(code)) => code.to_owned(),
            _ => "no version named".to_owned(),
        };
        let general =
            drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Note);
        Provenance {
            name: name.to_owned(),
            sha256: sha256.to_owned(),
            bytes,
            format: format!("DXF {version}, {}", drawing.form),
            unit: known.unit,
            unit_source,
            layers,
            options: how_measured(&asked, options),
            program: concat!("tracearm ", env!("CARGO_PKG_VERSION")).to_owned(),
            date: date.to_owned(),
            findings: general.cloned().collect(),
            unmeasured,
            open: sections.iter().filter_map(|section| OpenLines::of(section, drawing, options)).collect(),
        }
    }
}

impl Unmeasured {
    /// The layers of a drawing that hold no section, and those that don't show.
    pub fn of(measured: &MeasuredDrawing) -> Vec<Unmeasured> {
        let without = measured.without_outline.iter().map(|layer| {
            let why = match layer.open {
                0 => "nothing on it could be an outline",
                _ => "no outline on it closes",
            };
            let findings = layer.findings.iter().map(ToString::to_string);
            let reasons = std::iter::once(why.to_owned()).chain(findings).collect();
            Unmeasured { name: layer.name.clone(), reasons }
        });
        let hidden = measured.hidden.iter().map(|name| Unmeasured {
            name: name.clone(),
            reasons: vec!["it is off or frozen in the drawing".to_owned()],
        });
        without.chain(hidden).collect()
    }
}

impl OpenLines {
    /// What a section draws that has no region; `None` for one that has, and for one that draws nothing.
    pub fn of(section: &Measurement, drawing: &Drawing, options: &Options) -> Option<OpenLines> {
        if section.region().is_some() {
            return None;
        }
        // Several layers are joined by +, which may stand in a name too.
        let is_own = |name: &str| section.layer == name || section.layer.split('+').any(|part| part == name);
        let of_layer = |entity: &&Entity| {
            drawing.layers.get(entity.layer.index()).is_some_and(|layer| is_own(&layer.name))
        };
        let entities: Vec<&Entity> = drawing.entities.iter().filter(of_layer).collect();
        let curves: Vec<Curve> =
            entities.iter().flat_map(|entity| measure::drawn(entity)).flat_map(|path| path.curves).collect();
        if curves.is_empty() {
            return None;
        }
        let tolerance = options.join_mm / section.unit.millimetres();
        let traced = Traced::of(&entities, tolerance, options.hatches, options.widths);
        Some(OpenLines { section: section.section.clone(), curves, gaps: gaps(&traced.open) })
    }
}

/// Each open end with the end nearest to it, each gap once.
fn gaps(chains: &[OpenChain]) -> Vec<(Point, Point)> {
    let ends = chains
        .iter()
        .flat_map(|chain| [(chain.start, chain.nearest_to_start), (chain.end, chain.nearest_to_end)]);
    let mut gaps: Vec<(Point, Point)> = Vec::new();
    for (end, nearest) in ends {
        let Some((other, _)) = nearest else { continue };
        if !gaps.iter().any(|gap| *gap == (end, other) || *gap == (other, end)) {
            gaps.push((end, other));
        }
    }
    gaps
}

/// What decides how a drawing is measured, in words.
fn how_measured(asked: &Asked, options: &Options) -> String {
    let mut words = match asked.job {
        Some(job) => vec![format!("sections composed by the job file {job}")],
        None => vec![
            match options.per {
                Per::Layer => "one section for each layer",
                Per::Part => "one section for each separate solid",
                Per::Outline => "one section for each outer outline",
                Per::Drawing => "all layers are one section",
            }
            .to_owned(),
        ],
    };
    words.push(format!("ends up to {} mm apart are joined", options.join_mm));
    for (what, names) in [
        ("layers asked for", asked.layers),
        ("layers left out on request", asked.skip),
        ("layers cut out", asked.void_layers),
    ] {
        words.extend((!names.is_empty()).then(|| format!("{what}: {}", names.join(", "))));
    }
    if options.layers.hidden() {
        words.push("layers that are off or frozen are measured too".to_owned());
    }
    words.extend(match options.widths {
        Widths::CentreLine => None,
        Widths::Solid => Some("polylines with a width are solid bands of that width".to_owned()),
    });
    words.extend(match options.hatches {
        Hatches::WhereNoOther => None,
        Hatches::Use => Some("hatched areas are solid too".to_owned()),
        Hatches::Ignore => Some("hatches are left out".to_owned()),
    });
    if let Some(field) = options.field {
        words.push(format!(
            "bounds of the torsion constant within {} of its value, Poisson ratio {}",
            field.tolerance, field.poisson
        ));
    }
    words.extend(options.density.map(|density| format!("density {density} kg/m³")));
    words.extend(options.thickness_mm.map(|thickness| format!("plates {thickness} mm thick")));
    words.extend(asked.section.map(|section| format!("section asked for: {section}")));
    words.join("; ")
}
