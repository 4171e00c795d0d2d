"""Writes the page on the description format, docs/description.md, from the types that read a description.

``python -m conversion.description.document`` writes it; with ``--check`` it only says whether the page is up to date.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import get_args

import yaml
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from conversion import resources
from conversion.description import document_prose as prose
from conversion.description import document_words as words
from conversion.description.complaints import COMPLAINTS_PER_FILE
from conversion.description.conversion import COUNTRIES, GENERIC_COUNTRY
from conversion.description.document_types import (
    figure_of,
    heading,
    kind_of_value,
    link,
    models,
    other_keys,
    written_key,
)
from conversion.description.generated_page import write_or_check
from conversion.description.loom_forms import COLOURS
from conversion.description.parts import Part
from conversion.description.places import DIRECTIONS
from conversion.description.reader import SHIPPED_PREFIX
from conversion.description.roles import ROLES
from conversion.description.text_kinds import MAX_NAME, MAX_TEXT
from conversion.description.tree import Limits
from conversion.quantities import UNITS

PAGE = Path(__file__).resolve().parents[2] / "docs" / "description.md"


def document() -> str:
    """The whole page, in Markdown."""
    blocks = [
        prose.BEGIN, prose.FIGURES, _units(), _points(), _conversion(), _parts(), prose.EXAMPLES, _roles(),
        _two_columns("Colours", "Codes of IEC 60757; two mean a main colour and its stripe, such as `GNWH`.", COLOURS),
        _two_columns("Countries", "Codes of ISO 3166-1, for the prompts that are printed.", _countries()),
        _limits(),
    ]  # fmt: skip
    return "\n".join(block.rstrip("\n") + "\n" for block in blocks)


def _units() -> str:
    rows = [(name, ", ".join(f"`{unit}`" for unit in _shown_once(units))) for name, units in UNITS.items()]
    return "### Units\n\n" + _table(("dimension", "units"), rows)


def _shown_once(units: dict[str, float]) -> list[str]:
    """Units without those that only differ in a code point which looks the same."""
    lookalikes = str.maketrans({"\u2126": "Ω", "μ": "µ"})
    return list(dict.fromkeys(unit.translate(lookalikes) for unit in units))


def _points() -> str:
    return prose.POINTS.format(directions=", ".join(f"`{word}`" for word in DIRECTIONS))


def _conversion() -> str:
    sections = [_section(model) for model in models() if not issubclass(model, Part) and _in_conversion(model)]
    return "## The conversion file\n\nEvery figure may be `unknown`, whether or not it is needed.\n\n" + "\n".join(
        sections
    )


def _in_conversion(model: type[BaseModel]) -> bool:
    return not model.__module__.startswith(Part.__module__.rpartition(".")[0])


def _parts() -> str:
    kinds = [model for model in models() if issubclass(model, Part)]
    rows = []
    for model in kinds:
        own = _own_keys(model)
        name = link(model) if own else heading(model)
        spellings = ", ".join(f"`{kind}`" for kind in get_args(model.model_fields["kind"].annotation))
        rows.append((spellings, name, ", ".join(model.letters), (model.__doc__ or "").strip()))
    shipped = [(f"`{SHIPPED_PREFIX}{name}`", title) for name, title in _shipped()]
    blocks = [
        "## Part files\n",
        "A part file holds one part. Its `kind` decides which keys it has; the letter is that of its reference "
        "designation.\n",
        _table(("`kind`", "part", "letters", "what it is"), rows),
        "### Every part\n",
        _keys(Part, dict(Part.model_fields)),
        *(_section(model) for model in models() if (not issubclass(model, Part) and not _in_conversion(model))),
        *(_section(model, _own_keys(model)) for model in kinds if _own_keys(model)),
        "### Parts that treadle ships\n",
        _table(("named", "what it is"), shipped),
    ]
    return "\n".join(blocks)


def _own_keys(model: type[Part]) -> dict[str, FieldInfo]:
    return {name: field for name, field in model.model_fields.items() if name not in (*Part.model_fields, "kind")}


def _shipped() -> Iterator[tuple[str, str]]:
    for file in sorted((resources.harnesses_dir() / "parts").glob("*.yaml")):
        yield file.stem, str(yaml.safe_load(file.read_text("utf-8"))["title"])


def _section(model: type[BaseModel], fields: dict[str, FieldInfo] | None = None) -> str:
    """Heading, first line of the docstring, table of the keys, and what the table cannot say."""
    doc = " ".join((model.__doc__ or "").split())
    note = words.NOTES.get(model.__name__)
    text = f"### {heading(model)}\n\n{doc}\n\n" + _keys(model, fields or dict(model.model_fields))
    return text + (f"\n{note}\n" if note else "")


def _keys(model: type[BaseModel], fields: dict[str, FieldInfo]) -> str:
    rows = []
    for name, field in fields.items():
        key = f"`{written_key(name, field)}`" + "".join(f", `{other}`" for other in other_keys(field))
        rows.append((key, kind_of_value(field), _needed(field), _meaning(model, name, field)))
    return _table(("key", "takes", "needed", "meaning"), rows)


def _needed(field: FieldInfo) -> str:
    if field.is_required():
        return "yes, or `unknown`" if figure_of(field) else "yes"
    default = field.get_default(call_default_factory=True)
    if default is None or default in ({}, []):
        return "no"
    if isinstance(default, tuple):
        default = next(word for word, direction in DIRECTIONS.items() if direction == default)
    word = str(default)
    return f"default `{word.lower() if isinstance(default, bool) else word}`"


def _meaning(model: type[BaseModel], name: str, field: FieldInfo) -> str:
    if field.description:
        return field.description
    for owner in model.__mro__:
        plain = words.SELF_EVIDENT.get(f"{owner.__name__}.{name}")
        if plain:
            return plain
    raise LookupError(f"{model.__name__}.{name} has no description; give its field one")


def _roles() -> str:
    rows = [(f"`{word}`", meaning.group, meaning.meaning) for word, meaning in ROLES.items()]
    rows.append(("`other.NAME`", "other", "a connection of your own; the same NAME on two devices makes a wire"))
    return (
        "## Roles\n\nWhat a terminal is for. Two terminals of different devices with the same role are joined by a "
        "wire; a feed is joined to the `feed.out` of the device named in `fed_from`, and `ground.31` to a ground "
        "point. `earth` is read as `ground` in every role. Terminal numbers are those of DIN 72552.\n\n"
        + _table(("role", "group", "meaning"), rows)
    )


def _countries() -> dict[str, str]:
    return {**COUNTRIES, GENERIC_COUNTRY: "any other country; the prompts name no authority"}


def _two_columns(title: str, sentence: str, entries: dict[str, str]) -> str:
    rows = [(f"`{code}`", meaning) for code, meaning in entries.items()]
    return f"## {title}\n\n{sentence}\n\n" + _table(("code", "means"), rows)


def _limits() -> str:
    limits = Limits()
    return prose.SURPRISES.format(
        kib=limits.max_bytes // 1024,
        values=f"{limits.max_values:,}".replace(",", " "),
        depth=limits.max_depth,
        aliases=limits.max_aliases,
        text=MAX_TEXT,
        name=MAX_NAME,
        complaints=COMPLAINTS_PER_FILE,
    )


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join(lines) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Write the page, or with ``--check`` compare it; returns the exit code."""
    return write_or_check("conversion.description.document", PAGE, document, arguments)


if __name__ == "__main__":
    sys.exit(main())
