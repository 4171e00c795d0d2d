"""Writes a folder whole or not at all, and never over anything that somebody else put there.

The new folder is written beside its place and then swapped in. A manifest in it tells a later run which files
are ours and unchanged, so that only those are ever replaced.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import secrets
import shutil
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

MANIFEST_NAME = "pack-manifest.json"

_NAMED_AT_MOST = 8
_FORBIDDEN_CHARACTERS = frozenset('<>:"\\|?*')
_DEVICE_NAMES = frozenset(
    ["CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(1, 10))]
)


class FolderError(Exception):
    """The folder was not written, what was there is as it was; the text says why and what to do."""


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Make `target` a folder that holds exactly `files` and a manifest of them.

    `target` may be absent, empty, or what an earlier call wrote and nobody has changed since. Its parent must
    exist. If the machine stops between the two renames of the swap, the earlier folder is still whole beside
    its place, under a hidden name that ends in ``.old``.

    Args:
        target: The folder.
        files: Contents by name; names are relative, with forward slashes, such as ``drawings/side-view.svg``.

    Raises:
        FolderError: anything that keeps the folder from being written whole.
    """
    _check_names(files)
    target = Path(os.path.abspath(target))
    check_place(target)
    token = secrets.token_hex(4)
    new = target.with_name(f".{target.name}.{token}.new")
    old = target.with_name(f".{target.name}.{token}.old")
    try:
        _fill(new, {**files, MANIFEST_NAME: _manifest(files)})
        _swap(new, target, old)
    except OSError as error:
        raise FolderError(
            f"{target} was not written: {error.strerror or error}. Nothing there was changed. "
            "Make room or get the right to write there, close programs that have its files open, "
            "or choose another --out."
        ) from error
    finally:
        shutil.rmtree(new, ignore_errors=True)
    shutil.rmtree(old, ignore_errors=True)
    if old.exists():
        raise FolderError(f"{target} is written, but the earlier pack could not be removed; delete {old}.")


def _check_names(names: Iterable[str]) -> None:
    """Refuse names that some system could not store, or would store over each other."""
    taken: dict[str, str] = {MANIFEST_NAME.casefold(): MANIFEST_NAME}
    folders: dict[str, str] = {}
    for name in names:
        parts = name.split("/")
        if not all(_is_storable(part) for part in parts):
            raise FolderError(f"'{name}' is not a file name that every system can store.")
        if (other := taken.get(name.casefold())) is not None:
            raise FolderError(f"'{name}' and '{other}' would be one file on some systems.")
        taken[name.casefold()] = name
        for depth in range(1, len(parts)):
            folders["/".join(parts[:depth]).casefold()] = name
    for name in taken.keys() & folders.keys():
        raise FolderError(f"'{taken[name]}' would be a file and, for '{folders[name]}', a folder.")


def _is_storable(part: str) -> bool:
    return (
        part not in ("", ".", "..")
        and not part.endswith((".", " "))
        and part.isprintable()
        and not _FORBIDDEN_CHARACTERS & set(part)
        and part.split(".")[0].rstrip().upper() not in _DEVICE_NAMES
    )


def check_place(target: Path) -> None:
    """Refuse a place that could not be written to; asked before the work as well, so that none is lost.

    Raises:
        FolderError: what stands there is not ours, was changed since, or the folder above it is missing.
    """
    target = Path(os.path.abspath(target))
    if target.is_symlink():
        raise FolderError(f"{target} is a link; name the folder itself, or choose another --out.")
    if not target.parent.is_dir():
        raise FolderError(f"the folder {target.parent} does not exist; make it first, or choose another --out.")
    if not target.exists():
        return
    if not target.is_dir():
        raise FolderError(f"{target} is a file, not a folder; choose another --out.")
    try:
        foreign, edited = _changes(target)
    except OSError as error:
        raise FolderError(f"{target} cannot be read: {error.strerror}; choose another --out.") from error
    complaints = []
    if foreign:
        complaints.append(f"it holds files that treadle did not write ({_listed(foreign)})")
    if edited:
        complaints.append(f"files in it were changed since treadle wrote them ({_listed(edited)})")
    if complaints:
        raise FolderError(
            f"{target} was left as it is: {' and '.join(complaints)}. Choose another --out, or move those files away."
        )


def _changes(folder: Path) -> tuple[list[str], list[str]]:
    """Names in `folder` that are not of an earlier pack, and names of it whose content differs."""
    hashes, readable = _read_manifest(folder / MANIFEST_NAME)
    ours = set(hashes) | {MANIFEST_NAME}
    our_folders = {parent.as_posix() for name in ours for parent in Path(name).parents}
    foreign: list[str] = []
    edited: list[str] = [] if readable else [MANIFEST_NAME]
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_dir() and not path.is_symlink():
            if name not in our_folders:
                foreign.append(name + "/")
        elif name not in ours or path.is_symlink():
            foreign.append(name)
        elif name in hashes and hashlib.sha256(path.read_bytes()).hexdigest() != hashes[name]:
            edited.append(name)
    return foreign, edited


def _read_manifest(path: Path) -> tuple[dict[str, str], bool]:
    """Hashes by name, and whether what is there could be read; an absent manifest reads as an empty one."""
    if not path.exists():
        return {}, True
    try:
        files = json.loads(path.read_bytes())["files"]
        return {str(name): str(digest) for name, digest in files.items()}, True
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}, False


def _manifest(files: Mapping[str, bytes]) -> bytes:
    hashes = {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)}
    text = json.dumps({"written_by": "treadle", "hash": "sha256", "files": hashes}, indent=2, ensure_ascii=False)
    return text.encode("utf-8") + b"\n"


def _listed(names: list[str]) -> str:
    more = len(names) - _NAMED_AT_MOST
    return ", ".join(names[:_NAMED_AT_MOST]) + (f" and {more} more" if more > 0 else "")


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    folder.mkdir()
    for name in files:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
    # A file that is made safe waits for the disk; several can wait at the same time.
    with ThreadPoolExecutor(max_workers=8) as writers:
        for _ in writers.map(_write, [folder / name for name in files], files.values()):
            pass
    _sync_folder(folder)


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def _swap(new: Path, target: Path, old: Path) -> None:
    replaces = target.exists()
    if replaces:
        target.rename(old)
    try:
        new.rename(target)
    except BaseException:
        if replaces:
            old.rename(target)
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    # Windows cannot open a folder, and some network drives refuse to sync one: the files are safe by then.
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
