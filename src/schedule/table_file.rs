//! Which form a table has that somebody gives: CSV, a workbook or JSON. What it is, it shows itself.

use crate::finding::Finding;

#[cfg(feature = "workbook")]
use super::workbook_reader::as_csv as csv_of_workbook;

/// A schedule that was written as a workbook or as JSON, as CSV of at most `largest` bytes with the same cells; `None` where the
/// bytes are neither, and so CSV.
///
/// # Errors
///
/// What to say of a workbook that can't be read, and of a form that this build can't read.
pub(crate) fn csv_of(bytes: &[u8], largest: usize) -> Result<Option<Vec<u8>>, Finding> {
    match csv_of_workbook(bytes, largest)? {
        Some(csv) => Ok(Some(csv)),
        None => csv_of_json(bytes),
    }
}

/// Whether a file is a ZIP, as every workbook (.xlsx) is: it begins with a part, or with the list of none.
pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Whether a file is what holds workbooks that are encrypted, and those of the time before .xlsx.
pub(super) fn is_compound(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
}

#[cfg(not(feature = "workbook"))]
fn csv_of_workbook(bytes: &[u8], _largest: usize) -> Result<Option<Vec<u8>>, Finding> {
    if is_zip(bytes) || is_compound(bytes) { Err(not_built_in("a workbook", "workbook")) } else { Ok(None) }
}

#[cfg(feature = "json")]
fn csv_of_json(bytes: &[u8]) -> Result<Option<Vec<u8>>, Finding> {
    Ok(super::json::as_csv(bytes))
}

#[cfg(not(feature = "json"))]
fn csv_of_json(bytes: &[u8]) -> Result<Option<Vec<u8>>, Finding> {
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes).trim_ascii_start();
    if text.starts_with(b"{") { Err(not_built_in("JSON", "json")) } else { Ok(None) }
}

/// What to say of a form that is not built in.
#[cfg(not(all(feature = "workbook", feature = "json")))]
fn not_built_in(what: &str, feature: &str) -> Finding {
    Finding::of(crate::finding::Code::FormNotBuiltIn).with("what", what).with("feature", feature)
}

#[cfg(test)]
mod tests {
    use super::csv_of;
    use crate::finding::Code;

    #[test]
    fn what_is_not_built_in_is_told() {
        let code = |bytes: &[u8]| csv_of(bytes, 1 << 20).map_err(|finding| finding.code);
        assert_eq!(code(b"section,area_mm2\nLUG,12\n"), Ok(None));
        let workbook = if cfg!(feature = "workbook") { Code::WorkbookDamaged } else { Code::FormNotBuiltIn };
        assert_eq!(code(b"PK\x03\x04\xff\xfe"), Err(workbook));
        let json = code(b"\xef\xbb\xbf {\"section\":\"LUG\",\"area_mm2\":12}\n");
        let csv = Ok(Some(b"area_mm2,section\n12,LUG\n".to_vec()));
        assert_eq!(json, if cfg!(feature = "json") { csv } else { Err(Code::FormNotBuiltIn) });
    }
}
