"""The command ``treadle``: parses words, calls the rooms in order, prints. It computes nothing.

Exit codes: 0 nothing above NOTE, 1 a HOLD or FIX (or something that could not be computed), 2 the words or the
description cannot be read, 3 a fault of treadle itself.
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.description import Missing
    from conversion.plan import Plan
    from conversion.plan.searching import SearchOutcome
    from conversion.rules import Finding

OK, FOUND, UNREADABLE, OUR_FAULT = 0, 1, 2, 3
WIDTH = 100
GARBAGE_THRESHOLD = 50_000
"""New objects after which unused cycles are looked for. A command makes hundreds of thousands that stay, and few
cycles, so that looking as often as the interpreter does by default costs a twentieth of the time."""
# As the description's own section allows; a test holds the two together, since reading that room takes time.
LEAST_SAMPLES, MOST_SAMPLES = 100, 100_000


def main(words: Sequence[str] | None = None) -> int:
    """Run the command with its words; returns the exit code and never lets an exception out."""
    _speak_utf8()
    gc.set_threshold(GARBAGE_THRESHOLD)
    parser = build_parser()
    chosen = parser.parse_args(words)
    if "run" not in chosen:
        parser.print_help()
        return UNREADABLE
    try:
        code = int(chosen.run(chosen))
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("treadle: stopped; nothing was left half-written.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of our output has gone; what it wanted it has.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except Exception as error:
        if os.environ.get("TREADLE_DEBUG"):
            raise
        kind = type(error).__name__
        print(
            f"treadle: this is a fault of treadle, not of your description ({kind}: {error}).\n"
            "Nothing was left half-written. Run it again with TREADLE_DEBUG=1 set, and report what it prints.",
            file=sys.stderr,
        )
        return OUR_FAULT


def build_parser() -> argparse.ArgumentParser:
    """The words of the command."""
    parser = argparse.ArgumentParser(
        prog="treadle",
        description="From the description of a cable pedal and an electronic throttle to a build pack: checks, travel, "
        "drawings, checklist.",
        epilog="It never says that a car is safe or legal: the approval authority and licensed practice decide.",
    )
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    check = _command(commands, "check", _check, "say what is missing or dangerous")
    _takes_description(check)
    check.add_argument("--json", action="store_true", help="findings as JSON")

    travel = _command(commands, "travel", _travel, "pad travel, lever angle, volts and per cent")
    _takes_description(travel)
    travel.add_argument("--json", action="store_true", help="every position as JSON")

    study = _command(commands, "study", _study, "what the tolerances do: bands, worst case, chances, what matters most")
    _takes_description(study)
    study.add_argument(
        "--samples",
        type=_samples,
        metavar="N",
        help=f"linkages to draw, {LEAST_SAMPLES} to {MOST_SAMPLES}; default: what the description says, or 4000",
    )
    study.add_argument("--seed", type=_seed, metavar="N", help="of the draw; default: what the description says, or 1")
    study.add_argument("--json", action="store_true", help="the study as JSON, every position")

    pack = _command(commands, "pack", _pack, "write the build pack: PDF, page, drawings, tables")
    _takes_description(pack)
    pack.add_argument(
        "--out", required=True, type=Path, metavar="DIR", help="folder to write; appears whole or not at all"
    )
    pack.add_argument("--search", action="store_true", help="search the settings as well and put what is found into it")

    search = _command(
        commands, "search", _search, "find the best settings that can be made: holes, rod, module's place"
    )
    _takes_description(search)
    search.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for tables, chart and patch; whole or not at all"
    )
    search.add_argument(
        "--candidates", type=_count, metavar="N", help="linkages to look at, at most; default 1200000, or all there are"
    )
    search.add_argument("--seed", type=_seed, default=1, metavar="N", help="of the draw; same seed, same answer")
    search.add_argument("--json", action="store_true", help="the result as JSON")

    explain = _command(commands, "explain", _explain, "why a rule is there and how to put it right")
    explain.add_argument("rule", nargs="?", metavar="RULE", help="name of the rule; without it all are listed")

    schema = _command(commands, "schema", _schema, "JSON Schema of the description, for editors")
    schema.add_argument("file", nargs="?", choices=("conversion", "part"), default="conversion", help="which file")
    return parser


def _command(commands: Any, name: str, run: Any, what: str) -> argparse.ArgumentParser:
    command: argparse.ArgumentParser = commands.add_parser(
        name, help=what, description=what[0].upper() + what[1:] + "."
    )
    command.set_defaults(run=run)
    return command


def _takes_description(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "description", type=Path, metavar="DESCRIPTION", help="conversion.yaml, or the folder that holds it"
    )


def _count(text: str) -> int:
    return _whole(text, 1)


def _seed(text: str) -> int:
    return _whole(text, 0)


def _samples(text: str) -> int:
    return _whole(text, LEAST_SAMPLES, MOST_SAMPLES)


def _whole(text: str, least: int, most: int = 999_999_999) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and least <= int(text) <= most):
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from {least} to {most}")
    return int(text)


def _check(chosen: argparse.Namespace) -> int:
    from conversion.rules import find_all
    from conversion.rules.report import findings_json

    with Progress() as progress:
        plan = _read(chosen.description, progress)
        if plan is None:
            return UNREADABLE
        progress.step("checking")
        findings = find_all(plan)
    if chosen.json:
        print(json.dumps(findings_json(findings), ensure_ascii=False, indent=2))
    else:
        _print_findings(findings, plan.description.conversion.title)
    return _exit_code(findings)


def _travel(chosen: argparse.Namespace) -> int:
    from conversion.plan.travel_json import travel_json
    from conversion.plan.travel_text import fact_lines, travel_lines

    with Progress() as progress:
        plan = _read(chosen.description, progress)
        if plan is None:
            return UNREADABLE
        progress.step("computing the travel")
        found, lacking = travel_json(plan)
        lines = [] if chosen.json else [*travel_lines(found["positions"]), *fact_lines(plan)]
    if chosen.json:
        print(json.dumps(found, ensure_ascii=False, indent=2))
    for line in lines:
        print(line)
    for missing in lacking:
        _print_missing(missing)
    return FOUND if lacking else OK


def _study(chosen: argparse.Namespace) -> int:
    from conversion.description import Missing
    from conversion.plan.study_json import study_json
    from conversion.plan.study_text import study_lines

    with Progress() as progress:
        plan = _read(chosen.description, progress)
        if plan is None:
            return UNREADABLE
        progress.step("computing the travel")
        try:
            found = plan.sampled_study(
                chosen.samples, chosen.seed, lambda done, total: progress.step(f"drawing: {done} of {total} linkages")
            )
        except Missing as missing:
            _print_missing(missing)
            return FOUND
        progress.step("ranking what matters most")
        if chosen.json:
            text = json.dumps(study_json(found), ensure_ascii=False, indent=2)
        else:
            text = "\n".join(study_lines(found, plan.description.conversion.title))
    print(text)
    for lacking in found.lacking:
        _print_missing(lacking)
    return FOUND if found.lacking else OK


def _pack(chosen: argparse.Namespace) -> int:
    from conversion.description import DescriptionError, Missing
    from conversion.pack.folder import FolderError, write_folder
    from conversion.rules import find_all

    with Progress() as progress:
        plan = _read(chosen.description, progress)
        if plan is None:
            return UNREADABLE
        progress.step("checking")
        findings = find_all(plan)
        from conversion.pack.build import build_pack

        found: SearchOutcome | Missing | None = None
        if chosen.search:
            try:
                found = _searched(plan, chosen.description, progress)
            except DescriptionError as error:
                print(error, file=sys.stderr)
                return UNREADABLE
            except Missing as missing:
                found = missing
        files = build_pack(plan, findings, progress.step, found)
        progress.step("writing")
        try:
            write_folder(chosen.out, files)
        except FolderError as error:
            print(f"treadle: {error}", file=sys.stderr)
            return UNREADABLE
    print(f"{chosen.out}: {len(files)} files; begin with build-pack.pdf or build-pack.html.")
    print(_summary(findings))
    return _exit_code(findings)


def _search(chosen: argparse.Namespace) -> int:
    from conversion.description import DescriptionError, Missing
    from conversion.description.reader import conversion_file
    from conversion.pack.folder import FolderError, write_folder
    from conversion.plan.search_json import search_json
    from conversion.plan.search_text import lines

    with Progress() as progress:
        plan = _read(chosen.description, progress)
        if plan is None:
            return UNREADABLE
        file = conversion_file(chosen.description)
        try:
            outcome = _searched(plan, chosen.description, progress, chosen.candidates, chosen.seed)
        except DescriptionError as error:
            print(error, file=sys.stderr)
            return UNREADABLE
        except Missing as missing:
            _print_missing(missing)
            return FOUND
        if chosen.out and outcome.settings:
            from conversion.pack.search_folder import search_files

            progress.step("writing")
            try:
                write_folder(chosen.out, search_files(outcome, file.name))
            except FolderError as error:
                print(f"treadle: {error}", file=sys.stderr)
                return UNREADABLE
    if chosen.json:
        print(json.dumps(search_json(outcome), ensure_ascii=False, indent=2))
    else:
        for line in lines(outcome):
            print(line)
    if chosen.out:
        said = f"{chosen.out}: written; begin with search.txt." if outcome.settings else "Nothing was written."
        print(said, file=sys.stderr if chosen.json else sys.stdout)
    return OK if outcome.settings else FOUND


def _searched(
    plan: Plan, description: Path, progress: Progress, candidates: int | None = None, seed: int = 1
) -> SearchOutcome:
    from conversion.description.reader import conversion_file
    from conversion.plan.searching import search_plan
    from conversion.study.search import CANDIDATES

    return search_plan(plan, conversion_file(description), candidates or CANDIDATES, seed, progress.step)


def _explain(chosen: argparse.Namespace) -> int:
    from conversion.description.complaints import nearest
    from conversion.rules import all_rules
    from conversion.rules.document import explain_text

    rules = {each.name: each for each in all_rules()}
    if chosen.rule is None:
        for name, each in rules.items():
            print(f"{each.severity:4}  {name:44}  {each.title}")
        return OK
    if chosen.rule not in rules:
        near = nearest(chosen.rule, rules)
        hint = f"did you mean '{near}'?" if near else "'treadle explain' lists them all."
        print(f"treadle: there is no rule '{chosen.rule}'; {hint}", file=sys.stderr)
        return UNREADABLE
    print(explain_text(rules[chosen.rule]))
    return OK


def _schema(chosen: argparse.Namespace) -> int:
    from conversion.description.schema import json_schema

    print(json.dumps(json_schema(chosen.file), ensure_ascii=False, indent=2))
    return OK


def _read(path: Path, progress: Progress) -> Plan | None:
    """The plan of a description; None where the description, or what was read with a tape, cannot be."""
    from conversion.description import DescriptionError, read_description
    from conversion.plan import Plan

    progress.step("reading")
    try:
        return Plan(read_description(path))
    except DescriptionError as error:
        count = len(error.complaints)
        print(error, file=sys.stderr)
        print(
            f"treadle: {count} fault{'s' if count != 1 else ''} to mend before anything can be computed.",
            file=sys.stderr,
        )
        return None


def _print_missing(missing: Missing) -> None:
    print(f"{missing.place}: {missing.path} {missing.state}; {missing.why}.", file=sys.stderr)


def _print_findings(findings: tuple[Finding, ...], title: str) -> None:
    from conversion.rules.report import told_together

    for finding, rules in told_together(findings):
        name = rules[0] if len(rules) == 1 else f"{len(rules)} rules"
        print(f"{finding.severity:4}  {name}   {finding.place}   {finding.subject}")
        texts = [finding.message, f"Put right: {finding.remedy}"]
        if len(rules) > 1:
            texts.append(f"Rests on it: {', '.join(rules)}.")
        for text in texts:
            print(textwrap.fill(text, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6, break_on_hyphens=False))
    print(f"{title}: {_summary(findings)}")
    if findings:
        print("'treadle explain RULE' says why. What was not checked is listed in the build pack.")


def _summary(findings: tuple[Finding, ...]) -> str:
    counts = {severity: sum(f.severity == severity for f in findings) for severity in ("HOLD", "FIX", "NOTE")}
    undecided = sum(not f.decided for f in findings)
    text = ", ".join(f"{count} {severity}" for severity, count in counts.items())
    return f"{text}; {undecided} undecided for want of a figure." if undecided else f"{text}."


def _exit_code(findings: tuple[Finding, ...]) -> int:
    return FOUND if any(finding.severity != "NOTE" for finding in findings) else OK


def _speak_utf8() -> None:
    """Units and signs must not break a terminal that was set to another character set."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
