//! `tracearm completions` and `tracearm man`, from the definition of the command line. The one file that names
//! clap_complete and clap_mangen.

use std::io::{self, Write};
use std::path::Path;

use clap::{Command, CommandFactory};
use clap_complete::{Shell, generate};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, roman};

use super::Completion;
use super::args::{Arguments, CompletionsArguments, DOCUMENTS, ManArguments, ShellArgument};
use super::output::{tell, to_stdout};
use super::pending_file::PendingFile;
use tracearm::paths;

/// Runs `tracearm completions`.
pub fn completions(arguments: &CompletionsArguments) -> Completion {
    let shell = match arguments.shell {
        ShellArgument::Bash => Shell::Bash,
        ShellArgument::Zsh => Shell::Zsh,
        ShellArgument::Fish => Shell::Fish,
        ShellArgument::Elvish => Shell::Elvish,
        ShellArgument::PowerShell => Shell::PowerShell,
    };
    let mut text = Vec::new();
    generate(shell, &mut Arguments::command(), "tracearm", &mut text);
    shown(&text)
}

/// Runs `tracearm man`.
pub fn man(arguments: &ManArguments) -> Completion {
    // The pages of the commands list help; it needs none of its own.
    let mut command = Arguments::command().disable_help_subcommand(true);
    command.build();
    let Some(folder) = &arguments.output else {
        return match page(&command) {
            Ok((_, text)) => shown(&text),
            Err(error) => failed("the page", &error),
        };
    };
    if let Err(error) = std::fs::create_dir_all(folder) {
        return failed(&format!("pages into {}", paths::text(&folder)), &error);
    }
    for command in std::iter::once(&command).chain(command.get_subcommands()) {
        if let Err(error) = page(command).and_then(|(name, text)| write(&folder.join(name), &text)) {
            return failed(&format!("pages into {}", paths::text(&folder)), &error);
        }
    }
    Completion::Done
}

fn shown(text: &[u8]) -> Completion {
    match to_stdout(text) {
        Ok(()) => Completion::Done,
        Err(error) => failed("to standard output", &error),
    }
}

fn failed(what: &str, error: &io::Error) -> Completion {
    tell(&format!("tracearm: cannot write {what}: {error}"));
    Completion::Nothing
}

fn write(path: &Path, text: &[u8]) -> io::Result<()> {
    let mut file = PendingFile::create(path)?;
    file.write_all(text)?;
    file.keep()
}

/// The name and the text of a command's page.
fn page(command: &Command) -> io::Result<(String, Vec<u8>)> {
    let version = Arguments::command().get_version().unwrap_or_default().to_owned();
    let man = Man::new(command.clone()).source(format!("tracearm {version}")).manual("tracearm");
    let mut text = Vec::new();
    man.render_title(&mut text)?;
    man.render_name_section(&mut text)?;
    man.render_synopsis_section(&mut text)?;
    man.render_description_section(&mut text)?;
    man.render_options_section(&mut text)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut text)?;
    }
    after_options(command).to_writer(&mut text)?;
    Ok((man.get_filename(), text))
}

/// What stands after the options: the exit codes as a list, the caution and where to read on under headings of their own.
fn after_options(command: &Command) -> Roff {
    let mut roff = Roff::new();
    let after = command.get_after_help().map(ToString::to_string).unwrap_or_default();
    for paragraph in after.split("\n\n") {
        match paragraph.strip_prefix("Exit codes:\n") {
            None if paragraph.is_empty() => {}
            None if paragraph == DOCUMENTS => {
                roff.control("SH", ["DOCUMENTS"]).text([roman(paragraph)]);
            }
            None => {
                roff.control("SH", ["CAUTION"]).text([roman(paragraph)]);
            }
            Some(codes) => {
                roff.control("SH", ["EXIT STATUS"]);
                for line in codes.lines() {
                    let (code, meaning) = line.trim().split_once("  ").unwrap_or(("", line));
                    roff.control("TP", []).text([roman(code)]).text([roman(meaning)]);
                }
            }
        }
    }
    roff
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_for_each_command() {
        let mut command = Arguments::command().disable_help_subcommand(true);
        command.build();
        let (name, text) = page(&command).unwrap();
        let text = String::from_utf8(text).unwrap();
        assert_eq!(name, "tracearm.1");
        for part in [
            ".SH NAME",
            ".SH \"EXIT STATUS\"",
            ".SH CAUTION",
            "licensed engineer",
            "tracearm\\-check(1)",
            ".SH DOCUMENTS\nTo read on",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
        assert_eq!(text.matches(".SH CAUTION").count(), 1);
        for command in command.get_subcommands() {
            let (name, text) = page(command).unwrap();
            assert_eq!(name, format!("tracearm-{}.1", command.get_name()));
            assert!(String::from_utf8(text).unwrap().contains(".SH SYNOPSIS"));
        }
    }
}
