//! The job file that is named on the command line.

use std::path::{Path, PathBuf};

use tracearm::library::{JobSections, sha256};
use tracearm::measure::Job;
use tracearm::paths;

/// A job file that was read.
pub struct JobFile {
    /// Its sections with their drawings.
    pub sections: JobSections,
    path: PathBuf,
    /// Digest of its text.
    sha256: String,
    /// A drawing on the command line takes the place of those that it names.
    replaced: bool,
}

impl JobFile {
    /// Reads a job file; drawings in `given` take the place of those that it names.
    pub fn read(path: &Path, given: &[PathBuf]) -> Result<JobFile, String> {
        let text = std::fs::read_to_string(path)
            .map_err(|error| format!("cannot read the job {}: {error}", paths::text(&path)))?;
        let job = Job::read(&text).map_err(|error| format!("{}: {error}", paths::text(&path)))?;
        Ok(JobFile {
            sections: JobSections::of(job, path, given),
            path: path.to_owned(),
            sha256: sha256(text.as_bytes()),
            replaced: !given.is_empty(),
        })
    }

    /// The job that was read.
    pub fn job(&self) -> &Job {
        self.sections.job()
    }

    /// What is read for it: the file and every drawing that it names, each with what it is.
    pub fn reads(&self) -> impl Iterator<Item = (&'static str, PathBuf)> {
        let (job, folder) = (self.job(), self.path.parent().unwrap_or(Path::new("")));
        let named = job.sections.iter().filter_map(|section| section.drawing.as_ref()).chain(&job.drawing);
        let drawings = named.map(|drawing| ("the drawing", folder.join(drawing)));
        std::iter::once(("the job", self.path.clone())).chain(drawings)
    }

    /// The drawing whose sections are taken together: that of the job, else that of its first section.
    pub fn drawing(&self) -> Result<PathBuf, String> {
        let own = self.job().drawing.as_ref().filter(|_| !self.replaced);
        let own = own.map(|drawing| self.path.parent().unwrap_or(Path::new("")).join(drawing));
        own.or_else(|| self.sections.drawings().first().map(|path| (*path).to_owned())).ok_or_else(|| {
            let shown = paths::text(&self.path);
            format!(
                "{shown} names no drawing: write drawing = \"….dxf\" into it, or name a drawing on the command line"
            )
        })
    }

    /// What decides the rows of a drawing, in words.
    pub fn setting(&self) -> String {
        let of = if self.replaced { ", of the drawing that is named" } else { "" };
        format!("{}{of}", self.sha256)
    }
}
