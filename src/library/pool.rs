//! Work done in threads, its results taken in the order of what it was done on.

use std::collections::BTreeMap;
use std::io;
use std::iter::Zip;
use std::ops::RangeFrom;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// How fast and how patiently work is done.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Concurrency {
    /// Threads that work at the same time; at least 1.
    pub jobs: usize,
    /// What takes longer than this is given up.
    pub time_limit: Option<Duration>,
}

impl Concurrency {
    /// The default concurrency with what `change` sets.
    pub fn with(change: impl FnOnce(&mut Concurrency)) -> Concurrency {
        let mut concurrency = Concurrency::default();
        change(&mut concurrency);
        concurrency
    }
}

impl Default for Concurrency {
    /// One thread, without a limit.
    fn default() -> Concurrency {
        Concurrency { jobs: 1, time_limit: None }
    }
}

/// Results that wait for an earlier one hold no more than about this many bytes: threads wait then. That is the rows of
/// some ten thousand drawings, so that one very large drawing does not stall the others.
pub const MOST_HELD: usize = 64 << 20;

/// Stack of a working thread: that of a main thread, as nested drawings were tried with.
const STACK: usize = 8 << 20;

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
pub(super) trait ResultSink<T, E> {
    /// Takes note of a result as soon as there is one, in any order.
    fn arrived(&mut self, result: &mut T) -> Result<(), E>;
    /// Some time has passed; others may still be at their work for long.
    fn waited(&mut self) -> Result<(), E> {
        Ok(())
    }
    /// Takes the results that are next in the order of the sources.
    fn next(&mut self, results: Vec<T>) -> Result<(), E>;
}

/// Results are fetched this often, or when so many are there: to be woken for each costs more than a small drawing.
const FETCHED: Duration = Duration::from_millis(5);
const MANY: usize = 32;

/// Does the work on all sources. An error of the sink, or of the system where it has no more threads, ends it: what is
/// being done then is given up.
pub(super) fn ordered<S, T, E>(
    sources: impl Iterator<Item = S> + Send + 'static,
    concurrency: Concurrency,
    work: impl Work<S, T>,
    sink: &mut impl ResultSink<T, E>,
) -> Result<(), E>
where
    S: Clone + Send + 'static,
    T: Send + 'static,
    E: From<io::Error>,
{
    let state = State {
        held: 0,
        stopped: false,
        broken: false,
        working: 0,
        arrived: Vec::new(),
        busy: BTreeMap::new(),
    };
    let shared = Arc::new(Shared {
        sources: Mutex::new(sources.zip(0..)),
        state: Mutex::new(state),
        room: Condvar::new(),
        news: Condvar::new(),
        work,
        concurrency,
    });
    let stop = Stop(&shared);
    let mut given_up = 0;
    for _ in 0..concurrency.jobs.max(1) {
        // Fewer threads do it too.
        if let Err(error) = spawn(&shared)
            && shared.lock().working == 0
        {
            return Err(error.into());
        }
    }
    let mut waiting: BTreeMap<u64, T> = BTreeMap::new();
    let mut wanted = 0;
    loop {
        let (mut done, mut working) = shared.fetched();
        for (number, source) in shared.overdue() {
            let result = shared.work.late(&source);
            let mut state = shared.lock();
            state.held += shared.work.weight(&result);
            // Its thread can't be stopped; another takes its place.
            state.working -= 1;
            drop(state);
            done.push((number, result));
            given_up += 1;
            let begun = spawn(&shared);
            working = shared.lock().working;
            if let Err(error) = begun
                && working == 0
            {
                return Err(error.into());
            }
        }
        for (number, mut result) in done {
            sink.arrived(&mut result)?;
            waiting.insert(number, result);
        }
        sink.waited()?;
        let mut next = Vec::new();
        while let Some(result) = waiting.remove(&wanted) {
            next.push(result);
            wanted += 1;
        }
        let taken: usize = next.iter().map(|result| shared.work.weight(result)).sum();
        if !next.is_empty() {
            sink.next(next)?;
        }
        let mut state = shared.lock();
        let full = state.held > MOST_HELD;
        state.held = state.held.saturating_sub(taken);
        let broken = state.broken;
        drop(state);
        // What a thread was at is missing: all that comes after it would wait for ever.
        if broken {
            return Err(io::Error::other("a fault of the program ended one of its threads").into());
        }
        if full {
            shared.room.notify_all();
        }
        if working == 0 {
            break;
        }
    }
    drop(stop);
    // Threads that found no more sources are on their way out; what they shared is the caller's again then.
    while Arc::strong_count(&shared) > 1 + given_up {
        thread::sleep(Duration::from_micros(50));
    }
    Ok(())
}

