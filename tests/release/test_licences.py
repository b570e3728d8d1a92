"""What shared/release/licences.py lets through: python3 tests/release/test_licences.py

Expressions as SPDX writes them, and as older manifests do.
"""

import sys
import unittest
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "shared/release"))
import licences


def package(name, licence):
    return {
        "name": name,
        "version": "1.0.0",
        "license": licence,
        "repository": None,
        "homepage": None,
        "manifest_path": __file__,
    }


class Expressions(unittest.TestCase):
    def test_permitted(self):
        for expression in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0-only OR MIT",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception OR LGPL-2.1-or-later",
            "MPL-2.0",
            "MIT AND (GPL-2.0-only OR (BSD-3-Clause AND Zlib))",
        ]:
            self.assertTrue(licences.permitted(expression), expression)

    def test_refused(self):
        for expression in [
            "GPL-3.0-only",
            "LGPL-2.1-or-later",
            "MIT AND GPL-2.0-only",
            "(MIT OR Apache-2.0) AND AGPL-3.0-only",
            "Apache-2.0 WITH Some-exception",
            "SSPL-1.0",
            "mit-like",
        ]:
            self.assertFalse(licences.permitted(expression), expression)

    def test_what_is_no_expression(self):
        for expression in ["MIT OR", "(MIT", "MIT Apache-2.0", ")"]:
            with self.assertRaises(licences.Refused):
                if licences.permitted(expression) is False:
                    raise licences.Refused(expression)


class Collected(unittest.TestCase):
    def test_the_crate_is_named(self):
        for bad, words in [("GPL-3.0-only", "is under 'GPL-3.0-only'"), (None, "states no licence")]:
            with self.assertRaisesRegex(licences.Refused, f"other 1.0.0 {words}"):
                licences.collected([package("one", "MIT"), package("other", bad)])

    def test_what_has_no_text_is_told(self):
        text = licences.collected([package("one", "MIT")])
        self.assertIn("one 1.0.0: MIT\n", text)
        self.assertIn("no text came with the source; the terms named above apply: one 1.0.0\n", text)

    def test_what_only_tests_need_is_left_out(self):
        def node(name, *dependencies):
            deps = [{"pkg": pkg, "dep_kinds": [{"kind": kind}]} for pkg, kind in dependencies]
            return {"id": name, "deps": deps}

        nodes = [node("root", ("a", None), ("d", "dev"), ("b", "build")), node("a", ("c", None)), node("b"), node("c"), node("d")]
        packages = [{"id": name, "name": name, "version": "1"} for name in ["root", "a", "b", "c", "d"]]
        found = licences.built_in({"resolve": {"root": "root", "nodes": nodes}, "packages": packages})
        self.assertEqual([p["name"] for p in found], ["a", "c"])


if __name__ == "__main__":
    unittest.main()
