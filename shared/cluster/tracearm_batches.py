"""A batch of drawings, measured by tracearm on a worker: from paths to a piece of CSV and a part of Parquet.

Sent to the workers as it is; what it imports must be installed there.
"""

import functools
import io
import json
import logging
import os
import re
import signal
import socket
import subprocess
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor

import fsspec
import pyarrow
from pyarrow import parquet

# Columns that hold no real numbers, by their headings; the others do.
TEXTS = {"drawing", "section", "layer", "status", "label", "drawing_unit", "findings"}
COUNTS = {"parts", "holes", "pierces", "sharp_corners", "field_unknowns"}

# Files that a worker fetches at the same time, and how often it tries each; pauses (s) grow by this.
FETCHERS = 8
ATTEMPTS = 3
PAUSE = 0.5


# What Rust's csv crate quotes a cell for.
WANTS_QUOTES = re.compile('[,"\r\n]')


class Digits(str):
    """A number in the digits that the schedule has."""


def measure(drawings, address, program, options, folder, this_run=None):
    """Measures drawings, pairs of path and name in the schedule; fetches them first where an address is given.

    Gives the headings, the rows as CSV without header and as Parquet, the messages, the exit code and the versions of
    tracearm; without headings, where no row has them, the rows as they are. `stop` ends what has the name `this_run`.
    """
    version = ready(program, folder, [path for path, _ in drawings] if address is None else None)
    limit = limit_of_memory(program, version, options)
    command = [program, "schedule", "--files-from", "-", "--format", "jsonl", *limit, *options]
    if address is None:
        code, rows, messages = run([path for path, _ in drawings], command, folder, this_run)
        belong(rows, {name for _, name in drawings})
    else:
        with tempfile.TemporaryDirectory(dir=scratch(), prefix="drawings-") as fetched:
            code, rows, messages = run_fetched(drawings, address, command, fetched, this_run)
    batch = {
        "headings": headings(rows),
        "code": code,
        "messages": messages,
        "versions": [version],
        "count": len(rows),
    }
    if batch["headings"] is None:
        return batch | {"rows": rows}
    csv, part = encoded(batch["headings"], rows)
    return batch | {"csv": csv, "part": part}


def lost(drawings, why):
    """What stands for a batch that could not be measured."""
    rows = [unmeasured(name, why) for _, name in drawings]
    messages = "".join(f"{name}: {why}\n" for _, name in drawings)
    return {"headings": None, "code": 2, "messages": messages, "versions": [], "count": len(rows), "rows": rows}


def together(codes):
    """The exit code of several runs: done or nothing where all are, else partly."""
    return next(iter(codes)) if len(set(codes)) == 1 else 1


# --- tracearm


ESCAPED = re.compile(r"\\(?=x[0-9A-F]{2})")


def ready(program, folder, paths):
    """Whether drawings can be measured here: what the program says of itself, or an error.

    A worker that sees none of the drawings lacks their folder, which must not be told as faults of the drawings.
    """
    host = socket.gethostname()
    next_step = "install it there, or name it after --tracearm"
    try:
        code, said, _ = guarded([program, "--version"])
    except OSError as error:
        raise RuntimeError(f"{program} can't be started on {host} ({error}): {next_step}") from None
    if code != 0:
        raise RuntimeError(f"{program} --version {ending(code)} on {host}: {next_step}")
    if paths and not any(os.path.lexists(os.path.join(os.fsencode(folder or ""), path)) for path in paths):
        next_step = "share their folder under the same path, or name an address such as s3://bucket/plates"
        raise RuntimeError(f"{host} does not see {shown(paths[0])} and what follows: {next_step}")
    return said.decode("utf-8", "replace").strip()


def run(paths, command, folder=None, this_run=None):
    """Exit code, rows and messages of tracearm.

    Where it ends otherwise, each drawing is measured alone: a drawing that no memory suffices for costs only itself.
    """
    if not paths or this_run in STOPPED:
        return 2, [], ""
    given = b"".join(path + b"\0" for path in paths)
    code, rows, messages = guarded(command, given, folder, this_run)
    messages = messages.decode("utf-8", "replace")
    if code in (0, 1, 2):
        if messages and not messages.endswith("\n"):
            messages += "\n"
        return code, parsed(rows), messages
    if this_run in STOPPED:
        return 2, [], ""
    if len(paths) > 1:
        runs = [run([path], command, folder, this_run) for path in paths]
        codes, rows, told = zip(*runs)
        return together(codes), [row for some in rows for row in some], "".join(told)
    name = shown(paths[0])
    next_step = "measure it on a machine with more memory, or take it out"
    why = f"tracearm {ending(code)} on this drawing: {next_step}"
    return 2, [unmeasured(name, why)], f"{messages}{name}: {why}\n"


