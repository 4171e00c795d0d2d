"""Writes the page of the rules, docs/rules.md, and one rule's page for the terminal, both from the docstrings.

``python -m conversion.rules.document`` writes it; with ``--check`` it only says whether the page is up to date.
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

from conversion.description.generated_page import write_or_check
from conversion.rules import SEVERITIES, Rule, all_rules

PAGE = Path(__file__).resolve().parents[2] / "docs" / "rules.md"
WIDTH = 100
"""Columns of a rule's page on the terminal."""

_EXAMPLES = ("Found in", "Put right")
_BEGIN = """\
# The rules

<!-- Generated from the docstrings of conversion/rules by `python -m tests.generate`; change those, not this page. -->

`treadle check` goes through every rule below but those on faults. They rest on a study of the whole loom, and the build
pack goes through them. A finding names the place in your file, the figure that it has, the figure that it should have,
and what to do. `treadle explain RULE` prints the page of one rule.

A rule that lacks a figure does not pass: it says with its own severity that it cannot be decided, and which figure is
wanting. No rule says that a car is safe or legal; what a rule does not see stands at the end of its page.

Each page shows an example: lines under *Found in* are changes to the worked conversion `harnesses/market-van` that make
the rule speak, and those under *Put right* cure it. `conversion:` is the conversion file, `B1:` the part file of device
B1; entries of a list count from 1. The tests apply both.

A source from memory, or one whose edition is not known, says so.
"""


def document() -> str:
    """The whole page, in Markdown: an overview by severity, then a page for each rule, by topic."""
    rules = all_rules()
    blocks = [_BEGIN]
    for severity, meaning in SEVERITIES.items():
        rows = [(f"[`{rule.name}`](#{_anchor(rule)})", rule.title) for rule in rules if rule.severity == severity]
        blocks.append(f"## {severity}: {meaning}\n\n" + _table(("rule", "what is wrong"), rows))
    for topic, members in groupby(rules, key=lambda rule: rule.name.partition("/")[0]):
        blocks.append(f"## Rules on {topic}\n")
        blocks += [_page(rule) for rule in members]
    return "\n".join(blocks)


def _page(rule: Rule) -> str:
    lines = [f"### {rule.name}\n", f"**{rule.severity}.** {_safe(rule.title)}\n"]
    for heading, text in rule.sections.items():
        if heading in _EXAMPLES:
            lines.append(f"*{heading}:*\n\n```text\n{text}\n```\n")
        else:
            lines.append(f"*{heading}:* {_safe(_sentence(text))}\n")
    lines.append(f"*Source{'s' if len(rule.sources) > 1 else ''}:* {_safe('; '.join(rule.sources))}.\n")
    return "\n".join(lines)


def explain_text(rule: Rule) -> str:
    """The page of one rule as plain text, wrapped to :data:`WIDTH` columns; example lines stay as they are."""
    lines = [f"{rule.severity}  {rule.name}  ({SEVERITIES[rule.severity]})", ""]
    lines += _wrapped(rule.title, "")
    for heading, text in rule.sections.items():
        lines += ["", heading]
        if heading in _EXAMPLES:
            lines.append(textwrap.indent(text, "    "))
        else:
            lines += _wrapped(_sentence(text), "    ")
    lines += ["", "Source" if len(rule.sources) == 1 else "Sources"]
    for source in rule.sources:
        lines += _wrapped(source, "    ")
    return "\n".join(lines)


def _wrapped(text: str, indent: str) -> list[str]:
    """Lines of at most :data:`WIDTH` columns; names with hyphens stay whole."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)


def _sentence(text: str) -> str:
    """Flowing text on one line, with a capital at its beginning."""
    flowing = " ".join(text.split())
    return flowing[:1].upper() + flowing[1:]


def _safe(text: str) -> str:
    """Text in which Markdown finds nothing to obey."""
    for sign in "\\`*_<|[":
        text = text.replace(sign, f"\\{sign}")
    return text


def _anchor(rule: Rule) -> str:
    """The anchor that hosts of Markdown give to a heading: its letters, digits and hyphens."""
    return rule.name.replace("/", "")


def _table(head: Sequence[str], rows: Sequence[tuple[str, str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += [f"| {name} | {_safe(title)} |" for name, title in rows]
    return "\n".join(lines) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Write the page, or with ``--check`` compare it; returns the exit code."""
    return write_or_check("conversion.rules.document", PAGE, document, arguments)


if __name__ == "__main__":
    sys.exit(main())
