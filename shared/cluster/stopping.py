"""Ctrl-C (SIGINT) and SIGTERM end a run with one line, and nothing that it started goes on without it.

Loaded before all else, and so itself without what takes long to load.
"""

import contextlib
import logging
import multiprocessing
import os
import signal
from multiprocessing import resource_tracker

SIGNALS = (signal.SIGINT, signal.SIGTERM)
# So long (s) what was started may take to close; then it is killed.
PATIENCE = 6


class Stopped(BaseException):
    """A signal has asked for the end. No `Exception`, so that it is not taken for an error of one batch."""

    def __init__(self, number):
        self.number = number


def tell_end(number, stands):
    """Tells that a signal ended the run, and what stands; gives the exit code, that of shells."""
    line = f"schedule_on_dask: stopped by {signal.Signals(number).name}: {stands}\n"
    # Not printed: a signal may have come amid another line.
    os.write(2, line.encode("utf-8", "backslashreplace"))
    return 128 + number


def end_at_once():
    """Lets signals end this process; for as long as it has begun nothing."""
    hear(lambda number, frame: os._exit(tell_end(number, "nothing was measured yet: start it again")))


def raise_stopped(stands):
    """Lets the first signal raise `Stopped`; kills what does not close then, and tells what `stands` gives."""

    def stop(number, frame):
        # What is asked for once more is under way already.
        hear(lambda number, frame: None)
        # Connections that end are no news any more.
        logging.disable(logging.CRITICAL)

        def kill(*_):
            workers = multiprocessing.active_children()
            for worker in workers:
                worker.kill()
            if not workers:
                leave()
            # Without them the rest can close.
            alarm(leave)

        def leave(*_):
            os._exit(tell_end(number, stands()))

        alarm(kill)
        raise Stopped(number)

    hear(stop)


def alarm(handler):
    """Calls a handler when what is under way takes too long."""
    signal.signal(signal.SIGALRM, handler)
    signal.alarm(PATIENCE)


def over():
    """Ignores signals: all is done and told, and this process is ending."""
    hear(signal.SIG_IGN)


def hear(handler):
    """Sets what the signals do."""
    for number in SIGNALS:
        signal.signal(number, handler)


@contextlib.contextmanager
def held():
    """Keeps signals waiting. Threads and processes that are started meanwhile never get them."""
    # When it is started later it lets signals through in the thread that needs it.
    resource_tracker.ensure_running()
    with masked(signal.SIG_BLOCK):
        yield


@contextlib.contextmanager
def let_through():
    """Lets signals through, those that wait and those that come."""
    with masked(signal.SIG_UNBLOCK):
        yield


@contextlib.contextmanager
def masked(how):
    """Keeps signals waiting, or lets them through, and in the end has it as before."""
    before = signal.pthread_sigmask(how, SIGNALS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def leave_to_parent():
    """Takes a worker out of reach of the terminal: the process that started it hears Ctrl-C, and ends it."""
    os.setsid()
    # Forgets those that came since it was started, when they were kept waiting.
    hear(signal.SIG_IGN)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, SIGNALS)
    hear(signal.SIG_DFL)
