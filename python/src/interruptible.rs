//! Work that Python's other threads run beside, and that Ctrl-C ends.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use pyo3::prelude::*;

use crate::errors;

/// Whether the work is still wanted.
#[derive(Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Nobody waits for the work any more.
    pub fn is_asked_for(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// Signals are looked for this often: nobody notices so little.
const PAUSE: Duration = Duration::from_millis(50);

/// Stack of the thread: nested drawings were tried with so much, and threads that Python starts may have less.
const STACK: usize = 8 << 20;

/// Does the work in a thread of its own, with the interpreter released. Where a signal handler raises, as that of Ctrl-C does,
/// the work is told to stop and not waited for; a fault in it becomes an exception.
pub fn done<T: Send + 'static>(
    py: Python,
    stop: &Stop,
    work: impl FnOnce() -> T + Send + 'static,
) -> PyResult<T> {
    let (sender, mut receiver) = channel();
    let thread = thread::Builder::new().stack_size(STACK).spawn(move || {
        // Nothing that the work changes outlives it; who no longer waits has no receiver.
        let _ = sender.send(catch_unwind(AssertUnwindSafe(work)));
    });
    thread.map_err(|error| errors::of_system(py, format!("no thread could be started: {error}")))?;
    loop {
        let arrived;
        (receiver, arrived) = py.detach(move || {
            let arrived = receiver.recv_timeout(PAUSE);
            (receiver, arrived)
        });
        match arrived {
            Ok(Ok(result)) => return Ok(result),
            Ok(Err(panic)) => return Err(errors::fault(py, words(&*panic))),
            Err(RecvTimeoutError::Disconnected) => return Err(errors::fault(py, "no message")),
            Err(RecvTimeoutError::Timeout) => {
                py.check_signals().inspect_err(|_| stop.0.store(true, Ordering::Relaxed))?;
            }
        }
    }
}

/// Does what takes no time; a fault in it becomes an exception.
pub fn guarded<T>(py: Python, work: impl FnOnce() -> T) -> PyResult<T> {
    caught(work).map_err(|fault| errors::fault(py, &fault))
}

/// The same without the interpreter: what the fault says.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|panic| words(&*panic).to_owned())
}

/// What a panic says.
fn words(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or(panic.downcast_ref::<&str>().copied()).unwrap_or("no message")
}
