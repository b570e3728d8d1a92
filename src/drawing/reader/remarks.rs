//! What is to be said of a drawing as a whole once it is read.

use super::Reader;
use crate::drawing::text::Encoder;
use crate::finding::{Code, Finding, Value};

impl Reader<'_> {
    /// Puts remarks on the drawing among its findings.
    pub(super) fn remark(&mut self) {
        if self.remarked.fitted > 0 {
            self.findings.push(Finding::of(Code::SplinesFitted).with("count", self.remarked.fitted));
        }
        if !self.has_entities {
            self.findings.push(Finding::of(Code::NoEntities));
        }
        // From R2007 on strings are UTF-8, whatever the code page.
        if let Some(name) = &self.header.code_page
            && !self.header.version.is_unicode()
            && !Encoder::knows(name)
        {
            let finding = Finding::of(Code::CodePageUnknown);
            self.findings.push(finding.with("code_page", Value::Name(name.clone())));
        }
    }
}
