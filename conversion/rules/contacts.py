"""Whether the module's idle-validation and kick-down contacts change where the pedal's own travel uses them."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.parts import ContactForm, PedalModule
from conversion.plan import Plan
from conversion.quantities import Quantity, show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule


@rule("contacts/idle-not-at-rest", severity="HOLD", sources=(COMMON_PRACTICE,))
def idle_not_at_rest(plan: Plan) -> Iterator[Found]:
    """The idle-validation contact does not say "released" with the pedal at rest, or still says it at full pedal.

    Why: the control unit believes this contact when the tracks disagree. One that never says "released" takes that
    help away; one that always says it holds the engine at idle, or hides that the pedal is pressed.
    Found in:
        B1: housings.A.positions = 7
        B1: housings.A.rows removed
        B1: housings.A.cavities.7 = pedal.idle.signal
        B1: idle_contact = {closes: below, at: 0.5°}
    Put right:
        B1: idle_contact = {closes: below, at: 3.5°}
    Not seen: a contact that bounces or has worn away; prove it with a meter over a slow sweep.
    """
    module = plan.description.pedal_module
    if module is None or module[1].idle_contact is None:
        return
    reference, part = module
    contact = part.idle_contact
    assert contact is not None
    at = _changes_at(plan, reference, contact, "idle_contact")
    _, _, rest_high = plan.travel.lever_at_rest_rad
    _, full_low, _ = plan.travel.lever_at_full_rad
    if rest_high >= at.low or full_low <= at.high:
        yield Found(
            reference,
            plan.description.part_place(reference, "idle_contact", "at"),
            f"The idle-validation contact changes at {show(at.nominal, 'angle')} of the lever "
            f"({show(at.low, 'angle')} to {show(at.high, 'angle')}); the lever rests at up to "
            f"{show(rest_high, 'angle')} and stands at {show(full_low, 'angle')} or more at full pedal. "
            "It should change between the two.",
            "Adjust the rod so that the lever rests well before the contact changes, or choose another hole.",
        )


@rule("contacts/kickdown-not-at-full", severity="FIX", sources=(COMMON_PRACTICE,))
def kickdown_not_at_full(plan: Plan) -> Iterator[Found]:
    """The kick-down contact is not reached at full pedal, or is made long before it.

    Why: a contact that is never reached is a function that the driver misses; one that is reached early asks for
    a lower gear in the middle of the travel.
    Found in:
        B1: housings.A.positions = 7
        B1: housings.A.rows removed
        B1: housings.A.cavities.7 = pedal.kickdown.signal
        B1: kickdown_contact = {closes: above, at: 23.5°}
    Put right:
        B1: kickdown_contact = {closes: above, at: 21.5°}
    Not seen: how hard the contact is to press through.
    """
    module = plan.description.pedal_module
    if module is None or module[1].kickdown_contact is None:
        return
    reference, part = module
    contact = part.kickdown_contact
    assert contact is not None
    at = _changes_at(plan, reference, contact, "kickdown_contact")
    _, full_low, _ = plan.travel.lever_at_full_rad
    if full_low < at.high or at.low < 0.5 * full_low:
        yield Found(
            reference,
            plan.description.part_place(reference, "kickdown_contact", "at"),
            f"The kick-down contact changes at {show(at.nominal, 'angle')} of the lever; at full pedal the lever "
            f"stands at {show(full_low, 'angle')} in the worst case. It should change in the last half of the travel, "
            "before its end.",
            "Move the pedal's full stop or the rod's hole, or leave the contact without a wire and say so.",
        )


@rule("contacts/not-wired", severity="FIX", sources=(COMMON_PRACTICE,))
def contact_not_wired(plan: Plan) -> Iterator[Found]:
    """A contact of the module is described without a terminal, or has a terminal and is not described.

    Why: what the control unit is promised and does not get it may report as a fault, or take for a released pedal.
    Found in:
        B1: idle_contact = {closes: below, at: 3.5°}
    Put right:
        B1: idle_contact removed
    Not seen: which of the two terminals of a contact is fed.
    """
    module = plan.description.pedal_module
    if module is None:
        return
    reference, part = module
    for key, contact in (("idle_contact", part.idle_contact), ("kickdown_contact", part.kickdown_contact)):
        role = f"pedal.{key.removesuffix('_contact')}.signal"
        has_terminal = bool(part.places_of(role))
        if has_terminal == (contact is not None):
            continue
        what = "is described but has no terminal" if contact else "has a terminal but is not described"
        yield Found(
            reference,
            plan.description.part_place(reference, *((key,) if contact else ("housings",))),
            f"The contact of '{role}' {what}.",
            f"Describe '{key}' and give a terminal the role '{role}', or take both away.",
        )


def _changes_at(plan: Plan, reference: str, contact: ContactForm, key: str) -> Quantity:
    assert isinstance(plan.description.parts[reference], PedalModule)
    why = "it cannot be said whether the contact changes where it should"
    return plan.description.part_need(contact.at, why, reference, key, "at")
