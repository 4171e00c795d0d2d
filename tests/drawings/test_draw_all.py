"""All drawings together: names of their own, and a reason for each that cannot be drawn."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.drawings import Drawing, _drawers, draw_all
from conversion.plan import Plan
from tests.drawings.varied import varied


@pytest.fixture(scope="module")
def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def test_nothing_of_the_demo_is_left_out(van: Plan) -> None:
    drawn = draw_all(van)
    assert drawn.left_out == ()
    names = [drawing.name for drawing in drawn.drawings]
    assert len(set(names)) == len(names) > 15
    assert all(drawing.title and drawing.caption.endswith(".") for drawing in drawn.drawings)


def test_every_drawing_fits_a_page(van: Plan) -> None:
    """A4 with 15 mm margins, room for a heading and the caption."""
    for drawing in draw_all(van).drawings:
        assert 0.0 < drawing.width_mm <= 180.0 and 0.0 < drawing.height_mm <= 250.0, drawing.name


def test_the_title_is_the_same_whether_drawn_or_left_out(van: Plan) -> None:
    drawn = ((title, draw(van)) for title, draw in _drawers())
    titles = {title: picture.title for title, picture in drawn if isinstance(picture, Drawing)}
    assert len(titles) > 5
    assert {title: got for title, got in titles.items() if title != got} == {}


def test_what_lacks_a_figure_is_left_out_with_its_reason(tmp_path: Path) -> None:
    def change(data: dict[str, Any]) -> None:
        data["linkage"]["pedal"]["rod_pin"][0] = "unknown"

    drawn = draw_all(varied(tmp_path, change))
    left_out = dict(drawn.left_out)
    assert "linkage.pedal.rod_pin" in left_out["Linkage from the side and from above"]
    assert "is not known" in left_out["Pad travel and lever angle"]
    names = {drawing.name for drawing in drawn.drawings}
    assert "chart-throttle-volts" in names and "face-k1" in names and "side-view" not in names


def test_a_conversion_without_a_linkage_still_has_its_other_drawings(tmp_path: Path) -> None:
    drawn = draw_all(varied(tmp_path, lambda data: (data.pop("linkage"), data.pop("springs"))))
    assert {"chart-throttle-volts", "face-b1"} <= {drawing.name for drawing in drawn.drawings}
    assert any("no linkage is described" in reason for _, reason in drawn.left_out)


def test_asking_for_the_room_loads_no_drawing() -> None:
    """Start-up is paid for by every command, and few of them draw."""
    program = (
        "import sys; import conversion.drawings; "
        "print([name for name in sys.modules if name in ('schemdraw', 'graphviz', 'conversion.drawings.charts')])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


ROOT = Path(__file__).resolve().parents[2]
