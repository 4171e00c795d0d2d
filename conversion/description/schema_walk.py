"""Follows an error's location through a model, to the written value that it is about.

Pydantic puts the names of union branches between the keys of a location. Which element is a key and which a
branch is told by the model's schema, never guessed from the words: a key may well be called like a branch.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from conversion.description.tree import Node, Path

_WRAPPERS = {
    "nullable": "schema",
    "default": "schema",
    "function-before": "schema",
    "function-after": "schema",
    "function-wrap": "schema",
    "model-field": "schema",
    "json-or-python": "python_schema",
    "lax-or-strict": "lax_schema",
}
_LISTS = ("list", "set", "frozenset")


@dataclass(frozen=True, slots=True)
class Spot:
    """What an error is about.

    Attributes:
        path: Of the innermost written value that the location leads to.
        node: That value.
        at_key: The error is about the last key of the path, not about its value.
        rest: What follows in the location and was not written: a missing key, or part of a shorter form.
        schema: Of what the location ends at, without wrappers; empty if unknown.
        owner: The model in which the last key of the location is looked up; None outside a model.
        branches: For each union on the way, how many elements lead to it; the next one names a branch.
    """

    path: Path
    node: Node
    at_key: bool
    rest: tuple[str | int, ...]
    schema: dict[str, Any]
    owner: type[BaseModel] | None
    branches: tuple[int, ...]


class SchemaWalk:
    """Follows locations through one model."""

    def __init__(self, model: type[BaseModel]) -> None:
        self._definitions: dict[str, Any] = {}
        self._root: dict[str, Any] = dict(model.__pydantic_core_schema__)

    def follow(self, location: tuple[str | int, ...], data: Node) -> Spot:
        """The spot of the data that the location of an error means."""
        schema, node = self._bare(self._root), data
        keys: dict[str, Any] = {}
        path: list[str | int] = []
        rest: list[str | int] = []
        branches: list[int] = []
        owner: type[BaseModel] | None = None
        at_key = False
        for index, step in enumerate(location):
            if schema.get("type") in ("union", "tagged-union"):
                branches.append(index)
                schema = self._branch(schema, step)
            elif step == "[key]" and index == len(location) - 1:
                at_key, schema = True, keys
            else:
                owner = schema["cls"] if schema.get("type") == "model" else None
                keys = self._bare(schema.get("keys_schema"))
                schema, name = self._below(schema, step)
                written = None if rest else next((key for key in (step, name) if _holds(node, key)), None)
                if written is None:
                    rest.append(step)
                else:
                    node = node[written]  # type: ignore[index]
                    path.append(written)
        return Spot(tuple(path), node, at_key, tuple(rest), schema, owner, tuple(branches))

    def _bare(self, schema: Any) -> dict[str, Any]:
        """The schema without what is wrapped around it; empty if there is none."""
        while schema:
            kind = schema.get("type")
            if kind == "definitions":
                self._definitions.update({each["ref"]: each for each in schema["definitions"]})
                schema = schema["schema"]
            elif kind == "definition-ref":
                schema = self._definitions.get(schema["schema_ref"])
            elif kind in _WRAPPERS:
                schema = schema[_WRAPPERS[kind]]
            elif kind == "model" and schema.get("root_model"):
                schema = schema["schema"]
            else:
                return schema
        return {}

    def _below(self, schema: dict[str, Any], step: str | int) -> tuple[dict[str, Any], str | int]:
        """The schema of the value under a key or index, and the field's own name where it has an alias."""
        kind = schema.get("type")
        if kind == "model":
            for name, field in self._bare(schema["schema"]).get("fields", {}).items():
                if step in (name, field.get("validation_alias")):
                    return self._bare(field), name
        elif kind == "dict":
            return self._bare(schema.get("values_schema")), step
        elif kind == "tuple" and isinstance(step, int):
            entries = schema["items_schema"]
            return self._bare(entries[min(step, len(entries) - 1)] if entries else None), step
        elif kind in _LISTS:
            return self._bare(schema.get("items_schema")), step
        return {}, step

    def _branch(self, union: dict[str, Any], label: str | int) -> dict[str, Any]:
        if union["type"] == "tagged-union":
            return self._bare(union["choices"].get(label))
        for choice in union["choices"]:
            given = choice[1] if isinstance(choice, tuple) else None
            bare = self._bare(choice[0] if isinstance(choice, tuple) else choice)
            name = bare["cls"].__name__ if bare.get("type") == "model" else bare.get("type", "")
            if label == given or name in re.split(r"\W+", str(label)):
                return bare
        return {}


def _holds(node: Node, key: str | int) -> bool:
    if isinstance(node, dict):
        return key in node
    return isinstance(node, list) and isinstance(key, int) and key < len(node)
