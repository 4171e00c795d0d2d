"""How wide a text will be: advance widths read from the shipped font itself.

Labels can only be kept apart if their size is known before anything draws them. The font that is measured here is
the one that the typesetter uses; a browser without it sets the text in another one of about the same width.
"""

from __future__ import annotations

import struct
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
def _advances(bold: bool) -> dict[int, float]:
    """Advance of each character that the font has, as a share of the text size.

    The four tables of the font file that say it: head, hhea, hmtx, and cmap in its segment form (format 4).
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


def _glyphs(data: bytes, cmap: int) -> list[tuple[int, int]]:
    """Character and glyph number of all that the font has in the basic plane."""
    start = next(
        cmap + offset
        for platform, encoding, offset in struct.iter_unpack(
            ">HHI", data[cmap + 4 : cmap + 4 + 8 * struct.unpack_from(">H", data, cmap + 2)[0]]
        )
        if (platform, encoding) == (3, 1)
    )
    doubled = struct.unpack_from(">H", data, start + 6)[0]
    count = doubled // 2
    form = f">{count}H"
    ends = struct.unpack_from(form, data, start + 14)
    starts = struct.unpack_from(form, data, start + 16 + doubled)
    deltas = struct.unpack_from(form, data, start + 16 + 2 * doubled)
    ranges_at = start + 16 + 3 * doubled
    ranges = struct.unpack_from(form, data, ranges_at)
    found = []
    for index in range(count):
        for character in range(starts[index], ends[index] + 1):
            glyph = character
            if ranges[index]:
                at = ranges_at + 2 * index + ranges[index] + 2 * (character - starts[index])
                glyph = struct.unpack_from(">H", data, at)[0] if at + 2 <= len(data) else 0
                if glyph == 0:
                    continue
            found.append((character, (glyph + deltas[index]) & 0xFFFF))
    return found
