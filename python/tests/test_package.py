"""The package itself: the command, types and documents."""

from __future__ import annotations

import ast
import importlib.metadata
import importlib.resources
import pathlib

import tracearm
import tracearm._tracearm
from conftest import program, run


def test_the_command_comes_with_it():
    assert program().is_file()
    assert run("--version").stdout.decode().split() == ["tracearm", tracearm.__version__]
    assert importlib.metadata.version("tracearm") == tracearm.__version__
    assert importlib.metadata.requires("tracearm") in (None, [])
    licences = [path.name for path in importlib.metadata.files("tracearm") or [] if path.name.startswith("LICENSE")]
    assert sorted(licences) == ["LICENSE-APACHE", "LICENSE-MIT"]


def folder() -> pathlib.Path:
    return pathlib.Path(tracearm.__file__).parent


def class_of(path: pathlib.Path, name: str) -> ast.ClassDef:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return next(node for node in ast.walk(tree) if isinstance(node, ast.ClassDef) and node.name == name)


def test_every_column_has_a_type():
    assert (folder() / "py.typed").is_file()
    section = class_of(folder() / "_drawing.py", "Section")
    typed = {
        node.target.id: ast.unparse(node.annotation) for node in ast.walk(section) if isinstance(node, ast.AnnAssign)
    }
    kinds = {"text": "str", "count": "int", "number": "float"}
    always = {"drawing", "section", "layer", "status"}
    expected = {
        column.key: kinds[column.kind] if column.key in always else f"Optional[{kinds[column.kind]}]"
        for column in tracearm.Column.all()
        if column.key != "findings"
    }
    assert typed == expected
    for column in tracearm.Column.all():
        document = getattr(tracearm.Section, column.key).__doc__
        assert document, column.key
        assert column.unit is None or column.key == "findings" or column.unit in document


def test_the_stub_has_what_there_is():
    tree = ast.parse((folder() / "_tracearm.pyi").read_text(encoding="utf-8"))
    built = tracearm._tracearm
    named = set()
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            named.add(node.name)
            methods = {item.name for item in node.body if isinstance(item, ast.FunctionDef)} - {"__new__"}
            there = {name for name in vars(getattr(built, node.name)) if not name.startswith("__") or name == "__len__"}
            assert methods == there, node.name
        elif isinstance(node, ast.FunctionDef):
            named.add(node.name)
        elif isinstance(node, ast.AnnAssign):
            named.add(node.target.id)
    assert named == {name for name in dir(built) if not name.startswith("__")}


def test_everything_public_has_a_document():
    for name in tracearm.__all__:
        if name.startswith("__") or name in ("CAUTION", "Row"):
            continue
        item = getattr(tracearm, name)
        assert item.__doc__, name
        for own, value in vars(item).items() if isinstance(item, type) else ():
            if not own.startswith("_") and not isinstance(value, (str, type(None))) and name != "Polygon":
                assert getattr(value, "__doc__", None), f"{name}.{own}"
