"""From a path to a Description: the conversion file and each part file that it uses, read whole or not at all."""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import TypeVar

from pydantic import BaseModel

from conversion import resources
from conversion.description.complaints import Complaint, DescriptionError, Place, dotted, nearest, quoted
from conversion.description.conversion import Conversion
from conversion.description.cross import cross_check
from conversion.description.described import Description, Source
from conversion.description.parts import AnyPart, PartFile
from conversion.description.record_forms import Records, SweepForm
from conversion.description.validation import validate
from conversion.description.wired_forms import AsWired, WiredFile
from conversion.description.yaml_text import Limits, Tree, survey

SHIPPED_PREFIX = "treadle:"
_SUFFIXES = (".yaml", ".yml")
LOG_SUFFIXES = (".csv", ".txt", ".tsv", ".log", ".dat")

Model = TypeVar("Model", bound=BaseModel)


def read_description(path: Path, limits: Limits | None = None, content: bytes | None = None) -> Description:
    """Read a conversion and its parts.

    Args:
        path: The conversion file, or the folder that holds ``conversion.yaml``.
        limits: Bounds on size, depth and aliases of each file.
        content: Taken as what the conversion file holds, instead of reading it; part files are read from its folder.

    Returns:
        The description, every reference in it resolved.

    Raises:
        DescriptionError: Everything that is wrong in any of the files, each with file, line and column.
    """
    limits = limits or Limits()
    file = conversion_file(path)
    try:
        content = _read_bytes(file, limits) if content is None else content
    except _NotFound as problem:
        raise DescriptionError([Complaint(Place(str(file), 1, 1), "", str(problem))]) from None
    tree, conversion, complaints = _understand(Conversion, content, file.name, limits)
    if tree is None:
        raise DescriptionError(complaints)
    source = Source(file.name, tree)
    # Part files are read also where the conversion has faults, so that one run tells of every file.
    parts, part_complaints = _read_parts(_named_parts(tree.data), source, file.parent, limits)
    complaints += part_complaints
    as_wired, wired_complaints = _read_wired(tree, conversion, file.parent, limits)
    complaints += wired_complaints
    records, record_complaints = _read_records(tree, conversion, file.parent, limits)
    complaints += record_complaints
    if conversion is None or complaints:
        raise DescriptionError(complaints)
    description = Description(
        conversion=conversion,
        parts={reference: parts[device.part][0] for reference, device in conversion.devices.items()},
        source=source,
        part_sources={reference: parts[device.part][1] for reference, device in conversion.devices.items()},
        as_wired=as_wired,
        records=records,
    )
    found = cross_check(description)
    if found:
        raise DescriptionError(found)
    return description


def conversion_file(path: Path) -> Path:
    """The conversion file that a path means: the file itself, or ``conversion.yaml`` in the folder."""
    return path / "conversion.yaml" if path.is_dir() else path


def _understand(
    model: type[Model], content: bytes, name: str, limits: Limits
) -> tuple[Tree | None, Model | None, list[Complaint]]:
    """The file's tree, its typed value, and everything that is wrong with either."""
    tree, complaints = survey(content, name, limits)
    if tree is None:
        return None, None, complaints
    value, problems = validate(model, tree)
    return tree, value, [*complaints, *problems]


def _named_parts(data: object) -> dict[str, str]:
    devices = data.get("devices") if isinstance(data, dict) else None
    if not isinstance(devices, dict):
        return {}
    return {
        reference: device["part"]
        for reference, device in devices.items()
        if isinstance(device, dict) and isinstance(device.get("part"), str)
    }


def _read_parts(
    named: dict[str, str], source: Source, folder: Path, limits: Limits
) -> tuple[dict[str, tuple[AnyPart, Source]], list[Complaint]]:
    parts: dict[str, tuple[AnyPart, Source]] = {}
    complaints: list[Complaint] = []
    tried: set[str] = set()
    for reference, name in named.items():
        if name in tried:
            continue
        tried.add(name)
        place = source.place("devices", reference, "part")
        path_text = f"devices.{reference}.part"
        try:
            content = _read_bytes(_part_path(name, folder), limits)
        except _NotFound as problem:
            complaints.append(Complaint(place, path_text, str(problem)))
            continue
        tree, part, problems = _understand(PartFile, content, name, limits)
        complaints.extend(problems)
        if part is not None and tree is not None:
            parts[name] = (part.root, Source(name, tree))
    return parts, complaints


