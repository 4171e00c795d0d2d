"""What every described value is: unknown words are errors, and a role is one of the vocabulary."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
)

from conversion.description.roles import canonical_role, is_role, nearest_role


class Described(BaseModel):
    """Base of everything that is described: unknown words are errors, values are fixed once read."""

    # Built once, with the file's whole type, instead of each on its own: every command starts faster for it.
    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)
    words_of: ClassVar[str] = "a description"


def _known_role(text: str) -> str:
    word = canonical_role(text)
    if not is_role(word):
        near = nearest_role(word)
        hint = f"did you mean '{near}'?" if near else "own connections are written 'other.NAME'."
        raise ValueError(f"'{text}' is no role of a terminal; {hint}")
    return word


Role = Annotated[str, AfterValidator(_known_role)]
