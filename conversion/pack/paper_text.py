"""Texts made fit for paper: letters that the shipped font lacks, and words that are longer than a column.

The typesetter would leave a letter out in silence that the font does not have. The PDF prints it as its number in
square brackets, so that nobody misses that something stood there; the HTML page keeps it, since a browser finds
another font. Long words and names get places at which a line may break, which take no room.
"""

from __future__ import annotations

import re
from typing import Any

from conversion.drawings.font_widths import letters

_BREAK = "\u200b"
_SEPARATOR = re.compile(r"(?<=[A-Za-z]{4}[/_.-])(?=\w)")
_LONG = 26
_ENDLESS = re.compile(rf"[^\s{_BREAK}]{{{_LONG},}}")
# Words of the data that the templates compare, or that name a file or the document itself.
_STEERING = ("kind", "key", "align", "fill", "level", "severity", "name", "builder")
# All of Latin, Greek, Cyrillic and the common signs are in the font, so most texts need no closer look.
_UNUSUAL = re.compile("[^\x20-\x7e\xa0-\u024f\u0391-\u03c9\u0410-\u044f\u2010-\u2026]")


def printable_in_pdf(text: str) -> str:
    """The text with each letter that the font lacks written as its number.

    Example:
        >>> printable_in_pdf("Ω 5 kohm, \u65e5")
        'Ω 5 kohm, [U+65E5]'
    """
    return _UNUSUAL.sub(_letter_or_number, text)


def _letter_or_number(found: re.Match[str]) -> str:
    code = ord(found[0])
    return found[0] if found[0] == "\n" or code in letters() else f"[U+{code:04X}]"


def breakable(text: str) -> str:
    """The text with a place to break after the separators inside a name, and anywhere in a word without end.

    Example:
        >>> breakable("parts/module.yaml, 0.50 V").split("\u200b")
        ['parts/', 'module.', 'yaml, 0.50 V']
    """
    text = _SEPARATOR.sub(_BREAK, text)
    return text if len(text) < _LONG else _ENDLESS.sub(lambda found: _BREAK.join(found[0]), text)


def for_paper(value: Any) -> Any:
    """Data for the typesetter with every text in it made printable and breakable."""
    if isinstance(value, str):
        return breakable(printable_in_pdf(value)) if value else value
    if isinstance(value, list):
        return [for_paper(item) for item in value]
    if isinstance(value, dict):
        return {key: item if key in _STEERING else for_paper(item) for key, item in value.items()}
    return value
