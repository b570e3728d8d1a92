#!/usr/bin/env python3
"""One schedule of a library of drawings that is too large for one machine, measured by the workers of a Dask cluster.

    python schedule_on_dask.py SOURCE --to FOLDER [--scheduler ADDRESS | --workers N] [--batch N] [--tracearm PATH]
                               [-- OPTIONS OF tracearm schedule]

SOURCE is a folder that the workers see under the same path, or an address of fsspec (s3://…, file://…), whose drawings
the workers fetch. The schedule is, byte for byte, what `tracearm schedule SOURCE -o schedule.csv` writes on one
machine. README.md beside this file says more.
"""

import stopping

# What follows takes a second to load, and signals come at any time.
if __name__ == "__main__":
    stopping.end_at_once()
elif __name__ == "__mp_main__":  # In a worker that was started below.
    stopping.leave_to_parent()

import argparse  # noqa: E402
import contextlib  # noqa: E402
import os  # noqa: E402
import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402
import uuid  # noqa: E402
from concurrent.futures import CancelledError  # noqa: E402
from pathlib import Path  # noqa: E402

import dask  # noqa: E402
import dask.system  # noqa: E402
import listing  # noqa: E402
import pieces  # noqa: E402
import tracearm_batches as batches  # noqa: E402
from distributed import Client, KilledWorker, LocalCluster, as_completed  # noqa: E402

DONE, PARTLY, NOTHING = 0, 1, 2

# A task that raises an error (a worker without tracearm, a full disk) is given out so many times more.
RETRIES = 2
# A task is given up when more workers than this have died with it. Those die with their worker that only waited there,
# so that it is more than a drawing that kills its worker would need.
ALLOWED_FAILURES = 5
# So long (s) workers may take to appear.
PATIENCE = 60
# So often (s) the state is told.
TELL_EVERY = 10

DIED = "not measured: workers died again and again with the batch that held it: try the drawings of the batch alone"
OTHER_COLUMNS = "the tracearm that measured it gives other columns than that of other workers: install one version"

# What decides where the rows go is not for the workers to choose.
REFUSED = {
    "-o": "--to names the folder of results",
    "--output": "--to names the folder of results",
    "--format": "parts are Parquet and the schedule is CSV",
    "--files-from": "the drawings are those of SOURCE",
    "--pieces": "pieces are written by tracearm on one machine alone",
    "--totals": "they would be those of a batch",
    "--report": "it would be that of a batch",
    "--ledger": "each worker would have a ledger of its own",
    "--summary": "it would tell of each batch",
    "--job": "a job composes the sections of one drawing; run it with tracearm alone",
}


def tell(message):
    """Tells something on stderr."""
    print(message.encode("utf-8", "backslashreplace").decode(), file=sys.stderr, flush=True)


def arguments(words):
    """The arguments, those of tracearm apart."""
    cut = words.index("--") if "--" in words else len(words)
    parser = argparse.ArgumentParser(
        description="Measure the drawings of a library on the workers of a Dask cluster.",
        epilog="Behind -- follow options of tracearm schedule, such as --density 7850 --units mm. All figures are "
        "geometry of the drawing as drawn. Whether a section is fit for its purpose is decided by the codes that apply "
        "where it is built and by a licensed engineer.",
    )
    source = "folder of drawings, or an address of fsspec such as s3://bucket/plates"
    parser.add_argument("source", metavar="SOURCE", help=source)
    folder = "folder for parts, schedule and messages"
    parser.add_argument("--to", metavar="FOLDER", type=Path, required=True, help=folder)
    place = parser.add_mutually_exclusive_group()
    place.add_argument("--scheduler", metavar="ADDRESS", help="a running scheduler, such as tcp://host:8786")
    workers = "processes on this machine [default: one for each core]"
    place.add_argument("--workers", metavar="N", type=count, help=workers)
    parser.add_argument("--batch", metavar="N", type=count, default=200, help="drawings in a task [default: 200]")
    program = "the program, as the workers find it [default: tracearm]"
    parser.add_argument("--tracearm", metavar="PATH", default="tracearm", help=program)
    chosen = parser.parse_args(words[:cut])
    chosen.options = words[cut + 1 :]
    if not any(option.partition("=")[0] == "--jobs" for option in chosen.options):
        # A worker has one core; there are as many of them as cores.
        chosen.options = ["--jobs", "1", *chosen.options]
    if os.sep in chosen.tracearm:
        chosen.tracearm = os.path.abspath(chosen.tracearm)
    # Paths that depend on where this was started mean the same to the workers.
    chosen.folder = None if os.path.isabs(chosen.source) else os.getcwd()
    for option in chosen.options:
        name = "-o" if option.startswith("-o") else option.partition("=")[0]
        if name in REFUSED:
            parser.error(f"{option} can't be given behind --: {REFUSED[name]}")
    return chosen


def count(text):
    """A whole number above 0."""
    number = int(text)
    if number < 1:
        raise ValueError
    return number


@contextlib.contextmanager
def cluster(chosen):
    """The client of the scheduler that is asked for, or of one that is started here with its workers."""
    if chosen.scheduler:
        with Client(chosen.scheduler, timeout=PATIENCE) as client:
            client.wait_for_workers(1, timeout=PATIENCE)
            # They have only what is sent to them, and so have those that come later.
            client.upload_file(batches.__file__)
            yield client
        return
    # For a scheduler that is started elsewhere this is set there.
    dask.config.set({"distributed.scheduler.allowed-failures": ALLOWED_FAILURES})
    with (
        # A start or an end that is broken off would leave workers behind.
        stopping.held(),
        tempfile.TemporaryDirectory(prefix="tracearm-on-dask-") as scratch,
        LocalCluster(
            n_workers=chosen.workers or dask.system.CPU_COUNT,
            threads_per_worker=1,
            processes=True,
            local_directory=scratch,
            # The page on which Dask shows its work wants further packages.
            dashboard_address=None,
        ) as local,
        Client(local) as client,
        stopping.let_through(),
    ):
        yield client


