"""The rooms import one way: the contract of the project file holds, and is not an empty one."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    program = "import sys; from importlinter.cli import lint_imports_command; sys.exit(lint_imports_command())"
    return subprocess.run(
        [sys.executable, "-c", program, "--no-cache"], cwd=folder, capture_output=True, text=True, check=False
    )


def test_the_rooms_import_one_way() -> None:
    done = lint(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "1 kept, 0 broken" in done.stdout


def test_the_contract_notices_a_room_that_looks_upward(tmp_path: Path) -> None:
    contract = (ROOT / "pyproject.toml").read_text("utf-8")
    (tmp_path / "pyproject.toml").write_text(contract, "utf-8")
    package = tmp_path / "conversion"
    for folder, text in (
        (package, ""),
        (package / "pack", ""),
        (package / "quantities", "import conversion.pack\n"),
    ):
        folder.mkdir()
        (folder / "__init__.py").write_text(text, "utf-8")
    done = lint(tmp_path)
    assert done.returncode == 1
    assert "conversion.quantities -> conversion.pack" in done.stdout


def test_resources_are_ground() -> None:
    layers = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"][0]
    assert layers["layers"][-1] == "(resources)"
