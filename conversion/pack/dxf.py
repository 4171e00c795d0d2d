"""A template as a drawing exchange file (DXF) for a cutter: millimetres, one layer for each purpose.

Release AC1015, which workshop programs have read since the year 2000. It holds lines, circles and texts and nothing
else; no time and no random mark is written, so equal sheets give equal bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np

from conversion.fit import Circle, Line, Purpose, TemplateSheet

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

    from conversion.fit.shapes import Shape
    from conversion.linkage.turning import Array

RELEASE = "R2000"
# Layer, its colour by number (7 is white or black) and its kind of line.
LAYERS = {
    Purpose.CUT: ("CUT", 7, "CONTINUOUS"),
    Purpose.BEND: ("BEND", 1, "DASHED"),
    Purpose.MARK: ("MARK", 3, "CONTINUOUS"),
    Purpose.LOOM: ("LOOM", 7, "CONTINUOUS"),
    Purpose.CENTRE: ("CENTRE", 1, "DASHED"),
    Purpose.HOUSING: ("HOUSING", 5, "CONTINUOUS"),
    Purpose.CLIP: ("CLIP", 6, "CONTINUOUS"),
    Purpose.BOARD: ("BOARD", 8, "CONTINUOUS"),
}
# A workshop's program is set up for these once, so they are there even where one is empty.
ALWAYS = (Purpose.CUT, Purpose.BEND, Purpose.MARK)
# Length of one repeat, then dash and gap.
DASH_MM = (9.0, 6.0, -3.0)
DECIMALS = 6
"""Of a millimetre; what comes after them differs from machine to machine."""
# Written by control codes that every reader knows.
_CONTROLS = {"^": "^ ", "°": "%%d", "±": "%%p", "⌀": "%%c"}


def dxf_bytes(sheet: TemplateSheet) -> bytes:
    """The sheet as a file, lower left corner at the origin.

    Example:
        >>> import numpy as np
        >>> sheet = TemplateSheet("a", "A", (Circle(np.array([5.0, 5.0]), 2.0),), 10.0, 10.0)
        >>> b"AcDbCircle" in dxf_bytes(sheet)
        True
    """
    # Read here: it takes long to load, and only templates need it.
    import ezdxf
    from ezdxf import units

    with _without_time():
        drawing = ezdxf.new(RELEASE, units=units.MM)
        drawing.linetypes.add("DASHED", DASH_MM)
        used = {shape.purpose for shape in sheet.shapes}
        for name, colour, line in (LAYERS[each] for each in Purpose if each in used or each in ALWAYS):
            drawing.layers.add(name, color=colour, linetype=line)
        space = drawing.modelspace()
        space.reset_extents((0.0, 0.0, 0.0), (float(sheet.width_mm), float(sheet.height_mm), 0.0))
        for shape in sheet.shapes:
            _add(space, shape)
        content = io.StringIO()
        drawing.write(content)
    return content.getvalue().encode("ascii")


def escaped(text: str) -> str:
    """Any text on one line of ASCII; what a reader would take for a control code is written so that it is not.

    Example:
        >>> escaped("5° %%d ^J")
        '5%%d %%%d ^ J'
    """
    found = []
    for letter in " ".join(text.replace("%%", "%%%").split()):
        code = ord(letter)
        if letter in _CONTROLS:
            found.append(_CONTROLS[letter])
        elif 0x20 <= code < 0x7F:
            found.append(letter)
        elif code > 0xFFFF or 0xD800 <= code < 0xE000 or code < 0xA0:
            found.append("?")
        else:
            found.append(f"\\U+{code:04X}")
    return "".join(found)


@contextmanager
def _without_time() -> Iterator[None]:
    """The library marks each file with the time and a random number, unless its options say otherwise."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _add(space: Modelspace, shape: Shape) -> None:
    layer = {"layer": LAYERS[shape.purpose][0]}
    if isinstance(shape, Line):
        space.add_lwpolyline(_rounded(shape.points_mm), close=shape.closed, dxfattribs=layer)
    elif isinstance(shape, Circle):
        space.add_circle(_rounded(shape.centre_mm), round(float(shape.radius_mm), DECIMALS), dxfattribs=layer)
    else:
        from ezdxf.enums import TextEntityAlignment

        turned = 90.0 if shape.upright else 0.0
        text = space.add_text(escaped(shape.text), height=float(shape.height_mm), rotation=turned, dxfattribs=layer)
        text.set_placement(_rounded(shape.at_mm), align=TextEntityAlignment.CENTER)


def _rounded(points_mm: Array) -> Any:
    """A point or many, as lists; adding nothing turns a negative nothing into a plain one."""
    return (np.round(points_mm, DECIMALS) + 0.0).tolist()
