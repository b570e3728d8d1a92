//! Fixtures spoiled at random, from bytes to the rows of the schedule: nothing panics, nothing takes long, memory stays
//! bounded, and what holds for any input holds.
//!
//! A failure names the number of the spoiled drawing. To have its bytes:
//!
//! ```sh
//! TRACEARM_MUTATION=1234 TRACEARM_MUTATIONS_TO=folder cargo test --test mutations
//! ```
//!
//! runs that one alone and writes `folder/1234.dxf`; without a number, all that fail are written.

mod common;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use tracearm::drawing::Drawing;

use common::mangle::{Random, mangle};
use common::seed::of_clock;
use common::{own_time, sound};

/// Spoiled drawings of every run.
const COUNT: usize = 20_000;

/// One other for each of so many.
const OTHERS: usize = 5;

/// Where the numbers come from; a drawing's own number is added.
const SEED: u64 = 0x7261_6365_6172_6D00;

/// Threads, as many as the smallest machine that runs the tests has.
const THREADS: usize = 2;

/// No drawing of some kilobytes may take longer, of the thread's own time where that is known.
///
/// The checks that tests are built with (of overflow and the like) take half as long again; without them, as the program is
/// built, it is a second.
const LONGEST: Duration = Duration::from_millis(if cfg!(debug_assertions) { 1500 } else { 1000 });

/// What each entity may take beyond that: one number more in a drawing can make a block stand in it tens of thousands of
/// times, which is honest work as long as it grows no faster than what is drawn. An outline of two arcs and two lines takes
/// some 40 µs.
const EACH: Duration = Duration::from_micros(60);

/// How often a drawing that seems to take too long is tried again.
const TRIES: usize = 3;

/// After this a run is taken to have no end, and another thread goes on in its place.
const ENDLESS: Duration = Duration::from_secs(30);

/// With more runs without end than this the test ends at once.
const MOST_STUCK: usize = 6;

/// Resident memory that the whole process may reach. The fixtures take some 20 MB; blocks and arrays may
/// put two million pieces into one drawing.
const MOST_MEMORY_KB: u64 = 1_500_000;

/// One spoiled drawing that did not do as it must.
struct Wrong {
    number: usize,
    done: String,
    what: String,
}

thread_local! {
    static PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

#[test]
fn spoiled_drawings_are_read_measured_and_written() {
    let drawings = fixtures();
    let only =
        std::env::var("TRACEARM_MUTATION").ok().map(|number| number.parse::<usize>().expect("a number"));
    let folder = std::env::var_os("TRACEARM_MUTATIONS_TO").map(PathBuf::from);
    // Those of every run, and others that begin with a number of the clock.
    let others = of_clock() as usize;
    let count = if only.is_some() { 1 } else { COUNT + COUNT / OTHERS };
    let number_of = |at: usize| only.unwrap_or(if at < COUNT { at } else { others + at - COUNT });
    println!("spoiled drawings from {others} beside those of every run: TRACEARM_MUTATION names one");
    let next = AtomicUsize::new(0);
    let (wrong, times, slow) = (Mutex::new(Vec::new()), Mutex::new(Vec::new()), Mutex::new(Vec::new()));
    let counts = [AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0)];
    let running = [const { Mutex::new(None::<(usize, Instant)>) }; THREADS + MOST_STUCK];
    let old_hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|info| PANIC.set(info.to_string())));
    let keep = |number: usize, bytes: &[u8]| {
        if let Some(folder) = &folder {
            std::fs::create_dir_all(folder).expect("a folder");
            std::fs::write(folder.join(format!("{number}.dxf")), bytes).expect("a file");
        }
    };
    let one = |number: usize| {
        let (bytes, done) = spoiled(number, &drawings);
        let start = own_time();
        let result = catch_unwind(AssertUnwindSafe(|| sound::check(&bytes, number % sound::WAYS)));
        let took = own_time().saturating_sub(start);
        let what = match result {
            Err(_) => Some(format!("panic: {}", PANIC.take())),
            Ok(Err(what)) => Some(what),
            Ok(Ok(_)) if took > LONGEST => {
                slow.lock().expect("no panic").push((number, done.clone()));
                None
            }
            Ok(Ok(sections)) => {
                let kind = sections.map_or(0, |sections| 1 + sections.min(1));
                counts[kind].fetch_add(1, Ordering::Relaxed);
                None
            }
        };
        if what.is_some() || only.is_some() {
            keep(number, &bytes);
        }
        if only.is_some() {
            println!("{number}: {done}; {} bytes, {took:.3?}", bytes.len());
        }
        times.lock().expect("no panic").push((took, number));
        wrong.lock().expect("no panic").extend(what.map(|what| Wrong { number, done, what }));
    };
    std::thread::scope(|scope| {
        let begin = |slot: usize| {
            let (one, next, running, end) = (&one, &next, &running[slot], count);
            scope.spawn(move || {
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    if at >= end {
                        break;
                    }
                    let number = number_of(at);
                    *running.lock().expect("no panic") = Some((number, Instant::now()));
                    one(number);
                }
                *running.lock().expect("no panic") = None;
            })
        };
        let mut workers: Vec<_> = (0..THREADS).map(begin).collect();
        let mut stuck = BTreeMap::new();
        while workers
            .iter()
            .enumerate()
            .any(|(slot, worker)| !stuck.contains_key(&slot) && !worker.is_finished())
        {
            std::thread::sleep(Duration::from_millis(50));
            for slot in 0..workers.len() {
                let Some((number, since)) = *running[slot].lock().expect("no panic") else { continue };
                if since.elapsed() > ENDLESS && stuck.insert(slot, number).is_none() {
                    let (bytes, done) = spoiled(number, &drawings);
                    keep(number, &bytes);
                    let what = format!("has not ended after {ENDLESS:?}");
                    wrong.lock().expect("no panic").push(Wrong { number, done, what });
                    if workers.len() == running.len() {
                        give_up(&mut wrong.lock().expect("no panic"));
                    }
                    workers.push(begin(workers.len()));
                }
            }
        }
        if !stuck.is_empty() {
            give_up(&mut wrong.lock().expect("no panic"));
        }
    });
    std::panic::set_hook(old_hook);
    let mut times = times.into_inner().expect("no panic");
    times.sort_unstable_by(|a, b| b.cmp(a));
    let total: Duration = times.iter().map(|(took, _)| *took).sum();
    println!("{} spoiled drawings in {total:.1?} of their threads' time; the slowest:", times.len());
    for (took, number) in times.iter().take(5) {
        println!("  {number}: {took:.3?}, {}", spoiled(*number, &drawings).1);
    }
    let [refused, empty, measured] = counts.map(AtomicUsize::into_inner);
    println!("{measured} with sections, {empty} without, {refused} refused");
    let memory = peak_memory_kb();
    println!("resident memory at its peak: {memory:?} kB");
    let mut wrong = wrong.into_inner().expect("no panic");
    // Threads of one core slow each other down: what seemed to take too long is tried again by itself.
    for (number, done) in slow.into_inner().expect("no panic") {
        let (bytes, _) = spoiled(number, &drawings);
        let took = (0..TRIES).map(|_| time_of(&bytes, number)).min().unwrap_or(Duration::MAX);
        let entities = Drawing::read(bytes.as_slice()).map_or(0, |drawing| drawing.entities.len());
        println!("  {number} by itself: {took:.3?}, {entities} entities");
        if took > LONGEST + EACH * u32::try_from(entities).unwrap_or(u32::MAX) {
            keep(number, &bytes);
            wrong.push(Wrong { number, done, what: format!("took {took:.1?}") });
        }
    }
    wrong.sort_by_key(|wrong| wrong.number);
    assert!(wrong.is_empty(), "{}", report(&wrong));
    assert!(memory.is_none_or(|memory| memory <= MOST_MEMORY_KB), "{memory:?} kB of memory");
    if only.is_none() {
        // Spoiled so little that most can still be measured, so much that some cannot.
        assert!(measured > COUNT / 2 && refused > COUNT / 100, "{measured} measured, {refused} refused");
    }
}

