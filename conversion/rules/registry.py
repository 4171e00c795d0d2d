"""Rules and findings: each rule stands once, and a rule that lacks a figure says so instead of passing."""

from __future__ import annotations

import inspect
import re
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from conversion.description import Missing, Place
from conversion.plan import Plan

Severity = Literal["HOLD", "FIX", "NOTE"]
SEVERITIES: dict[Severity, str] = {
    "HOLD": "do not fit, power or start",
    "FIX": "put right before sign-off",
    "NOTE": "to be known",
}
COMMON_PRACTICE = "common practice, no source"
"""What a rule names as its source where no standard or rule book says it."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule saw; the registry adds the rule's name and severity.

    Attributes:
        subject: What it is about, in the builder's own names: ``B1``, ``linkage.rod``.
        place: Where in the description it stands.
        message: What is wrong, with the figure that it has and the figure that it should have.
        remedy: What to do.
    """

    subject: str
    place: Place
    message: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a rule says about a plan."""

    rule: str
    severity: Severity
    subject: str
    place: Place
    message: str
    remedy: str
    decided: bool = True
    """False where the rule could not be decided for want of a figure."""


Check = Callable[[Plan], Iterable[Found | Missing]]

_SECTIONS = ("Why", "Found in", "Put right", "Not seen")


@dataclass(frozen=True)
class Rule:
    """One rule with its page.

    Attributes:
        name: ``topic/what-is-wrong``.
        severity: Of each of its findings, also of those that cannot be decided.
        sources: Standards and rule books with their edition, or ``common practice, no source``.
        check: The function.
        studied: Whether it rests on the study of faults, which a check does without.
    """

    name: str
    severity: Severity
    sources: tuple[str, ...]
    check: Check
    studied: bool = False

    @property
    def title(self) -> str:
        """One sentence: what is wrong when it is found."""
        return inspect.cleandoc(self.check.__doc__ or "").split("\n\n")[0].replace("\n", " ")

    @property
    def sections(self) -> dict[str, str]:
        """The parts of its page by heading: Why, Found in, Put right, Not seen."""
        body = inspect.cleandoc(self.check.__doc__ or "")
        pattern = rf"^({'|'.join(_SECTIONS)}):[ \t]*\n?"
        pieces = re.split(pattern, body, flags=re.MULTILINE)
        return {
            heading: textwrap.dedent(text).strip() for heading, text in zip(pieces[1::2], pieces[2::2], strict=True)
        }

    def find(self, plan: Plan) -> list[Finding]:
        """Everything that the rule says about a plan.

        What was found before a figure turned out to be missing is kept.
        """
        findings: list[Finding] = []
        try:
            for said in self.check(plan):
                findings.append(self._undecided(said) if isinstance(said, Missing) else self._decided(said))
        except Missing as missing:
            findings.append(self._undecided(missing))
        return findings

    def _decided(self, found: Found) -> Finding:
        return Finding(self.name, self.severity, found.subject, found.place, found.message, found.remedy)

    def _undecided(self, missing: Missing) -> Finding:
        return Finding(
            self.name, self.severity, missing.path, missing.place,
            f"Cannot be decided: {missing.path} {missing.state}; {missing.why}.",
            "Find the figure (measure it, or read it in the part's papers) and write it there."
            if missing.is_unknown
            else "Put that right first; what rests on it is judged then.",
            decided=False,
        )  # fmt: skip


_RULES: dict[str, Rule] = {}


def rule(
    name: str, severity: Severity, sources: tuple[str, ...], *, studied: bool = False
) -> Callable[[Check], Check]:  # fmt: skip
    """Register a rule. The function's docstring is its page: a sentence, then Why, Found in, Put right, Not seen.

    A rule yields a Found for each thing that is wrong, and nothing when all is well. It reads the plan and
    computes nothing that the plan could hold; where the plan raises Missing, the rule is undecided. A rule that
    goes through several things yields the Missing of one of them itself, and goes on to the next.
    """

    def register(check: Check) -> Check:
        if name in _RULES:
            raise ValueError(f"two rules are called {name}")
        if not sources:
            raise ValueError(f"{name} names no source; write 'common practice, no source' if there is none")
        _RULES[name] = Rule(name, severity, sources, check, studied)
        return check

    return register


def all_rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the names."""
    return tuple(_RULES[name] for name in sorted(_RULES))


def find_all(plan: Plan, *, studied: bool = False) -> tuple[Finding, ...]:
    """What the rules say about a plan: HOLD first, then FIX, then NOTE; within them by rule and subject.

    Args:
        plan: What is judged.
        studied: Also the rules that rest on the study of faults, as the build pack has them.
    """
    order = list(SEVERITIES)
    findings = [finding for each in all_rules() if studied or not each.studied for finding in each.find(plan)]
    return tuple(sorted(findings, key=lambda f: (order.index(f.severity), f.rule, f.subject, f.place, f.message)))
