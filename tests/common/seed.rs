//! Seeds of random tests: a fixed one, so that every machine tries the same cases, and one of the clock with a fifth as many,
//! so that no two runs try the same alone. Each test prints the seeds that it runs with, and what is printed stands in the
//! report of a failure: `LAWS_SEED=1234 cargo test --test all laws` tries the cases of that seed again, and no others.
#![allow(dead_code, unused_imports, unused_macros, reason = "every test file uses a part of it")]

use std::sync::OnceLock;
use std::time::{SystemTime, UNIX_EPOCH};

/// So many times fewer cases are tried with a seed of the clock.
const FEWER: u32 = 5;

/// The number that an environment variable asks for.
pub fn asked(variable: &str) -> Option<u64> {
    let text = std::env::var(variable).ok()?;
    Some(text.parse().unwrap_or_else(|_| panic!("{variable} is a number, not {text}")))
}

/// A number of the clock, the same in the whole process; short, so that it can be typed.
pub fn of_clock() -> u64 {
    static SEED: OnceLock<u64> = OnceLock::new();
    *SEED.get_or_init(|| {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        (since.as_nanos() % 1_000_000_000_000) as u64
    })
}

/// Seeds and numbers of cases: `fixed` with all and one of the clock with a fifth, or the one that the variable asks for
/// with all.
pub fn seeds(variable: &str, fixed: u64, cases: u32) -> Vec<(u64, u32)> {
    match asked(variable) {
        Some(seed) => vec![(seed, cases)],
        None => vec![(fixed, cases), (of_clock(), fewer(cases))],
    }
}

/// A fifth of them, and never none.
pub fn fewer(cases: u32) -> u32 {
    (cases / FEWER).max(1)
}

/// Runs a test with each of its [`seeds`].
pub fn each(variable: &str, fixed: u64, cases: u32, test: impl Fn(u64, u32)) {
    for (seed, cases) in seeds(variable, fixed, cases) {
        println!("{variable}={seed}: {cases} cases");
        test(seed, cases);
    }
}

/// How properties are tried with one of their [`seeds`]; of one that is asked for there is one.
pub fn with_seed(variable: &str, fixed: u64, cases: u32, which: usize) -> proptest::test_runner::Config {
    let seeds = seeds(variable, fixed, cases);
    let (seed, cases) = seeds.get(which).copied().unwrap_or((seeds[0].0, 1));
    println!("{variable}={seed}: {cases} cases");
    proptest::test_runner::Config {
        cases,
        rng_seed: proptest::test_runner::RngSeed::Fixed(seed),
        failure_persistence: None,
        ..proptest::test_runner::Config::default()
    }
}

/// Properties, each a test of the fixed seed in the module `fixed` and of the clock's in `fresh`.
macro_rules! properties {
    ($variable:literal, $seed:expr, $cases:expr; $($tests:tt)*) => {
        mod fixed {
            use super::*;
            proptest::proptest! { #![proptest_config(with_seed($variable, $seed, $cases, 0))] $($tests)* }
        }
        mod fresh {
            use super::*;
            proptest::proptest! { #![proptest_config(with_seed($variable, $seed, $cases, 1))] $($tests)* }
        }
    };
}
pub(crate) use properties;
