"""The pack as one HTML page that needs nothing else: no network, no other file, and no script to be read."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from conversion.drawings.drawing import Drawing
from conversion.pack.inline_svg import inline_svg
from conversion.pack.motion import Motion
from conversion.pack.motion_charts import HEIGHT, WIDTH
from conversion.pack.moving import points_text
from conversion.resources import templates_dir


def pack_page(data: dict[str, Any], drawings: Sequence[Drawing], motion: Motion | None) -> bytes:
    """The document as a page.

    Args:
        data: From :func:`conversion.pack.document.as_data`.
        drawings: All that its blocks refer to.
        motion: The pedal that a slider moves; None where the travel is not known.
    """
    environment = Environment(
        loader=FileSystemLoader(templates_dir()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["widths"] = _widths
    environment.filters["points"] = points_text
    environment.globals |= {"chart_width": WIDTH, "chart_height": HEIGHT}
    svg = {drawing.name: inline_svg(drawing.svg, drawing.name) for drawing in drawings}
    # Ticks are kept in the browser under a name of this conversion and revision, so that a new one starts empty.
    mark = hashlib.sha256("\n".join((data["title"], data["revision"], data["date"])).encode("utf-8")).hexdigest()
    text = environment.get_template("pack.html.j2").render(pack=data, svg=svg, mark=mark[:16], motion=motion)
    return text.encode("utf-8")


def _widths(columns: Sequence[dict[str, Any]]) -> list[str]:
    """Width of each column in per cent of the table's."""
    total = sum(column["share"] for column in columns)
    return [f"{100 * column['share'] / total:.1f}" for column in columns]
