//! What is to be reported of a drawing beside its rows.

use std::fmt;

use super::{Measurement, Options, Per};
use crate::finding::{Advice, Code, Finding, Value};

/// What is to be reported of a drawing beside its rows: what failed, and what gave no row.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Message {
    /// Path of the drawing as it was given.
    pub drawing: String,
    /// The name of the layer or section that it is about; `None` where it is about the drawing.
    pub section: Option<String>,
    /// `section` is a layer.
    pub is_layer: bool,
    /// The section has a row that says `failed`.
    pub not_measured: bool,
    /// It is so in most drawings and no loss: layers on which there is no line that could belong to an outline.
    pub is_routine: bool,
    /// What was found.
    pub findings: Vec<Finding>,
}

impl Message {
    /// A finding about a drawing.
    pub fn of(drawing: &str, finding: Finding) -> Message {
        Message {
            drawing: drawing.to_owned(),
            section: None,
            is_layer: false,
            not_measured: false,
            is_routine: false,
            findings: vec![finding],
        }
    }

    /// The same about a layer or a section of the drawing.
    pub fn about(self, section: &str, is_layer: bool) -> Message {
        Message { section: Some(section.to_owned()), is_layer, ..self }
    }

    /// What there is to tell of a section that was not measured.
    pub fn not_measured(section: &Measurement, options: &Options) -> Message {
        Message {
            drawing: section.drawing.clone(),
            section: Some(section.section.clone()),
            is_layer: options.per == Per::Layer && section.section == section.layer,
            not_measured: true,
            is_routine: false,
            findings: section.findings.clone(),
        }
    }

    /// `a.dxf: layer WEB: not measured: message (place): hint | message`; the drawing is left out where the first message names
    /// it.
    pub fn words(&self, advice: Advice) -> String {
        // A file that can't be opened is named once.
        let is_named = self.section.is_none()
            && self.findings.first().and_then(|finding| finding.value("path"))
                == Some(&Value::Text(self.drawing.clone()));
        let mut words = if is_named { String::new() } else { format!("{}: ", self.drawing) };
        if let Some(section) = &self.section {
            words.push_str(if self.is_layer { "layer " } else { "section " });
            words.push_str(section);
            words.push_str(": ");
        }
        if self.not_measured {
            words.push_str("not measured: ");
        }
        let why: Vec<String> = self.findings.iter().map(|finding| finding.words(advice)).collect();
        words.push_str(&why.join(" | "));
        words
    }

    /// Bytes that it takes up in memory, about.
    #[cfg(feature = "library")]
    pub(crate) fn weight(&self) -> usize {
        let section = self.section.as_ref().map_or(0, String::len);
        let findings: usize = self.findings.iter().map(Finding::weight).sum();
        size_of::<Message>() + self.drawing.len() + section + findings
    }
}

impl fmt::Display for Message {
    /// [`Message::words`] with the advice for whoever has a drawing program at hand.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(Code::advice))
    }
}
