//! Why a table of figures could not be read.

use std::error::Error;
use std::fmt;
use std::io;

use crate::finding::{Code, Finding};

/// A table that nothing can be compared with: what is wrong, where, and what to try next.
#[derive(Debug)]
pub struct TableError {
    finding: Box<Finding>,
    source: Option<io::Error>,
}

impl TableError {
    pub(crate) fn unreadable(error: io::Error) -> TableError {
        let finding = Finding::of(Code::TableUnreadable).with("error", error.to_string());
        TableError { source: Some(error), ..TableError::from(finding) }
    }

    /// The same as a finding.
    pub fn finding(&self) -> &Finding {
        &self.finding
    }
}

impl From<Finding> for TableError {
    fn from(finding: Finding) -> TableError {
        TableError { finding: Box::new(finding), source: None }
    }
}

impl fmt::Display for TableError {
    /// What is wrong, where, and what to try next.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.finding.fmt(f)
    }
}

impl Error for TableError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.source.as_ref().map(|error| error as &(dyn Error + 'static))
    }
}
