"""Every field of the demo deleted, swapped with its neighbour and reversed: is it caught, or is it harmless?

``python -m tests.mutations`` writes docs/mutations.md; the test in test_mutations.py holds it to what is true.
"""

from __future__ import annotations

import copy
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fnmatch import fnmatch
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from conversion import resources
from conversion.description import DescriptionError, Missing, read_description
from conversion.plan import Plan
from conversion.rules import find_all

DEMO = "market-van"
PAGE = Path(__file__).resolve().parent.parent / "docs" / "mutations.md"

_LOADER = type("_Loader", (getattr(yaml, "CBaseLoader", yaml.BaseLoader),), {})
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)

_OPPOSITES = [
    ("clockwise", "anticlockwise"), ("smaller", "larger"), ("learned", "fixed"), ("ground", "supply"),
    ("pendant", "floor-hinged"), ("made", "existing"), ("true", "false"), ("wire side", "mating side"),
    ("module", "position sensor"), ("separate", "shared with sensors"), ("left", "right"), ("percent", "volts"),
    ("pedal", "lever"), ("extension", "compression"), ("potentiometer", "hall"), ("none", "unknown"),
    ("brake.make", "brake.break"), ("throttle.motor.plus", "throttle.motor.minus"),
]  # fmt: skip
_OPPOSITE = {word: other for pair in _OPPOSITES for word, other in (pair, pair[::-1])}
_FIGURE = re.compile(r"-?\d")

# What no rule speaks about and no rule should: the reason stands on the page.
_READ_OFF = (
    "A terminal, contact or resistance read wrongly off the part: nothing else in the description contradicts it. \
The bench test's continuity and resistance rows, taken from the plan, find it."
)
_STILL_SOUND = (
    "Another geometry, spring or place, and every rule still holds for it. The measured lever angle, pad force \
and spring tests of the checklist show whether it is the one in the car."
)
_STILL_READ = "The need is not stated any more, but its wire is there and rules of their own judge it."
_OTHER_WAY = "Another way round that is as sound for this design."

_STILL_CLEAR = (
    "Another size, place or name of what takes room or is in the way, and everything still clears. The clearances \
that the checklist expects beside its boxes show whether it is the one in the car."
)
_CUT = "How a member of the bracket is cut. The checklist gives its lengths and angles; one that is wrong does not fit."
_DRILLED = "Where the bracket's face is cut and drilled. The checklist gives each hole and each distance of holes."

_LAID = (
    "Another place, bend, hole or distance of the loom, and it stands that as well. Cord, tape and the board at "
    "true scale show whether it is the one in the car."
)
_CUT_TO = "Wires are cut longer or shorter by it. The tail is drawn on the board, and laid before its end is crimped."
_ENDED = "How an end is made. Three samples of each contact are crimped, measured and pulled before the first real one."
_DRAWN = "Another current that wires and fuses stand as well. It is read at first power, beside what is written."

HARMLESS: tuple[tuple[str, str], ...] = (
    ("* conversion.yaml: loom.runs.*.beside*", _LAID),
    ("* conversion.yaml: loom.runs.*.corners*", _LAID),
    ("* conversion.yaml: loom.runs.*.zone", _LAID),
    ("* conversion.yaml: loom.wires*", "Without it load, fuse, zone and drop give the wire a size that is as sound."),
    ("* conversion.yaml: loom.stations.*", _LAID),
    ("* conversion.yaml: devices.*.tail*", _CUT_TO),
    ("* conversion.yaml: devices.*.drip_loop", _CUT_TO),
    ("* parts/*: housings.*contact*", _ENDED),
    ("* parts/*: housings.*.sealed*", _ENDED),
    ("* parts/*: housings.*.plug*", _ENDED),
    ("* parts/*: draws*", _DRAWN),
    ("* conversion.yaml: linkage.*", _STILL_SOUND),
    ("* conversion.yaml: fit.members*", _CUT),
    ("* conversion.yaml: fit.infills*", _CUT),
    ("* conversion.yaml: fit.face*", _DRILLED),
    ("* conversion.yaml: fit.*", _STILL_CLEAR),
    ("* conversion.yaml: springs.*", _STILL_SOUND),
    ("* parts/pedal-module.yaml: lever.springs.*", _STILL_SOUND),
    ("swap conversion.yaml: devices.S1 with S2", "The two switches change their references and nothing else."),
    ("swap conversion.yaml: loom.runs.*", "Runs change their names; lengths and routes follow."),
    ("* conversion.yaml: loom.splices.*", "The terminal takes the wires without the splice, or splices change names."),
    ("swap parts/*: housings.*", _READ_OFF),
    ("swap parts/*: tracks.?.resistance with source_resistance", _READ_OFF),
    ("* parts/control-unit.yaml: needs.*", _STILL_READ),
    (
        "delete parts/control-unit.yaml: accepts.*.brake_override",
        "Nothing is judged by it: a control unit need not have one, "
        "and the section on faults says that none is described.",
    ),
    ("reverse parts/control-unit.yaml: accepts.throttle.*", _OTHER_WAY),
)