# Kills a program and all that it started, where its end does not say that the program has ended: the worker has died.
GUARD = 'read -r word || kill -s KILL -- "-$1"'

# Programs at work, with the run that each is of, and runs that were stopped; kept when this file is sent once more.
if "AT_WORK" not in globals():
    AT_WORK, STOPPED = {}, set()


def guarded(command, given=b"", folder=None, this_run=None):
    """Exit code, output and messages of a program that neither outlives this process nor hears its signals."""
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "start_new_session": True}
    with subprocess.Popen(command, cwd=folder, **pipes) as program:
        AT_WORK[program] = this_run
        try:
            # Before the program has the list that it waits for.
            with subprocess.Popen(["sh", "-c", GUARD, "guard", str(program.pid)], **pipes) as guard:
                if this_run in STOPPED:
                    end(program)
                output, messages = program.communicate(given)
                guard.communicate(b"ended\n")
        except BaseException:
            end(program)
            raise
        finally:
            del AT_WORK[program]
    return program.returncode, output, messages


def end(program):
    """Kills a program and all that it started."""
    if program.poll() is None:
        os.killpg(program.pid, signal.SIGKILL)


def stop(this_run, quiet):
    """Stops a run on this worker: its programs are killed, and what they would have given is nothing.

    A worker that ends with the run is quiet about what it has not done.
    """
    if quiet:
        logging.disable(logging.CRITICAL)
    STOPPED.add(this_run)
    for program, of_run in list(AT_WORK.items()):
        if of_run == this_run:
            end(program)


def limit_of_memory(program, version, options):
    """The option that keeps what a drawing takes below half of this worker's memory, so that it costs itself alone.

    Nothing where the worker has no limit, the options have one, or this tracearm knows none.
    """
    memory, batches = memory_of_worker()
    words = " ".join(options)
    if memory is None or re.search("(^| )--limit[ =]memory=", words):
        return []
    jobs = re.search("(?:^| )--jobs[ =]([0-9]+)", words)
    at_a_time = batches * (int(jobs[1]) if jobs else os.cpu_count() or 1)
    limit = ["--limit", f"memory={memory // 2 // max(1, at_a_time)}"]
    return limit if takes(program, version, *limit) else []


def memory_of_worker():
    """How many bytes this worker of Dask may take, None without a limit, and how many batches it measures at a time."""
    try:
        from distributed import get_worker

        worker = get_worker()
    except (ImportError, ValueError):
        return None, 1
    return worker.memory_manager.memory_limit, worker.state.nthreads


@functools.cache
def takes(program, version, *options):
    """Whether this version of a program takes options; asked once: with others it gives no help."""
    code, _, _ = guarded([program, "schedule", *options, "--help"])
    return code == 0


def shown(path):
    r"""A path as tracearm shows it: a byte that is no text as \xFC, a backslash that could begin such a one as \x5C."""
    text = ESCAPED.sub(r"\\x5C", os.fsencode(path).decode("utf-8", "surrogateescape"))
    return "".join(f"\\x{ord(letter) - 0xDC00:02X}" if "\udc80" <= letter <= "\udcff" else letter for letter in text)


def ending(code):
    """How a program ended."""
    if code >= 0:
        return f"ended with code {code}"
    try:
        return f"was ended by {signal.Signals(-code).name}"
    except ValueError:
        return f"was ended by signal {-code}"


def parsed(text):
    """The rows of JSON lines, numbers as their digits."""
    # Ends of lines are line feeds alone: other characters that some take for them can stand in names.
    return [json.loads(line, parse_float=Digits, parse_int=Digits) for line in text.split(b"\n") if line]


def unmeasured(name, why):
    """The row of a drawing that tracearm could not be asked about."""
    return {"drawing": name, "status": "failed", "findings_text": why}


def belong(rows, names):
    """Holds rows to the drawings that were asked for."""
    for row in rows:
        if row["drawing"] not in names:
            raise ValueError(f"{row['drawing']} is none of the drawings in SOURCE: give options alone behind --")


# --- fetching


def scratch():
    """Where files are fetched to: the worker's own folder, which Dask clears when the worker has died."""
    try:
        from distributed import get_worker

        return get_worker().local_directory
    except (ImportError, ValueError):
        return None


