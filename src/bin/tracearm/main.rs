//! The command line: the only part of the project that prints, exits or reads its environment.

mod advice;
mod apart;
mod args;
mod check;
mod compare;
mod files;
mod form;
mod inspect;
mod job;
mod mark;
mod measuring;
mod output;
mod page;
mod pending_file;
mod progress;
mod reading;
mod schedule;
mod sheet;
mod shell;
mod terminal;

use std::process::ExitCode;

use clap::Parser;

/// Many small things are allocated for each section. The one place that names mimalloc.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let outcome = match args::Arguments::parse().command {
        args::Command::Schedule(arguments) => schedule::run(&arguments),
        args::Command::Inspect(arguments) => inspect::run(&arguments),
        args::Command::Sheet(arguments) => sheet::run(&arguments),
        args::Command::Mark(arguments) => mark::run(&arguments),
        args::Command::Check(arguments) => check::run(&arguments),
        args::Command::Compare(arguments) => compare::run(&arguments),
        args::Command::Page(arguments) => page::run(&arguments),
        args::Command::Completions(arguments) => shell::completions(&arguments),
        args::Command::Man(arguments) => shell::man(&arguments),
    };
    outcome.into()
}

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Completion {
    /// Everything was done.
    Done,
    /// Results were written, but something failed; it is named on stderr.
    Partly,
    /// Nothing was done.
    Nothing,
}

impl From<Completion> for ExitCode {
    fn from(outcome: Completion) -> ExitCode {
        match outcome {
            Completion::Done => ExitCode::SUCCESS,
            Completion::Partly => ExitCode::from(1),
            Completion::Nothing => ExitCode::from(2),
        }
    }
}