struct State<S, T> {
    /// Bytes of results that were not taken yet.
    held: usize,
    stopped: bool,
    /// A thread panicked, so that a result may be missing.
    broken: bool,
    /// Threads that may bring more results.
    working: usize,
    /// Results that were not fetched yet, with the numbers of their sources.
    arrived: Vec<(u64, T)>,
    /// What is being worked on and since when, where time is limited.
    busy: BTreeMap<u64, (Instant, S)>,
}

struct Shared<I, S, T, W> {
    /// The sources with their numbers, under a lock of their own: they may come slowly, and nothing else waits for them.
    sources: Mutex<Zip<I, RangeFrom<u64>>>,
    state: Mutex<State<S, T>>,
    /// There is room for more results.
    room: Condvar,
    /// Many results are there, or the last ones.
    news: Condvar,
    work: W,
    concurrency: Concurrency,
}

impl<I, S, T, W> Shared<I, S, T, W> {
    /// A thread that panicked leaves no half-done state: counts and results alone change under the lock.
    fn lock(&self) -> MutexGuard<'_, State<S, T>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The results that have arrived, after a wait, and how many threads may bring more.
    fn fetched(&self) -> (Vec<(u64, T)>, usize) {
        let mut state = self.lock();
        if state.arrived.len() < MANY && state.working > 0 {
            state = self.news.wait_timeout(state, FETCHED).unwrap_or_else(PoisonError::into_inner).0;
        }
        (std::mem::take(&mut state.arrived), state.working)
    }

    /// What took too long; it counts as done.
    fn overdue(&self) -> Vec<(u64, S)> {
        let Some(limit) = self.concurrency.time_limit else { return Vec::new() };
        let mut state = self.lock();
        let late: Vec<u64> =
            state.busy.iter().filter(|(_, (since, _))| since.elapsed() > limit).map(|(k, _)| *k).collect();
        late.into_iter().filter_map(|k| state.busy.remove(&k).map(|(_, source)| (k, source))).collect()
    }
}

/// Tells threads to end when the caller goes.
struct Stop<'a, I, S, T, W>(&'a Shared<I, S, T, W>);

impl<I, S, T, W> Drop for Stop<'_, I, S, T, W> {
    fn drop(&mut self) {
        self.0.lock().stopped = true;
        self.0.room.notify_all();
    }
}

fn spawn<I, S, T, W>(shared: &Arc<Shared<I, S, T, W>>) -> io::Result<()>
where
    I: Iterator<Item = S> + Send + 'static,
    S: Clone + Send + 'static,
    T: Send + 'static,
    W: Work<S, T>,
{
    shared.lock().working += 1;
    let own = Arc::clone(shared);
    let begun = thread::Builder::new().stack_size(STACK).spawn(move || worker(&own)).map(drop);
    if begun.is_err() {
        shared.lock().working -= 1;
    }
    begun
}

/// A thread that may bring more results, until this goes.
struct Working<'a, I, S, T, W>(&'a Shared<I, S, T, W>);

impl<I, S, T, W> Drop for Working<'_, I, S, T, W> {
    fn drop(&mut self) {
        let mut state = self.0.lock();
        state.working -= 1;
        state.broken |= thread::panicking();
        self.0.news.notify_one();
    }
}

