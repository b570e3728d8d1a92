//! `shared/schedule.schema.json` is what the table of columns makes of it. That JSON schedules are as it says is checked in
//! `python/tests/test_schema.py`.

use crate::common;

use common::file;
use serde_json::{Map, Value, json};
use tracearm::drawing::LengthUnit;
use tracearm::finding::Code;
use tracearm::schedule::{Column, ColumnKey, Group, Quantity};
use tracearm::unit::{MassUnit, Units};

/// The units that can be asked for.
const UNITS: [LengthUnit; 5] =
    [LengthUnit::Millimetre, LengthUnit::Centimetre, LengthUnit::Metre, LengthUnit::Inch, LengthUnit::Foot];

fn reference(name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}") })
}

/// What a column holds, with its definition and unit in words.
fn column(column: &Column) -> Value {
    let unit = match column.quantity {
        Quantity::Text | Quantity::Ratio => "no unit",
        Quantity::Count => "a count",
        Quantity::Length(1) => "in the unit of the document",
        Quantity::Length(2) => "in the square of the unit of the document",
        Quantity::Length(3) => "in the third power of the unit of the document",
        Quantity::Length(6) => "in the sixth power of the unit of the document",
        Quantity::Length(-3) => "over the third power of the unit of the document",
        Quantity::Length(_) => "in the fourth power of the unit of the document",
        Quantity::Degrees => "in degrees",
        Quantity::MassPerLength => "in kg/m",
        Quantity::Mass => "in kg",
    };
    if column.key == ColumnKey::Findings {
        let definition = "what the reader must know; empty when there is nothing";
        return json!({ "description": definition, "type": "array", "items": reference("finding") });
    }
    if column.key == ColumnKey::Status {
        return json!({ "description": column.definition, "enum": ["ok", "warning", "failed"] });
    }
    let kind = match column.quantity {
        Quantity::Text => {
            return json!({ "description": column.definition, "type": ["string", "null"] });
        }
        Quantity::Count => json!({ "type": ["integer", "null"], "minimum": 0 }),
        _ => json!({ "type": ["number", "null"] }),
    };
    let mut described = Map::new();
    described.insert("description".to_owned(), json!(format!("{}; {unit}", column.definition)));
    for (key, value) in kind.as_object().unwrap() {
        described.insert(key.clone(), value.clone());
    }
    Value::Object(described)
}

