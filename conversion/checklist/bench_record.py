"""Values of the bench test, typed into one file, against what the checklist expects of each.

The file names each reading by the words of the checklist's rows, such as ``resistance: {pedal: {a: {rest: 310 ohm}}}``;
what is expected is the row's own, and nothing is computed here anew.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from conversion.checklist.model import Row, Stage
from conversion.checklist.saying import Limited, Unsaid
from conversion.description.complaints import Complaint, DescriptionError, Place, dotted, listed, nearest, quoted
from conversion.description.yaml_text import Node, Path, Tree
from conversion.quantities import Quantity, QuantityError, example_of, parse, show

Verdict = Literal["pass", "fail", "not judged"]
Known: TypeAlias = "dict[str, Known | tuple[str, Row]]"

HEAD = ("date", "by", "meter")
METER = {"resistance": 0.01, "voltage": 0.005}
"""What a hand meter may be off by, as a share of what it shows; common practice, no source."""
LEAST = {"resistance": 0.5, "voltage": 0.01}
"""And at least so much: leads and contacts, and the last digit; common practice, no source. [Ω, V]"""
_OPEN = ("open", "ol", "o.l", "infinite")
_WORDS: dict[str, Verdict] = {"pass": "pass", "fail": "fail"}


@dataclass(frozen=True, slots=True)
class BenchValue:
    """One reading.

    Attributes:
        key: The words by which the file names it.
        step: Number of the step of the checklist.
        what: The row of the checklist.
        expected: What it expects.
        said: What was measured, as it is printed.
        verdict: Whether that passes; ``not judged`` where nothing is expected for want of a figure.
        place: Where it stands in the file.
    """

    key: tuple[str, ...]
    step: str
    what: str
    expected: str
    said: str
    verdict: Verdict
    place: Place


@dataclass(frozen=True)
class BenchRecord:
    """All readings of a file.

    Attributes:
        date: When they were taken; empty where the file does not say.
        by: Who took them.
        values: In the order of the checklist.
        unread: Step and row of every reading that can be recorded and is not.
        strangers: What the file names and the checklist has not, as sentences with their places.
    """

    date: str
    by: str
    values: tuple[BenchValue, ...]
    unread: tuple[tuple[str, str], ...]
    strangers: tuple[str, ...] = ()

    def count(self, verdict: Verdict) -> int:
        """How many readings have a verdict."""
        return sum(value.verdict == verdict for value in self.values)

    @property
    def passes(self) -> bool:
        """Whether nothing that was measured fails."""
        return not self.count("fail")


def judge_bench(stages: Sequence[Stage], tree: Tree, name: str, *, strict: bool = True) -> BenchRecord:
    """Hold the file against the checklist.

    Args:
        stages: The checklist.
        tree: The file as it was read.
        name: The file as messages call it.
        strict: Whether a reading that the checklist has not is a mistake; else it is kept among the strangers, since
            the description may have changed after the readings were taken.

    Raises:
        DescriptionError: A reading is not one of the checklist's, or is no figure of its kind; all of them at once.
    """
    known = _known(stages)
    if not isinstance(tree.data, dict):
        text = f"a mapping is needed here, such as 'continuity: {{W1: 0.2 ohm}}'; its words are {listed(known, 'and')}."
        raise DescriptionError([Complaint(Place(name, 1, 1), "", text)])
    complaints: list[Complaint] = []
    strange: list[Complaint] = complaints if strict else []
    meter = _meter(tree, complaints)
    values = {
        value.key: value
        for word, node in tree.data.items()
        if word not in HEAD
        for value in _walk(tree, node, known, (word,), meter, _Complaints(complaints, strange))
    }
    head = {word: _text(tree, word, complaints) for word in ("date", "by")}
    if complaints:
        raise DescriptionError(complaints)
    rows = [(step, row) for step, row in recordable(stages)]
    found = [values[row.key] for _, row in rows if row.key in values]
    unread = tuple((step, row.what) for step, row in rows if row.key not in values)
    told = () if strict else tuple(str(complaint) for complaint in sorted(strange))
    return BenchRecord(head["date"], head["by"], tuple(found), unread, told)


def with_record(stages: Iterable[Stage], record: BenchRecord) -> tuple[Stage, ...]:
    """The checklist with what was measured in its boxes."""
    values = {value.key: value for value in record.values}

    def filled(row: Row) -> Row:
        value = values.get(row.key) if row.key else None
        return replace(row, recorded=value.said, verdict=value.verdict) if value else row

    return tuple(
        replace(
            stage,
            steps=tuple(replace(step, rows=tuple(filled(row) for row in step.rows)) for step in stage.steps),
        )
        for stage in stages
    )


def recordable(stages: Iterable[Stage]) -> Iterator[tuple[str, Row]]:
    """Every row that a record can name, once, with the number of its step."""
    done = set()
    for stage in stages:
        for step in stage.steps:
            for row in step.rows:
                if row.key and row.key not in done:
                    done.add(row.key)
                    yield step.number, row


def _known(stages: Sequence[Stage]) -> Known:
    known: Known = {}
    for step, row in recordable(stages):
        at = known
        for word in row.key[:-1]:
            at = at.setdefault(word, {})  # type: ignore[assignment]
        at[row.key[-1]] = (step, row)
    return known


@dataclass(frozen=True, slots=True)
class _Complaints:
    """What is wrong with the file, and what only the checklist does not know."""

    wrong: list[Complaint]
    strange: list[Complaint]


def _walk(
    tree: Tree, node: Node, known: Known, path: tuple[str, ...], meter: Mapping[str, float], told: _Complaints
) -> Iterator[BenchValue]:
    below = known.get(path[-1])
    if below is None:
        place = tree.key_places.get(path) or tree.place_of(path)
        near = nearest(path[-1], [*known, *(HEAD if len(path) == 1 else ())])
        hint = f"did you mean {quoted(near)}?" if near else f"the checklist has {_some(known)} here."
        told.strange.append(Complaint(place, dotted(path[:-1]), f"{quoted(path[-1])} is no reading of it; {hint}"))
    elif isinstance(below, dict):
        if isinstance(node, dict):
            for word, inner in node.items():
                yield from _walk(tree, inner, below, (*path, word), meter, told)
        else:
            text = f"a mapping is needed here, with {_some(below)}."
            told.wrong.append(Complaint(tree.place_of(path), dotted(path), text))
    elif not isinstance(node, str):
        text = "one value is needed here, and no mapping or list."
        told.wrong.append(Complaint(tree.place_of(path), dotted(path), text))
    else:
        try:
            yield _judged(*below, node, tree.place_of(path), meter)
        except QuantityError as error:
            told.wrong.append(Complaint(tree.place_of(path), dotted(path), f"{error}."))


def _some(known: Known) -> str:
    words = list(known)
    return listed([quoted(word) for word in words[:8]], "and") + (" and others" if len(words) > 8 else "")


def _judged(step: str, row: Row, text: str, place: Place, meter: Mapping[str, float]) -> BenchValue:
    """One reading with its verdict.

    Raises:
        QuantityError: The text is no reading of its kind.
    """

    def value(said: str, verdict: Verdict) -> BenchValue:
        return BenchValue(row.key, step, row.what, row.expected or "", said, verdict, place)

    expected = row.expected
    if isinstance(expected, Limited):
        read = _reading(text, expected.dimension)
        return value(_shown(read, expected.dimension), "pass" if _within(read, expected, meter) else "fail")
    if isinstance(expected, Unsaid):
        return value(text.strip(), "not judged")
    word = text.strip().lower()
    if word not in _WORDS:
        raise QuantityError(f"{quoted(text)} is no verdict; write 'pass' or 'fail', since '{expected}' is no figure")
    return value(word, _WORDS[word])


def _reading(text: str, dimension: str) -> float:
    if dimension == "resistance" and text.strip().lower() in _OPEN:
        return math.inf
    return parse(text, dimension).nominal


def _shown(read: float, dimension: str) -> str:
    return "open" if math.isinf(read) else show(read, dimension)


def _within(read: float, expected: Limited, meter: Mapping[str, float]) -> bool:
    """Whether a reading passes; a band around a figure is widened by what the meter may be off, a mere bound is not."""
    low, high = expected.low, expected.high
    if low > 0.0 and math.isfinite(high) and math.isfinite(read):
        off = max(abs(read) * meter[expected.dimension], LEAST[expected.dimension])
        low, high = low - off, high + off
    return low <= read <= high


def _meter(tree: Tree, complaints: list[Complaint]) -> dict[str, float]:
    """Share by which the meter may be off, by what it measures."""
    found, node = dict(METER), tree.data.get("meter", {}) if isinstance(tree.data, dict) else {}
    if not isinstance(node, dict):
        text = "a mapping is needed here, such as '{resistance: 1 %, voltage: 0.5 %}'."
        complaints.append(Complaint(tree.place_of(("meter",)), "meter", text))
        return found
    for word, share in node.items():
        path: Path = ("meter", word)
        if word not in METER:
            text = f"{quoted(word)} is nothing that the meter measures here; write {listed(METER)}."
            complaints.append(Complaint(tree.key_places.get(path) or tree.place_of(path), "meter", text))
            continue
        try:
            figure = _share(share)
        except QuantityError as error:
            complaints.append(Complaint(tree.place_of(path), dotted(path), f"{error}."))
            continue
        found[word] = figure.nominal
    return found


def _share(node: Node) -> Quantity:
    if not isinstance(node, str):
        raise QuantityError(f"one value is needed here, such as '{example_of('ratio')}'")
    figure = parse(node, "ratio")
    if not 0.0 <= figure.nominal <= 0.2:
        raise QuantityError(f"{quoted(node)} is no tolerance of a meter; write what its papers say, such as '1 %'")
    return figure


def _text(tree: Tree, word: str, complaints: list[Complaint]) -> str:
    node = tree.data.get(word, "") if isinstance(tree.data, dict) else ""
    if isinstance(node, str):
        return node.strip()
    complaints.append(Complaint(tree.place_of((word,)), word, "one line of text is needed here."))
    return ""
