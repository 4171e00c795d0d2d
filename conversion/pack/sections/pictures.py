"""Which drawing stands where."""

from __future__ import annotations

from conversion.drawings import Drawing, Drawings
from conversion.pack.blocks import Block, Gap, Picture

# What the titles of drawings that may be left out begin with, by the section that has to say so.
_LEFT_OUT = {
    "travel": (
        "Pad travel and lever",
        "Pad travel, ratio",
        "Pad travel and volts",
        "Pad travel, per",
        "Throttle opening",
    ),
    "tolerance": ("Tolerances",),
    "returns": ("Pad travel and pad force", "Returning moment"),
    "side-view": ("Linkage from",),
    "fit": ("Clearances", "Recess", "Members"),
    "system": ("Devices",),
    "circuits": ("Circuit",),
    "terminations": ("Faces",),
    "loom-board": ("The loom",),
    "faults": ("Faults",),
}


def pictures(drawn: Drawings, *prefixes: str, but_not: tuple[str, ...] = ()) -> tuple[Picture, ...]:
    """The drawings whose names begin with one of the prefixes and with none of the others, in their order."""
    return tuple(
        picture(drawing)
        for drawing in drawn.drawings
        if drawing.name.startswith(prefixes) and not drawing.name.startswith(but_not)
    )


def left_out(drawn: Drawings, section: str) -> tuple[Block, ...]:
    """What stands in a section in place of the drawings of it that could not be made."""
    missing = [(title, why) for title, why in drawn.left_out if title.startswith(_LEFT_OUT[section])]
    if not missing:
        return ()
    what = "; ".join(title for title, _ in missing)
    # Many drawings rest on the same figure: it is named once.
    why = " ".join(dict.fromkeys(f"{why}." for _, why in missing))
    return (Gap(f"Drawing: {what}", why, "Find the figure, write it there, and make the pack again."),)


def picture(drawing: Drawing, leads: bool = False) -> Picture:
    """A drawing as the document refers to it."""
    return Picture(drawing.name, drawing.title, drawing.caption, drawing.width_mm, drawing.height_mm, leads)
