"""What to ask, and whom, in each country: questions and names of documents, never a verdict."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import yaml

from conversion.description.conversion import GENERIC_COUNTRY
from conversion.plan import Plan

STORED_COPY = "stored copy"
MEMORY = "memory"


@dataclass(frozen=True, slots=True)
class PublishedText:
    """A document that a body publishes, and what is known of it here.

    Attributes:
        name: With its edition, where that is known.
        says: What it is about, in our own words.
        status: How far it can be relied on, as it is printed.
        source: Where a copy was seen; empty where none was, or where the name says it.
    """

    name: str
    says: str
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class CountryPrompts:
    """What to ask in one country.

    Attributes:
        code: ISO 3166-1, or ``generic``.
        name: As it is printed.
        ask: The body to ask.
        documents: What is published there.
        questions: To be asked and answered in writing; there is a box beside each.
    """

    code: str
    name: str
    ask: str
    documents: tuple[PublishedText, ...]
    questions: tuple[str, ...]


def roadworthiness(plan: Plan) -> tuple[CountryPrompts, ...]:
    """The prompts for any country, then those of each country of the vehicle, in the order described."""
    countries = plan.description.conversion.vehicle.countries
    codes = dict.fromkeys([GENERIC_COUNTRY, *countries])
    return tuple(prompts_of(code) for code in codes)


def prompts_of(code: str) -> CountryPrompts:
    """The prompts of one country.

    Args:
        code: A country that the description may name, or ``generic``.
    """
    text = files("conversion.checklist").joinpath("data", f"{code}.yaml").read_text("utf-8")
    data: dict[str, Any] = yaml.safe_load(text)
    return CountryPrompts(
        code=code,
        name=data["name"],
        ask=data["ask"],
        documents=tuple(
            PublishedText(each["name"], each["says"], _status(each["seen"]), each.get("source", ""))
            for each in data["documents"]
        ),
        questions=tuple(data["questions"]),
    )


def _status(seen: str) -> str:
    """How a document was seen, as a sentence for print."""
    if seen == MEMORY:
        return "From memory, not confirmed here: ask."
    how, comma, part = seen.partition(", ")
    if how != STORED_COPY:
        raise ValueError(f"'{seen}' does not say how the document was seen")
    return f"Seen in a stored copy{comma}{part}: ask whether it is the current edition."
