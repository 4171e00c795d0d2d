"""How wide a text will be: advance widths read from the shipped font itself.

Labels can only be kept apart if their size is known before anything draws them. The font that is measured here is
the one that the typesetter uses; a browser without it sets the text in another one of about the same width.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import cache, lru_cache

from conversion.resources import fonts_dir

ASCENT = 0.76
"""Height of capitals and tall letters above the base line, as a share of the text size."""

DESCENT = 0.24
"""Depth of letters such as g below the base line, as a share of the text size."""


@lru_cache(maxsize=4096)
def text_width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Width of one line of text.

    Args:
        text: One line.
        size_mm: Text size, the font's own height of a line. [mm]
        bold: Set in the bold face.

    Returns:
        Sum of the advance widths, without kerning. A character that the font lacks counts as one text size. [mm]

    Example:
        >>> round(text_width_mm("0000", 10.0), 2)
        25.45
    """
    advances = _advances(bold)
    return size_mm * sum(advances.get(ord(character), 1.0) for character in text)


@cache
def letters() -> frozenset[int]:
    """Code points that the regular and the bold face both have."""
    return frozenset(_advances(False)) & frozenset(_advances(True))


@cache
def _advances(bold: bool) -> dict[int, float]:
    """Advance of each character that the font has, as a share of the text size.

    The four tables of the font file that say it: head, hhea, hmtx, and cmap in its segmented form (format 12).

    References:
        ISO/IEC 14496-22, head, hhea, hmtx, cmap.
    """
    data = (fonts_dir() / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")).read_bytes()
    tables = {}
    for index in range(struct.unpack_from(">H", data, 4)[0]):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * index)
        tables[tag] = offset
    per_em = struct.unpack_from(">H", data, tables[b"head"] + 18)[0]
    measured = struct.unpack_from(">H", data, tables[b"hhea"] + 34)[0]
    advances = struct.unpack_from(">" + "HH" * measured, data, tables[b"hmtx"])[::2]
    last = measured - 1
    return {character: advances[min(glyph, last)] / per_em for character, glyph in _glyphs(data, tables[b"cmap"])}


def _glyphs(data: bytes, cmap: int) -> Iterator[tuple[int, int]]:
    """Character and glyph number of all that the font has."""
    for record in range(struct.unpack_from(">H", data, cmap + 2)[0]):
        start = cmap + struct.unpack_from(">I", data, cmap + 8 + 8 * record)[0]
        if struct.unpack_from(">H", data, start)[0] != 12:
            continue
        for group in range(struct.unpack_from(">I", data, start + 12)[0]):
            first, final, glyph = struct.unpack_from(">III", data, start + 16 + 12 * group)
            yield from ((character, glyph + character - first) for character in range(first, final + 1))
        return
    raise ValueError("the shipped font has no character map of format 12")