def _read_wired(
    tree: Tree, conversion: Conversion | None, folder: Path, limits: Limits
) -> tuple[AsWired | None, list[Complaint]]:
    """What was really wired, from the conversion file or from the file that it names there."""
    if conversion is not None and isinstance(conversion.as_wired, list):
        return AsWired.of(conversion.as_wired, tree, ("as_wired",)), []
    name = tree.data.get("as_wired") if isinstance(tree.data, dict) else None
    if not isinstance(name, str) or not name.strip():
        return None, []
    try:
        content = _read_bytes(_file_path(name.strip(), folder, "lists of what was wired", "as-wired.yaml"), limits)
    except _NotFound as problem:
        return None, [Complaint(tree.place_of(("as_wired",)), "as_wired", str(problem))]
    own_tree, value, complaints = _understand(WiredFile, content, name.strip(), limits)
    return (AsWired.of(value.root, own_tree, ()) if value is not None and own_tree is not None else None), complaints


def _read_records(
    tree: Tree, conversion: Conversion | None, folder: Path, limits: Limits
) -> tuple[Records | None, list[Complaint]]:
    """The records that are named: the log is only found, since it may be long; the bench test's values are read."""
    form = conversion.records if conversion is not None else None
    if form is None:
        return None, []
    sweep = form.sweep if isinstance(form.sweep, SweepForm) else SweepForm(file=form.sweep) if form.sweep else None
    path, bench = None, None
    complaints: list[Complaint] = []
    if sweep is not None:
        at = ("records", "sweep", "file") if isinstance(form.sweep, SweepForm) else ("records", "sweep")
        try:
            path = _file_path(sweep.file, folder, "logs", "records/sweep.csv", suffixes=LOG_SUFFIXES)
        except _NotFound as problem:
            complaints.append(Complaint(tree.place_of(at), dotted(at), str(problem)))
    if form.bench is not None:
        at = ("records", "bench")
        try:
            content = _read_bytes(_file_path(form.bench, folder, "records", "records/bench.yaml"), limits)
            bench, more = survey(content, form.bench, limits)
            complaints += more
        except _NotFound as problem:
            complaints.append(Complaint(tree.place_of(at), dotted(at), str(problem)))
    columns = sweep.columns if sweep else {}
    return Records(
        tree.place_of(("records",)), path, sweep.file if sweep else "", columns, bench, form.bench or ""
    ), complaints


class _NotFound(Exception):
    """A file that cannot be used; the message says why and what would be right."""


def _part_path(name: str, folder: Path) -> Path:
    if name.startswith(SHIPPED_PREFIX):
        return _shipped_part(name.removeprefix(SHIPPED_PREFIX))
    return _file_path(name, folder, "part files", "parts/module.yaml", ", or use 'treadle:NAME'")


def _file_path(
    name: str,
    folder: Path,
    what: str,
    example: str,
    otherwise: str = "",
    suffixes: tuple[str, ...] = _SUFFIXES,
) -> Path:
    """A file inside the conversion's folder."""
    pure = PurePosixPath(name)
    if "\\" in name:
        raise _NotFound(f"{quoted(name)} has a backslash; {what} are named with '/', such as '{example}'")
    if pure.is_absolute() or ".." in pure.parts or ":" in name:
        raise _NotFound(f"{quoted(name)} leads out of the conversion's folder; keep {what} inside it{otherwise}")
    if pure.suffix.lower() not in suffixes:
        raise _NotFound(f"{quoted(name)} cannot be read here; its name ends with {suffixes[0]}, such as '{example}'")
    home = folder.resolve()
    file = (home / pure).resolve()
    if not file.is_relative_to(home):
        raise _NotFound(f"'{name}' is a link out of the conversion's folder; keep {what} inside it")
    if not file.is_file():
        there = sorted(p.relative_to(home).as_posix() for p in _files_beside(file, suffixes))
        near = nearest(name, there)
        hint = f"; did you mean '{near}'?" if near else "; write the path from the folder of the conversion file"
        raise _NotFound(f"there is no file '{name}'{hint}")
    return file


def _files_beside(file: Path, suffixes: tuple[str, ...]) -> list[Path]:
    folder = file.parent
    return [p for p in folder.iterdir() if p.suffix.lower() in suffixes] if folder.is_dir() else []


def _shipped_part(name: str) -> Path:
    shipped = {p.stem: p for p in sorted((resources.harnesses_dir() / "parts").glob("*.yaml"))}
    if name not in shipped:
        near = nearest(name, shipped)
        hint = f"; did you mean 'treadle:{near}'?" if near else f"; shipped are {', '.join(shipped)}"
        raise _NotFound(f"treadle ships no part '{name}'{hint}")
    return shipped[name]


def _read_bytes(file: Path, limits: Limits) -> bytes:
    """At most one byte more than the limit, so that a huge file is refused without being read."""
    try:
        if not file.is_file():
            reason = (
                "is a folder without a conversion.yaml" if file.parent.is_dir() and file.is_dir() else "is not there"
            )
            raise _NotFound(f"the file {reason}; give the path of a conversion.yaml")
        with file.open("rb") as stream:
            return stream.read(limits.max_bytes + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or type(error).__name__
        raise _NotFound(f"the file cannot be read ({reason}); check its name and permissions") from None
