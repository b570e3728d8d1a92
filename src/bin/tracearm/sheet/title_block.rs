//! The title block from a TOML file. What stands on the command line goes before it.

use std::path::Path;

use tracearm::finding::nearest;
use tracearm::paths;
use tracearm::sheet::Heading;

use crate::args::SheetArguments;

/// What a title block has, by the names of the options.
const NAMES: [&str; 6] = ["project", "job-number", "revision", "prepared", "checked", "approved"];

/// The title block of a sheet: what the command line says, else what the file says, else nothing.
///
/// # Errors
/// Where the file can't be read, is no TOML, or has a name that a title block does not have.
pub fn heading(arguments: &SheetArguments) -> Result<Heading, String> {
    let mut heading = match &arguments.title_block {
        Some(path) => read(path)?,
        None => Heading::default(),
    };
    let given = [
        &arguments.project,
        &arguments.job_number,
        &arguments.revision,
        &arguments.prepared,
        &arguments.checked,
        &arguments.approved,
    ];
    for (place, given) in places(&mut heading).into_iter().zip(given) {
        if let Some(given) = given {
            place.clone_from(given);
        }
    }
    Ok(heading)
}

/// The places of a title block, in the order of their names.
fn places(heading: &mut Heading) -> [&mut String; 6] {
    let Heading { project, job_number, revision, prepared, checked, approved } = heading;
    [project, job_number, revision, prepared, checked, approved]
}

fn read(path: &Path) -> Result<Heading, String> {
    let name = paths::text(&path);
    let text = std::fs::read_to_string(path).map_err(|error| format!("cannot read {name}: {error}"))?;
    of_text(&text).map_err(|message| format!("{name}: {message}"))
}

fn of_text(text: &str) -> Result<Heading, String> {
    let table: toml::Table = text.parse().map_err(|error: toml::de::Error| {
        let at = error.span().map_or(0, |span| span.start);
        let line = 1 + text.as_bytes().iter().take(at).filter(|byte| **byte == b'\n').count();
        format!("line {line}: {}", error.message())
    })?;
    let mut heading = Heading::default();
    for (key, value) in &table {
        let Some(place) = NAMES.iter().position(|name| name == key) else {
            let meant =
                nearest(key, NAMES).map(|name| format!("perhaps {name} is meant; ")).unwrap_or_default();
            return Err(format!(
                "a title block has no “{}”: {meant}its names are: {}",
                key.escape_debug(),
                NAMES.join(", ")
            ));
        };
        let words = match value {
            toml::Value::String(words) => words.clone(),
            // A number of a job or a revision.
            toml::Value::Integer(number) => number.to_string(),
            other => {
                return Err(format!(
                    "{key} is {}, but must be text: write it between quotation marks",
                    in_words(other)
                ));
            }
        };
        if let Some(own) = places(&mut heading).into_iter().nth(place) {
            *own = words;
        }
    }
    Ok(heading)
}

fn in_words(value: &toml::Value) -> &'static str {
    match value {
        toml::Value::Float(_) => "a number with decimals",
        toml::Value::Boolean(_) => "true or false",
        toml::Value::Datetime(_) => "a date",
        toml::Value::Array(_) => "a list",
        toml::Value::Table(_) => "a table",
        toml::Value::String(_) | toml::Value::Integer(_) => "text",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_those_of_the_options() {
        let heading = of_text("project = \"Pier 7\"\njob-number = 4711\nchecked = \"b\"\n").unwrap();
        assert_eq!((heading.project.as_str(), heading.job_number.as_str()), ("Pier 7", "4711"));
        assert_eq!((heading.checked.as_str(), heading.approved.as_str()), ("b", ""));
        assert_eq!(of_text("").unwrap(), Heading::default());
    }

    #[test]
    fn what_is_wrong_is_said_with_what_was_meant() {
        for (text, said) in [
            ("projct = \"a\"", "no “projct”: perhaps project is meant; its names are: project, job-number"),
            ("colour = \"a\"", "no “colour”: its names are: project"),
            ("project = \"a\"\nrevision = 1.5", "revision is a number with decimals, but must be text"),
            ("project = \"a\"\nchecked", "line 2: "),
            ("[project]\nname = \"a\"", "project is a table"),
        ] {
            let message = of_text(text).unwrap_err();
            assert!(message.contains(said), "{message}");
        }
    }
}
