//! The library for the page, as a WebAssembly module that imports nothing: a request in, its answer out.
//!
//! Whoever calls asks [`input`] for room, writes the request there - an object in JSON, and behind it the bytes of a drawing
//! where the request needs them - and calls [`answer`] with the length of the object. The answer is bytes, text or JSON, at
//! [`output`], and numbers at [`numbers`], where curves are handed over. `requests.rs` has what can be asked.

mod curves;
mod figures;
mod options;
mod requests;
mod sheet;
mod state;

use std::sync::{Mutex, MutexGuard, PoisonError};

use requests::{Answer, Input};
use state::State;

/// What a call hands over to the next.
struct Exchange {
    input: Vec<u8>,
    answer: Answer,
    state: State,
}

static EXCHANGE: Mutex<Option<Exchange>> = Mutex::new(None);

fn with<T>(work: impl FnOnce(&mut Exchange) -> T) -> T {
    let mut kept: MutexGuard<'_, Option<Exchange>> = EXCHANGE.lock().unwrap_or_else(PoisonError::into_inner);
    let nothing = || Exchange { input: Vec::new(), answer: Answer::default(), state: State::default() };
    work(kept.get_or_insert_with(nothing))
}

/// Room for so many bytes of a request; it stands until the next call. Null where there is no memory for them.
#[unsafe(no_mangle)]
pub extern "C" fn input(length: usize) -> *mut u8 {
    with(|exchange| {
        exchange.answer = Answer::default();
        exchange.input = Vec::new();
        if exchange.input.try_reserve_exact(length).is_err() {
            return std::ptr::null_mut();
        }
        exchange.input.resize(length, 0);
        exchange.input.as_mut_ptr()
    })
}

/// Does what the request asks, whose object in JSON has so many bytes. 0 where all is well; 1 where the output says in words
/// what is wrong.
#[unsafe(no_mangle)]
pub extern "C" fn answer(length: usize) -> u32 {
    with(|exchange| {
        let input = std::mem::take(&mut exchange.input);
        match requests::answer(&mut exchange.state, Input::of(input, length)) {
            Ok(answer) => {
                exchange.answer = answer;
                0
            }
            Err(refusal) => {
                exchange.answer = Answer::json(&refusal.object());
                1
            }
        }
    })
}

/// Where the output begins; it stands until the next call of [`input`].
#[unsafe(no_mangle)]
pub extern "C" fn output() -> *const u8 {
    with(|exchange| exchange.answer.bytes.as_ptr())
}

/// How many bytes the output has.
#[unsafe(no_mangle)]
pub extern "C" fn output_length() -> usize {
    with(|exchange| exchange.answer.bytes.len())
}

/// Where the numbers of the answer begin, each of 64 bits.
#[unsafe(no_mangle)]
pub extern "C" fn numbers() -> *const f64 {
    with(|exchange| exchange.answer.drawn.records.as_ptr())
}

/// How many numbers there are.
#[unsafe(no_mangle)]
pub extern "C" fn numbers_length() -> usize {
    with(|exchange| exchange.answer.drawn.records.len())
}

/// Where the table of runs begins.
#[unsafe(no_mangle)]
pub extern "C" fn runs() -> *const f64 {
    with(|exchange| exchange.answer.drawn.runs.as_ptr())
}

/// How many numbers it has.
#[unsafe(no_mangle)]
pub extern "C" fn runs_length() -> usize {
    with(|exchange| exchange.answer.drawn.runs.len())
}
