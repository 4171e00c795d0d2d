"""Faults of what a search may move: things that the kind of linkage does not have, or that nothing is set by.

They are told when it is searched and not when the description is read: a wish that was left over from another
linkage keeps nobody from planning this one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from conversion.description.complaints import Complaint
from conversion.description.cross.wording import at
from conversion.description.described import Description
from conversion.description.linkage_forms import BellCrankLinkageForm, LinkageForm, RodLinkageForm
from conversion.description.parts import PedalModule
from conversion.description.search_forms import Wants, values_of
from conversion.description.spring_forms import TorsionSpring
from conversion.quantities import show

MAY_MOVE: dict[str, tuple[str, ...]] = {
    "rod": ("lever_hole", "pedal_hole", "module", "rod", "rest", "full"),
    "bell-crank": ("lever_hole", "pedal_hole", "crank_in", "crank_out", "module", "rod", "rest", "full"),
    "cable": ("pedal_hole", "groove_radius", "module", "rest", "full"),
    "contact": ("module", "rest", "full"),
}
"""What can be searched in each kind of linkage."""

_LINK = {"rod": "rod", "bell-crank": "rod", "cable": "cable", "contact": "contact"}
_PATH = ("search", "may_move")


def search_faults(description: Description) -> Iterator[Complaint]:
    """Everything that keeps a search from being begun, each at its place."""
    form, linkage = description.conversion.search, description.conversion.linkage
    if form is None:
        text = "nothing says what may move; add a section 'search' with 'may_move', as the page on the format shows"
        yield at(description, ("search",), text)
        return
    if linkage is None:
        yield at(description, ("search",), "there is no linkage to search; describe one under 'linkage' to begin from")
        return
    if linkage.kind not in MAY_MOVE:
        text = "the module's own pedal is kept as it is, so there is nothing to search; leave 'search' out"
        yield at(description, ("search",), text)
        return
    allowed, asked = MAY_MOVE[linkage.kind], form.may_move.model_fields_set
    for key in sorted(asked - set(allowed)):
        yield at(
            description, (*_PATH, key),
            f"a linkage of kind '{linkage.kind}' has no such thing to move; of it may move {', '.join(allowed)}",
        )  # fmt: skip
    if asked <= set(allowed):
        yield from _settings(description, linkage, asked)
        yield from _beyond(description, linkage)


def _beyond(description: Description, linkage: LinkageForm) -> Iterator[Complaint]:
    """Angles that the module's lever does not have, so that nothing could ever be found."""
    form, module = description.conversion.search, description.parts.get(linkage.module.device)
    assert form is not None, "otherwise there is nothing to search"
    swing = module.lever.swing if isinstance(module, PedalModule) else None
    if swing is None:
        return
    for key in ("rest", "full"):
        choice = getattr(form.may_move, key)
        values = values_of(choice) if choice is not None else None
        if values is not None and min(values) > swing.high:
            yield at(
                description, (*_PATH, key),
                f"every setting lies beyond the module's own swing of {swing.text}, the least "
                f"{show(min(values), 'angle')}",
            )  # fmt: skip
    wants = form.wants or Wants()
    rest = wants.lever_at_rest.low if wants.lever_at_rest else 0.0
    left = wants.below_full.low if wants.below_full else 0.0
    if wants.below_full and rest + left >= swing.high:
        yield at(
            description, ("search", "wants", "below_full"),
            f"with {show(left, 'angle')} left below the module's full stop and {show(rest, 'angle')} at rest, "
            f"nothing remains of its swing of {swing.text}",
        )  # fmt: skip
    if wants.margin and 2 * wants.margin.nominal >= swing.high:
        yield at(
            description, ("search", "wants", "margin"),
            f"'{wants.margin.text}' at either end leave nothing of the module's own swing of {swing.text}",
        )  # fmt: skip


def _settings(description: Description, linkage: LinkageForm, asked: set[str]) -> Iterator[Complaint]:
    where = _LINK[linkage.kind]
    link: Any = getattr(linkage, where)
    has_rod = isinstance(linkage, RodLinkageForm | BellCrankLinkageForm)
    is_set = "set_at_rest" in link.model_fields_set
    if "rod" in asked and not is_set and "rest" not in asked:
        yield at(
            description, (*_PATH, "rod"),
            "nothing says which lever angle the rod is set to at rest; add 'rest', such as 'rest: [0.5°, 1.0°, 1.5°]'",
        )  # fmt: skip
    if "rest" in asked and not is_set and not has_rod:
        yield at(
            description, (*_PATH, "rest"),
            f"'rest' is found by setting the link at fitting; write 'set_at_rest' under linkage.{where} first",
        )  # fmt: skip
    if "full" in asked and "set_at" not in linkage.pedal.full_stop.model_fields_set:
        yield at(
            description, (*_PATH, "full"),
            "the full stop is placed by pad travel; write 'set_at' instead of 'at' under linkage.pedal.full_stop first",
        )  # fmt: skip
    if "module" in asked:
        for name, spring in description.conversion.springs.items():
            if spring.acts_on == "lever" and not isinstance(spring, TorsionSpring):
                yield at(
                    description, (*_PATH, "module"),
                    f"spring '{name}' on the lever has end points that are only right where the module is now; "
                    "search without 'module', or without that spring",
                )  # fmt: skip
