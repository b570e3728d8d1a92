//! Job files read.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;
use toml::Spanned;

use super::written::{WrittenDensity, WrittenMaterial};
use super::{Job, JobSection, Length, Materials, Patterns};
use crate::drawing::LengthUnit;
use crate::geometry::Point;

/// A job file that can't be used: what is wrong, and in which line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobError {
    line: Option<usize>,
    message: String,
}

impl JobError {
    /// Line of the job file, from 1.
    pub fn line(&self) -> Option<usize> {
        self.line
    }
}

impl std::fmt::Display for JobError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}: {}", self.message),
            None => f.write_str(&self.message),
        }
    }
}

impl std::error::Error for JobError {}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct JobFile {
    drawing: Option<PathBuf>,
    units: Option<Spanned<String>>,
    join: Option<Spanned<String>>,
    reference: Option<Spanned<String>>,
    #[serde(default)]
    materials: BTreeMap<String, Spanned<WrittenMaterial>>,
    #[serde(default)]
    section: Vec<Spanned<SectionTable>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SectionTable {
    name: Option<String>,
    drawing: Option<PathBuf>,
    #[serde(default)]
    solid: Vec<Spanned<String>>,
    #[serde(default)]
    void: Vec<Spanned<String>>,
    material: Option<Spanned<String>>,
    #[serde(default)]
    materials: BTreeMap<String, Spanned<String>>,
    density: Option<WrittenDensity>,
    turned: Option<Spanned<f64>>,
    about: Option<Spanned<Vec<f64>>>,
}

/// The text of a job file, to tell lines from places in it.
struct JobText<'a>(&'a str);

impl JobText<'_> {
    fn line(&self, at: usize) -> usize {
        1 + self.0.as_bytes().iter().take(at).filter(|b| **b == b'\n').count()
    }

    fn error<T>(&self, spanned: &Spanned<T>, message: impl Into<String>) -> JobError {
        JobError { line: Some(self.line(spanned.span().start)), message: message.into() }
    }

    fn patterns(&self, texts: &[Spanned<String>]) -> Result<Vec<Patterns>, JobError> {
        texts
            .iter()
            .map(|text| {
                Patterns::new(&[text.get_ref().clone()]).map_err(|error| self.error(text, error.to_string()))
            })
            .collect()
    }

    fn finite(&self, value: &Spanned<f64>, above: f64, what: &str) -> Result<f64, JobError> {
        match *value.get_ref() {
            v if v.is_finite() && v > above => Ok(v),
            v => Err(self.error(value, format!("{v} is not a valid {what}"))),
        }
    }
}

impl Job {
    /// Reads the text of a job file (TOML).
    ///
    /// # Errors
    /// Where it is no TOML, or asks for what can't be done; the error says what and in which line.
    pub fn read(text: &str) -> Result<Job, JobError> {
        let source = JobText(text);
        let file: JobFile = toml::from_str(text).map_err(|error| {
            let line = error.span().map(|span| source.line(span.start));
            let written = line.and_then(|line| text.lines().nth(line - 1)).unwrap_or_default();
            JobError { line, message: in_plain_words(written).unwrap_or_else(|| error.message().to_owned()) }
        })?;
        let mut materials = Materials::common();
        for (name, material) in file.materials {
            if let Some(fault) = material.get_ref().fault() {
                return Err(source.error(&material, fault));
            }
            materials.insert(&name, material.into_inner().material());
        }
        // One name for one material: “Steel” and “steel” are one body.
        let known = |name: &Spanned<String>| match materials.name(name.get_ref()) {
            Some(name) => Ok(name.to_owned()),
            None => {
                let names: Vec<&str> = materials.names().collect();
                let message = format!(
                    "there is no material “{}”; the materials are: {}",
                    name.get_ref(),
                    names.join(", ")
                );
                Err(source.error(name, message))
            }
        };
        let units = match &file.units {
            Some(unit) => Some(
                unit.get_ref()
                    .parse::<LengthUnit>()
                    .map_err(|error| source.error(unit, error.to_string()))?,
            ),
            None => None,
        };
        let join = match &file.join {
            Some(join) => Some(
                join.get_ref().parse::<Length>().map_err(|error| source.error(join, error.to_string()))?,
            ),
            None => None,
        };
        if file.section.is_empty() {
            let message = "there is no [[section]]: a job needs one at least, with name and solid";
            return Err(JobError { line: None, message: message.to_owned() });
        }
        let mut sections = Vec::new();
        for spanned in file.section {
            let line = source.line(spanned.span().start);
            let missing =
                |what: &str| JobError { line: Some(line), message: format!("this section has no {what}") };
            let table = spanned.into_inner();
            if table.solid.is_empty() {
                return Err(missing(
                    "solid: name the layers that it is made of, such as solid = [\"PLATE\"]",
                ));
            }
            let mut by_layer: Vec<(bool, String, Spanned<String>)> = table
                .materials
                .into_iter()
                .map(|(layer, material)| (layer.contains(['*', '?', '[']), layer, material))
                .collect();
            by_layer.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
            let mut layer_materials = Vec::new();
            for (_, layer, material) in &by_layer {
                let pattern = Patterns::new(std::slice::from_ref(layer))
                    .map_err(|error| source.error(material, error.to_string()))?;
                layer_materials.push((pattern, known(material)?));
            }
            let about = match &table.about {
                Some(about) => match about.get_ref().as_slice() {
                    [x, y] if x.is_finite() && y.is_finite() => Some(Point::new(*x, *y)),
                    _ => {
                        return Err(source.error(
                            about,
                            "about takes the two coordinates of a point, such as about = [0, 120.5]",
                        ));
                    }
                },
                None => None,
            };
            let void: Vec<String> = table.void.iter().map(|v| v.get_ref().clone()).collect();
            source.patterns(&table.void)?;
            let name = table.name.ok_or_else(|| missing("name"))?;
            if sections.iter().any(|other: &JobSection| other.name == name) {
                let message =
                    format!("there is another section “{name}” before this: give each a name of its own");
                return Err(JobError { line: Some(line), message });
            }
            sections.push(JobSection {
                name,
                drawing: table.drawing,
                solid: source.patterns(&table.solid)?,
                void: Patterns::new(&void)
                    .map_err(|error| JobError { line: Some(line), message: error.to_string() })?,
                material: table.material.as_ref().map(known).transpose()?,
                materials: layer_materials,
                density: table.density.map(|written| written.0.kilograms()),
                turned: table
                    .turned
                    .as_ref()
                    .map(|t| source.finite(t, f64::NEG_INFINITY, "angle"))
                    .transpose()?,
                about,
            });
        }
        Ok(Job {
            drawing: file.drawing,
            units,
            join,
            reference: file.reference.as_ref().map(known).transpose()?,
            materials,
            sections,
        })
    }
}

