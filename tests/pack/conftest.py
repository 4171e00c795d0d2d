"""The browser and the worked conversion's page, once for all tests that need them."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.pack.made import demo_pack


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright, which is not installed here")
    with sync_api.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=shutil.which("chromium"))
        yield found
        found.close()


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("page") / "build-pack.html"
    file.write_bytes(demo_pack()["build-pack.html"])
    return file
