//! A schedule that was written as JSON, read back as the table that it is.

use std::collections::BTreeMap;

use serde_json::Value;

use super::super::csv_writer::{harmless, write_table};

/// A schedule as JSON or as lines of JSON, as CSV with the same cells; `None` where the bytes are neither. Findings, which are
/// lists there, are left out.
pub(crate) fn as_csv(bytes: &[u8]) -> Option<Vec<u8>> {
    let text = std::str::from_utf8(bytes).ok()?.trim_start_matches('\u{feff}').trim();
    if !text.starts_with('{') {
        return None;
    }
    let sections = match serde_json::from_str::<Value>(text) {
        Ok(mut document) => match document.get_mut("sections").map(Value::take) {
            Some(Value::Array(sections)) => sections,
            _ => vec![document],
        },
        Err(_) => text.lines().map(serde_json::from_str).collect::<Result<Vec<Value>, _>>().ok()?,
    };
    let mut headings: BTreeMap<&str, ()> = BTreeMap::new();
    for section in &sections {
        let cells = section.as_object()?.iter().filter(|(_, value)| !value.is_array() && !value.is_object());
        headings.extend(cells.map(|(heading, _)| (heading.as_str(), ())));
    }
    headings.remove(super::FINDINGS_TEXT);
    let cell = |value: Option<&Value>| match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => harmless(text.clone()),
        Some(other) => other.to_string(),
    };
    let rows = sections
        .iter()
        .map(|section| headings.keys().map(|heading| cell(section.get(heading))).collect::<Vec<String>>());
    let mut csv = Vec::new();
    write_table(headings.keys().map(|heading| (*heading).to_owned()), rows, &mut csv).ok()?;
    Some(csv)
}

#[cfg(test)]
mod tests {
    use super::as_csv;

    #[test]
    fn documents_and_lines() {
        let csv = |text: &str| as_csv(text.as_bytes()).map(|csv| String::from_utf8(csv).expect("text"));
        let section =
            r#"{"section":"LUG, left","area_mm2":12.5,"label":null,"findings":[{}],"findings_text":"x"}"#;
        let wanted = Some("area_mm2,label,section\n12.5,,\"LUG, left\"\n".to_owned());
        assert_eq!(csv(&format!("{{\"unit\":\"mm\",\"sections\":[{section}]}}")), wanted);
        assert_eq!(csv(&format!("{section}\n")), wanted);
        assert_eq!(csv(&format!("{section}\n{section}\n")).map(|text| text.lines().count()), Some(3));
        assert_eq!((csv("section,area_mm2\n"), csv("{broken"), csv("")), (None, None, None));
    }
}