/// A section with figures in this unit: the columns of every schedule are there, others may be.
fn section(unit: LengthUnit) -> Value {
    let units = [MassUnit::Kilogram, MassUnit::Pound].map(|mass| Units::of(unit, mass));
    let mut properties: Map<String, Value> = units
        .iter()
        .flat_map(|units| {
            Column::ALL.iter().map(|c| (c.heading(*units), reference(&format!("column_{}", c.key))))
        })
        .collect();
    properties.insert("findings_text".to_owned(), reference("findings_text"));
    let of_mass = |c: &&Column| c.key == ColumnKey::MassPerLength;
    let mut required: Vec<String> =
        Group::Common.columns().filter(|c| !of_mass(c)).map(|c| c.heading(unit)).collect();
    let either = units.map(|units| json!({ "required": [ColumnKey::MassPerLength.column().heading(units)] }));
    required.push("findings_text".to_owned());
    json!({
        "description": format!("A section with figures in {}", unit.symbol()),
        "type": "object",
        "required": required,
        "oneOf": either,
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The sums over sections with figures in this unit.
fn totals(unit: LengthUnit) -> Value {
    let mut properties = Map::new();
    properties.insert("status".to_owned(), json!({ "enum": ["ok", "warning", "failed", "all"] }));
    properties.insert(
        "sections".to_owned(),
        json!({ "description": "number of sections", "type": "integer", "minimum": 0 }),
    );
    for mass in [MassUnit::Kilogram, MassUnit::Pound] {
        for key in SUMMED {
            let heading = key.column().heading(Units::of(unit, mass));
            properties.insert(heading, json!({ "type": ["number", "null"] }));
        }
    }
    json!({
        "description": format!("Sums over all sections of a status, in {}; null where one of them is not known", unit.symbol()),
        "type": "object",
        "required": ["status", "sections"],
        "properties": properties,
        "additionalProperties": false,
    })
}

/// The columns that are summed.
const SUMMED: [ColumnKey; 10] = [
    ColumnKey::Parts,
    ColumnKey::Holes,
    ColumnKey::Area,
    ColumnKey::Perimeter,
    ColumnKey::MassPerLength,
    ColumnKey::Mass,
    ColumnKey::CutLength,
    ColumnKey::Pierces,
    ColumnKey::OuterPerimeter,
    ColumnKey::InnerPerimeter,
];

/// The schema that the table of columns makes.
fn schema() -> Value {
    let mut definitions = Map::new();
    definitions.insert(
        "column".to_owned(),
        json!({
            "description": "What a key of the sections stands for",
            "type": "object",
            "required": ["key", "heading", "holds", "unit", "definition"],
            "properties": {
                "key": { "description": "name without unit", "type": "string" },
                "heading": { "description": "the key of the sections: the name with its unit", "type": "string" },
                "holds": { "enum": ["text", "count", "number", "findings"] },
                "unit": { "description": "unit as people read it; null for what has none", "type": ["string", "null"] },
                "definition": { "type": "string" },
            },
            "additionalProperties": false,
        }),
    );
    let known = |what: &str, kind: &str| json!({ "description": what, "type": [kind, "null"] });
    definitions.insert(
        "finding".to_owned(),
        json!({
            "type": "object",
            "required": ["code", "severity", "message", "hint", "unit", "values", "place"],
            "properties": {
                "code": {
                    "description": "what kind of finding it is: its name in shared/findings.csv",
                    "enum": Code::ALL.iter().map(|code| code.name()).collect::<Vec<_>>(),
                },
                "severity": {
                    "description": "failure: there is no figure; warning: something may not be what was meant; note: good to know",
                    "enum": ["note", "warning", "failure"],
                },
                "message": { "description": "what was found", "type": "string" },
                "hint": known("what to try next", "string"),
                "unit": known("unit of the lengths among the values, and squared of the areas", "string"),
                "values": {
                    "description": "the values that the message names, by their keys in shared/findings.csv",
                    "type": "object",
                    "additionalProperties": reference("finding_value"),
                },
                "place": {
                    "description": "where; null for what is not known",
                    "type": "object",
                    "required": ["line", "byte", "layer", "handle", "point"],
                    "properties": {
                        "line": known("line of the text DXF, from 1", "integer"),
                        "byte": known("bytes before the place in the binary DXF", "integer"),
                        "layer": known("name of the layer", "string"),
                        "handle": known("handle of the entity, hexadecimal", "string"),
                        "point": {
                            "description": "x and y as drawn, in the unit of the drawing",
                            "type": ["array", "null"],
                            "items": { "type": "number" },
                            "minItems": 2,
                            "maxItems": 2,
                        },
                    },
                    "additionalProperties": false,
                },
            },
            "additionalProperties": false,
        }),
    );
    definitions.insert(
        "finding_value".to_owned(),
        json!({
            "description": "A value that a message names",
            "type": "object",
            "required": ["kind", "value"],
            "properties": {
                "kind": {
                    "description": "text, name, layer: words; count: a whole number; ratio, share, bound: 1 is all; length, area, areas: in the unit of the finding; size: width and height in millimetres; point: x and y as drawn; position: a line or byte of the file",
                    "enum": [
                        "text", "name", "layer", "count", "number", "ratio", "share", "bound", "length", "area", "areas",
                        "size", "point", "position",
                    ],
                },
                "value": { "type": ["string", "number", "array", "object", "null"] },
            },
            "additionalProperties": false,
        }),
    );
    definitions.insert(
        "findings_text".to_owned(),
        known(
            "all findings in one text, as the cell of the CSV has them; null when there is nothing",
            "string",
        ),
    );
    definitions.extend(Column::ALL.iter().map(|c| (format!("column_{}", c.key), column(c))));
    definitions.extend(UNITS.map(|unit| (format!("section_{}", unit.symbol()), section(unit))));
    definitions.extend(UNITS.map(|unit| (format!("totals_{}", unit.symbol()), totals(unit))));
    let by_unit: Vec<Value> = UNITS
        .iter()
        .map(|unit| {
            let sections = json!({ "items": reference(&format!("section_{}", unit.symbol())) });
            let totals = json!({ "items": reference(&format!("totals_{}", unit.symbol())) });
            json!({
                "if": { "properties": { "unit": { "const": unit.symbol() } } },
                "then": { "properties": { "sections": sections, "totals": totals } },
            })
        })
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:tracearm:schedule:1",
        "title": "Schedule of sections",
        "description": "What tracearm schedule --format json writes. With --format jsonl each line is one of the sections. Figures are null where they are not known.",
        "type": "object",
        "required": ["schema_version", "tracearm_version", "unit", "mass_unit", "caution", "columns", "sections", "totals"],
        "properties": {
            "schema_version": { "description": "rises when a key goes or changes its meaning", "const": 1 },
            "tracearm_version": { "description": "version of the program that wrote it", "type": "string" },
            "unit": {
                "description": "unit of length of all figures; powers of it for areas and moments",
                "enum": UNITS.map(LengthUnit::symbol),
            },
            "mass_unit": { "description": "unit of masses; per metre with kg and per foot with lb", "enum": ["kg", "lb"] },
            "caution": { "description": "what every reader of figures must know", "type": "string" },
            "columns": {
                "description": "the keys of the sections, in their order",
                "type": "array",
                "items": reference("column"),
            },
            "sections": { "type": "array" },
            "totals": {
                "description": "sums over the sections: for each status and for all that were measured",
                "type": "array",
                "minItems": 4,
                "maxItems": 4,
            },
        },
        "additionalProperties": false,
        "allOf": by_unit,
        "$defs": definitions,
    })
}

#[test]
fn the_schema_is_that_of_the_columns() {
    let text = format!("{:#}\n", schema());
    if file("shared/schedule.schema.json") != text {
        let path = format!("{}/schedule.schema.json", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(&path, text).unwrap();
        panic!("shared/schedule.schema.json must be as {path}");
    }
}

#[test]
fn all_that_the_schema_defines_is_described() {
    for (name, definition) in schema()["$defs"].as_object().unwrap() {
        let described = definition["description"].as_str().is_some_and(|text| !text.is_empty());
        assert!(described || name == "finding", "{name}");
    }
}
