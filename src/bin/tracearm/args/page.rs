//! What can be asked of `tracearm page`.

use std::path::PathBuf;

use clap::Args;

use super::CAUTION;

/// How the command is typed.
const EXAMPLES: &str =
    "Examples:\n  tracearm page -o tracearm.html\n  tracearm page --output /srv/www/tracearm.html";

#[derive(Args)]
#[command(after_help = format!("{CAUTION}\n\n{EXAMPLES}"))]
pub struct PageArguments {
    /// Write the page to this file, such as tracearm.html
    ///
    /// It opens in a browser from any folder, needs no network, and sends no drawing anywhere. The file is replaced only when
    /// it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
}
