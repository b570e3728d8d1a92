//! The integration tests as one program: it is linked once, and what they share is built once.
//!
//! `cargo test --test all command_library` runs one file. Apart from it stand the tests that are run as the program is built
//! for release (`Cargo.toml`).

mod common;
#[path = "common/run.rs"]
mod run;
#[path = "common/workbook.rs"]
mod workbook;

mod beside;
mod bodies;
mod booleans;
mod built_up;
mod command;
mod command_check;
mod command_compare;
mod command_field;
mod command_files;
mod command_formats;
mod command_library;
mod command_page;
mod command_sheet;
mod command_sheet_forms;
mod command_trouble;
mod command_workbooks;
mod composed;
mod developers;
mod entity_counts;
mod field;
mod field_of_materials;
mod fixtures;
mod handbook;
mod hatches;
mod hostile_names;
mod hurried;
mod interface;
mod job_layers;
mod jobs;
mod labels;
mod laws;
mod mangled;
mod marks;
mod mistakes;
mod per_outline;
mod plates;
mod readme;
mod real_drawings;
mod real_drawings_reading;
mod schedule_schema;
mod second_opinion;
mod second_opinion_composed;
mod second_opinion_dxf;
mod second_opinion_geo;
mod sheet_by_hand;
mod slips;
mod stock;
mod traps;
mod widths;
