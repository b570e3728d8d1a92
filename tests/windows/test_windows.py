"""The program on Windows: what it writes is what it writes elsewhere, and what only Windows has.

tests/windows/run.sh sets WINE, PLACE (tracearm.exe and hold.exe) and HERE (the program of this machine).
"""

import csv
import io
import os
import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

WINE, PLACE, HERE = os.environ["WINE"], Path(os.environ["PLACE"]), os.environ["HERE"]
ROOT = Path(__file__).parents[2]
DRAWINGS = [
    "gantry-end-plate", "jib-bracket", "rail-clamp", "corner-bracket", "bad-numbers", "no-outlines", "formula-layers",
    "bow-tie", "native-drawing", "base-plate",
]


def windows(path):
    """A path of this machine as Windows has it."""
    return "Z:" + str(path).replace("/", "\\")


def run(program, words, folder, **more):
    """Runs a program; gives its exit code, output and messages, with ends of lines as they come."""
    done = subprocess.run([*program, *words], cwd=folder, capture_output=True, timeout=300, check=False, **more)
    return done.returncode, done.stdout, done.stderr.decode("utf-8")


def on_windows(words, folder, **more):
    return run([WINE, str(PLACE / "tracearm.exe")], words, folder, **more)


def here(words, folder, **more):
    return run([HERE], words, folder, **more)


def rows(text):
    return list(csv.DictReader(io.StringIO(text.decode("utf-8"))))


def rounding_aside(text):
    """All but the differences of strips and integrals, which are rounding: sines may end in another digit there."""
    return re.sub(rb"\d(\.\d+)?e-1[4-9]", b"rounding", text)


