"""shared/cluster against one machine: bash tests/cluster/run.sh PROGRAM"""

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
import unittest
import zipfile
from pathlib import Path
from unittest import mock

import fsspec
from distributed.system import MEMORY_LIMIT
from pyarrow import parquet

import library

ROOT = Path(__file__).resolve().parents[2]
CLUSTER = ROOT / "shared" / "cluster"
sys.path.insert(0, str(CLUSTER))

import tracearm_batches as batches  # noqa: E402
import listing  # noqa: E402
import pieces  # noqa: E402
import schedule_on_dask  # noqa: E402

TRACEARM = os.environ["TRACEARM"]
# So long (s) each batch is held up, so that a worker can be killed while it measures one.
HELD_UP = 0.7
# A worker is killed no later than this (s) after it began a batch.
SURELY_WITHIN = 0.35
# What is told of a folder that some parts are in.
WHAT_NEXT = "there is no schedule: start again with a new folder after --to, or clear this one"


def script(path, text):
    """Writes a program."""
    path.write_text(f"#!/bin/sh\n{text}")
    path.chmod(0o755)
    return str(path)


class Folder(unittest.TestCase):
    """Tests that have a folder of their own."""

    def setUp(self):
        held = tempfile.TemporaryDirectory(prefix="tracearm-cluster-")
        self.addCleanup(held.cleanup)
        self.folder = Path(held.name).resolve()

    def one_machine(self, source, options):
        """Schedule, messages and exit code of tracearm alone."""
        table = self.folder / "one-machine.csv"
        command = [TRACEARM, "schedule", source, "-o", table, *options]
        run = subprocess.run(command, cwd=self.folder, capture_output=True)
        return table.read_bytes(), run.stderr, run.returncode

    def on_dask(self, source, to, program, *options):
        """Starts the driver."""
        driver = [sys.executable, "-B", CLUSTER / "schedule_on_dask.py"]
        command = [*driver, source, "--to", to, "--tracearm", program, *options]
        return self.start(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)

    def start(self, command, mark="ours", **pipes):
        """Starts a program in a group of its own, as a terminal does; what it starts inherits the mark."""
        marked = os.environ | {"TRACEARM_TEST": f"{self.folder} {mark}"}
        started = subprocess.Popen(command, cwd=self.folder, env=marked, process_group=0, **pipes)

        def clear():
            """Leaves nothing behind where a test fails."""
            for number in self.remaining(mark):
                os.kill(number, signal.SIGKILL)
            started.communicate()

        self.addCleanup(clear)
        return started

    def remaining(self, mark="ours"):
        """The processes alive that this test started with a mark, and what those started: number and command."""
        mark = f"TRACEARM_TEST={self.folder} {mark}".encode()
        found = {}
        for process in Path("/proc").glob("[0-9]*"):
            try:
                if mark in (process / "environ").read_bytes().split(b"\0"):
                    found[int(process.name)] = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            except OSError:
                pass  # It has ended meanwhile.
        return found

    def wait_for(self, what, met, seconds=60, while_runs=None):
        """Waits until a condition is met; gives what it gave."""
        until = time.monotonic() + seconds
        while not (answer := met()):
            self.assertLess(time.monotonic(), until, f"{what}: {self.remaining()}")
            if while_runs is not None:
                self.assertIsNone(while_runs.poll(), what)
            time.sleep(0.02)
        return answer

    def hold_parts(self, to, schedule, many):
        """Holds the parts to the schedule, cell for cell."""
        paths = sorted(to.glob("*.parquet"))
        self.assertEqual([path.name for path in paths], [f"part-{k:05}.parquet" for k in range(many)])
        parts = [parquet.read_table(path) for path in paths]
        schema = parts[0].schema
        for part in parts:
            self.assertTrue(part.schema.equals(schema), part.schema)
        header, *rows = csv.reader(io.StringIO(schedule.decode(), newline=""))
        self.assertEqual(schema.names, header)
        self.assertEqual(sum(part.num_rows for part in parts), len(rows))
        self.assertGreater(len(rows), 50)
        kinds = {name: str(schema.field(name).type) for name in header}
        values = [row for part in parts for row in part.to_pylist()]
        for cells, row in zip(rows, values):
            for name, cell in zip(header, cells):
                value = row[name]
                if cell == "":
                    self.assertIsNone(value)
                elif kinds[name] == "string":
                    self.assertIn(cell, (value, f"'{value}"))
                else:
                    self.assertEqual(value, {"double": float, "int64": int}[kinds[name]](cell))
        return kinds


