"""What an error of the model means for the builder, in the tool's own words, with what would be right."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic_core import core_schema

from conversion.description.complaints import SHOWN_CHARACTERS, listed, nearest, printable, quoted, shortened
from conversion.description.schema_walk import Spot
from conversion.description.tree import Node

KIND_ERRORS = {
    "model_type": "a mapping",
    "model_attributes_type": "a mapping",
    "dict_type": "a mapping",
    "list_type": "a list",
    "tuple_type": "a list",
    "set_type": "a list",
    "string_type": "a single text",
}
"""Errors that say: another kind of value is needed."""

CHOICE_ERRORS = ("literal_error", "enum")

_KNOWN_ERRORS = frozenset(get_args(core_schema.ErrorType))
_BOUNDS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def sentence(error: dict[str, Any], spot: Spot) -> str:
    """The message for one of pydantic's errors.

    Args:
        error: As `ValidationError.errors()` gives it.
        spot: What its location leads to.
    """
    kind = error["type"]
    context = error.get("ctx", {})
    if kind in ("value_error", "assertion_error"):
        return _own_words(str(context["error"]), spot.node)
    if kind not in _KNOWN_ERRORS:  # raised by a model of ours under a name of its own
        return _own_words(error["msg"], spot.node)
    if kind in KIND_ERRORS:
        return wrong_kind([KIND_ERRORS[kind]], spot)
    if kind in _BOUNDS:
        name, words = _BOUNDS[kind]
        return f"{found(spot.node)} is out of range; write {words} {context[name]}."
    for prefix, word in _SENTENCES.items():
        if kind.startswith(prefix):
            return word(context, spot)
    return f"{found(spot.node)} does not fit here; compare it with the page on the description's format."


def found(node: Node) -> str:
    """What stands at a place, as a sentence names it."""
    if isinstance(node, str):
        return quoted(node) if node else "an empty text"
    return "a mapping" if isinstance(node, dict) else "a list"


def _subject(spot: Spot) -> Node:
    return str(spot.path[-1]) if spot.at_key else spot.node


def wrong_kind(wanted: list[str], spot: Spot) -> str:
    """The message for a value of another kind than wanted, such as a text in place of a mapping."""
    needed = f"{found(spot.node)} stands here; {listed(dict.fromkeys(wanted))} is needed"
    if wanted == ["a list"]:
        return f"{needed}, such as [one, two]."
    if wanted == ["a single text"]:
        return f"{needed}, without further lines below it."
    if isinstance(spot.schema.get("discriminator"), str):
        key = spot.schema["discriminator"]
        return f"{needed}, with '{key}: ' {listed(_tags({}, spot))} and what belongs to it."
    words = words_of_model(spot.schema.get("cls"))
    if words:
        return f"{needed}, with the words: {', '.join(words)}."
    return f"{needed}, such as 'name: value'."


def words_of_model(model: type[BaseModel] | None) -> list[str]:
    """Every key that a mapping of the model may have, as the builder writes it."""
    if model is None:
        return []
    return [_written_name(name, field) for name, field in model.model_fields.items()]


def _written_name(name: str, field: Any) -> str:
    return field.validation_alias if isinstance(field.validation_alias, str) else field.alias or name


def _phrase(spot: Spot) -> str:
    own = getattr(spot.owner, "words_of", None)
    if isinstance(own, str):
        return own
    # A missing key is not on the path, an unknown one is its last step.
    around = spot.path if spot.rest else spot.path[:-1]
    last = around[-1] if around else None
    return quoted(last) if isinstance(last, str) else "this mapping"


def _unknown_key(context: dict[str, Any], spot: Spot) -> str:
    key, words = str((*spot.path, *spot.rest)[-1]), words_of_model(spot.owner)
    begin = f"{quoted(key)} is not a word of {_phrase(spot)}"
    if not words:
        return f"{begin}; remove it."
    near = nearest(key, words)
    hint = f"; did you mean '{near}'?" if near else "."
    return f"{begin}{hint} The words are: {', '.join(words)}."


def _missing_key(context: dict[str, Any], spot: Spot) -> str:
    key = str(spot.rest[-1])
    begin = f"{quoted(key)} is missing;"
    if _is_figure(spot.owner, key):
        return f"{begin} write `unknown` if you do not know it yet."
    choices = choices_of(spot.schema)
    return f"{begin} {_phrase(spot)} needs it{_one_of(choices) if choices else ''}."


def _one_of(choices: list[str]) -> str:
    return f": write '{choices[0]}'" if len(choices) == 1 else f": one of {listed(choices)}"


def _is_figure(model: type[BaseModel] | None, key: str) -> bool:
    for name, field in (model.model_fields if model else {}).items():
        if key in (name, _written_name(name, field)):
            marks = [*field.metadata, *_marks(field.annotation)]
            return any(getattr(mark, "is_figure", False) is True for mark in marks)
    return False


def _marks(annotation: Any) -> Iterator[Any]:
    """Metadata of an annotation and of its alternatives, but not of what a list or mapping holds."""
    yield from getattr(annotation, "__metadata__", ())
    if get_origin(annotation) in (Annotated, Union, UnionType):
        for inner in get_args(annotation):
            yield from _marks(inner)


def choices_of(schema: dict[str, Any]) -> list[str]:
    """The words of which one is to be chosen; empty if the schema leaves no such choice."""
    if schema.get("type") == "literal":
        return [str(each) for each in schema["expected"]]
    if schema.get("type") == "enum":
        return [str(each.value) for each in schema["members"]]
    return []


def _wrong_choice(context: dict[str, Any], spot: Spot) -> str:
    choices = choices_of(spot.schema)
    node = _subject(spot)
    return _choose(node if isinstance(node, str) else None, found(node), choices)


def _choose(word: str | None, shown: str, choices: list[str]) -> str:
    if len(choices) == 1:
        return f"{shown} cannot stand here; write '{choices[0]}'."
    if word is None:
        return f"{shown} stands here; choose {listed(choices)}."
    near = nearest(word, choices)
    hint = f"; did you mean '{near}'?" if near else ";"
    return f"{shown} is not known here{hint} {'C' if near else 'c'}hoose {listed(choices)}."


def _wrong_tag(context: dict[str, Any], spot: Spot) -> str:
    return _choose(spot.node if isinstance(spot.node, str) else None, found(spot.node), _tags(context, spot))


def _missing_tag(context: dict[str, Any], spot: Spot) -> str:
    key = str(spot.rest[-1])
    one_of = _one_of(_tags(context, spot))
    near = nearest(key, spot.node) if isinstance(spot.node, dict) else None
    if near:
        return f"{quoted(near)} stands here; did you mean '{key}'{one_of}?"
    return f"{quoted(key)} is missing; it says which kind this is{one_of}."


def _tags(context: dict[str, Any], spot: Spot) -> list[str]:
    choices = spot.schema.get("choices")
    if isinstance(choices, dict):
        return [str(getattr(tag, "value", tag)) for tag in choices]
    return [str(tag) for tag in ast.literal_eval(f"[{context.get('expected_tags', '')}]")]


def _number_of_entries(context: dict[str, Any], spot: Spot) -> str:
    least, most = context.get("min_length"), context.get("max_length")
    bound = f"at least {least}" if least is not None else f"at most {most}"
    have = context.get("actual_length")
    if have is None:
        return f"{found(spot.node)} has {len(spot.node)} characters; write {bound}."
    return f"{have or 'no'} {'entry stands' if have == 1 else 'entries stand'} here; write {bound}."


def _advice(what: str) -> Callable[[dict[str, Any], Spot], str]:
    return lambda context, spot: f"{found(_subject(spot))} is {what}."


_SENTENCES: dict[str, Callable[[dict[str, Any], Spot], str]] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing_key,
    "literal_error": _wrong_choice,
    "enum": _wrong_choice,
    "union_tag_invalid": _wrong_tag,
    "union_tag_not_found": _missing_tag,
    "too_short": _number_of_entries,
    "too_long": _number_of_entries,
    "string_too": _number_of_entries,
    "int_": _advice("no whole number; write it in digits alone, such as 12"),
    "bool_": _advice("neither yes nor no; write `true` or `false`"),
    "float_": _advice("no plain number; write it in digits, such as 2.5"),
    "finite_number": _advice("no plain number; write it in digits, such as 2.5"),
    "date_": _advice("no date; write year-month-day, such as 2026-03-14"),
}
"""By the beginning of pydantic's name of an error."""


def _own_words(message: str, node: Node) -> str:
    """A validator's own message; a long text that it repeats is shortened."""
    if isinstance(node, str) and len(node) > SHOWN_CHARACTERS:
        message = message.replace(node, shortened(node))
    return printable(message)
