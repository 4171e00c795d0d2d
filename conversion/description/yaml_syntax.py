"""From the bytes of a file to text that a YAML parser may see, and from a parser's fault to a plain sentence.

The two parsers (libyaml and the one in pure Python) word the same fault differently; here both become one.
"""

from __future__ import annotations

import re

import yaml

from conversion.description.complaints import Complaint, DescriptionError, Place, quoted

NOT_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]")
"""No text: controls, hidden line breaks, marks that turn the direction of a line, and half characters."""

_LINE_BREAK = re.compile(r"\r\n|\r|\n")
_TAB_INDENT = re.compile(r"^ *\t", re.MULTILINE)
_FOREIGN_ENCODINGS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"\x00\x00\xfe\xff": "UTF-32"}


def decoded(raw: bytes, name: str, max_bytes: int) -> str:
    """The text of a file, without its byte order mark, fit for either parser.

    Raises:
        DescriptionError: too large, not UTF-8, with characters that are no text, or indented with tabs.
    """
    if len(raw) > max_bytes:
        size, allowed = f"{len(raw) / 1024:.0f} KiB", f"{max_bytes / 1024:.0f} KiB"
        _refuse(
            name,
            "",
            0,
            f"the file holds {size}; a description may hold {allowed}: move parts to files of their own.",
        )
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as fault:
        before = raw[: fault.start].decode("utf-8")
        encoding = next((name for mark, name in _FOREIGN_ENCODINGS.items() if raw.startswith(mark)), None)
        kind = f"the file is written in {encoding}" if encoding else f"byte {fault.start + 1} of the file is not UTF-8"
        _refuse(name, before, len(before), f"{kind}; save the file as UTF-8 in your editor.")
    text = text.removeprefix("\ufeff")
    strange = NOT_TEXT.search(text)
    if strange:
        code = f"U+{ord(strange[0]):04X}"
        _refuse(
            name,
            text,
            strange.start(),
            f"the hidden character {code} stands here; delete it and type the line afresh.",
        )
    tabs = [found.end() - 1 for found in _TAB_INDENT.finditer(text)]
    if tabs:
        more = f", and {len(tabs) - 1} more of this file" if len(tabs) > 1 else ""
        _refuse(
            name,
            text,
            tabs[0],
            f"this line is indented with a tab{more}; YAML needs spaces, such as two for each step.",
        )
    return text if text.endswith("\n") else text + "\n"  # else the parsers differ about where the text ends


def _refuse(name: str, text: str, offset: int, message: str) -> None:
    raise DescriptionError([Complaint(place_of_offset(text, offset, name), "", message)])


def place_of_offset(text: str, offset: int, name: str) -> Place:
    """The place of a character that is counted from 0 in the whole text."""
    breaks = list(_LINE_BREAK.finditer(text, 0, offset))
    line_start = breaks[-1].end() if breaks else 0
    return Place(name, len(breaks) + 1, offset - line_start + 1)


def syntax_complaint(fault: yaml.MarkedYAMLError, text: str, name: str) -> Complaint:
    """What a parser's fault means for the builder, at the place where the builder has to look."""
    context, problem = fault.context or "", fault.problem or ""
    end = fault.problem_mark
    assert end is not None  # scanner and parser always say where
    start = fault.context_mark or end
    lines = _LINE_BREAK.split(text)
    line = lines[end.line] if end.line < len(lines) else ""
    before, here = line[: end.column], line[end.column : end.column + 1]
    mark = end
    message = "this is not YAML from here on; look at the colons, quotes, brackets and indentation of this line."
    if "quoted scalar" in context and "unexpected" in problem:
        mark = start
        message = "the quotation mark opened here is never closed; put the same mark at the end of the text."
    elif "quoted scalar" in context:
        mark = start
        message = "a backslash in double quotes begins a special character, and this is none; use single quotes."
    elif "a simple key" in context:
        mark = start
        key = quoted(lines[start.line].strip())
        message = f"{key} needs a ':' and a space after its key, as in 'key: value'."
    elif "mapping values" in problem and ": " in before:
        message = "a second ': ' stands in this line; put a text that contains ': ' in quotes."
    elif "mapping values" in problem:
        message = "the line above holds a value, so nothing can belong under it; begin both in the same column."
    elif "flow sequence" in context or "flow mapping" in context:
        bracket, closing = ("[", "]") if "sequence" in context else ("{", "}")
        if not here and end.line >= len(lines) - 1:
            mark = start
            message = f"this '{bracket}' is never closed; write '{closing}' where it ends."
        else:
            opened = f"the '{bracket}' of line {start.line + 1}, column {start.column + 1}"
            message = f"{opened} is still open here; write ',' before a further entry or '{closing}' at its end."
    elif "block collection" in context:
        column = start.column + 1
        message = f"this breaks the list of line {start.line + 1}; begin each entry with '- ' in column {column}."
    elif here == ":" and ("block mapping" in context or "node content" in problem):
        message = "a key is missing before this ':'; write the key, or remove the line."
    elif "block mapping" in context and not before.strip():
        column = start.column + 1
        message = f"this line does not fit the ones above; keys that belong together begin in column {column}."
    elif "block mapping" in context:
        message = "this does not belong behind the value before it; put the whole text in quotes."
    elif "sequence entries" in problem:
        message = "a list may not begin behind a key; write its first '- ' on the next line, indented."
    elif "mapping keys" in problem:
        message = "a '?' may not stand here; put a text that begins with '?' in quotes."
    elif "block scalar" in context:
        mark = start
        message = "behind '|' or '>' nothing may follow in the line; write the text below it, indented."
    elif "cannot start any token" in problem:
        message = f"a text cannot begin with {quoted(here)}; put it in quotes."
    elif "alias" in context or "anchor" in context:
        mark = start
        message = "a text that begins with '*' or '&' is read as a reference; put it in quotes."
    elif "tag" in context or "tag handle" in problem:
        mark = start
        message = "a text that begins with '!' is read as a type; put it in quotes, or remove the type."
    elif "directive" in context or "incompatible" in problem:
        mark = start
        message = "a line that begins with '%' is not read here; remove it."
    elif "document start" in problem:
        message = "this stands behind the end of the description; remove the '...' or '---' above it."
    elif "node content" in problem:
        message = "a value is missing before this sign; write the value, or remove the ',', ']' or '}' left over."
    return Complaint(Place(name, mark.line + 1, mark.column + 1), "", message)