/// What is wrong with a line of a job file, where it is one of the usual slips of TOML.
fn in_plain_words(line: &str) -> Option<String> {
    let line = line.trim();
    if line.replace(' ', "") == "[section]" {
        return Some("write [[section]], with two brackets each: a job may have several sections".to_owned());
    }
    let (key, value) = line.split_once('=')?;
    let (key, value) = (key.trim(), value.trim());
    let is_text = value.starts_with(['"', '\'']);
    match key {
        "solid" | "void" if is_text => {
            Some(format!("{key} takes a list of layers: write {key} = [{value}], in brackets"))
        }
        "turned" | "modulus" | "shear_modulus" | "poisson" if is_text => {
            Some(format!("{key} takes a number, without quotation marks"))
        }
        "about" => Some("about takes the two coordinates of a point, such as about = [0, 120.5]".to_owned()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GIRDER: &str = r#"
drawing = "girder.dxf"
units = "cm"
join = "0.02mm"
reference = "steel"

[materials.slab]
density = 2500
modulus = 32000

[[section]]
name = "girder with slab"
solid = ["GIRDER", "SLAB*"]
void = ["HOLES"]
material = "steel"
materials = { "SLAB*" = "slab", "SLAB TOP" = "C30/37" }
turned = 15
about = [0, 120.5]
"#;

    #[test]
    fn a_job_is_read() {
        let job = Job::read(GIRDER).unwrap();
        assert_eq!(job.units, Some(LengthUnit::Centimetre));
        assert_eq!(job.join.unwrap().millimetres(LengthUnit::Inch), 0.02);
        let section = &job.sections[0];
        assert_eq!(section.solid_rank("slab 1"), Some(1));
        assert_eq!(section.material_of("GIRDER"), Some("steel"));
        assert_eq!(section.material_of("SLAB 2"), Some("slab"));
        assert_eq!(section.material_of("slab top"), Some("C30/37"));
        assert_eq!(section.about, Some(Point::new(0.0, 120.5)));
    }

    #[test]
    fn errors_name_the_line() {
        let error = |from: &str, to: &str| {
            let error = Job::read(&GIRDER.replace(from, to)).unwrap_err();
            (error.line().unwrap(), error.to_string())
        };
        for (from, to, line, word) in [
            ("\"cm\"", "\"ell\"", 3, "ell"),
            ("0.02mm", "thin", 4, "number"),
            ("reference = \"steel\"", "reference = \"oak\"", 5, "oak"),
            ("modulus = 32000", "modulus = -1", 7, "above 0"),
            ("modulus = 32000", "modulus = 32000\nshear_modulus = 0", 7, "shear_modulus must be above 0"),
            ("modulus = 32000", "modulus = 32000\npoisson = 0.7", 7, "from 0 to 0.5"),
            ("modulus = 32000", "modulus = 32000\nshear_modulus = 13000\npoisson = 0.2", 7, "not both"),
            ("modulus = 32000", "poisson = 0.2", 7, "state modulus too"),
            ("modulus = 32000", "poisson = \"0.2\"", 9, "without quotation marks"),
            ("modulus = 32000", "stiffness = 1", 9, "stiffness"),
            ("solid = [\"GIRDER\", \"SLAB*\"]", "", 11, "solid"),
            ("\"C30/37\"", "\"C99\"", 16, "C99"),
            ("turned = 15", "turned = nan", 17, "angle"),
            ("[\"HOLES\"]", "[\"HOLES", 15, ""),
            ("void", "hole", 14, "hole"),
        ] {
            let (found, text) = error(from, to);
            assert_eq!(found, line, "{text}");
            assert!(text.contains(word), "{text}");
        }
        assert!(Job::read("").unwrap_err().to_string().contains("[[section]]"));
    }
}
