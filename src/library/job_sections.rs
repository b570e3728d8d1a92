//! The sections of a job, by the drawings that they are taken from.

use std::path::{Path, PathBuf};

use crate::finding::{Code, Finding};
use crate::measure::{Job, JobSection, Measurement};
use crate::paths;

/// The sections of a job, each with the drawing that it is taken from.
#[derive(Clone, Debug)]
pub struct JobSections {
    job: Job,
    /// Path of the job file, as it was given.
    path: String,
    /// The drawing of each section; why there is none.
    drawings: Vec<Result<PathBuf, Code>>,
}

impl JobSections {
    /// The sections of the job at `path`, with the drawings that it names, which stand beside it. A drawing in `given`
    /// takes the place of all of them; of several it is not known which is meant.
    pub fn of(job: Job, path: &Path, given: &[PathBuf]) -> JobSections {
        let folder = path.parent().unwrap_or(Path::new(""));
        let drawing = |section: &JobSection| match (given, section.drawing.as_ref().or(job.drawing.as_ref()))
        {
            ([one], _) => Ok(one.clone()),
            ([], Some(named)) => Ok(folder.join(named)),
            ([], None) => Err(Code::JobWithoutDrawing),
            _ => Err(Code::JobOfOneDrawing),
        };
        let drawings = job.sections.iter().map(drawing).collect();
        JobSections { job, path: paths::text(&path).into_owned(), drawings }
    }

    /// The job.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// The drawings, each once, in the order in which the sections name them.
    pub fn drawings(&self) -> Vec<&Path> {
        let mut all: Vec<&Path> = Vec::new();
        for drawing in self.drawings.iter().flatten() {
            if !all.contains(&drawing.as_path()) {
                all.push(drawing);
            }
        }
        all
    }

    /// The sections that are taken from this drawing.
    pub fn of_drawing<'a>(&'a self, drawing: &'a Path) -> impl Iterator<Item = &'a JobSection> {
        let with_drawings = self.job.sections.iter().zip(&self.drawings);
        with_drawings.filter(move |(_, of)| of.as_deref() == Ok(drawing)).map(|(section, _)| section)
    }

    /// A failed section for each that has no drawing, or several.
    pub fn without_drawing(&self) -> Vec<Measurement> {
        let with_drawings = self.job.sections.iter().zip(&self.drawings);
        let failed = |(section, of): (&JobSection, &Result<PathBuf, Code>)| {
            let mut row = Measurement::failed(&self.path, Finding::of(of.as_ref().err().copied()?));
            row.section.clone_from(&section.name);
            Some(row)
        };
        with_drawings.filter_map(failed).collect()
    }

    /// Where a section of this name stands in the job; behind all others where there is none.
    pub fn place(&self, name: &str) -> usize {
        let sections = &self.job.sections;
        sections.iter().position(|section| section.name == name).unwrap_or(sections.len())
    }
}
