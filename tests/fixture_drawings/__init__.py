"""The drawings in fixtures/, one matter each, and the shapes they show.

`FIXTURES` lists them in the order of the table in fixtures/README.md. Each is a function that draws into a `Sheet`; the
sheet also keeps, for every layer that can be measured, the ideal shape in millimetres, from which
tests/second_opinion/values.py computes what the program must find.
"""

import math

from .writer import Drawing, ring

FIXTURES = {}


class Sheet:
    """A drawing and the shapes that it shows."""

    def __init__(self, **options):
        self.drawing = Drawing(**options)
        self.shapes = {}  # layer -> (solid rings, void rings)
        self.contents = None

    def shows(self, layer, solid, void=()):
        """The layer's section in mm: the given solid rings without the void rings. No two may overlap."""
        self.shapes[layer] = (list(solid), list(void))

    def bytes(self):
        if self.contents is None:
            self.contents = self.drawing.text_file().encode("ascii")
        return self.contents


def fixture(name, shows, units="mm", **options):
    """Registers a fixture: file name, its one matter, its units in words, and options of `Drawing`."""

    def register(draw):
        def build():
            sheet = Sheet(**options)
            draw(sheet, sheet.drawing)
            sheet.bytes()
            return sheet

        FIXTURES[name] = (shows, units, options.get("version", "AC1027"), build)
        return draw

    return register


def rings(*vertex_lists):
    return [ring(v) for v in vertex_lists]


def cos(degrees):
    return math.cos(math.radians(degrees))


def sin(degrees):
    return math.sin(math.radians(degrees))


from . import outlines, entities, hatches, widths, files, layers, slips, traps  # noqa: E402,F401  (they register themselves)
