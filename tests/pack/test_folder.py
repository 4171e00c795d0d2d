"""A folder appears whole or not at all, and never over somebody else's work."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest

from conversion.pack.folder import MANIFEST_NAME, FolderError, write_folder

FILES = {"build-pack.pdf": b"%PDF", "drawings/side view.svg": b"<svg/>", "tables/wires.csv": b"W1\r\n"}


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def alone(target: Path) -> bool:
    """Nothing temporary lies beside the folder."""
    return [path.name for path in target.parent.iterdir()] == [target.name]


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    target = tmp_path / "out"
    write_folder(target, FILES)
    return target


def refused(target: Path, files: dict[str, bytes] | None = None) -> str:
    """The words of the refusal; what was there must be there still."""
    before = tree(target) if target.is_dir() else None
    with pytest.raises(FolderError) as caught:
        write_folder(target, files or {"new.txt": b"new"})
    assert before == (tree(target) if target.is_dir() else None)
    return str(caught.value)


def test_a_new_folder_holds_the_files_and_their_hashes(pack: Path) -> None:
    written = tree(pack)
    manifest = json.loads(written.pop(MANIFEST_NAME))
    assert written == FILES
    assert manifest["files"] == {name: hashlib.sha256(data).hexdigest() for name, data in FILES.items()}
    assert alone(pack)


def test_the_manifest_does_not_depend_on_order(tmp_path: Path) -> None:
    write_folder(tmp_path / "a", FILES)
    write_folder(tmp_path / "b", dict(reversed(FILES.items())))
    assert tree(tmp_path / "a") == tree(tmp_path / "b")


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    target = tmp_path / "out"
    target.mkdir()
    write_folder(target, FILES)
    assert tree(target).keys() == {*FILES, MANIFEST_NAME}
    assert alone(target)


def test_an_earlier_pack_is_replaced_and_leaves_nothing_behind(pack: Path) -> None:
    write_folder(pack, {"only.txt": b"1"})
    assert tree(pack).keys() == {"only.txt", MANIFEST_NAME}
    assert not (pack / "drawings").exists()
    assert alone(pack)


def test_an_earlier_pack_with_a_file_deleted_is_replaced(pack: Path) -> None:
    (pack / "build-pack.pdf").unlink()
    write_folder(pack, FILES)
    assert (pack / "build-pack.pdf").read_bytes() == b"%PDF"


def test_files_that_are_not_ours_are_named(pack: Path) -> None:
    (pack / "drawings" / "mine.txt").write_text("notes", "utf-8")
    (pack / "photos").mkdir()
    said = refused(pack)
    assert "drawings/mine.txt" in said and "photos/" in said and "choose another --out" in said.lower()
    assert "wires.csv" not in said
    assert alone(pack)


def test_files_that_were_edited_are_named(pack: Path) -> None:
    (pack / "tables" / "wires.csv").write_bytes(b"W1 measured 12 V\r\n")
    said = refused(pack)
    assert "changed since" in said and "tables/wires.csv" in said and "build-pack.pdf" not in said


def test_a_manifest_that_cannot_be_read_protects_the_folder(pack: Path) -> None:
    for broken in (b"{", b"[]", b'{"files": 3}', b"\xff"):
        (pack / MANIFEST_NAME).write_bytes(broken)
        assert MANIFEST_NAME in refused(pack)


def test_a_folder_of_somebody_elses_is_left(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear", "utf-8")
    assert "letter.txt" in refused(tmp_path)


def test_many_foreign_files_are_counted(tmp_path: Path) -> None:
    for n in range(11):
        (tmp_path / f"{n:02}.txt").touch()
    assert "07.txt and 3 more" in refused(tmp_path)


def test_a_file_in_the_place_is_left(tmp_path: Path) -> None:
    target = tmp_path / "out"
    target.write_text("x", "utf-8")
    assert "is a file" in refused(target)
    assert target.read_text("utf-8") == "x"


def test_a_missing_parent_is_not_made(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "no" / "out")
    assert not (tmp_path / "no").exists()


def link(at: Path, to: Path) -> None:
    try:
        at.symlink_to(to, target_is_directory=to.is_dir())
    except OSError:
        pytest.skip("this system does not let this user make links")


@pytest.mark.parametrize("present", [True, False])
def test_a_link_in_the_place_is_left(tmp_path: Path, present: bool) -> None:
    real = tmp_path / "real"
    if present:
        real.mkdir()
    link(tmp_path / "out", real)
    assert "is a link" in refused(tmp_path / "out")
    assert (tmp_path / "out").is_symlink()


def test_a_link_inside_counts_as_not_ours(pack: Path, tmp_path: Path) -> None:
    (pack / "build-pack.pdf").unlink()
    link(pack / "build-pack.pdf", pack / "tables" / "wires.csv")
    assert "build-pack.pdf" in refused(pack)


def no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("earlier", [True, False])
def test_a_disk_error_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, earlier: bool
) -> None:
    target = tmp_path / "out"
    if earlier:
        write_folder(target, FILES)
    monkeypatch.setattr(os, "fsync", no_room)
    said = refused(target)
    assert "No space left" in said and "was not written" in said
    assert list(tmp_path.iterdir()) == ([target] if earlier else [])


@pytest.mark.parametrize("failing", ["first", "second"])
def test_a_swap_that_fails_brings_the_earlier_pack_back(
    pack: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    rename = Path.rename

    def refuse(self: Path, to: Path) -> Path:
        if (self == pack) if failing == "first" else self.name.endswith(".new"):
            raise PermissionError(13, "Permission denied")
        return rename(self, to)

    monkeypatch.setattr(Path, "rename", refuse)
    assert "Permission denied" in refused(pack)
    assert alone(pack)


def test_an_interrupt_cleans_up_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "out", FILES)
    assert list(tmp_path.iterdir()) == []


def test_a_parent_that_may_not_be_written_is_reported(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def deny(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", deny)
    assert "Permission denied" in refused(tmp_path / "out")


@pytest.mark.parametrize(
    "name",
    [
        "",
        "/a",
        "a//b",
        "../a",
        "a/../b",
        "a\\b",
        "C:a",
        "a?",
        "con",
        "Aux.txt",
        "lpt1.csv",
        "a.",
        "a ",
        "a\tb",
    ],
)
def test_names_that_some_system_cannot_store_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FolderError, match="every system"):
        write_folder(tmp_path / "out", {name: b""})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("names", [("a", "A"), ("Pack-Manifest.json", "b"), ("a", "a/b"), ("A/b", "a")])
def test_names_that_would_meet_are_refused(tmp_path: Path, names: tuple[str, str]) -> None:
    with pytest.raises(FolderError, match="would be"):
        write_folder(tmp_path / "out", dict.fromkeys(names, b""))


def test_a_relative_place_is_taken_from_the_working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write_folder(Path("out"), FILES)
    assert (tmp_path / "out" / "build-pack.pdf").is_file()
