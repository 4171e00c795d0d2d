"""A template as a drawing exchange file (DXF) for a cutter: millimetres, one layer for each purpose.

The file is plain ASCII of the release that workshop programs have read since the year 2000. It holds lines, circles and
texts and nothing else; handles are counted and no time is written, so equal sheets give equal bytes.

References:
    The group codes are those of the published DXF reference, release AC1015.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from conversion.fit import Circle, Line, Purpose, TemplateSheet, Text
from conversion.fit.shapes import Shape
from conversion.linkage.turning import Array

MILLIMETRES = 4
# Layer, its colour by number (white or black, red, green) and its kind of line.
LAYERS = {
    Purpose.CUT: ("CUT", 7, "CONTINUOUS"),
    Purpose.BEND: ("BEND", 1, "DASHED"),
    Purpose.MARK: ("MARK", 3, "CONTINUOUS"),
}
# Written by control codes that every reader knows.
_CONTROLS = {"^": "^ ", "°": "%%d", "±": "%%p", "⌀": "%%c"}
DASH_MM = (6.0, -3.0)

Tag = tuple[int, str | int | float]
Record = tuple[str, str, list[Tag]]


def dxf_bytes(sheet: TemplateSheet) -> bytes:
    """The sheet as a file, lower left corner at the origin.

    Example:
        >>> import numpy as np
        >>> sheet = TemplateSheet("a", "A", (Circle(np.array([5.0, 5.0]), 2.0),), 10.0, 10.0)
        >>> b"AcDbCircle" in dxf_bytes(sheet)
        True
    """
    handles = _Handles()
    tables, blocks = list(_tables(handles)), list(_blocks(handles))
    entities = [tag for shape in sheet.shapes for tag in _entity(shape, handles)]
    objects = list(_objects(handles))
    tags = [
        (999, escaped(f"{sheet.title}; millimetres, true scale")),
        *_section("HEADER", _header(sheet, handles)),
        *_section("CLASSES", []),
        *_section("TABLES", tables),
        *_section("BLOCKS", blocks),
        *_section("ENTITIES", entities),
        *_section("OBJECTS", objects),
        (0, "EOF"),
    ]
    return "".join(f"{code:>3}\n{_value(value)}\n" for code, value in tags).encode("ascii")


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


class _Handles:
    """Counts handles; some that others refer to are fixed."""

    MODEL, PAPER, ROOT, GROUPS = "1F", "1B", "C", "D"

    def __init__(self) -> None:
        self._next = 0x40

    def new(self) -> str:
        self._next += 1
        return f"{self._next:X}"

    @property
    def seed(self) -> str:
        return f"{self._next + 1:X}"


def _value(value: str | int | float) -> str:
    if not isinstance(value, float):
        return str(value)
    text = f"{value:.6f}".rstrip("0")
    text = text + "0" if text.endswith(".") else text
    return "0.0" if text == "-0.0" else text


def _section(name: str, tags: Iterable[Tag]) -> list[Tag]:
    return [(0, "SECTION"), (2, name), *tags, (0, "ENDSEC")]


def _header(sheet: TemplateSheet, handles: _Handles) -> Iterator[Tag]:
    variables: dict[str, Sequence[Tag]] = {
        "$ACADVER": [(1, "AC1015")],
        "$DWGCODEPAGE": [(3, "ANSI_1252")],
        "$INSUNITS": [(70, MILLIMETRES)],
        "$MEASUREMENT": [(70, 1)],
        "$EXTMIN": [(10, 0.0), (20, 0.0), (30, 0.0)],
        "$EXTMAX": [(10, float(sheet.width_mm)), (20, float(sheet.height_mm)), (30, 0.0)],
        "$HANDSEED": [(5, handles.seed)],
    }
    for name, values in variables.items():
        yield 9, name
        yield from values


def _tables(handles: _Handles) -> Iterator[Tag]:
    dashes: list[Tag] = [tag for dash in DASH_MM for tag in ((49, dash), (74, 0))]
    lines: list[Record] = [
        *(("LTYPE", "AcDbLinetype", [(2, name), (70, 0), (3, ""), (72, 65), (73, 0), (40, 0.0)])
          for name in ("BYBLOCK", "BYLAYER", "CONTINUOUS")),
        ("LTYPE", "AcDbLinetype",
         [(2, "DASHED"), (70, 0), (3, "Dashed"), (72, 65), (73, len(DASH_MM)), (40, sum(map(abs, DASH_MM))), *dashes]),
    ]  # fmt: skip
    layers: list[Record] = [
        ("LAYER", "AcDbLayer", [(2, name), (70, 0), (62, colour), (6, line)])
        for name, colour, line in (("0", 7, "CONTINUOUS"), *LAYERS.values())
    ]
    style: list[Tag] = [
        (2, "STANDARD"),
        (70, 0),
        (40, 0.0),
        (41, 1.0),
        (50, 0.0),
        (71, 0),
        (42, 2.5),
        (3, "txt"),
        (4, ""),
    ]
    yield from _table("VPORT", [], handles)
    yield from _table("LTYPE", lines, handles)
    yield from _table("LAYER", layers, handles)
    yield from _table("STYLE", [("STYLE", "AcDbTextStyle", style)], handles)
    yield from _table("VIEW", [], handles)
    yield from _table("UCS", [], handles)
    yield from _table("APPID", [("APPID", "AcDbRegApp", [(2, "ACAD"), (70, 0)])], handles)
    yield from _dimension_styles(handles)
    table = handles.new()
    yield from ((0, "TABLE"), (2, "BLOCK_RECORD"), (5, table), (100, "AcDbSymbolTable"), (70, 2))
    for name, handle in (("*MODEL_SPACE", handles.MODEL), ("*PAPER_SPACE", handles.PAPER)):
        yield from ((0, "BLOCK_RECORD"), (5, handle), (330, table), (100, "AcDbSymbolTableRecord"))
        yield from ((100, "AcDbBlockTableRecord"), (2, name))
    yield 0, "ENDTAB"


def _table(name: str, records: Sequence[Record], handles: _Handles) -> Iterator[Tag]:
    table = handles.new()
    yield from ((0, "TABLE"), (2, name), (5, table), (330, "0"), (100, "AcDbSymbolTable"), (70, len(records)))
    for kind, marker, tags in records:
        yield from ((0, kind), (5, handles.new()), (330, table), (100, "AcDbSymbolTableRecord"), (100, marker))
        yield from tags
    yield 0, "ENDTAB"


def _dimension_styles(handles: _Handles) -> Iterator[Tag]:
    """The one table whose records have a group code of their own for the handle."""
    table = handles.new()
    yield from ((0, "TABLE"), (2, "DIMSTYLE"), (5, table), (330, "0"), (100, "AcDbSymbolTable"), (70, 1))
    yield from ((100, "AcDbDimStyleTable"), (0, "DIMSTYLE"), (105, handles.new()), (330, table))
    yield from ((100, "AcDbSymbolTableRecord"), (100, "AcDbDimStyleTableRecord"), (2, "STANDARD"), (70, 0))
    yield 0, "ENDTAB"


def _blocks(handles: _Handles) -> Iterator[Tag]:
    for name, owner, space in (("*MODEL_SPACE", handles.MODEL, 0), ("*PAPER_SPACE", handles.PAPER, 1)):
        yield from _begun("BLOCK", handles.new(), owner, "0", paper=space)
        yield from ((100, "AcDbBlockBegin"), (2, name), (70, 0), (10, 0.0), (20, 0.0), (30, 0.0), (3, name), (1, ""))
        yield from _begun("ENDBLK", handles.new(), owner, "0", paper=space)
        yield 100, "AcDbBlockEnd"


def _begun(kind: str, handle: str, owner: str, layer: str, paper: int = 0) -> Iterator[Tag]:
    yield from ((0, kind), (5, handle), (330, owner), (100, "AcDbEntity"))
    if paper:
        yield 67, 1
    yield 8, layer


def _entity(shape: Shape, handles: _Handles) -> Iterator[Tag]:
    layer = LAYERS[shape.purpose][0]
    if isinstance(shape, Line):
        yield from _begun("LWPOLYLINE", handles.new(), handles.MODEL, layer)
        yield from ((100, "AcDbPolyline"), (90, len(shape.points_mm)), (70, int(shape.closed)), (43, 0.0))
        for x, y in shape.points_mm:
            yield from ((10, float(x)), (20, float(y)))
    elif isinstance(shape, Circle):
        yield from _begun("CIRCLE", handles.new(), handles.MODEL, layer)
        yield from ((100, "AcDbCircle"), *_point(10, shape.centre_mm), (40, float(shape.radius_mm)))
    else:
        yield from _begun("TEXT", handles.new(), handles.MODEL, layer)
        yield from _text(shape)


def _text(shape: Text) -> Iterator[Tag]:
    """Centred on the middle of its foot."""
    yield from ((100, "AcDbText"), *_point(10, shape.at_mm), (40, float(shape.height_mm)), (1, escaped(shape.text)))
    yield from ((50, 90.0 if shape.upright else 0.0), (7, "STANDARD"), (72, 1), *_point(11, shape.at_mm))
    yield from ((100, "AcDbText"), (73, 0))


def _point(code: int, at: Array) -> tuple[Tag, Tag, Tag]:
    return (code, float(at[0])), (code + 10, float(at[1])), (code + 20, 0.0)


def _objects(handles: _Handles) -> Iterator[Tag]:
    """The dictionary that every file must have."""
    yield from ((0, "DICTIONARY"), (5, handles.ROOT), (330, "0"), (100, "AcDbDictionary"), (281, 1))
    yield from ((3, "ACAD_GROUP"), (350, handles.GROUPS))
    yield from ((0, "DICTIONARY"), (5, handles.GROUPS), (330, handles.ROOT), (100, "AcDbDictionary"), (281, 1))
