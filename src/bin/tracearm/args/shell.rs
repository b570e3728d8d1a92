//! What can be asked of `tracearm completions` and `tracearm man`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

#[derive(Args)]
pub struct CompletionsArguments {
    /// The shell that completes commands
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: ShellArgument,
}

#[derive(Clone, Copy, ValueEnum)]
pub enum ShellArgument {
    Bash,
    Zsh,
    Fish,
    Elvish,
    // Not power-shell.
    #[value(name = "powershell")]
    PowerShell,
}

#[derive(Args)]
pub struct ManArguments {
    /// Write a page for tracearm and one for each of its commands into this folder, instead of the first one to standard
    /// output
    ///
    /// The folder is made where there is none.
    #[arg(short, long, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
}
