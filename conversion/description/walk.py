"""Every figure that a description states, with the way to it."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from conversion.description.described import Step
from conversion.quantities import Quantity


def figures_of(value: object, path: tuple[Step, ...] = ()) -> Iterator[tuple[tuple[Step, ...], Quantity]]:
    """Every known figure below a value, mappings in the order written, with its steps as the builder writes them."""
    if isinstance(value, Quantity):
        yield path, value
    elif isinstance(value, BaseModel):
        for name, info in type(value).model_fields.items():
            if name not in value.model_fields_set:
                continue
            yield from figures_of(getattr(value, name), (*path, info.alias or name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from figures_of(item, (*path, key))
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            yield from figures_of(item, (*path, index))