def run_fetched(drawings, address, command, folder, this_run):
    """As `run`, on fetched copies, with the names of the originals in rows and messages."""
    files, _ = fsspec.core.url_to_fs(address)
    # Each in a folder of its own, under its own name: sections may be named after the file.
    copies = [os.path.join(folder, str(k), file_name(path)) for k, (path, _) in enumerate(drawings)]
    with ThreadPoolExecutor(FETCHERS) as pool:
        reasons = list(pool.map(lambda pair: fetch(files, *pair), zip((path for path, _ in drawings), copies)))
    here = [os.fsencode(copy) for copy, reason in zip(copies, reasons) if reason is None]
    code, rows, messages = run(here, command, None, this_run)
    copied = re.compile(re.escape(shown(folder)) + "/([0-9]+)/")

    def original(text):
        if not isinstance(text, str) or isinstance(text, Digits):
            return text
        before, *found = copied.split(text)
        for k, behind in zip(found[::2], found[1::2]):
            path, name = drawings[int(k)]
            before += name + behind.removeprefix(shown(file_name(path)))
        return before

    by_drawing = {}
    for row in rows:
        by_drawing.setdefault(int(copied.match(row["drawing"])[1]), []).append(
            {key: original(value) for key, value in row.items()}
        )
    messages = original(messages)
    for k, reason in enumerate(reasons):
        if reason is not None:
            name = drawings[k][1]
            by_drawing[k] = [unmeasured(name, reason)]
            messages += f"{name}: {reason}\n"
    if any(reasons) and code == 0:
        code = 1
    return code, [row for k in sorted(by_drawing) for row in by_drawing[k]], messages


def file_name(path):
    """The last part of a path of fsspec."""
    return path.rpartition("/")[2]


def fetch(files, path, copy):
    """Fetches a file; gives the reason where it can't."""
    for attempt in range(ATTEMPTS):
        time.sleep(PAUSE * attempt)
        try:
            os.makedirs(os.path.dirname(copy), exist_ok=True)
            files.get_file(path, copy)
            return None
        except FileNotFoundError as error:
            return reason_of(error)
        except Exception as error:  # Each kind of store has errors of its own.
            reason = reason_of(error)
    return reason


def reason_of(error):
    """Why a file is not here."""
    words = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else str(error)
    kind = type(error).__name__
    return f"the drawing cannot be fetched: {kind}: {words}: check its address and the worker's access"


# --- CSV and Parquet


def headings(rows):
    """The headings of the schedule, from the first row that has them; None where none has."""
    row = next((row for row in rows if "findings" in row), None)
    if row is None:
        return None
    if "findings_text" not in row:
        raise ValueError("tracearm gives findings without their text: install the version that this file came with")
    return [key for key in row if key != "findings_text"]


def cells(row, names):
    """The cells of a row: `Digits`, other text, or None."""
    return [row.get("findings_text" if name == "findings" else name) for name in names]


def encoded(names, rows):
    """Rows as CSV without header, and as a Parquet file."""
    table = [cells(row, names) for row in rows]
    csv = "".join(record(row) for row in table).encode()
    part = io.BytesIO()
    parquet.write_table(columns(names, table), part)
    return csv, part.getvalue()


def columns(names, table):
    """Cells as typed columns, of the same types whatever they hold."""
    arrays = []
    for place, name in enumerate(names):
        values = [row[place] for row in table]
        if name in TEXTS:
            arrays.append(pyarrow.array(values, pyarrow.string()))
            continue
        whole = name in COUNTS
        if any(value is not None and not isinstance(value, Digits) for value in values):
            raise ValueError(f"column {name} holds text: name it in TEXTS of tracearm_batches.py")
        numbers = [None if value is None else (int if whole else float)(value) for value in values]
        arrays.append(pyarrow.array(numbers, pyarrow.int64() if whole else pyarrow.float64()))
    return pyarrow.Table.from_arrays(arrays, names)


def record(row):
    """A line of CSV, quoted as Rust's csv crate quotes."""
    # Digits have nothing to quote; most cells are.
    line = ",".join(cell if isinstance(cell, Digits) else quoted(harmless(cell or "")) for cell in row)
    return (line or '""') + "\n"


def harmless(text):
    """What a spreadsheet would run as a formula stands behind an apostrophe, as in every schedule."""
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text


def quoted(text):
    """Text in quotes where it needs them."""
    return '"' + text.replace('"', '""') + '"' if WANTS_QUOTES.search(text) else text
