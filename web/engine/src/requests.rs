//! What can be asked.

use std::time::Duration;

use serde_json::{Map, Value, json};
use tracearm::schedule::{CAUTION, Format};
use tracearm::section::StripDirection;
use tracearm::sheet::picture::{self, Look};

use crate::curves::Drawn;
use crate::options::Measuring;
pub use crate::options::Refusal;
use crate::state::{Failed, State};
use crate::{figures, sheet};

/// What comes of a request.
#[derive(Default)]
pub struct Answer {
    pub bytes: Vec<u8>,
    pub drawn: Drawn,
}

impl Answer {
    pub fn json(value: &Value) -> Answer {
        Answer { bytes: value.to_string().into_bytes(), drawn: Drawn::default() }
    }

    fn text(text: String) -> Answer {
        Answer { bytes: text.into_bytes(), drawn: Drawn::default() }
    }

    fn with_curves((value, drawn): (Value, Drawn)) -> Answer {
        Answer { drawn, ..Answer::json(&value) }
    }
}

/// A request as it came: an object, and the bytes of a drawing behind it, which stand in memory once.
pub struct Input {
    all: Vec<u8>,
    object: usize,
}

impl Input {
    pub fn of(all: Vec<u8>, object: usize) -> Input {
        Input { object: object.min(all.len()), all }
    }

    fn object(&self) -> &[u8] {
        &self.all[..self.object]
    }

    /// The bytes of the drawing.
    pub fn bytes(&self) -> &[u8] {
        &self.all[self.object..]
    }
}

/// A request.
struct Request(Map<String, Value>);

impl Request {
    fn text(&self, name: &str) -> &str {
        self.0.get(name).and_then(Value::as_str).unwrap_or_default()
    }

    fn number(&self, name: &str) -> u64 {
        self.0.get(name).and_then(Value::as_u64).unwrap_or_default()
    }

    fn flag(&self, name: &str) -> bool {
        self.0.get(name).and_then(Value::as_bool).unwrap_or_default()
    }

    fn measuring(&self) -> Result<Measuring, Refusal> {
        let none = Map::new();
        Measuring::of(self.0.get("options").and_then(Value::as_object).unwrap_or(&none))
    }

    fn numbers(&self, name: &str) -> Vec<u64> {
        self.0.get(name).and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_u64).collect()
    }
}

/// Does what is asked.
pub fn answer(state: &mut State, input: Input) -> Result<Answer, Refusal> {
    let request = serde_json::from_slice(input.object())
        .map(Request)
        .map_err(|error| Refusal::of(format!("the request can't be understood: {error}")))?;
    let index = request.number("index") as usize;
    match request.text("do") {
        "caution" => Ok(Answer::text(CAUTION.to_owned())),
        "check" => request.measuring().map(|_| Answer::json(&json!({}))),
        "read" => {
            let (measuring, name) = (request.measuring()?, request.text("name"));
            Ok(Answer::with_curves(match request.text("unreadable") {
                "" => state.read(name, measuring, input, request.flag("look")),
                why => state.unreadable(name, measuring, why),
            }))
        }
        "go on" => Ok(Answer::json(&state.go_on())),
        "measure" => state.measure(request.number("id"), request.flag("look")).map(Answer::with_curves),
        "failed" => {
            let how = match request.text("how") {
                "late" => Failed::Late(Duration::from_secs(request.number("seconds"))),
                _ => Failed::Died(request.text("words").to_owned()),
            };
            let (id, name) = (request.number("id"), request.text("name"));
            Ok(Answer::with_curves(state.failed(id, name, how, &request.measuring()?)))
        }
        "forget" => {
            state.forget(request.number("id"));
            Ok(Answer::json(&json!({})))
        }
        "section" => {
            let (section, style) = state.section(index)?;
            Ok(Answer::json(&figures::chosen(section, style)))
        }
        "field" => figures::field(state.section(index)?.0, state.field()).map(Answer::with_curves),
        "strips" => {
            let (section, style) = state.section(index)?;
            let direction = match request.text("direction") {
                "flat" => StripDirection::Flat,
                _ => StripDirection::Upright,
            };
            figures::strips(section, style, direction, request.number("count") as usize)
                .map(|strips| Answer::json(&strips))
        }
        "picture" => {
            let (section, style) = state.section(index)?;
            let date = request.text("date");
            let picture = picture::section_dated(section, &style, Look::Alone, "section", date);
            let none = || Refusal::of("the section was not measured, so there is no picture");
            picture.map(|picture| Answer::text(picture.svg)).ok_or_else(none)
        }
        "mark" => state.marked(request.text("date")).map(|bytes| Answer { bytes, drawn: Drawn::default() }),
        "schedule" => {
            let format: Format =
                request.text("format").parse().map_err(|error| Refusal::of(format!("{error}")))?;
            Ok(match state.schedule(&request.numbers("ids"), format)? {
                Ok(bytes) => Answer { bytes, drawn: Drawn::default() },
                // Numbers tell the list from a schedule.
                Err(missing) => Answer::with_curves((
                    json!({ "missing": missing }),
                    Drawn { records: vec![missing.len() as f64], runs: Vec::new() },
                )),
            })
        }
        "sheet" => {
            let asked = sheet::Asked {
                name: request.text("name"),
                date: request.text("date"),
                section: Some(request.text("section")).filter(|section| !section.is_empty()),
                length: match request.text("length") {
                    "short" => Some(true),
                    "full" => Some(false),
                    _ => None,
                },
                appendix: request.text("appendix"),
            };
            let written = sheet::written(&asked, &request.measuring()?, input.bytes())?;
            Ok(Answer::json(&json!({ "page": written.page, "edges": written.edges })))
        }
        other => Err(Refusal::of(format!("there is no request “{other}”"))),
    }
}
