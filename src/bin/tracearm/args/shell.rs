//! What can be asked of `tracearm completions` and `tracearm man`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// How the commands are typed.
const COMPLETIONS_EXAMPLES: &str =
    "Examples:\n  tracearm completions bash > tracearm.bash\n  tracearm completions fish > tracearm.fish";
const MAN_EXAMPLES: &str = "Examples:\n  tracearm man > tracearm.1\n  tracearm man -o man1";

#[derive(Args)]
#[command(after_help = COMPLETIONS_EXAMPLES)]
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
#[command(after_help = MAN_EXAMPLES)]
pub struct ManArguments {
    /// Write a page for tracearm and one for each of its commands into this folder, instead of the first one to standard
    /// output
    ///
    /// The folder is made where there is none.
    #[arg(short, long, value_name = "FOLDER")]
    pub output: Option<PathBuf>,
}
