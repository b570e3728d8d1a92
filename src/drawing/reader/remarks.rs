//! What is to be said of a drawing as a whole once it is read.

use super::Reader;
use crate::drawing::text::Encoder;
use crate::finding::Finding;

impl Reader<'_> {
    /// Puts remarks on the drawing among its findings.
    pub(super) fn remark(&mut self) {
        if self.remarked.fitted > 0 {
            let message = format!(
                "splines with fit points only: {}, taken as cubics with continuous curvature through them",
                self.remarked.fitted
            );
            self.findings
                .push(Finding::note(message).hint("export them with control points to have them as drawn"));
        }
        if !self.has_entities {
            self.findings.push(
                Finding::warning("the drawing has no ENTITIES section, so there is nothing in it")
                    .hint("check that the export was complete"),
            );
        }
        // From R2007 on strings are UTF-8, whatever the code page.
        if let Some(name) = &self.header.code_page
            && !self.header.version.is_unicode()
            && !Encoder::knows(name)
        {
            let message = format!(
                "code page “{}” is not known: layer names are taken as UTF-8, else as code page 1252",
                name.escape_debug()
            );
            let hint = "export as R2007 or newer if names of layers come out wrong";
            self.findings.push(Finding::note(message).hint(hint));
        }
    }
}
