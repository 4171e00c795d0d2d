"""What kind of value a key takes, in words, read from the models themselves."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import annotated_types
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from conversion.description import figures as fig
from conversion.description.conversion import Conversion, Country, Date
from conversion.description.figures import FigureOf
from conversion.description.loom_forms import Colour
from conversion.description.outlines import ClosedCorners, OpenCorners
from conversion.description.parts import CavityForm, ConductorSize, NoPull, PartFile, Pull, Role
from conversion.description.places import Direction, Point
from conversion.description.text_kinds import Count, Flag, Name, Text
from conversion.description.wired_forms import Pair
from conversion.quantities import show

# Types with a way of writing of their own; recognised by the validator that they carry.
_NAMED: tuple[tuple[Any, str], ...] = (
    (Text, "text"),
    (Name, "name"),
    (Flag, "`true` or `false`"),
    (Count, "whole number"),
    (Role, "[role](#roles)"),
    (Colour, "[colour](#colours)"),
    (Country, "[country](#countries)"),
    (Date, "date, such as `2026-03-14`"),
    (Direction, "[direction](#points-and-directions)"),
    (Point, "[point](#points-and-directions)"),
    (ConductorSize, "conductor size, such as `0.5 mm²` or `AWG 20`"),
    (Pair, "pair of ends, such as `[K1.18, B1.1]`"),
    (ClosedCorners, "list: each `[forward, up]`"),
    (OpenCorners, "list: each `[forward, up]`"),
)


def models() -> list[type[BaseModel]]:
    """Every model of the conversion file, then of the part files, each once, in the order in which they are met."""
    found: dict[type[BaseModel], None] = {}
    for root in (Conversion, PartFile):
        _gather(root, found)
    return [model for model in found if model not in (PartFile, NoPull)]


def _gather(model: type[BaseModel], found: dict[type[BaseModel], None]) -> None:
    if model in found:
        return
    found[model] = None
    for field in model.model_fields.values():
        for inner in _models_in(field.annotation):
            _gather(inner, found)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models_in(inner)


def heading(model: type[BaseModel]) -> str:
    """What a model is called in the document; one that has no words of its own is called as its class is."""
    own = model.__dict__.get("words_of")
    words = str(own) if own else re.sub(r"(?<!^)(?=[A-Z])", " ", model.__name__).lower()
    for article in ("a ", "an ", "the "):
        words = words.removeprefix(article)
    return words[0].upper() + words[1:]


def link(model: type[BaseModel]) -> str:
    """A link to the section of a model."""
    words = heading(model)
    kept = "".join(letter for letter in words.lower() if letter.isalnum() or letter in " -")
    return f"[{words[0].lower() + words[1:]}](#{kept.replace(' ', '-')})"


def written_key(name: str, field: FieldInfo) -> str:
    """The key as the builder writes it."""
    return field.alias or name


def other_keys(field: FieldInfo) -> list[str]:
    """Further spellings of a key that are read as the same."""
    choices = getattr(field.validation_alias, "choices", [])
    return [str(choice) for choice in choices[1:]]


def kind_of_value(field: FieldInfo) -> str:
    """What a key takes, in words."""
    words = _words(field.annotation, field.metadata)
    least = next((mark.ge for mark in field.metadata if isinstance(mark, annotated_types.Ge)), None)
    most = next((mark.le for mark in field.metadata if isinstance(mark, annotated_types.Le)), None)
    if least is not None or most is not None:
        words += f", {0 if least is None else least} to {most}"
    return words


def figure_of(field: FieldInfo) -> FigureOf | None:
    """The figure that a key takes; None where it takes something else."""
    return next((mark for mark in field.metadata if isinstance(mark, FigureOf)), None)


def _words(annotation: Any, metadata: Iterable[Any] = ()) -> str:
    marks = list(metadata)
    for mark in marks:
        if isinstance(mark, FigureOf):
            return _figure_words(mark)
    for alias, words in _NAMED:
        if any(mark is own for mark in marks for own in alias.__metadata__):
            return words
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return _words(inner, more)
    return _plain_words(annotation, marks)


def _plain_words(annotation: Any, marks: list[Any]) -> str:
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin in (Union, UnionType):
        if annotation == get_args(Pull)[0]:
            return f"{_words(inner[0])}, `none` or `unknown`"
        return " or ".join(dict.fromkeys(_words(choice) for choice in inner if choice is not NoneType))
    if origin is Literal:
        return "one of " + ", ".join(f"`{word}`" for word in inner) if len(inner) > 1 else f"`{inner[0]}`"
    if origin is list:
        return (
            "list of rows, each a list of names" if get_origin(inner[0]) is list else f"list: each {_words(inner[0])}"
        )
    if origin is dict:
        return f"mapping: {_words(inner[0])} → {_words(inner[1])}"
    if annotation is CavityForm:
        return f"{link(CavityForm)} or its short form"
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return link(annotation)
    raise TypeError(f"no words for {annotation!r} with {marks!r}")


def _figure_words(mark: FigureOf) -> str:
    words = "figure: " + " or ".join(mark.dimensions)
    dimension = mark.dimensions[0]
    if isinstance(mark, fig.AreaOf):
        return f"{words}, {show(mark.at_least or 0.0, dimension)} to {show(mark.at_most or 0.0, dimension)}, or AWG"
    if mark.above is not None:
        return f"{words}, above {_bound(mark.above, dimension)}"
    if mark.at_least is not None and mark.at_most is not None:
        return f"{words}, {show(mark.at_least, dimension)} to {show(mark.at_most, dimension)}"
    if mark.at_least is not None:
        return f"{words}, not below {_bound(mark.at_least, dimension)}"
    return words


def _bound(value: float, dimension: str) -> str:
    return "zero" if value == 0.0 else show(value, dimension)
