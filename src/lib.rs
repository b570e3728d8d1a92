//! Section properties of outlines drawn in CAD: area, centroid, second moments, principal axes, elastic and plastic
//! moduli, from DXF drawings, by exact integrals over the curves as they are drawn.
//!
//! All figures are geometry of the drawing as drawn. Whether a section is fit for its purpose is decided by the codes
//! that apply where it is built and by a licensed engineer.
//!
//! # The way of the data
//!
//! | module | from | to |
//! |---|---|---|
//! | [`drawing`] | the bytes of a DXF file | entities on layers, units, what is passed over |
//! | [`outline`] | entities | closed rings of exact curves, open chains |
//! | [`region`] | rings | solid parts with holes |
//! | [`section`] | a region | its properties, checked by strips |
//! | [`field`] | a region | torsion, warping and shear constants, with bounds |
//! | [`measure`] | a drawing and options | all of that for each layer, part or drawing |
//! | [`schedule`] | measurements | CSV, JSON, a workbook, a table to read |
//! | [`sheet`] | measurements | a calculation sheet, pictures |
//! | [`mark`] | measurements | a drawing to lay over the original |
//! | [`library`] | many drawings | the rows of each, measured in threads and remembered |
//! | [`check`] | measurements and expected values | what is within the tolerances |
//! | [`changes`] | two schedules | what was added, is gone or changed |
//!
//! Most callers need [`drawing::Drawing`], [`measure::drawing`] and [`schedule::write`] alone. Every result carries
//! its [findings](finding::Finding): what its reader must know, where, and what to try next.
//!
//! [`region::Region::to_geo`] hands a region out as polygons for other libraries.
//!
//! # Features
//!
//! Without any feature the library reads drawings, measures them and writes schedules as CSV or as a table, with few
//! other crates and without files, threads or a clock where it is given bytes, so that it runs as WebAssembly too.
//! `docs/library-users.md` says what each feature brings and costs; a module or an item that needs one says so here.
//!
//! # Axes, signs, units
//!
//! x runs to the right and y up. Angles are in radians, anticlockwise positive (degrees in the schedule alone). Figures
//! of a [`section::Section`] are in the drawing's own unit and its powers; [`schedule`] converts them. A figure that
//! is not known is `None`, never 0.
//!
//! # Example
//!
//! An unequal angle, 60 wide, 100 tall, both legs 10 thick, with its corner at (200, 50):
//!
//! ```
//! use tracearm::drawing::Drawing;
//! use tracearm::measure::{self, Options, Status};
//! use tracearm::schedule::{Style, write_csv};
//!
//! let dxf = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n\
//!     0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nANGLE\n90\n6\n70\n1\n\
//!     10\n200\n20\n50\n10\n260\n20\n50\n10\n260\n20\n60\n10\n210\n20\n60\n10\n210\n20\n150\n10\n200\n20\n150\n\
//!     0\nENDSEC\n0\nEOF\n";
//! let drawing = Drawing::read(dxf.as_bytes())?;
//! let measured = measure::drawing("angle.dxf", &drawing, &Options::default()).measurements;
//! assert_eq!(measured[0].section, "ANGLE");
//! assert_eq!(measured[0].status(), Status::Ok);
//!
//! let section = measured[0].properties().expect("a closed outline has properties");
//! // 60·10 + 90·10; first moments of both legs over it.
//! assert!((section.area - 1500.0).abs() < 1e-9);
//! assert!((section.centroid.x - (200.0 + (600.0 * 30.0 + 900.0 * 5.0) / 1500.0)).abs() < 1e-9);
//! assert!((section.centroid.y - (50.0 + (600.0 * 5.0 + 900.0 * 55.0) / 1500.0)).abs() < 1e-9);
//! // The legs lie up left and down right.
//! assert!(section.second_moments.xy < 0.0 && section.principal.angle > 0.0);
//! assert!(section.strip_check < 1e-12);
//!
//! let mut csv = Vec::new();
//! write_csv(&measured, Style::default(), &mut csv)?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![cfg_attr(docsrs, feature(doc_cfg))]
#![cfg_attr(
    not(feature = "command-line"),
    allow(rustdoc::broken_intra_doc_links, reason = "what a feature brings can't be linked to without it")
)]

pub mod changes;
pub mod check;
pub mod drawing;
pub mod field;
pub mod finding;
pub mod geometry;
#[cfg(feature = "library")]
pub mod library;
#[cfg(feature = "mark")]
pub mod mark;
pub mod measure;
pub mod outline;
pub mod paths;
pub mod region;
pub mod schedule;
pub mod section;
#[cfg(feature = "sheet")]
pub mod sheet;
pub mod unit;
pub mod words;

#[cfg(test)]
#[path = "../tests/common/seed.rs"]
mod seed;

/// The examples of README.md and of docs/, compiled and run as doc tests.
#[cfg(all(doctest, feature = "command-line"))]
#[doc = include_str!("../README.md")]
#[doc = include_str!("../docs/library-users.md")]
struct Documents;