class Cluster(Folder):
    def test_a_killed_worker_changes_nothing(self):
        source = Path("=library")
        drawings = library.build(self.folder / source)
        drawings += library.link(self.folder / source)
        options = ["--density", "7850", "--units", "cm"]
        expected, told, code = self.one_machine(source, options)
        self.assertEqual(code, 1, told)

        started = self.folder / "started"
        started.mkdir()
        # Writes down which process began a batch: the worker.
        held_up = script(
            self.folder / "held-up",
            f"""if [ "$2" = --files-from ]; then
                    echo $PPID >"$(mktemp '{started}'/XXXXXXXXXX)"
                    sleep {HELD_UP}
                fi
                exec '{TRACEARM}' "$@"
            """,
        )
        to = self.folder / "results"
        driver = self.on_dask(source, to, held_up, "--workers", "3", "--batch", "6", "--", *options)
        worker = self.kill_a_worker(driver, started, to)
        _, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, code, errors.decode())
        self.assertIsNotNone(worker, "no worker was killed")
        self.assertFalse(Path(f"/proc/{worker}").exists())

        self.assertEqual((to / "schedule.csv").read_bytes(), expected)
        # What could not be searched comes first, here without the program's name.
        lines = (to / "messages.txt").read_bytes().split(b"\n")
        self.assertEqual(sorted(lines), sorted(line.removeprefix(b"tracearm: ") for line in told.split(b"\n")))
        many = -(-drawings // 6)
        self.hold_parts(to, expected, many)
        # What the killed worker was at was begun again.
        self.assertGreater(len(list(started.iterdir())), many)
        others = sorted(path.name for path in to.iterdir() if path.suffix != ".parquet")
        self.assertEqual(others, ["messages.txt", "schedule.csv"])

    def kill_a_worker(self, driver, started, to):
        """Kills a worker that has just begun a batch, when others are done; gives its number, None where none was."""
        until = time.monotonic() + 60
        while time.monotonic() < until and driver.poll() is None:
            if any(to.glob("part-*.parquet")) and not (to / "schedule.csv").exists():
                newest = max(started.iterdir(), key=lambda mark: mark.stat().st_mtime)
                text = newest.read_text().strip()
                if text and time.time() - newest.stat().st_mtime < SURELY_WITHIN:
                    worker = int(text)
                    # The worker of this driver, and nothing else.
                    status = Path(f"/proc/{worker}/status").read_text()
                    self.assertEqual(int(re.search(r"^PPid:\s*([0-9]+)", status, re.M)[1]), driver.pid)
                    os.kill(worker, signal.SIGKILL)
                    return worker
            time.sleep(0.02)
        return None

    def test_fetched_drawings_have_the_same_figures(self):
        drawings = library.build(self.folder / "=library")
        nested = self.folder / "=library" / "nested"
        options = ["--per", "part", "--thickness", "12", "--density", "7850", "--digits", "full"]
        schedule, told, code = self.one_machine(nested, options)
        path, address = f"{nested}/".encode(), f"file://{nested}/".encode()
        to = self.folder / "results"
        driver = self.on_dask(f"file://{nested}", to, TRACEARM, "--workers", "2", "--batch", "16", "--", *options)
        _, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, code, errors.decode())
        expected = schedule.replace(path, address)
        self.assertNotEqual(expected, schedule)
        self.assertEqual((to / "schedule.csv").read_bytes(), expected)
        self.assertEqual((to / "messages.txt").read_bytes(), told.replace(path, address))
        kinds = self.hold_parts(to, expected, -(-drawings // 16))
        self.assertEqual([kinds[name] for name in ("label", "pierces", "mass_kg")], ["string", "int64", "double"])

    def test_a_batch_of_failed_drawings_has_their_rows(self):
        source = self.folder / "few"
        source.mkdir()
        (source / "a.dxf").write_bytes((library.FIXTURES / "no-outlines.dxf").read_bytes())
        (source / "b.dxf").write_text("no drawing")
        (source / "c.dxf").write_bytes((library.FIXTURES / "base-plate.dxf").read_bytes())
        expected, _, code = self.one_machine(source, [])
        to = self.folder / "results"
        driver = self.on_dask(source, to, TRACEARM, "--workers", "1", "--batch", "1")
        _, errors = driver.communicate(timeout=120)
        self.assertEqual((driver.returncode, code), (1, 1), errors.decode())
        self.assertEqual((to / "schedule.csv").read_bytes(), expected)
        parts = [parquet.read_table(path) for path in sorted(to.glob("*.parquet"))]
        self.assertEqual([part.num_rows for part in parts], [1, 1, 1])
        self.assertEqual(len({part.schema for part in parts}), 1)

    def test_workers_that_cannot_measure_are_refused(self):
        (self.folder / "a.dxf").write_text("")
        driver = self.on_dask(self.folder, self.folder / "to", "./none", "--workers", "1")
        _, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, 2)
        self.assertIn(f"{self.folder}/none can't be started", errors.decode())
        self.assertFalse((self.folder / "to").exists())


    def test_a_worker_passes_its_memory_limit_on(self):
        for name in ("a", "b", "c"):
            (self.folder / f"{name}.dxf").write_bytes((library.FIXTURES / "base-plate.dxf").read_bytes())
        # Takes the option whether the program itself knows it or not.
        program = script(
            self.folder / "program",
            f"""[ "$1" = schedule ] && echo "$*" >>'{self.folder}/words'
                case "$*" in *--help) exit 0 ;; esac
                for word; do
                    shift
                    case "$before$word" in --limit | --limitmemory=*) ;; *) set -- "$@" "$word" ;; esac
                    before=; [ "$word" != --limit ] || before=$word
                done
                exec '{TRACEARM}' "$@"
            """,
        )
        options = ["--workers", "2", "--batch", "1", "--", "--jobs", "3"]
        driver = self.on_dask(self.folder, self.folder / "results", program, *options)
        _, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, 0, errors.decode())
        # A worker of two, of which tracearm may take a half, for each of three drawings.
        limit = f"--limit memory={MEMORY_LIMIT // 2 // 2 // 3}"
        words = (self.folder / "words").read_text().splitlines()
        asked = [line for line in words if line == f"schedule {limit} --help"]
        measured = [line for line in words if line == f"schedule --files-from - --format jsonl {limit} --jobs 3"]
        self.assertEqual(len(asked) + len(measured), len(words), words)
        self.assertEqual(len(measured), 3)
        # Once for each worker that was given a batch.
        self.assertIn(len(asked), (1, 2))

    def test_drawings_that_are_met_twice_change_no_exit_code(self):
        source = self.folder / "twice"
        source.mkdir()
        (source / "a.dxf").write_bytes((library.FIXTURES / "base-plate.dxf").read_bytes())
        (source / "b.dxf").symlink_to("a.dxf")
        to = self.folder / "results"
        driver = self.on_dask(source, to, TRACEARM, "--workers", "1")
        _, errors = driver.communicate(timeout=120)
        self.assertEqual(driver.returncode, 0, errors.decode())
        note = f"{source}/b.dxf: the same drawing as {source}/a.dxf, which was measured once\n"
        self.assertEqual((to / "messages.txt").read_text(), note)
        self.assertTrue(errors.decode().startswith(note), errors.decode())
        (source / "b.dxf").unlink()
        self.assertEqual((to / "schedule.csv").read_bytes(), self.one_machine(source, [])[0])