def check(client, library, chosen):
    """Refuses workers that could not measure: they fail fast, and so would be given most of the drawings."""
    first = library.drawings[:1] if library.address is None else None
    answers = client.run(batches.ready, chosen.tracearm, chosen.folder, first, on_error="return")
    wrong = [f"worker {name}: {answer}" for name, answer in sorted(answers.items()) if isinstance(answer, Exception)]
    if wrong:
        raise ValueError("\n".join(wrong))


def measured(client, library, chosen):
    """Sends out the batches and gives each back, with its number and drawings, as it is done.

    Only so many are on their way that every worker has one to go on with: neither the scheduler nor this process holds
    more than their results, however large the library is.
    """
    size, program, folder = chosen.batch, chosen.tracearm, chosen.folder
    numbers = iter(range(-(-len(library.drawings) // size)))
    # Names of tasks outlive this process on a scheduler.
    this_run = uuid.uuid4().hex
    on_their_way = {}
    done = as_completed()

    def send():
        wanted = max(8, 2 * sum(client.nthreads().values()) + 2)
        while len(on_their_way) < wanted:
            number = next(numbers, None)
            if number is None:
                return
            drawings = library.named(number * size, (number + 1) * size)
            key = f"drawings-{number}-{this_run}"
            future = client.submit(
                batches.measure,
                drawings,
                library.address,
                program,
                chosen.options,
                folder,
                this_run,
                key=key,
                retries=RETRIES,
            )
            on_their_way[future] = number, drawings
            done.add(future)

    try:
        send()
        for future in done:
            number, drawings = on_their_way.pop(future)
            try:
                batch = future.result()
            except CancelledError:
                raise SystemExit("the scheduler has gone away: start it again, and this with a new folder") from None
            except KilledWorker:
                batch = batches.lost(drawings, DIED)
            except Exception as error:  # Whatever a worker comes upon costs its batch alone.
                batch = batches.lost(drawings, f"not measured: {type(error).__name__}: {' '.join(str(error).split())}")
            future.release()
            send()
            yield number, drawings, batch
    except (GeneratorExit, stopping.Stopped):
        # First nothing more is begun, then what is at work ends: workers of another scheduler go on for others.
        client.cancel(list(on_their_way))
        client.run(batches.stop, this_run, quiet=chosen.scheduler is None, on_error="ignore")
        raise


def schedule(chosen):
    """Measures a library; gives the exit code."""
    begin = time.monotonic()
    pieces.refuse_other_run(chosen.to)
    try:
        library = listing.library(chosen.source)
    except Exception as error:  # Each kind of store has errors of its own.
        raise ValueError(f"{chosen.source} cannot be searched: {type(error).__name__}: {error}") from error
    for message in library.complaints + library.notes:
        tell(message)
    if not library.drawings:
        tell(f"{chosen.source}: no drawings in this folder: name a folder that holds .dxf files")
        return NOTHING
    many = -(-len(library.drawings) // chosen.batch)
    codes, versions, told = set(), set(), begin
    with cluster(chosen) as client, contextlib.ExitStack() as stack:
        check(client, library, chosen)
        results = pieces.Pieces(chosen.to, many)
        coming = stack.enter_context(contextlib.closing(measured(client, library, chosen)))
        for done, (number, drawings, batch) in enumerate(coming, 1):
            versions.update(batch["versions"])
            if not results.fits(batch):
                batch = batches.lost(drawings, OTHER_COLUMNS)
            results.keep(number, batch)
            codes.add(batch["code"])
            if batch["headings"] is None:
                tell(f"batch {number} gave no figures: {batch['messages'].partition(chr(10))[0]}")
            if time.monotonic() - told > TELL_EVERY:
                told = time.monotonic()
                tell(f"{done} of {many} batches after {told - begin:.0f} s")
    complaints = list(library.complaints)
    if len(versions) > 1:
        different = ", ".join(sorted(versions))
        complaints.append(f"workers have different versions of tracearm, {different}: install one and start again")
        tell(complaints[-1])
    rows = results.finish(complaints + library.notes)
    code = batches.together(codes)
    if code == DONE and complaints:
        code = PARTLY
    if rows == 0:
        tell(f"nothing was measured, so no schedule was written: {chosen.to / 'messages.txt'} says why")
        return NOTHING
    tell(
        f"{len(library.drawings)} drawings in {many} batches, {rows} rows, {time.monotonic() - begin:.1f} s: "
        f"{chosen.to / 'schedule.csv'}" + ("" if code == DONE else f"; what failed: {chosen.to / 'messages.txt'}")
    )
    return code


def main():
    chosen = arguments(sys.argv[1:])

    def stands():
        return pieces.standing(chosen.to)

    stopping.raise_stopped(stands)
    try:
        return schedule(chosen)
    except stopping.Stopped as stopped:
        return stopping.tell_end(stopped.number, stands())
    except (OSError, SystemExit, TimeoutError, ValueError) as error:
        tell(f"schedule_on_dask: {error}")
        return NOTHING
    finally:
        stopping.over()


if __name__ == "__main__":
    sys.exit(main())
