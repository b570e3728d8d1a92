//! The library as a WebAssembly module that imports nothing: bytes of a drawing in, its schedule out;
//! with the feature `pages` its sheet too.
//!
//! Whoever calls it asks [`input`] for room, writes the name of the drawing and its bytes there, calls [`measure`], and
//! reads what [`output`] points to. `run.mjs` does so.

use std::sync::{Mutex, MutexGuard, PoisonError};

use tracearm::drawing::Drawing;
use tracearm::measure::{self, Measurement, Options};
use tracearm::schedule::{self, Format, Style};

/// What a call hands over to the next.
struct Exchange {
    input: Vec<u8>,
    output: Vec<u8>,
}

static EXCHANGE: Mutex<Exchange> = Mutex::new(Exchange { input: Vec::new(), output: Vec::new() });

fn exchange() -> MutexGuard<'static, Exchange> {
    EXCHANGE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Room for so many bytes: those of the name, and those of the drawing behind them. It stands until the next call.
#[unsafe(no_mangle)]
pub extern "C" fn input(length: usize) -> *mut u8 {
    let mut exchange = exchange();
    exchange.input = vec![0; length];
    exchange.input.as_mut_ptr()
}

/// Measures the drawing in the input, whose name is its first `name` bytes, and writes what is wanted: 0 for CSV, 1 for
/// JSON, 2 for a sheet. 0 where all is well; 1 where the output says in words what is wrong.
#[unsafe(no_mangle)]
pub extern "C" fn measure(name: usize, wanted: u32) -> u32 {
    let mut exchange = exchange();
    let input = std::mem::take(&mut exchange.input);
    let (name, bytes) = input.split_at(name.min(input.len()));
    match written(&String::from_utf8_lossy(name), bytes, wanted) {
        Ok(output) => {
            exchange.output = output;
            0
        }
        Err(what) => {
            exchange.output = what.into_bytes();
            1
        }
    }
}

/// Where the output begins; it stands until the next call of [`measure`].
#[unsafe(no_mangle)]
pub extern "C" fn output() -> *const u8 {
    exchange().output.as_ptr()
}

/// How many bytes the output has.
#[unsafe(no_mangle)]
pub extern "C" fn output_length() -> usize {
    exchange().output.len()
}

fn written(name: &str, bytes: &[u8], wanted: u32) -> Result<Vec<u8>, String> {
    let drawing = Drawing::read(bytes).map_err(|error| error.to_string())?;
    let measured = measure::drawing(name, &drawing, &Options::default()).measurements;
    match wanted {
        0 => schedule(&measured, Format::Csv),
        1 => schedule(&measured, Format::Json),
        #[cfg(feature = "pages")]
        2 => Ok(pages::sheet(name, &drawing, bytes.len() as u64, &measured).into_bytes()),
        _ => Err(format!("nothing is written for {wanted}: use 0 to 2")),
    }
}

fn schedule(measured: &[Measurement], format: Format) -> Result<Vec<u8>, String> {
    let mut out = Vec::new();
    schedule::write(measured, Style::default(), format, &mut out).map_err(|error| error.to_string())?;
    Ok(out)
}

#[cfg(feature = "pages")]
mod pages {
    use tracearm::drawing::Drawing;
    use tracearm::measure::{self, Measurement};
    use tracearm::schedule::Style;
    use tracearm::sheet::{self, Form, Provenance};

    pub(super) fn sheet(name: &str, drawing: &Drawing, bytes: u64, measured: &[Measurement]) -> String {
        let unit = measure::drawing_unit(drawing, None);
        let source = Provenance {
            open: Vec::new(),
            unmeasured: Vec::new(),
            name: name.to_owned(),
            sha256: String::new(),
            bytes,
            format: String::new(),
            unit: unit.unit,
            unit_source: String::new(),
            layers: drawing.layers.iter().map(|layer| layer.name.clone()).collect(),
            options: String::new(),
            program: String::new(),
            date: String::new(),
            findings: Vec::new(),
        };
        sheet::html(&source, measured, Style::default(), &Form::default())
    }
}