class Stopping(Folder):
    """Signals to a driver: one line, an exit code, and nothing that goes on."""

    def setUp(self):
        super().setUp()
        self.source = self.folder / "source"
        self.source.mkdir()
        for name in ("a-quick", "b-slow", "c-slow", "d-slow"):
            (self.source / f"{name}.dxf").write_bytes((library.FIXTURES / "base-plate.dxf").read_bytes())
        # A drawing that takes a minute, for which the program has started another.
        self.slow = script(
            self.folder / "slow",
            f"""[ "$2" = --files-from ] || exec '{TRACEARM}' "$@"
                list=$(mktemp) && cat >"$list"
                ! grep -q slow "$list" || sleep 60
                exec '{TRACEARM}' "$@" <"$list"
            """,
        )

    def begin(self, *options, program=None):
        """Starts a driver whose results go to a new folder."""
        self.to = Path(tempfile.mkdtemp(dir=self.folder)) / "results"
        return self.on_dask(self.source, self.to, program or self.slow, *options)

    def at_work(self, mark="ours"):
        """Whether a slow drawing is being measured."""
        return any(command.startswith("sleep 60") for command in self.remaining(mark).values())

    def amid_batches(self, mark="ours"):
        """Whether the quick one is done besides."""
        return any(self.to.glob("part-*.parquet")) and self.at_work(mark)

    def workers(self):
        """The workers that a driver has started."""
        return [number for number, command in self.remaining().items() if "spawn_main" in command]

    def hold_end(self, driver, number, stands):
        """Holds a driver to its end, and to it that all that was started has ended, a moment later at most."""
        _, errors = driver.communicate(timeout=30)
        name = signal.Signals(number).name
        self.assertEqual(errors.decode(), f"schedule_on_dask: stopped by {name}: {stands}\n")
        self.assertEqual(driver.returncode, 128 + number)
        self.wait_for("something goes on", lambda: not self.remaining(), 3)

    def parts_stay(self):
        """Holds the folder to what was measured; gives what is told of it."""
        self.assertEqual(sorted(path.name for path in self.to.iterdir()), [".pieces", "part-00000.parquet"])
        self.assertEqual(parquet.read_table(self.to / "part-00000.parquet").num_rows, 1)
        return f"the parts so far (1) stay in {self.to}, {WHAT_NEXT}"

    def test_amid_batches(self):
        for number, send, times in [
            (signal.SIGINT, os.killpg, 2),  # What Ctrl-C in a terminal sends.
            (signal.SIGTERM, os.killpg, 1),
            (signal.SIGINT, os.kill, 1),
            (signal.SIGTERM, os.kill, 2),
        ]:
            with self.subTest(signal=number, send=send.__name__):
                driver = self.begin("--workers", "2", "--batch", "1")
                self.wait_for("no batch is at work", self.amid_batches, while_runs=driver)
                # The driver ends its workers, not the terminal.
                self.assertNotIn(driver.pid, [os.getpgid(worker) for worker in self.workers()])
                for _ in range(times):
                    send(driver.pid, number)
                self.hold_end(driver, number, self.parts_stay())
                # As is said, this folder is refused.
                with self.assertRaisesRegex(ValueError, "of another run: name a new folder after --to, or clear it"):
                    pieces.refuse_other_run(self.to)

    def test_a_worker_that_hangs(self):
        driver = self.begin("--workers", "2", "--batch", "1")
        self.wait_for("no batch is at work", self.amid_batches, while_runs=driver)
        os.kill(self.workers()[0], signal.SIGSTOP)
        driver.send_signal(signal.SIGINT)
        self.hold_end(driver, signal.SIGINT, self.parts_stay())

    def test_early(self):
        def loads(driver):
            """Whether it hears signals, which comes before all else."""
            caught = re.search(r"^SigCgt:\s*(\w+)", Path(f"/proc/{driver.pid}/status").read_text(), re.M)[1]
            return int(caught, 16) >> (signal.SIGTERM - 1) & 1

        def starts_workers(driver):
            return self.workers()

        for number, send, moment, later in [
            (signal.SIGINT, os.killpg, loads, 0),
            (signal.SIGTERM, os.kill, loads, 0.2),
            (signal.SIGINT, os.killpg, starts_workers, 0),
            (signal.SIGTERM, os.killpg, starts_workers, 0.1),
            (signal.SIGINT, os.kill, starts_workers, 0.4),
            (signal.SIGINT, os.killpg, starts_workers, 0.7),
        ]:
            with self.subTest(signal=number, send=send.__name__, moment=moment.__name__, later=later):
                driver = self.begin("--workers", "2")
                self.wait_for("it does not come so far", lambda: moment(driver), while_runs=driver)
                time.sleep(later)
                send(driver.pid, number)
                if driver.poll() is None:
                    send(driver.pid, number)
                driver.wait(timeout=30)
                if self.to.exists():  # The machine was quick.
                    self.hold_end(driver, number, f"the parts so far (0) stay in {self.to}, {WHAT_NEXT}")
                else:
                    self.hold_end(driver, number, "nothing was measured yet: start it again")

    def test_workers_of_another_scheduler_live_on(self):
        file = self.folder / "scheduler.json"
        dask = [sys.executable, "-m", "dask"]
        given = ["--no-dashboard", "--scheduler-file", file]
        quiet = {"mark": "theirs", "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        scheduler = self.start([*dask, "scheduler", "--host", "127.0.0.1", "--port", "0", *given], **quiet)
        self.start([*dask, "worker", "--nworkers", "2", "--nthreads", "1", *given], **quiet)
        address = json.loads(self.wait_for("no scheduler", lambda: file.exists() and file.read_text()))["address"]
        options = ["--scheduler", address, "--batch", "1"]
        self.assertEqual(self.begin(*options, program=TRACEARM).wait(timeout=120), 0)
        theirs = self.remaining("theirs").keys()

        for number in (signal.SIGINT, signal.SIGTERM):
            driver = self.begin(*options)
            self.wait_for("no batch is at work", lambda: self.amid_batches("theirs"), while_runs=driver)
            os.killpg(driver.pid, number)
            self.hold_end(driver, number, self.parts_stay())
            # What they measured has ended with the run, they have not.
            self.wait_for("a batch goes on", lambda: self.remaining("theirs").keys() == theirs, 3)
        self.assertEqual(self.begin(*options, program=TRACEARM).wait(timeout=120), 0)

        # Where the scheduler does not answer, it is not waited for without end.
        driver = self.begin(*options)
        self.wait_for("no batch is at work", lambda: self.amid_batches("theirs"), while_runs=driver)
        scheduler.send_signal(signal.SIGSTOP)
        driver.send_signal(signal.SIGINT)
        self.hold_end(driver, signal.SIGINT, self.parts_stay())

    def test_a_scheduler_that_is_not_there(self):
        driver = self.begin("--scheduler", "tcp://127.0.0.1:9")
        time.sleep(3)
        driver.send_signal(signal.SIGINT)
        self.hold_end(driver, signal.SIGINT, "nothing was measured yet: start it again")

    def test_a_program_ends_with_its_worker(self):
        drawings = [(os.fsencode(self.source / "b-slow.dxf"), "b")]
        measure = f"batches.measure({drawings!r}, None, {self.slow!r}, [], None)"
        code = f"import sys; sys.path.append({str(CLUSTER)!r}); import tracearm_batches as batches; {measure}"
        worker = self.start([sys.executable, "-B", "-c", code])
        self.wait_for("nothing is at work", self.at_work)
        worker.kill()
        worker.wait()
        self.wait_for("it goes on", lambda: not self.remaining(), 3)


class Batches(Folder):
    def measured(self, paths, program=TRACEARM, options=()):
        named = [(os.fsencode(path), str(path)) for path in paths]
        return batches.measure(named, None, program, list(options), None)

    def rows(self, batch):
        return list(csv.DictReader(io.StringIO(batch["csv"].decode(), newline=""), batch["headings"]))

    def test_a_drawing_that_ends_the_program_costs_itself(self):
        program = script(
            self.folder / "fragile",
            f"""[ "$1" = schedule ] || exec '{TRACEARM}' "$@"
                cat >'{self.folder}/given'
                grep -q poison '{self.folder}/given' && kill -KILL $$
                exec '{TRACEARM}' "$@" <'{self.folder}/given'
            """,
        )
        for name in ("a", "poison", "z"):
            (self.folder / f"{name}.dxf").write_bytes((library.FIXTURES / "base-plate.dxf").read_bytes())
        batch = self.measured([self.folder / f"{name}.dxf" for name in ("a", "poison", "z")], program)
        rows = self.rows(batch)
        names = [(Path(row["drawing"]).stem, row["status"] == "failed") for row in rows]
        self.assertEqual(list(dict.fromkeys(names)), [("a", False), ("poison", True), ("z", False)])
        self.assertIn("SIGKILL", next(row for row in rows if row["status"] == "failed")["findings"])
        self.assertIn("poison.dxf: tracearm was ended", batch["messages"])
        self.assertEqual(batch["code"], 1)

    def test_what_cannot_be_fetched_has_a_row(self):
        files = fsspec.filesystem("memory")
        self.addCleanup(files.rm, "/library", recursive=True)
        for name in ("b/plate.dxf", "b/gone.dxf", "b-c/=1.dxf"):
            files.pipe(f"/library/{name}", (library.FIXTURES / "base-plate.dxf").read_bytes())
        files.pipe("/library/b/bad.dxf", b"no drawing")
        found = listing.library("memory://library/")
        drawings = found.named(0, 9)
        self.assertEqual(
            [name for _, name in drawings],
            [f"memory://library/{name}" for name in ("b/bad.dxf", "b/gone.dxf", "b/plate.dxf", "b-c/=1.dxf")],
        )
        files.rm("/library/b/gone.dxf")
        batch = batches.measure(drawings, found.address, TRACEARM, ["--per", "drawing"], None)
        rows = self.rows(batch)
        self.assertEqual([row["drawing"] for row in rows], [name for _, name in drawings])
        self.assertEqual([row["status"] == "failed" for row in rows], [True, True, False, False])
        self.assertIn("cannot be fetched", rows[1]["findings"])
        # Named after the file, which a copy must not change.
        self.assertEqual([row["section"] for row in rows[2:]], ["plate", "'=1"])
        told = batch["messages"].splitlines()
        self.assertTrue(told[0].startswith("memory://library/b/bad.dxf: this is no DXF"), told)
        self.assertTrue(told[-1].startswith("memory://library/b/gone.dxf: the drawing cannot be fetched"), told)
        self.assertEqual(batch["code"], 1)
        self.assertNotIn(tempfile.gettempdir(), batch["messages"] + batch["csv"].decode())

    def test_a_drawing_in_an_archive_has_its_whole_address(self):
        with zipfile.ZipFile(self.folder / "all.zip", "w") as archive:
            archive.write(library.FIXTURES / "base-plate.dxf", "plates/a b/=1.dxf")
            archive.writestr("plates/bad.dxf", "no drawing")
        found = listing.library(f"zip://plates::file://{self.folder}/all.zip")
        names = [f"zip://plates/{name}::file://{self.folder}/all.zip" for name in ("a b/=1.dxf", "bad.dxf")]
        batch = batches.measure(found.named(0, 9), found.address, TRACEARM, [], None)
        self.assertEqual([row["drawing"] for row in self.rows(batch)], names)
        self.assertTrue(batch["messages"].startswith(f"{names[1]}: this is no DXF"), batch["messages"])

    def test_the_limit_of_memory(self):
        knows = script(self.folder / "knows", "exit 0")
        for options, memory, limit in [
            (["--jobs", "1"], (4000, 1), 2000),
            (["--units", "mm", "--jobs=4"], (4001, 2), 250),
            (["--jobs", "1", "--limit", "layers=5", "--limit=vertices=9"], (4000, 1), 2000),
            (["--jobs", "1", "--limit", "memory=5"], (4000, 1), None),
            (["--limit=memory=5", "--jobs", "1"], (4000, 1), None),
            (["--jobs", "1"], (None, 1), None),
        ]:
            with self.subTest(options), mock.patch.object(batches, "memory_of_worker", return_value=memory):
                expected = [] if limit is None else ["--limit", f"memory={limit}"]
                self.assertEqual(batches.limit_of_memory(knows, "1", options), expected)
        other = script(self.folder / "other", "exit 2")
        with mock.patch.object(batches, "memory_of_worker", return_value=(4000, 1)):
            self.assertEqual(batches.limit_of_memory(other, "1", ["--jobs", "1"]), [])

    def test_the_program_takes_its_limit_of_memory_or_is_not_given_one(self):
        drawing = library.FIXTURES / "base-plate.dxf"
        expected = self.measured([drawing])
        self.assertEqual(expected["code"], 0, expected)
        with mock.patch.object(batches, "memory_of_worker", return_value=(1 << 34, 1)):
            self.assertEqual(self.measured([drawing], options=["--jobs", "1"]), expected)

    def test_a_program_that_is_not_there_is_named(self):
        with self.assertRaisesRegex(RuntimeError, "can't be started on .*--tracearm"):
            self.measured([library.FIXTURES / "base-plate.dxf"], str(self.folder / "none"))

    def test_a_worker_without_the_folder_is_no_fault_of_the_drawings(self):
        with self.assertRaisesRegex(RuntimeError, "does not see .*/no/a.dxf and what follows: share"):
            self.measured([self.folder / "no" / "a.dxf", self.folder / "no" / "b.dxf"])

    def test_drawings_behind_the_options_are_refused(self):
        paths = [library.FIXTURES / "base-plate.dxf"]
        other = str(library.FIXTURES / "hinge-lug.dxf")
        try:
            batch = self.measured(paths, options=[other])
        except ValueError as error:
            self.assertIn("behind --", str(error))
        else:
            # The program itself may refuse them.
            self.assertEqual((batch["code"], batch["count"]), (2, 0), batch)

    def test_kinds_of_columns_are_those_of_the_schema(self):
        schema = json.loads((ROOT / "shared" / "schedule.schema.json").read_text())
        names = schema["$defs"]["section_mm"]["properties"]
        kinds = {}
        for name, definition in names.items():
            if name == "findings_text":
                continue
            held = schema["$defs"][definition["$ref"].rpartition("/")[2]] if "$ref" in definition else definition
            kind = held.get("type", "string")
            kinds.setdefault(kind if isinstance(kind, str) else kind[0], set()).add(name)
        self.assertEqual(kinds.pop("integer"), batches.COUNTS)
        self.assertEqual(kinds.pop("string") | kinds.pop("array"), batches.TEXTS)
        self.assertEqual(list(kinds), ["number"])

    def test_quoting(self):
        for row, line in [
            (["a", "b"], "a,b"),
            (["a,b", 'say "x"'], '"a,b","say ""x"""'),
            (["a\nb", "a\rb"], '"a\nb","a\rb"'),
            ([" a ", "'", ";", "#", "é断"], " a ,',;,#,é断"),
            ([None, None], ","),
            ([None], '""'),
            (["\u2028\x85\x1b"], "\u2028\x85\x1b"),
        ]:
            self.assertEqual(batches.record(row), line + "\n")

    def test_formulas_stand_behind_an_apostrophe(self):
        for cell, written in [
            ("=1+1", "'=1+1"), ("+a", "'+a"), ("-a", "'-a"), ("@a", "'@a"), ("\ta", "'\ta"), ("\ra", "\"'\ra\""),
            ("=a,b", "\"'=a,b\""), (" =a", " =a"), ("'=a", "'=a"), ("a=b", "a=b"), ("\na", '"\na"'),
        ]:  # fmt: skip
            self.assertEqual(batches.record(["x", cell]), f"x,{written}\n")
        self.assertEqual(batches.record([batches.Digits("-12.5"), batches.Digits("2.2e-16")]), "-12.5,2.2e-16\n")
        row = batches.parsed(b'{"area":-1.50,"holes":-0,"layer":"-1.50"}\n')[0]
        self.assertEqual(batches.record(row.values()), "-1.50,-0,'-1.50\n")


class Listing(Folder):
    def test_order_is_that_of_parts_as_bytes(self):
        names = ["B.dxf", "a/z.dxf", "a-b/c.dxf", "a.b/c.dxf", "a.dxf", "b.DXF", "é.dxf", "断/x.dXf"]
        for name in ["no.txt", "a/.dxf", "a/dxf", "a/x.dxf.bak", "a/..dxf", *names]:
            (self.folder / name).parent.mkdir(exist_ok=True)
            (self.folder / name).write_text("")
        names.insert(1, "a/..dxf")
        found = listing.library(str(self.folder))
        paths = [f"{self.folder}/{name}" for name in names]
        self.assertEqual([name for _, name in found.named(0, 99)], paths)
        self.assertEqual(found.complaints, [])
        address = listing.library(f"file://{self.folder}")
        self.assertEqual([name for _, name in address.named(0, 99)], [f"file://{path}" for path in paths])
        self.assertEqual([name for _, name in address.named(2, 4)], [f"file://{path}" for path in paths[2:4]])

    def test_links_are_followed_but_not_in_circles(self):
        (self.folder / "in").mkdir()
        (self.folder / "in" / "a.dxf").write_text("")
        (self.folder / "in" / "round").symlink_to("..")
        (self.folder / "lost.dxf").symlink_to("nowhere")
        (self.folder / "twice").symlink_to("in")
        found = listing.library(str(self.folder))
        names = [str(Path(name).relative_to(self.folder)) for _, name in found.named(0, 99)]
        self.assertEqual(names, ["in/a.dxf"])
        self.assertEqual(len(found.complaints), 3, found.complaints)
        note = f"{self.folder}/twice/a.dxf: the same drawing as {self.folder}/in/a.dxf, which was measured once"
        self.assertEqual(found.notes, [note])

    def test_a_drawing_that_is_met_twice_is_kept_where_it_is_met_first(self):
        source, elsewhere = self.folder / "source", self.folder / "elsewhere"
        for folder in (source / "b" / "deep", elsewhere):
            folder.mkdir(parents=True)
        for drawing in (source / "b" / "=1.dxf", source / "b" / "deep" / "z.dxf", elsewhere / "x.dxf"):
            drawing.write_text("")
        # A second name of the same file on the disk is no link that a path could be resolved by.
        os.link(elsewhere / "x.dxf", elsewhere / "y.dxf")
        for link, where in [
            ("a.dxf", "b/deep/z.dxf"), ("c", "b"), ("d.dxf", "c/deep/../=1.dxf"), ("e", elsewhere),
            ("f.dxf", "e/x.dxf"),
        ]:  # fmt: skip
            (source / link).symlink_to(where)
        found = listing.library(str(source))
        names = [str(Path(name).relative_to(source)) for _, name in found.named(0, 99)]
        self.assertEqual(names, ["a.dxf", "b/=1.dxf", "e/x.dxf", "e/y.dxf"])
        same = [
            ("b/deep/z.dxf", "a.dxf"), ("c/=1.dxf", "b/=1.dxf"), ("c/deep/z.dxf", "a.dxf"), ("d.dxf", "b/=1.dxf"),
            ("f.dxf", "e/x.dxf"),
        ]  # fmt: skip
        self.assertEqual(
            found.notes,
            [f"{source}/{path}: the same drawing as {source}/{other}, which was measured once" for path, other in same],
        )
        self.assertEqual(found.complaints, [])

    def test_addresses_go_on_in_the_link_that_has_a_path(self):
        for address, path, whole in [
            ("s3://bucket/plates", "a/b.dxf", "s3://bucket/plates/a/b.dxf"),
            ("s3://bucket/plates/", "b.dxf", "s3://bucket/plates/b.dxf"),
            ("simplecache::s3://bucket", "b.dxf", "simplecache::s3://bucket/b.dxf"),
            ("zip://plates::s3://bucket/all.zip", "b.dxf", "zip://plates/b.dxf::s3://bucket/all.zip"),
            ("zip://::file:///all.zip", "b.dxf", "zip://b.dxf::file:///all.zip"),
            ("s3://bucket/b.dxf", "", "s3://bucket/b.dxf"),
        ]:
            self.assertEqual(listing.below(address, path), whole)


class Pieces(Folder):
    def batch(self, rows, code=0):
        names = batches.headings(rows)
        batch = {"headings": names, "code": code, "messages": "", "count": len(rows), "rows": rows}
        if names is not None:
            batch["csv"], batch["part"] = batches.encoded(names, rows)
        return batch

    def row(self, name):
        area = batches.Digits("1.50")
        return {"drawing": name, "status": "ok", "area_mm2": area, "findings": [], "findings_text": None}

    def test_batches_in_any_order_and_without_figures(self):
        kept = pieces.Pieces(self.folder / "to", 4)
        kept.keep(3, batches.lost([(b"y", "=y"), (b"z", "z")], "gone"))
        kept.keep(0, self.batch([]))
        kept.keep(2, self.batch([self.row("x")]))
        self.assertFalse(kept.fits({"headings": ["drawing"]}))
        kept.keep(1, self.batch([self.row("w")]))
        self.assertEqual(kept.finish(["first"]), 4)
        self.assertEqual(
            (self.folder / "to" / "schedule.csv").read_text(),
            "drawing,status,area_mm2,findings\nw,ok,1.50,\nx,ok,1.50,\n'=y,failed,,gone\nz,failed,,gone\n",
        )
        self.assertEqual((self.folder / "to" / "messages.txt").read_text(), "first\n=y: gone\nz: gone\n")
        parts = [parquet.read_table(path) for path in sorted((self.folder / "to").glob("*.parquet"))]
        self.assertEqual([part.num_rows for part in parts], [0, 1, 1, 2])
        self.assertEqual(len({part.schema.remove_metadata() for part in parts}), 1)

    def test_what_stands_is_told(self):
        to = self.folder / "to"
        self.assertEqual(pieces.standing(to), "nothing was measured yet: start it again")
        kept = pieces.Pieces(to, 2)
        self.assertEqual(pieces.standing(to), f"the parts so far (0) stay in {to}, {WHAT_NEXT}")
        for number in range(2):
            kept.keep(number, self.batch([self.row("x")]))
        self.assertEqual(pieces.standing(to), f"the parts so far (2) stay in {to}, {WHAT_NEXT}")
        kept.finish([])
        self.assertEqual(pieces.standing(to), f"{to}/schedule.csv is complete")

    def test_two_runs_do_not_share_a_folder(self):
        pieces.Pieces(self.folder, 1)
        with self.assertRaisesRegex(ValueError, "of another run"):
            pieces.Pieces(self.folder, 1)

    def test_nothing_at_all_is_no_schedule(self):
        kept = pieces.Pieces(self.folder, 1)
        kept.keep(0, batches.lost([(b"y", "y")], "gone"))
        self.assertEqual(kept.finish([]), 0)
        self.assertEqual([path.name for path in self.folder.iterdir()], ["messages.txt"])


class Arguments(unittest.TestCase):
    def test_options_of_tracearm_stand_behind_two_dashes(self):
        chosen = schedule_on_dask.arguments(["x", "--to", "y", "--", "--units", "mm", "--", "z"])
        self.assertEqual((chosen.source, chosen.options), ("x", ["--jobs", "1", "--units", "mm", "--", "z"]))
        self.assertEqual(schedule_on_dask.arguments(["x", "--to", "y", "--", "--jobs=4"]).options, ["--jobs=4"])

    def test_where_rows_go_is_not_chosen_there(self):
        for option in ["-o", "-ox.csv", "--output=x.csv", "--format", "--files-from", "--pieces=p.csv", "--job", "--ledger", "--totals", "--report=r.csv"]:
            with self.assertRaises(SystemExit), open(os.devnull, "w") as nowhere:
                error, sys.stderr = sys.stderr, nowhere
                try:
                    schedule_on_dask.arguments(["x", "--to", "y", "--", option])
                finally:
                    sys.stderr = error


if __name__ == "__main__":
    unittest.main()
