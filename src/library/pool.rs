//! Work done in threads, its results taken in the order of what it was done on.

use std::collections::BTreeMap;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// How fast and how patiently work is done.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// Threads that work at the same time; at least 1.
    pub jobs: usize,
    /// What takes longer than this is given up.
    pub time_limit: Option<Duration>,
}

impl Default for Pace {
    /// One thread, without a limit.
    fn default() -> Pace {
        Pace { jobs: 1, time_limit: None }
    }
}

/// Results that wait for an earlier one hold no more than about this many bytes: threads wait then. That is the rows of
/// some ten thousand drawings, so that one very large drawing does not stall the others.
pub const MOST_HELD: usize = 64 << 20;

/// Stack of a working thread: that of a main thread, as nested drawings were tried with.
const STACK: usize = 8 << 20;

/// How often what is over the limit of time is looked for.
const LOOK: Duration = Duration::from_millis(20);

/// What is done to each source.
pub(super) trait Work<S, T>: Send + Sync + 'static {
    /// Does it.
    fn result(&self, source: &S) -> T;
    /// The result of a source that took too long.
    fn late(&self, source: &S) -> T;
    /// Bytes that a result takes up, about.
    fn weight(&self, result: &T) -> usize;
}

/// Who takes the results, in the thread that called.
pub(super) trait Taker<T, E> {
    /// Takes note of a result as soon as there is one, in any order.
    fn arrived(&mut self, result: &mut T) -> Result<(), E>;
    /// Takes the results in the order of the sources.
    fn next(&mut self, result: T) -> Result<(), E>;
}

/// Does the work on all sources. An error of the taker, or of the system where it has no more threads, ends it: what is
/// being done then is given up.
pub(super) fn ordered<S, T, E>(
    sources: impl Iterator<Item = S> + Send + 'static,
    pace: Pace,
    work: impl Work<S, T>,
    taker: &mut impl Taker<T, E>,
) -> Result<(), E>
where
    S: Clone + Send + 'static,
    T: Send + 'static,
    E: From<std::io::Error>,
{
    let (results, arriving) = mpsc::channel();
    let state = State { sources, next: 0, held: 0, stopped: false, busy: BTreeMap::new() };
    let shared = Arc::new(Shared { state: Mutex::new(state), room: Condvar::new(), work, pace });
    let stop = Stop(&shared);
    let mut working = 0;
    let mut given_up = 0;
    for _ in 0..pace.jobs.max(1) {
        match spawn(&shared, &results) {
            Ok(()) => working += 1,
            Err(error) if working == 0 => return Err(error.into()),
            // Fewer threads do it too.
            Err(_) => break,
        }
    }
    let mut waiting: BTreeMap<u64, T> = BTreeMap::new();
    let mut wanted = 0;
    while working > 0 {
        let mut done = Vec::new();
        let event = match pace.time_limit {
            None => arriving.recv().map_err(|_| RecvTimeoutError::Disconnected),
            Some(_) => arriving.recv_timeout(LOOK),
        };
        match event {
            Ok(Event::Result(number, result)) => done.push((number, result)),
            Ok(Event::NoMore) | Err(RecvTimeoutError::Disconnected) => working -= 1,
            Err(RecvTimeoutError::Timeout) => {}
        }
        for (number, source) in shared.overdue() {
            let result = shared.work.late(&source);
            shared.lock().held += shared.work.weight(&result);
            done.push((number, result));
            // Its thread can't be stopped; another takes its place.
            given_up += 1;
            working -= 1;
            match spawn(&shared, &results) {
                Ok(()) => working += 1,
                Err(error) if working == 0 => return Err(error.into()),
                Err(_) => {}
            }
        }
        for (number, mut result) in done {
            taker.arrived(&mut result)?;
            waiting.insert(number, result);
        }
        while let Some(result) = waiting.remove(&wanted) {
            let weight = shared.work.weight(&result);
            taker.next(result)?;
            wanted += 1;
            let mut state = shared.lock();
            state.held = state.held.saturating_sub(weight);
            drop(state);
            shared.room.notify_all();
        }
    }
    drop(stop);
    // Threads that found no more sources are on their way out; what they shared is the caller's again then.
    while Arc::strong_count(&shared) > 1 + given_up {
        thread::sleep(Duration::from_micros(50));
    }
    Ok(())
}

enum Event<T> {
    Result(u64, T),
    /// A thread found no more sources.
    NoMore,
}

struct State<I, S> {
    sources: I,
    /// Number of the next source.
    next: u64,
    /// Bytes of results that were not taken yet.
    held: usize,
    stopped: bool,
    /// What is being worked on and since when, where time is limited.
    busy: BTreeMap<u64, (Instant, S)>,
}

struct Shared<I, S, W> {
    state: Mutex<State<I, S>>,
    room: Condvar,
    work: W,
    pace: Pace,
}

impl<I, S, W> Shared<I, S, W> {
    /// A thread that panicked leaves no half-done state: sources and counts alone change under the lock.
    fn lock(&self) -> MutexGuard<'_, State<I, S>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What took too long; it counts as done.
    fn overdue(&self) -> Vec<(u64, S)> {
        let Some(limit) = self.pace.time_limit else { return Vec::new() };
        let mut state = self.lock();
        let late: Vec<u64> =
            state.busy.iter().filter(|(_, (since, _))| since.elapsed() > limit).map(|(k, _)| *k).collect();
        late.into_iter().filter_map(|k| state.busy.remove(&k).map(|(_, source)| (k, source))).collect()
    }
}

