//! A drawing that an earlier run died of, measured by this program in a process of its own.

use std::ffi::OsString;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tracearm::library::{Apart, DrawingRows, Task};

use super::output::to_stdout;

/// The option by which the process is told which drawing.
const OPTION: &str = "--apart=";

/// Starts this program again for one drawing, with the same arguments, so that it measures in the same way.
pub fn by_this_program(time_limit: Option<Duration>) -> Apart {
    let arguments: Vec<OsString> = std::env::args_os().skip(1).collect();
    Apart::by(move |drawing| {
        let program = std::env::current_exe().map_err(|error| error.to_string())?;
        let mut option = OsString::from(OPTION);
        option.push(drawing);
        let child = Command::new(program)
            // Behind the name of the command: there may be a -- among the others.
            .args(arguments.iter().take(1))
            .arg(option)
            .args(arguments.iter().skip(1))
            // It ends when this process is gone.
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            // What it says in the end, such as of a stack that overflowed, is said here in other words.
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| format!("it could not be started: {error}"))?;
        result_of(child, time_limit)
    })
}

/// What the process gives; how it ended where that is not well.
fn result_of(mut child: Child, time_limit: Option<Duration>) -> Result<String, String> {
    const PAUSE: Duration = Duration::from_millis(10);
    let began = Instant::now();
    let Some(mut output) = child.stdout.take() else { return Err("it gave nothing".to_owned()) };
    // Beside the waiting, for it may give more than a pipe holds.
    let reading = std::thread::Builder::new().spawn(move || {
        let mut text = String::new();
        output.read_to_string(&mut text).map(|_| text)
    });
    let reading = match reading {
        Ok(reading) => reading,
        Err(error) => {
            let _ = child.kill();
            let _ = child.wait();
            return Err(error.to_string());
        }
    };
    let status = loop {
        match child.try_wait() {
            Ok(Some(status)) => break status,
            Ok(None) if time_limit.is_none_or(|limit| began.elapsed() <= limit) => std::thread::sleep(PAUSE),
            other => {
                // It is gone already, or goes now.
                let _ = child.kill();
                let _ = child.wait();
                return Err(other.err().map_or("it took too long".to_owned(), |error| error.to_string()));
            }
        }
    };
    let text = reading.join().map_err(|_| "what it gave could not be read".to_owned())?;
    if !status.success() {
        return Err(status.to_string());
    }
    text.map_err(|error| error.to_string())
}

/// What that process does.
pub fn measure(drawing: &Path, task: &Task) -> Result<(), String> {
    let waiting = std::thread::Builder::new().spawn(|| {
        // Nothing is ever written to it: it ends with whoever holds the other end.
        let _ = std::io::copy(&mut std::io::stdin().lock(), &mut std::io::sink());
        std::process::exit(2);
    });
    waiting.map_err(|error| error.to_string())?;
    let text = DrawingRows::measured_apart(drawing, task);
    to_stdout(text.as_bytes()).map_err(|error| error.to_string())
}
