"""What can't be read, and what stops a run."""

from __future__ import annotations

import io
import os
import pickle
import shutil
import signal
import subprocess
import sys
import textwrap
import time

import pytest
import tracearm
from conftest import FIXTURES, PLATE


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("not-a-drawing.dxf", "file-is-no-dxf", ""),
        ("native-drawing.dxf", "file-is-dwg", "export it as DXF"),
        ("picture.dxf", "file-is-other", ""),
        ("utf-16.dxf", "file-is-wide-text", ""),
    ],
)
def test_no_drawing(name, code, words):
    for source in (FIXTURES / name, (FIXTURES / name).read_bytes()):
        with pytest.raises(tracearm.NotADrawing) as caught:
            tracearm.read(source)
        error = caught.value
        assert error.code == code and words in error.hint and error.hint in str(error)
        assert isinstance(error, (tracearm.Error, ValueError)) and error.finding.severity == "failure"
    # The reason is that of the command.
    assert str(caught.value).partition(": ")[2] in tracearm.schedule(FIXTURES / name).messages[0]


@pytest.mark.parametrize("data", [b"", bytearray(), memoryview(b""), io.BytesIO()])
def test_bytes_of_nothing(data):
    with pytest.raises(tracearm.NotADrawing) as caught:
        tracearm.read(data)
    assert caught.value.code == "file-empty"


def test_bytes_in_every_dress():
    data = PLATE.read_bytes()
    expected = [section.to_dict() for section in tracearm.read(data, name="plate")]
    for dress in (bytearray(data), memoryview(data), io.BytesIO(data)):
        assert [section.to_dict() for section in tracearm.read(dress, name="plate")] == expected
    with open(PLATE, "rb") as file:
        assert tracearm.read(file).name == str(PLATE)
    with open(PLATE, encoding="utf-8") as file, pytest.raises(TypeError, match="rb"):
        tracearm.read(file)


def test_missing_files(tmp_path):
    with pytest.raises(tracearm.DrawingMissing, match="nowhere.dxf") as caught:
        tracearm.read(tmp_path / "nowhere.dxf")
    assert isinstance(caught.value, FileNotFoundError) and isinstance(caught.value, tracearm.Error)
    with pytest.raises(tracearm.CannotRead):
        tracearm.read(tmp_path)
    rows = tracearm.schedule([tmp_path / "nowhere.dxf", PLATE])
    assert [row["status"] for row in rows] == ["failed", "ok", "ok", "ok"] and "nowhere.dxf" in rows.messages[0]
    with pytest.raises((tracearm.Error, ValueError)):
        tracearm.read("a\0b.dxf")


def test_over_a_limit():
    with pytest.raises(tracearm.OverLimit) as caught:
        tracearm.read(PLATE, limit={"layers": 1})
    assert caught.value.code == "too-many-layers" and "--limit layers" in caught.value.hint
    assert tracearm.schedule(PLATE, limit="layers=1")[0]["status"] == "failed"


@pytest.mark.parametrize("source", [None, 5, 1.5, ["a.dxf"], object(), {"path": "a.dxf"}])
def test_sources_of_other_types(source):
    with pytest.raises(TypeError, match="source"):
        tracearm.read(source)


@pytest.mark.parametrize("paths", [5, b"a.dxf", [5], ["a.dxf", b"b.dxf"], [None], object()])
def test_paths_of_other_types(paths):
    with pytest.raises(TypeError, match="paths"):
        tracearm.schedule(paths)


@pytest.mark.parametrize("paths", [None, [], ()])
def test_no_paths_at_all(paths):
    with pytest.raises(tracearm.OptionsError, match="at least one drawing"):
        tracearm.schedule(paths)


def test_every_fixture_gives_a_drawing_or_a_reason():
    outcomes = set()
    for path in sorted(FIXTURES.rglob("*.dxf")):
        try:
            outcomes.add(type(tracearm.read(path, per="part", join="1mm")))
        except tracearm.Error as error:
            assert error.finding is not None and str(path) in str(error)
            outcomes.add(type(error))
    assert outcomes >= {tracearm.Drawing, tracearm.NotADrawing}


def test_spoiled_bytes_cost_only_themselves():
    data = PLATE.read_bytes()
    drawings = 0
    for cut in range(0, len(data), len(data) // 120):
        for spoiled in (data[:cut], data[:cut] + b"\xff\x00\n" + data[cut:], data[:cut] + data[cut + 7 :]):
            try:
                drawings += len(tracearm.read(spoiled).sections) > 0
            except tracearm.NotADrawing:
                pass
    assert drawings > 100


def test_exceptions_have_readable_texts():
    with pytest.raises(tracearm.Error) as caught:
        tracearm.read(FIXTURES / "nowhere.dxf")
    # OSError shows itself by number and text where it has both: here it has neither.
    assert str(caught.value) == caught.value.args[0] and "nowhere.dxf" in str(caught.value)
    assert tracearm.OptionsError("x").code is None and tracearm.OptionsError("x").hint == ""
    assert str(pickle.loads(pickle.dumps(tracearm.OptionsError("join: wide")))) == "join: wide"


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent in another way there")
def test_ctrl_c_ends_a_long_run(tmp_path):
    drawing = FIXTURES / "window-frame.dxf"
    for k in range(5000):
        shutil.copy(drawing, tmp_path / f"frame-{k:04}.dxf")
    program = textwrap.dedent(
        """
        import sys, time, tracearm
        print("begun", flush=True)
        began = time.monotonic()
        try:
            # One after the other in one thread, so that it takes long on any machine.
            for _ in range(1000):
                tracearm.schedule(sys.argv[1], jobs=1)
        except KeyboardInterrupt:
            print("stopped", flush=True)
            # The package goes on to work.
            print(len(tracearm.read(sys.argv[2]).sections), flush=True)
        """
    )
    started = subprocess.Popen(
        [sys.executable, "-c", program, str(tmp_path), str(drawing)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert started.stdout.readline() == "begun\n"
        time.sleep(1)
        sent = time.monotonic()
        started.send_signal(signal.SIGINT)
        out, err = started.communicate(timeout=30)
    finally:
        started.kill()
    assert out.splitlines()[0] == "stopped" and int(out.splitlines()[1]) > 0, err
    assert started.returncode == 0 and time.monotonic() - sent < 5


def test_other_threads_run_meanwhile(tmp_path):
    import threading

    for k in range(300):
        shutil.copy(PLATE, tmp_path / f"plate-{k:03}.dxf")
    rows = []
    measuring = threading.Thread(target=lambda: rows.extend(tracearm.schedule(tmp_path, jobs=1)))
    measuring.start()
    turns = 0
    while measuring.is_alive():
        turns += 1
        time.sleep(0.001)
    measuring.join()
    assert len(rows) == 900 and turns > 5