class Windows(unittest.TestCase):
    def setUp(self):
        self.folder = Path(tempfile.mkdtemp(prefix="tracearm-windows-")).resolve()
        for name in DRAWINGS:
            shutil.copy(ROOT / "fixtures" / f"{name}.dxf", self.folder)
        self.names = [f"{name}.dxf" for name in DRAWINGS]

    def tearDown(self):
        shutil.rmtree(self.folder, ignore_errors=True)

    def alike(self, words):
        one, other = on_windows(words, self.folder), here(words, self.folder)
        self.assertEqual(one[0], other[0], one[2])
        self.assertEqual(rounding_aside(one[1]), rounding_aside(other[1]))
        self.assertEqual(one[2].replace("\r\n", "\n"), other[2])
        return one

    def test_rows_are_the_same_bytes(self):
        for words in [
            [],
            ["--format", "json", "--units", "in"],
            ["--per", "part", "--thickness", "12mm", "--density", "7850"],
        ]:
            code, out, _ = self.alike(["schedule", *self.names, *words])
            self.assertEqual(code, 1)
            self.assertGreater(len(out), 2000)
        self.alike(["inspect", "rail-clamp.dxf"])

    def test_files_are_the_same_bytes(self):
        for words, name in [
            (["sheet", "jib-bracket.dxf", "--date", "2026-05-04"], "out.html"),
            (["sheet", "jib-bracket.dxf", "--date", "2026-05-04"], "out.svg"),
            (["sheet", "jib-bracket.dxf", "--date", "2026-05-04"], "out.png"),
            (["mark", "jib-bracket.dxf", "--date", "2026-05-04"], "out.dxf"),
        ]:
            self.assertEqual(on_windows([*words, "-o", f"one-{name}"], self.folder)[0] in (0, 1), True)
            here([*words, "-o", f"other-{name}"], self.folder)
            one, other = ((self.folder / f"{which}-{name}").read_bytes() for which in ("one", "other"))
            self.assertEqual(one, other, name)

    def test_a_folder_and_its_ledger(self):
        library = self.folder / "Bauteile" / "Tür"
        library.mkdir(parents=True)
        for name in self.names:
            (self.folder / name).rename(library / name)
        words = ["schedule", "Bauteile", "--summary"]
        plain = here(["schedule", "Bauteile"], self.folder)
        for remembered in ("10 new", "10 unchanged"):
            code, out, err = on_windows([*words, "--ledger", "shop.ledger"], self.folder)
            self.assertEqual(code, 1, err)
            # Paths are told as Windows writes them.
            self.assertIn(b"Bauteile\\T\xc3\xbcr\\jib-bracket.dxf,", out)
            self.assertEqual(out.replace(b"Bauteile\\T\xc3\xbcr\\", b"Bauteile/T\xc3\xbcr/"), plain[1])
            self.assertIn(remembered, err)
        self.assertEqual([p.name for p in self.folder.iterdir() if ".part" in p.name], [])

    def test_ways_to_name_a_drawing(self):
        whole = windows(self.folder / "jib-bracket.dxf")
        for name in [whole, whole.lower().replace("z:", "z:"), "\\\\?\\" + whole, ".\\jib-bracket.dxf"]:
            code, out, err = on_windows(["schedule", name], self.folder)
            self.assertEqual(code, 0, f"{name}: {err}")
            self.assertEqual({row["drawing"] for row in rows(out)}, {name})
        # One drawing under three spellings is one drawing.
        code, out, err = on_windows(["schedule", "jib-bracket.dxf", "JIB-BRACKET.DXF", whole], self.folder)
        self.assertEqual(code, 0, err)
        self.assertEqual({row["drawing"] for row in rows(out)}, {"jib-bracket.dxf"})
        self.assertEqual(err.count("the same drawing as jib-bracket.dxf"), 2, err)

    def test_an_output_is_no_input_in_any_spelling(self):
        before = (self.folder / "jib-bracket.dxf").read_bytes()
        for name in ["JIB-BRACKET.DXF", windows(self.folder / "Jib-Bracket.dxf")]:
            code, _, err = on_windows(["mark", "jib-bracket.dxf", "-o", name], self.folder)
            self.assertEqual(code, 2, err)
            self.assertEqual((self.folder / "jib-bracket.dxf").read_bytes(), before)

    def test_paths_of_more_than_260_letters(self):
        deep = self.folder
        while len(str(deep)) < 330:
            deep = deep / "drawings of the north bay, second crane"
        deep.mkdir(parents=True)
        shutil.copy(self.folder / "jib-bracket.dxf", deep / "deep.dxf")
        plain = rows(here(["schedule", "jib-bracket.dxf"], self.folder)[1])
        code, out, err = on_windows(
            ["schedule", windows(deep), "-o", windows(deep / "out.csv"), "--ledger", windows(deep / "deep.ledger")],
            self.folder,
        )
        self.assertEqual(code, 0, err)
        found = rows((deep / "out.csv").read_bytes())
        self.assertEqual([row["area_mm2"] for row in found], [row["area_mm2"] for row in plain])
        self.assertEqual(out, b"")

    def test_a_name_that_is_no_text(self):
        shutil.copy(self.folder / "jib-bracket.dxf", self.folder / "plate.dxf")
        made = subprocess.run(
            [WINE, str(PLACE / "hold.exe"), "name", windows(self.folder)], capture_output=True, timeout=60, check=False
        )
        if made.returncode != 0:
            self.skipTest("no such name can be made on this disk")
        code, out, err = on_windows(["schedule", "."], self.folder)
        self.assertIn(code, (0, 1), err)
        # It is there, told by an escape, and no other drawing is lost.
        names = {row["drawing"] for row in rows(out)}
        self.assertTrue(any("half" in name for name in names), names)
        self.assertIn(".\\jib-bracket.dxf", names)

    def test_a_file_that_another_program_holds_open(self):
        kept = b"what was there"
        (self.folder / "out.csv").write_bytes(kept)
        for held, words in [
            ("out.csv", ["schedule", "jib-bracket.dxf", "-o", "out.csv"]),
            ("rail-clamp.dxf", ["schedule", "jib-bracket.dxf", "rail-clamp.dxf"]),
        ]:
            holder = subprocess.Popen(
                [WINE, str(PLACE / "hold.exe"), "open", windows(self.folder / held)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
            )
            self.assertEqual(holder.stdout.readline().strip(), b"open")
            code, out, err = on_windows(words, self.folder)
            holder.stdin.close()
            holder.wait(60)
            holder.stdout.close()
            self.assertNotEqual(code, 0, err)
            self.assertIn(held, err)
            self.assertTrue("another" in err or "closed" in err or "close" in err, err)
            if held == "out.csv":
                self.assertEqual((self.folder / "out.csv").read_bytes(), kept)
            else:
                self.assertIn("jib-bracket.dxf", {row["drawing"] for row in rows(out)})
        self.assertEqual([p.name for p in self.folder.iterdir() if ".part" in p.name], [])

    def test_a_console_of_code_page_850(self):
        (self.folder / "jib-bracket.dxf").rename(self.folder / "Träger Ø40.dxf")
        script = f'@chcp 850 >nul\r\n@"{windows(PLACE / "tracearm.exe")}" schedule . -o out.csv\r\n'
        (self.folder / "go.cmd").write_bytes(script.encode("ascii"))
        code, _, err = run([WINE, "cmd", "/c", "go.cmd"], [], self.folder)
        self.assertIn(code, (0, 1), err)
        self.assertIn(".\\Träger Ø40.dxf", {row["drawing"] for row in rows((self.folder / "out.csv").read_bytes())})


if __name__ == "__main__":
    unittest.main()
