"""Holds a tree against a model, and says each mistake at the place where it was written.

Pydantic finds the mistakes; their places, paths and words are ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeAlias, TypeVar

from pydantic import BaseModel, ValidationError

from conversion.description.complaints import (
    COMPLAINTS_PER_FILE,
    Complaint,
    Place,
    dotted,
    nearest,
)
from conversion.description.schema_walk import SchemaWalk, Spot
from conversion.description.text_kinds import Count, Flag, Name, Text
from conversion.description.tree import Path, Tree
from conversion.description.wording import CHOICE_ERRORS, KIND_ERRORS, sentence, words_of_model, wrong_kind

__all__ = ["Count", "Flag", "Name", "Text", "validate"]

M = TypeVar("M", bound=BaseModel)

_Location: TypeAlias = tuple[str | int, ...]
_Judged: TypeAlias = tuple[dict[str, Any], Spot]

_WRONG_CHOICE, _WRONG_KIND = 1, 2


def validate(model: type[M], tree: Tree) -> tuple[M | None, list[Complaint]]:
    """The model that a file describes, or everything that keeps it from being one.

    Returns:
        The model and no complaint, or None and the complaints, sorted by place. None may come without any
        where complaints about the text itself (`Tree.faulty`) cover all that is wrong.
    """
    try:
        return model.model_validate(tree.data), []
    except ValidationError as failure:
        errors: list[Any] = failure.errors(include_url=False, include_input=False)
    walk = SchemaWalk(model)
    spots = [(error, _aimed(error, walk.follow(error["loc"], tree.data))) for error in errors]
    kept = [_Found(_place(error, spot, tree), error, spot) for error, spot in _fitting(walk, spots, tree)]
    kept = [each for each in kept if not _excused(each.spot, tree)]
    kept.sort(key=lambda each: each.place)
    more = len(kept) > COMPLAINTS_PER_FILE
    kept = kept[:COMPLAINTS_PER_FILE]
    typing_slips = {_meant(each.spot) for each in kept if each.error["type"] == "extra_forbidden"}
    complaints = {
        Complaint(each.place, _path(each.error, each.spot), sentence(each.error, each.spot))
        for each in kept
        if each.error["type"] != "missing" or (each.spot.path, each.spot.rest[-1]) not in typing_slips
    }
    if more:
        note = "there may be more mistakes from here on; put these right first."
        complaints.add(Complaint(kept[-1].place, "", note))
    return None, sorted(complaints)


@dataclass(frozen=True, slots=True)
class _Found:
    place: Place
    error: dict[str, Any]
    spot: Spot


def _about_key(error: dict[str, Any], spot: Spot) -> bool:
    return not spot.rest and (spot.at_key or error["type"] == "extra_forbidden")


def _place(error: dict[str, Any], spot: Spot, tree: Tree) -> Place:
    key_place = tree.key_places.get(spot.path) if _about_key(error, spot) else None
    return key_place or tree.place_of(spot.path)


def _path(error: dict[str, Any], spot: Spot) -> str:
    """A wrong key is a matter of the mapping around it, and so is a missing one."""
    return dotted(spot.path[:-1] if _about_key(error, spot) else spot.path)


def _aimed(error: dict[str, Any], spot: Spot) -> Spot:
    """A wrong discriminator is reported for the whole mapping; what is wrong is the value of one key."""
    key = spot.schema.get("discriminator")
    if error["type"] == "union_tag_not_found" and isinstance(key, str):
        return replace(spot, rest=(key,))
    if error["type"] != "union_tag_invalid" or not isinstance(spot.node, dict) or key not in spot.node:
        return spot
    return replace(spot, path=(*spot.path, key), node=spot.node[key])


def _excused(spot: Spot, tree: Tree) -> bool:
    return bool(tree.faulty) and any(spot.path[:n] in tree.faulty for n in range(len(spot.path) + 1))


def _meant(spot: Spot) -> tuple[Path, str | None]:
    """The key that a mistyped one was probably meant to be: that it is missing need not be said as well."""
    return spot.path[:-1], nearest(str(spot.path[-1]), words_of_model(spot.owner)) if spot.path else None


def _fitting(walk: SchemaWalk, spots: list[_Judged], tree: Tree, depth: int = 0) -> Iterator[_Judged]:
    """The errors without those of union branches that the builder did not mean.

    Every branch of a union reports why it does not fit. The branch of the right kind (text, list or
    mapping) with the most familiar keys is the one that was meant.
    """
    unions: dict[_Location, dict[str | int, list[_Judged]]] = {}
    for error, spot in spots:
        if len(spot.branches) <= depth:
            yield error, spot
            continue
        at = spot.branches[depth]
        branch = unions.setdefault(error["loc"][:at], {})
        branch.setdefault(error["loc"][at], []).append((error, spot))
    for where, branches in unions.items():
        ranks = {label: _rank(walk, (*where, label), errors, tree) for label, errors in branches.items()}
        best = min(ranks, key=lambda label: ranks[label])
        if len(branches) > 1 and ranks[best][0] == _WRONG_KIND:
            yield _merged([errors[0] for errors in branches.values()], walk.follow(where, tree.data))
        else:
            yield from _fitting(walk, branches[best], tree, depth + 1)


def _rank(walk: SchemaWalk, branch: _Location, errors: list[_Judged], tree: Tree) -> tuple[int, int, int]:
    """How badly a branch fits; less is better."""
    at_once = {error["type"] for error, _ in errors if error["loc"] == branch}
    misfit = 0
    if any(kind.endswith("_type") or kind == "is_instance_of" for kind in at_once):
        misfit = _WRONG_KIND
    elif at_once & set(CHOICE_ERRORS):
        misfit = _WRONG_CHOICE
    spot = walk.follow(branch, tree.data)
    words = words_of_model(spot.schema.get("cls"))
    keys = list(spot.node)[:50] if isinstance(spot.node, dict) and words else []
    return misfit, -sum(nearest(key, words) is not None for key in keys), len(errors)


def _merged(judged: list[_Judged], spot: Spot) -> _Judged:
    """One error for a value that is of none of the kinds that a union allows."""
    wanted = [KIND_ERRORS[error["type"]] for error, _ in judged if error["type"] in KIND_ERRORS]
    return {"type": "kind_of_union", "msg": wrong_kind(wanted or ["another value"], spot)}, spot
