"""Letters that the shipped font does not have: the typesetter would leave them out of a page in silence.

The PDF prints such a letter as its number in square brackets, so that nobody misses that something stood there;
the HTML page keeps it, since a browser finds another font.
"""

from __future__ import annotations

import re
import struct
from functools import cache
from typing import Any

from conversion.resources import fonts_dir

# All of Latin, Greek, Cyrillic and the common signs are in the font, so most texts need no closer look.
_UNUSUAL = re.compile("[^\x20-\x7e\xa0-\u024f\u0391-\u03c9\u0410-\u044f\u2010-\u2026]")


def printable_in_pdf(text: str) -> str:
    """The text with each letter that the font lacks written as its number.

    Example:
        >>> printable_in_pdf("Ω 5 kohm, \u65e5")
        'Ω 5 kohm, [U+65E5]'
    """
    return _UNUSUAL.sub(lambda found: found[0] if ord(found[0]) in _covered() else f"[U+{ord(found[0]):04X}]", text)


def all_printable_in_pdf(value: Any) -> Any:
    """Data for the typesetter with every text in it made printable."""
    if isinstance(value, str):
        return printable_in_pdf(value)
    if isinstance(value, list):
        return [all_printable_in_pdf(item) for item in value]
    if isinstance(value, dict):
        return {key: all_printable_in_pdf(item) for key, item in value.items()}
    return value


@cache
def _covered() -> frozenset[int]:
    """Code points that regular and bold both have."""
    faces = [_characters(path.read_bytes()) for path in sorted(fonts_dir().glob("*.ttf"))]
    return frozenset.intersection(*faces) | {0x0A}


def _characters(font: bytes) -> frozenset[int]:
    """Code points of an OpenType font: the segmented table (format 12) of its character map.

    References:
        ISO/IEC 14496-22, cmap, format 12.
    """
    count = struct.unpack_from(">H", font, 4)[0]
    tables = {font[12 + 16 * n : 16 + 16 * n]: struct.unpack_from(">L", font, 20 + 16 * n)[0] for n in range(count)}
    cmap = tables[b"cmap"]
    records = struct.unpack_from(">H", font, cmap + 2)[0]
    for record in range(records):
        offset = cmap + struct.unpack_from(">L", font, cmap + 8 + 8 * record)[0]
        if struct.unpack_from(">H", font, offset)[0] == 12:
            groups = struct.unpack_from(">L", font, offset + 12)[0]
            spans = (struct.unpack_from(">LL", font, offset + 16 + 12 * n) for n in range(groups))
            return frozenset(code for first, last in spans for code in range(first, last + 1))
    raise ValueError("the shipped font has no character map of format 12")
