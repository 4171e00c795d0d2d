"""The pack on paper."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from conversion.drawings.drawing import Drawing
from conversion.pack.paper_text import for_paper, printable_in_pdf
from conversion.pack.typeset import compile_pdf
from conversion.resources import templates_dir


def pack_pdf(data: dict[str, Any], drawings: Sequence[Drawing], date: datetime.date) -> Callable[[], bytes]:
    """The document made ready; what is returned sets it as a PDF, the same bytes for the same arguments.

    Setting goes on outside the interpreter, so that it may be called aside; making ready may not, or it would wait for
    its turn among all that is done meanwhile.

    Args:
        data: From :func:`conversion.pack.document.as_data`.
        drawings: All that its blocks refer to.
        date: Of the description.
    """
    files = {f"{drawing.name}.svg": printable_in_pdf(drawing.svg).encode("utf-8") for drawing in drawings}
    return partial(compile_pdf, templates_dir() / "pack.typ", for_paper(data), files, date)
