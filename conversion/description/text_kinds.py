"""Types of the description's plain words: yes or no, whole numbers, texts and names.

YAML values arrive as text. Each type says what it accepts, so that `on`, `1_000` or `012` is never taken for
something that the builder did not mean.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, WithJsonSchema

from conversion.description.complaints import quoted
from conversion.description.yaml_syntax import NOT_TEXT

MAX_TEXT = 2000
MAX_NAME = 60

_WHOLE_NUMBER = re.compile(r"0|[1-9][0-9]{0,8}")
_NAME_PATTERN = r"[A-Za-z0-9][A-Za-z0-9._-]*"
_NAME = re.compile(_NAME_PATTERN)


def _flag(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    if value in ("true", "false"):
        return value == "true"
    raise ValueError(f"{_written(value)} is neither yes nor no here; write `true` or `false`.")


def _count(value: Any) -> int:
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    if isinstance(value, str) and _WHOLE_NUMBER.fullmatch(value):
        return int(value)
    raise ValueError(f"{_written(value)} is no whole number; write it in digits alone, such as 12.")


def _written(value: Any) -> str:
    if isinstance(value, str):
        return quoted(value) if value else "an empty text"
    return "a mapping" if isinstance(value, dict) else "a list"


def _text(value: str) -> str:
    text = value.strip()
    if not text:
        raise ValueError("the text is empty; write it, or remove the line.")
    if len(text) > MAX_TEXT:
        raise ValueError(f"the text has {len(text)} characters; shorten it to {MAX_TEXT}.")
    strange = NOT_TEXT.search(text)
    if strange:
        raise ValueError(f"the text holds the hidden character U+{ord(strange[0]):04X}; write it without.")
    return text


def _name(value: str) -> str:
    if len(value) <= MAX_NAME and _NAME.fullmatch(value):
        return value
    raise ValueError(
        f"{_written(value)} is no name; a name begins with a letter or digit, goes on with letters A to Z, "
        f"digits, '-', '_' and '.', and is at most {MAX_NAME} long, such as 'B1' or 'left-bulkhead'."
    )


# An editor that checks against the schema reads an unquoted 12 as a number; here both are the same text.
Flag = Annotated[bool, BeforeValidator(_flag)]
"""Yes or no; only `true` and `false` are taken."""

Count = Annotated[int, BeforeValidator(_count)]
"""A whole number from 0 to 999 999 999 in decimal digits, without sign, leading zeros or separators."""

Text = Annotated[
    str,
    AfterValidator(_text),
    WithJsonSchema({"type": ["string", "number"], "minLength": 1, "maxLength": MAX_TEXT}),
]
"""One or several lines, without the blanks around them; not empty, at most 2 000 characters."""

Name = Annotated[
    str,
    AfterValidator(_name),
    WithJsonSchema({"type": ["string", "integer"], "maxLength": MAX_NAME, "pattern": f"^{_NAME_PATTERN}$"}),
]
"""What devices, stations, runs and terminals are called: `B1`, `12`, `K1.12`, `left-bulkhead`."""