fn worker<I, S, T, W>(shared: &Shared<I, S, T, W>)
where
    I: Iterator<Item = S>,
    S: Clone,
    W: Work<S, T>,
{
    let limited = shared.concurrency.time_limit.is_some();
    let working = Working(shared);
    loop {
        let mut state = shared.lock();
        while state.held > MOST_HELD && !state.stopped {
            state = shared.room.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        if state.stopped {
            return;
        }
        drop(state);
        let next = shared.sources.lock().unwrap_or_else(PoisonError::into_inner).next();
        let Some((source, number)) = next else { return };
        if limited {
            shared.lock().busy.insert(number, (Instant::now(), source.clone()));
        }
        let result = shared.work.result(&source);
        let weight = shared.work.weight(&result);
        let mut state = shared.lock();
        if limited && state.busy.remove(&number).is_none() {
            // It was given up, and another thread works and counts in the place of this one.
            std::mem::forget(working);
            return;
        }
        state.held += weight;
        state.arrived.push((number, result));
        // Where results wait for room, those who take them must not wait.
        if state.arrived.len() >= MANY || state.held > MOST_HELD {
            shared.news.notify_one();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::sync::mpsc::{Receiver, Sender, channel};

    /// Sources that were begun, less those whose results were taken.
    type Begun = Arc<AtomicUsize>;

    struct Sleeping {
        weight: usize,
        begun: Begun,
    }

    impl Sleeping {
        fn of_weight(weight: usize) -> Sleeping {
            Sleeping { weight, begun: Begun::default() }
        }
    }

    impl Work<u64, (u64, bool)> for Sleeping {
        fn result(&self, source: &u64) -> (u64, bool) {
            self.begun.fetch_add(1, Ordering::SeqCst);
            thread::sleep(Duration::from_millis(if source.is_multiple_of(7) { 30 } else { 1 }));
            if source % 50 == 49 {
                thread::sleep(Duration::from_secs(3));
            }
            (*source, true)
        }

        fn late(&self, source: &u64) -> (u64, bool) {
            (*source, false)
        }

        fn weight(&self, _: &(u64, bool)) -> usize {
            assert_ne!(self.weight, PANICS, "on purpose");
            self.weight
        }
    }

    /// The weight of results that can't be weighed.
    const PANICS: usize = usize::MAX;

    #[derive(Default)]
    struct Taken {
        arrived: Vec<u64>,
        in_order: Vec<(u64, bool)>,
        stop_at: Option<u64>,
        begun: Begun,
        /// The most that was begun and not taken.
        most: usize,
        messages: Option<Sender<u64>>,
    }

    impl ResultSink<(u64, bool), io::Error> for Taken {
        fn arrived(&mut self, result: &mut (u64, bool)) -> io::Result<()> {
            self.arrived.push(result.0);
            Ok(())
        }

        fn next(&mut self, results: Vec<(u64, bool)>) -> io::Result<()> {
            self.most = self.most.max(self.begun.load(Ordering::SeqCst));
            self.begun.fetch_sub(results.len().min(self.begun.load(Ordering::SeqCst)), Ordering::SeqCst);
            for result in results {
                if self.stop_at == Some(result.0) {
                    return Err(io::Error::other("no room"));
                }
                self.in_order.push(result);
                self.messages.iter().for_each(|sender| sender.send(result.0).unwrap_or_default());
            }
            Ok(())
        }
    }

    #[test]
    fn results_come_in_order_whatever_the_threads() {
        for jobs in [0, 1, 3, 8] {
            let mut taken = Taken::default();
            let concurrency = Concurrency { jobs, time_limit: None };
            ordered(0..40, concurrency, Sleeping::of_weight(1), &mut taken).unwrap();
            assert_eq!(taken.in_order, (0..40).map(|k| (k, true)).collect::<Vec<_>>());
            taken.arrived.sort_unstable();
            assert_eq!(taken.arrived, (0..40).collect::<Vec<_>>());
        }
    }

    #[test]
    fn threads_wait_where_results_are_held() {
        // Each result alone is more than may be held: beside those that the four threads are at nothing is taken up.
        let work = Sleeping::of_weight(MOST_HELD + 1);
        let mut taken = Taken { begun: Arc::clone(&work.begun), ..Taken::default() };
        ordered(0..30, Concurrency { jobs: 4, time_limit: None }, work, &mut taken).unwrap();
        assert_eq!(taken.in_order.len(), 30);
        assert!(taken.most <= 4, "{}", taken.most);
        // Light ones pile up behind the first, which takes longest.
        let work = Sleeping::of_weight(1);
        let mut taken = Taken { begun: Arc::clone(&work.begun), ..Taken::default() };
        ordered(0..30, Concurrency { jobs: 4, time_limit: None }, work, &mut taken).unwrap();
        assert!(taken.most > 4, "{}", taken.most);
    }

    #[test]
    fn what_takes_too_long_costs_only_itself() {
        let mut taken = Taken::default();
        let concurrency = Concurrency { jobs: 2, time_limit: Some(Duration::from_millis(400)) };
        let began = Instant::now();
        ordered(0..120, concurrency, Sleeping::of_weight(1), &mut taken).unwrap();
        let late: Vec<u64> = taken.in_order.iter().filter(|(_, done)| !done).map(|(k, _)| *k).collect();
        assert_eq!((taken.in_order.len(), late), (120, vec![49, 99]));
        // Neither was waited for.
        assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    }

    #[test]
    fn an_error_of_the_taker_ends_it() {
        let mut taken = Taken { stop_at: Some(12), ..Taken::default() };
        let error =
            ordered(0.., Concurrency { jobs: 3, time_limit: None }, Sleeping::of_weight(1), &mut taken);
        assert_eq!(error.unwrap_err().to_string(), "no room");
        assert_eq!(taken.in_order.len(), 12);
    }

    #[test]
    fn a_fault_beside_the_work_ends_it_with_an_error() {
        let sources = || (0..40).inspect(|k| assert_ne!(*k, 7, "on purpose"));
        for (jobs, weight) in [(1, 1), (3, 1), (3, MOST_HELD + 1)] {
            let mut taken = Taken::default();
            let concurrency = Concurrency { jobs, time_limit: None };
            let error = ordered(sources(), concurrency, Sleeping::of_weight(weight), &mut taken);
            assert!(error.unwrap_err().to_string().contains("fault of the program"));
        }
        let mut taken = Taken::default();
        let error = ordered(0..5, Concurrency::default(), Sleeping::of_weight(PANICS), &mut taken);
        assert!(error.is_err());
    }

    /// Sources of which the last comes only when the results of those before it were taken; false where that was waited
    /// for in vain.
    fn slow_sources(taken: Receiver<u64>, before: u64, came: Sender<bool>) -> impl Iterator<Item = u64> {
        (0..=before).inspect(move |k| {
            if *k == before {
                let all = (0..before).all(|_| taken.recv_timeout(Duration::from_secs(20)).is_ok());
                came.send(all).unwrap_or_default();
            }
        })
    }

    #[test]
    fn sources_that_come_slowly_hold_nothing_back() {
        for (jobs, time_limit, before) in
            [(1, None, 3), (3, None, 5), (2, Some(Duration::from_millis(200)), 50)]
        {
            let ((messages, taken), (came, all)) = (channel(), channel());
            let mut sink = Taken { messages: Some(messages), ..Taken::default() };
            let sources = slow_sources(taken, before, came);
            ordered(sources, Concurrency { jobs, time_limit }, Sleeping::of_weight(1), &mut sink).unwrap();
            assert!(all.recv().unwrap(), "{jobs} {time_limit:?}");
            assert_eq!(sink.in_order.len() as u64, before + 1);
        }
    }
}
