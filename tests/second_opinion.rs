//! Random outlines of tests/second_opinion/outlines.jsonl, measured here and, in 40-digit arithmetic that shares nothing
//! with the program, by tests/second_opinion/values.py.

use crate::common;

use common::draw::{Dress, draw};
use common::truth::{compare, outline, scaled_and_moved, second_opinion};
use common::{file, only_row};

#[test]
fn random_outlines_in_every_dress() {
    let truths = second_opinion("random outline");
    let mut compared = 0;
    for line in file("tests/second_opinion/outlines.jsonl").lines() {
        let json: serde_json::Value = serde_json::from_str(line).expect("JSON");
        let (id, shape) = (json["id"].as_str().expect("a name"), outline(&json));
        for dress in Dress::ALL {
            let what = format!("{id}, {dress:?}");
            let truth = scaled_and_moved(&truths[id], 1.0, dress.offset());
            // 1e6 mm from the origin coordinates are rounded to about 1e-10 mm.
            let tolerance = if dress == Dress::Far { 1e-7 } else { 1e-9 };
            compared += compare(&what, &only_row(&what, &draw(&shape, dress)), &truth, tolerance);
        }
    }
    // 12 outlines in six dresses; 32 dimensional columns and the strip check.
    assert_eq!(compared, 12 * 6 * 33);
}
