"""The files of a search: its tables, its chart, the patch, and the description with the setting taken."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator

from conversion.drawings.trade_off import CAPTION, trade_off_chart
from conversion.pack.sections.searched import trade_off_data
from conversion.pack.tables import csv_bytes
from conversion.plan.searching.as_json import search_json
from conversion.plan.searching.patch import patch_text
from conversion.plan.searching.search import SearchOutcome, Setting
from conversion.plan.searching.text import lines
from conversion.plan.searching.words import BEST_IN

RESULT_NAME = "search.json"
"""What another program, or a later build pack, reads the result from."""


def search_files(outcome: SearchOutcome, source: str) -> dict[str, bytes]:
    """Contents by file name.

    Args:
        outcome: With at least one setting.
        source: Name of the conversion file that was searched.
    """
    files = {
        "search.txt": "\n".join([*lines(outcome), "", *_contents(outcome, source)]) + "\n",
        RESULT_NAME: json.dumps(search_json(outcome), ensure_ascii=False, indent=2) + "\n",
        "trade-off.svg": trade_off_chart(outcome).svg,
        "search-patch.yaml": patch_of(outcome.settings[outcome.taken], outcome.taken + 1, source),
        "conversion-patched.yaml": outcome.settings[outcome.taken].text,
    }
    for place, setting in enumerate(outcome.settings, 1):
        if place != outcome.taken + 1:
            files[f"others/search-patch-{place}.yaml"] = patch_of(setting, place, source)
    return {name: text.encode("utf-8") for name, text in files.items()} | {
        "trade-off.csv": csv_bytes(trade_off_data(outcome))
    }


def _contents(outcome: SearchOutcome, source: str) -> Iterator[str]:
    """What each file of the folder is."""
    taken = outcome.taken + 1
    told = [
        ("search-patch.yaml", f"what setting {taken} changes, to be copied by hand"),
        ("conversion-patched.yaml", f"{source} with just that; put it beside your parts in place of {source}"),
        ("others/", "the same of the other settings"),
        ("trade-off.csv", "every setting that no other one beats in everything, with its figures"),
        ("trade-off.svg", f"the same as a chart. {CAPTION}"),
        (RESULT_NAME, "all of it for programs"),
    ]
    yield "In this folder:"
    for name, what in told:
        if name != "others/" or len(outcome.settings) > 1:
            yield from textwrap.wrap(f"  {name:24}{what}", 100, subsequent_indent=" " * 26)


def patch_of(setting: Setting, place: int, source: str) -> str:
    """The changed keys of a setting, with what they were."""
    best = ", ".join(BEST_IN[each] for each in setting.best_in)
    head = f"Setting {place} of a search of {source}" + (f", the best in {best}.\n" if best else ".\n")
    head += "Only what changes; each value goes to its own place there. It is assumed until it is measured as built."
    if not setting.changes:
        return f"# Setting {place} of a search of {source}: nothing changes.\n"
    return patch_text(setting.changes, head)
