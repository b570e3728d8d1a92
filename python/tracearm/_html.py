"""Sections and schedules as a notebook shows them."""

from __future__ import annotations

import base64
import html
from typing import Iterable, Optional, Sequence

from ._tracearm import CAUTION


def escaped(text: Optional[str]) -> str:
    """Text, which can hold no markup; nothing for what is not known."""
    return "" if text is None else html.escape(text)


def picture(svg: Optional[str], name: str) -> str:
    """A picture that keeps its own rules of style; nothing where there is none."""
    if svg is None:
        return ""
    data = base64.b64encode(svg.encode()).decode("ascii")
    return (
        f'<img alt="Section {escaped(name)}" style="max-width: 32em; width: 100%; background: white" '
        f'src="data:image/svg+xml;base64,{data}">'
    )


def table(headings: Sequence[str], rows: Iterable[Sequence[Optional[str]]], more: str = "") -> str:
    """A table of texts."""
    head = "".join(f'<th style="text-align: left">{escaped(heading)}</th>' for heading in headings)
    cell = '<td style="text-align: left">{}</td>'
    body = "".join("<tr>" + "".join(cell.format(escaped(text)) for text in row) + "</tr>" for row in rows)
    below = f"<p>{escaped(more)}</p>" if more else ""
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{below}"


def findings(texts: Iterable[str]) -> str:
    """A list of what the reader must know; nothing where there is nothing."""
    items = "".join(f"<li>{escaped(text)}</li>" for text in texts)
    return f"<ul>{items}</ul>" if items else ""


def caution() -> str:
    """What goes with every figure."""
    return f'<p style="font-size: small">{escaped(CAUTION)}</p>'