/// Tells threads to end when the caller goes.
struct Stop<'a, I, S, W>(&'a Shared<I, S, W>);

impl<I, S, W> Drop for Stop<'_, I, S, W> {
    fn drop(&mut self) {
        self.0.lock().stopped = true;
        self.0.room.notify_all();
    }
}

fn spawn<I, S, T, W>(shared: &Arc<Shared<I, S, W>>, results: &Sender<Event<T>>) -> std::io::Result<()>
where
    I: Iterator<Item = S> + Send + 'static,
    S: Clone + Send + 'static,
    T: Send + 'static,
    W: Work<S, T>,
{
    let (shared, results) = (Arc::clone(shared), results.clone());
    thread::Builder::new().stack_size(STACK).spawn(move || worker(&shared, &results)).map(drop)
}

fn worker<I, S, T, W>(shared: &Shared<I, S, W>, results: &Sender<Event<T>>)
where
    I: Iterator<Item = S>,
    S: Clone,
    W: Work<S, T>,
{
    loop {
        let mut state = shared.lock();
        while state.held > MOST_HELD && !state.stopped {
            state = shared.room.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        let source = if state.stopped { None } else { state.sources.next() };
        let Some(source) = source else {
            drop(state);
            // Nobody may be listening any more.
            let _ = results.send(Event::NoMore);
            return;
        };
        let number = state.next;
        state.next += 1;
        let limited = shared.pace.time_limit.is_some();
        if limited {
            state.busy.insert(number, (Instant::now(), source.clone()));
        }
        drop(state);
        let result = shared.work.result(&source);
        let mut state = shared.lock();
        if limited && state.busy.remove(&number).is_none() {
            // It was given up, and another thread works in the place of this one.
            return;
        }
        state.held += shared.work.weight(&result);
        drop(state);
        if results.send(Event::Result(number, result)).is_err() {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io;
    use std::sync::atomic::{AtomicUsize, Ordering};

    struct Sleeping {
        weight: usize,
        most: Arc<AtomicUsize>,
        now: Arc<AtomicUsize>,
    }

    impl Sleeping {
        fn of_weight(weight: usize) -> Sleeping {
            Sleeping { weight, most: Arc::default(), now: Arc::default() }
        }
    }

    impl Work<u64, (u64, bool)> for Sleeping {
        fn result(&self, source: &u64) -> (u64, bool) {
            let now = self.now.fetch_add(1, Ordering::SeqCst) + 1;
            self.most.fetch_max(now, Ordering::SeqCst);
            thread::sleep(Duration::from_millis(if source.is_multiple_of(7) { 30 } else { 1 }));
            if source % 50 == 49 {
                thread::sleep(Duration::from_secs(3));
            }
            self.now.fetch_sub(1, Ordering::SeqCst);
            (*source, true)
        }

        fn late(&self, source: &u64) -> (u64, bool) {
            (*source, false)
        }

        fn weight(&self, _: &(u64, bool)) -> usize {
            self.weight
        }
    }

    #[derive(Default)]
    struct Kept {
        arrived: Vec<u64>,
        in_order: Vec<(u64, bool)>,
        stop_at: Option<u64>,
    }

    impl Taker<(u64, bool), io::Error> for Kept {
        fn arrived(&mut self, result: &mut (u64, bool)) -> io::Result<()> {
            self.arrived.push(result.0);
            Ok(())
        }

        fn next(&mut self, result: (u64, bool)) -> io::Result<()> {
            if self.stop_at == Some(result.0) {
                return Err(io::Error::other("no room"));
            }
            self.in_order.push(result);
            Ok(())
        }
    }

    #[test]
    fn results_come_in_order_whatever_the_threads() {
        for jobs in [0, 1, 3, 8] {
            let mut kept = Kept::default();
            let pace = Pace { jobs, time_limit: None };
            ordered(0..40, pace, Sleeping::of_weight(1), &mut kept).unwrap();
            assert_eq!(kept.in_order, (0..40).map(|k| (k, true)).collect::<Vec<_>>());
            kept.arrived.sort_unstable();
            assert_eq!(kept.arrived, (0..40).collect::<Vec<_>>());
        }
    }

    #[test]
    fn threads_wait_where_results_are_held() {
        // Each result alone is more than may be held: nothing is taken up before the one before it is out.
        let work = Sleeping::of_weight(MOST_HELD + 1);
        let most = Arc::clone(&work.most);
        let mut kept = Kept::default();
        ordered(0..30, Pace { jobs: 4, time_limit: None }, work, &mut kept).unwrap();
        assert_eq!(kept.in_order.len(), 30);
        assert!(most.load(Ordering::SeqCst) <= 4);
    }

    #[test]
    fn what_takes_too_long_costs_only_itself() {
        let mut kept = Kept::default();
        let pace = Pace { jobs: 2, time_limit: Some(Duration::from_millis(400)) };
        let began = Instant::now();
        ordered(0..120, pace, Sleeping::of_weight(1), &mut kept).unwrap();
        let late: Vec<u64> = kept.in_order.iter().filter(|(_, done)| !done).map(|(k, _)| *k).collect();
        assert_eq!((kept.in_order.len(), late), (120, vec![49, 99]));
        // Neither was waited for.
        assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    }

    #[test]
    fn an_error_of_the_taker_ends_it() {
        let mut kept = Kept { stop_at: Some(12), ..Kept::default() };
        let error = ordered(0.., Pace { jobs: 3, time_limit: None }, Sleeping::of_weight(1), &mut kept);
        assert_eq!(error.unwrap_err().to_string(), "no room");
        assert_eq!(kept.in_order.len(), 12);
    }
}