@dataclass(frozen=True)
class Mutant:
    """One change to one file of the demo."""

    kind: str
    file: str
    path: str
    tree: Any

    @property
    def name(self) -> str:
        return f"{self.kind} {self.file}: {self.path}"


@dataclass(frozen=True)
class Verdict:
    """What treadle said of a mutant.

    ``unreadable``, ``caught`` (a HOLD or FIX), ``noted`` (a NOTE that the demo does not have), ``same`` (nothing that
    is computed changed) or ``open`` (something computed changed and no rule speaks).
    """

    mutant: Mutant
    outcome: str


def mutants() -> Iterator[Mutant]:
    """All mutants of the demo's own files."""
    home = resources.harnesses_dir() / DEMO
    for file in (home / "conversion.yaml", *sorted((home / "parts").glob("*.yaml"))):
        name = file.relative_to(home).as_posix()
        tree = yaml.load(file.read_text("utf-8"), Loader=_LOADER)
        for path in _paths(tree):
            yield Mutant("delete", name, _dotted(path), _changed(tree, path, None, delete=True))
            value = _at(tree, path)
            if isinstance(value, str) and (other := _reversed(value)) is not None:
                yield Mutant("reverse", name, _dotted(path), _changed(tree, path, other))
        for one, other in _neighbours(tree):
            swapped = _changed(_changed(tree, one, _at(tree, other)), other, _at(tree, one))
            yield Mutant("swap", name, f"{_dotted(one)} with {_dotted(other[-1:])}", swapped)