/// The same number always gives the same drawing.
fn spoiled(number: usize, drawings: &[(String, Vec<u8>)]) -> (Vec<u8>, String) {
    mangle(&mut Random::new(SEED.wrapping_add((number as u64) << 20)), drawings)
}

/// The thread's own time for one drawing.
fn time_of(bytes: &[u8], number: usize) -> Duration {
    let start = own_time();
    // It did as it must before.
    let _ = sound::check(bytes, number % sound::WAYS);
    own_time().saturating_sub(start)
}

fn fixtures() -> Vec<(String, Vec<u8>)> {
    let folder = format!("{}/fixtures", env!("CARGO_MANIFEST_DIR"));
    let paths = std::fs::read_dir(folder)
        .expect("the folder of fixtures")
        .map(|entry| entry.expect("an entry").path());
    let drawings: BTreeMap<String, Vec<u8>> = paths
        .filter(|path| path.extension().is_some_and(|ending| ending == "dxf"))
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read(&path).expect("a fixture"))
        })
        .collect();
    drawings.into_iter().collect()
}

/// The failures with their first words in common counted, and the first of each told.
fn report(wrong: &[Wrong]) -> String {
    let mut kinds: BTreeMap<String, Vec<&Wrong>> = BTreeMap::new();
    for one in wrong {
        let words: String = one.what.chars().filter(|c| !c.is_ascii_digit()).take(90).collect();
        kinds.entry(words).or_default().push(one);
    }
    let mut text = format!("{} spoiled drawings did not do as they must:\n", wrong.len());
    for same in kinds.values() {
        for one in same.iter().take(3) {
            text.push_str(&format!("TRACEARM_MUTATION={}: {}\n    {}\n", one.number, one.what, one.done));
        }
        if same.len() > 3 {
            text.push_str(&format!("    and {} more like that\n", same.len() - 3));
        }
    }
    text
}

/// A run without end cannot be stopped from outside; the whole process is, after what it has found is told.
fn give_up(wrong: &mut [Wrong]) -> ! {
    use std::io::Write;
    wrong.sort_by_key(|wrong| wrong.number);
    let _ = writeln!(std::io::stderr(), "{}", report(wrong));
    std::process::exit(1);
}

/// The most resident memory that this process has had, where the system says.
fn peak_memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}
