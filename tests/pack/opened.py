"""The page opened in a browser, for the tests that move its slider; and what they hold it against."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from conversion.pack.motion import Motion, gather_motion
from conversion.pack.page import pack_page
from conversion.plan import POSITIONS
from tests.pack.made import demo_plan

LAST = POSITIONS - 1
EVERY_FIFTH = range(0, POSITIONS, 5)
# What is measured, and what a search may move, about the rod of the worked conversion is not true of another linkage.
WITHOUT_THE_RODS_OWN = [f"conversion: {section}{how}" for section in ("fit", "search") for how in (" = {}", " removed")]
DRAWN_MM = 0.0051
"""Places are drawn to a hundredth of a millimetre."""


@dataclass
class Opened:
    """A page in the browser, and all that must not come about in it."""

    page: Any
    file: Path
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def figure(self, row: str, part: str = "shown") -> str:
        """What stands in a row of the figures."""
        return str(self.page.locator(f'[data-row="{row}"] [data-part="{part}"]').inner_text())

    def move_to(self, stop: int) -> None:
        """Set the slider as a script or a dragging finger does: its value, then the event."""
        self.page.evaluate(
            "at => { const it = document.getElementById('motion-slider'); it.value = String(at);"
            " it.dispatchEvent(new Event('input', {bubbles: true})); }",
            stop,
        )

    def press(self, *keys: str) -> None:
        self.page.focus("#motion-slider")
        for key in keys:
            self.page.keyboard.press(key)

    @property
    def stop(self) -> int:
        return int(self.page.input_value("#motion-slider"))

    def place(self, name: str) -> tuple[float, float]:
        """Centre of a pin that moves, as the picture holds it: forward and up in the vehicle. [mm]"""
        dot = self.page.locator(f".now .{name}")
        return -float(dot.get_attribute("cx")), -float(dot.get_attribute("cy"))

    def nothing_amiss(self) -> None:
        assert self.requests == [self.file.as_uri()], "the page fetched something"
        assert self.complaints == []


def opened(browser: Any, file: Path, clock: bool = False, **context: Any) -> Opened:
    page = browser.new_context(**context).new_page()
    it = Opened(page, file)
    page.on("request", lambda request: it.requests.append(request.url))
    page.on("console", lambda message: it.complaints.append(message.text))
    page.on("pageerror", lambda error: it.complaints.append(str(error)))
    page.on("dialog", lambda dialog: (it.complaints.append(dialog.message), dialog.dismiss()))
    if clock:
        page.clock.install(time=0)
    page.goto(file.as_uri())
    if clock:
        # From here on time goes by only where a test lets it.
        page.clock.pause_at(60_000)
    return it


@cache
def demo_motion() -> Motion:
    motion = gather_motion(demo_plan())
    assert motion is not None
    return motion


def shown(key: str, stop: int) -> str:
    """A figure of the worked conversion."""
    return next(row.shown[stop] for row in demo_motion().rows if row.key == key)


def page_of(motion: Motion | None, folder: Path) -> Path:
    """A page with nothing in it but the moving pedal."""
    section = {"key": "travel", "number": 1, "title": "Travel", "lead": "", "landscape": False, "blocks": []}
    data = {
        "title": "t", "subject": "s", "revision": "A", "date": "2026-01-02", "builder": "b", "facts": [],
        "sections": [section],
    }  # fmt: skip
    file = folder / "page.html"
    file.write_bytes(pack_page(data, [], motion))
    return file


def drawn_pin(stop: int) -> tuple[float, float]:
    x, z = demo_plan().travel.solution.pedal_pin_mm[stop][[0, 2]]
    return round(x, 2), round(z, 2)
