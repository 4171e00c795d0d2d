"""The words of the described linkage for messages; rules ask for them once the travel is known to be there."""

from __future__ import annotations

from conversion.plan import Plan
from conversion.plan.link.words import LinkWords, link_words


def described_words(plan: Plan) -> LinkWords:
    """Words of the linkage that is described."""
    form = plan.description.conversion.linkage
    assert form is not None, "its travel was computed"
    return link_words(form)