def _paths(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from _paths(item, (*path, key))


def _neighbours(tree: Any) -> Iterator[tuple[tuple[Any, ...], tuple[Any, ...]]]:
    """Neighbouring values of one mapping or list that are alike in kind and differ."""
    for parent in [(), *_paths(tree)]:
        value = _at(tree, parent)
        if isinstance(value, str):
            continue
        keys = list(value) if isinstance(value, dict) else list(range(len(value)))
        for one, other in pairwise(keys):
            left, right = value[one], value[other]
            if type(left) is type(right) and left != right:
                yield (*parent, one), (*parent, other)


def _at(tree: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        tree = tree[step]
    return tree


def _changed(tree: Any, path: tuple[Any, ...], value: Any, delete: bool = False) -> Any:
    tree = copy.deepcopy(tree)
    parent = _at(tree, path[:-1])
    if delete:
        del parent[path[-1]]
    else:
        parent[path[-1]] = copy.deepcopy(value)
    return tree


def _reversed(value: str) -> str | None:
    if value in _OPPOSITE:
        return _OPPOSITE[value]
    body, comma, evidence = value.partition(",")
    if ".." in body:
        low, high = body.split("..")
        return f"{high.strip()}..{low.strip()}{comma}{evidence}"
    if _FIGURE.match(body) and len(body.split()) > 1:
        return value[1:] if value.startswith("-") else f"-{value}"
    return None


def _dotted(path: tuple[Any, ...]) -> str:
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


def judge(mutant: Mutant, folder: Path, sound: dict[str, Any], notes: set[tuple[str, str]]) -> Verdict:
    """What treadle says of one mutant, written into a copy of the demo."""
    file = folder / mutant.file
    original = file.read_bytes()
    try:
        file.write_text(yaml.dump(mutant.tree, Dumper=_DUMPER, sort_keys=False, allow_unicode=True), "utf-8")
        try:
            plan = Plan(read_description(folder))
        except DescriptionError:
            return Verdict(mutant, "unreadable")
        findings = find_all(plan)
        if any(finding.severity != "NOTE" for finding in findings):
            return Verdict(mutant, "caught")
        if all(compute() == sound[name] for name, compute in computed(plan).items()):
            return Verdict(mutant, "same")
        if {(f.rule, f.subject) for f in findings} - notes:
            return Verdict(mutant, "noted")
        return Verdict(mutant, "open")
    finally:
        file.write_bytes(original)


def computed(plan: Plan) -> dict[str, Callable[[], Any]]:
    """How to find all that the plan computes, rounded so that equal plans compare equal; what takes longest last."""

    def part(compute: Any) -> Any:
        try:
            return compute()
        except Missing as missing:
            return str(missing)

    def numbers(*arrays: Any) -> list[Any]:
        return [np.round(np.asarray(array, dtype=float), 9).tolist() for array in arrays]

    def travel() -> Any:
        it = plan.travel
        return numbers(it.pad_travel_mm, it.lever_rad, it.lever_min_rad, it.lever_max_rad, it.margin_rad)

    def sensor(which: str) -> Any:
        sweep = getattr(plan, which)
        tracks = [numbers(t.volts, t.volts_min, t.volts_max, t.percent) for t in sweep.tracks.values()]
        return [tracks, numbers(sweep.percent), [numbers(d.most) for d in sweep.differences]]

    def fit() -> Any:
        it = plan.fit
        if it is None:
            return None
        near = [
            (e.clearance.body, e.obstacle.name, *numbers(e.clearance.distance_mm, e.least_mm)) for e in it.clearances
        ]
        cuts = [str(cut) for cut in (*it.members.values(), *it.infills.values())]
        return [sorted(near), [str(each.recess.box) for each in it.recesses], cuts, str(it.pad_gap), str(it.brake)]

    def loom() -> Any:
        bundles = [
            (run, *numbers(it.round_mm, it.clips, it.corners_mm), it.cover.words) for run, it in plan.bundles.items()
        ]
        holes = [(name, *numbers(it.round_mm, it.hole_mm or 0.0)) for name, it in plan.passages.items()]
        lengths = [(tag, *numbers(it.finished_mm, it.cut_mm)) for tag, it in plan.lengths.items()]
        sizes = [(tag, it.size_mm2, it.decided_by) for tag, it in plan.sizes.choices.items()]
        fuses = [str(it) for it in plan.sizes.fuses]
        splices = [(name, it.station) for name, it in plan.splice_places.items()]
        return [sorted(bundles), sorted(holes), sorted(lengths), sorted(sizes), sorted(fuses), sorted(splices)]

    unit = plan.description.control_unit
    return {
        "wires": lambda: sorted(
            (*sorted((w.start.name, w.end.name)), w.roles, w.colour, w.size_mm2) for w in plan.wiring.wires
        ),
        "routes": lambda: sorted(str(route) for route in plan.routes.values()),
        "loom": lambda: part(loom),
        "needs": lambda: [(need.need, need.answered_by) for need in plan.needs],
        "travel": lambda: part(travel),
        "pedal": lambda: part(lambda: sensor("pedal")),
        "throttle": lambda: part(lambda: sensor("throttle")),
        "returns": lambda: part(lambda: numbers([case.margin_nm for case in plan.returns.cases])),
        "accepts": lambda: str(unit[1].accepts) if unit else "",
        "fit": lambda: part(fit),
    }


def judge_all() -> list[Verdict]:
    """Every mutant with its verdict."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / DEMO
        shutil.copytree(resources.harnesses_dir() / DEMO, folder)
        plan = Plan(read_description(folder))
        sound = {name: compute() for name, compute in computed(plan).items()}
        notes = {(finding.rule, finding.subject) for finding in find_all(plan)}
        return [judge(mutant, folder, sound, notes) for mutant in mutants()]


def reason_of(mutant: Mutant) -> str | None:
    """Why an open mutant is harmless; None where nobody has said so."""
    return next((reason for pattern, reason in HARMLESS if fnmatch(mutant.name, pattern)), None)


def render(verdicts: list[Verdict]) -> str:
    """The page."""
    kinds = ("delete", "swap", "reverse")
    outcomes = {
        "unreadable": "refused when read, with its place",
        "caught": "a HOLD or FIX",
        "noted": "a NOTE that the sound demo does not have",
        "same": "nothing computed changed",
        "open": "the plan changes and nothing contradicts it",
    }
    counts = Counter((verdict.outcome, verdict.mutant.kind) for verdict in verdicts)
    lines = [
        "# What happens when a field of the demo is wrong",
        "",
        "Every field of `harnesses/market-van` is deleted, swapped with its neighbour, and reversed, one at a time,",
        "and the description is checked. Regenerate this page with `python -m tests.mutations`.",
        "",
        "| outcome | " + " | ".join(kinds) + " | all |",
        "|---|" + "---:|" * (len(kinds) + 1),
    ]
    for outcome, meaning in outcomes.items():
        row = [counts[outcome, kind] for kind in kinds]
        lines.append(f"| {meaning} | " + " | ".join(map(str, [*row, sum(row)])) + " |")
    lines += [
        "",
        f"{len(verdicts)} mutants in all.",
        "",
        "## Mutants that nothing contradicts, and what finds them all the same",
        "",
    ]
    reasons: dict[str, list[str]] = {}
    for verdict in verdicts:
        if verdict.outcome == "open":
            reasons.setdefault(reason_of(verdict.mutant) or "(no reason given yet)", []).append(verdict.mutant.name)
    for reason, names in reasons.items():
        lines += [f"- {reason} ({len(names)})", *(f"    - `{name}`" for name in names)]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    text = render(judge_all())
    PAGE.write_text(text, "utf-8", newline="\n")
    print(text)
    sys.exit(0)
