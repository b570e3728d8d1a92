//! The program run in a folder of its own.
#![allow(dead_code, reason = "every test file uses a part of it")]

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A run that has ended.
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Run {
    /// What a run gave, which ended by itself.
    pub fn of(output: Output) -> Run {
        Run {
            code: output.status.code().expect("the program ends by itself"),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

/// A folder that is removed in the end.
pub struct Folder(PathBuf);

impl Folder {
    /// A new folder that holds these files.
    pub fn with(files: &[(&str, &str)]) -> Folder {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let name = format!("run-{}-{}", std::process::id(), COUNT.fetch_add(1, Ordering::Relaxed));
        let folder = Folder(Path::new(env!("CARGO_TARGET_TMPDIR")).join(name));
        std::fs::create_dir_all(&folder.0).unwrap();
        files.iter().for_each(|(name, text)| folder.write(name, text));
        folder
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    /// The program with these arguments, in this folder, without input.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tracearm"));
        command.args(arguments).current_dir(&self.0).stdin(Stdio::null());
        command
    }

    /// Runs the program to its end.
    pub fn run(&self, arguments: &[&str]) -> Run {
        Run::of(self.command(arguments).output().unwrap())
    }

    /// The same with these bytes on its standard input.
    pub fn run_with_input(&self, arguments: &[&str], input: &[u8]) -> Run {
        let mut command = self.command(arguments);
        let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = piped.spawn().unwrap();
        child.stdin.take().unwrap().write_all(input).unwrap();
        Run::of(child.wait_with_output().unwrap())
    }

    /// Writes a file into the folder.
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    /// The names in the folder, sorted.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(&self.0)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.join(name)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The path of a drawing in fixtures/.
pub fn fixture(name: &str) -> String {
    format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// The rows of a schedule by heading.
pub fn rows(schedule: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(schedule.as_bytes()).deserialize().map(Result::unwrap).collect()
}

/// Where another program that a test needs cannot be run: a failure where everything must be checked, as `.ci/run` does
/// unless `TRACEARM_CI_PARTIAL` is 1; elsewhere it is said that the test was left out.
pub fn not_checked(program: &str, error: &std::io::Error) {
    let is = |name: &str, value: &str| std::env::var(name).is_ok_and(|set| set == value);
    assert!(
        std::env::var_os("CI").is_none() || is("TRACEARM_CI_PARTIAL", "1"),
        "{program} cannot be run here ({error}): TRACEARM_CI_PARTIAL=1 leaves out what needs it"
    );
    println!("not checked: {program} cannot be run here ({error})");
}
