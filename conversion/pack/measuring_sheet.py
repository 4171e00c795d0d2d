"""A sheet to measure an unknown module with: tables of all pairs of terminals, cautions, and how to type it up."""

from __future__ import annotations

import datetime

from conversion.pack.typeset import compile_pdf
from conversion.resources import templates_dir

EDITION = datetime.date(2026, 1, 1)
"""Of the sheet's words: the date of the document, so that equal sheets are equal bytes."""

CAUTIONS = (
    "Unplug the module and take it out of the car. Nothing of it may be supplied while a meter set to ohms is on it.",
    "Never supply a module on a guess. A Hall or inductive one is destroyed by a supply that is changed over, and none "
    "of its terminals is told by resistance.",
    "The meter's leads have a resistance of their own: hold them together, write down what is shown, and type it in.",
    "Keep fingers off the tips: skin reads like a megohm. Do not push them into the contacts: they spread.",
)
STEPS = (
    "Choose a name for each terminal, those moulded into the housing if there are any, and write it into the sketch.",
    "Set the meter to the range that shows most digits and leave it there. Let each figure stand still.",
    "Lever at its rest stop. Red lead on the row's terminal, black lead on the column's: fill the white half of the "
    "first table. No way through is written: open. What you cannot reach stays empty.",
    "Change the leads over and fill the grey half. A figure that differs from its mirror image means electronics: "
    "stop, it is no potentiometer module.",
    "Lever held at its far stop, not short of it: fill the second table.",
    "Watch one changing pair while the lever moves slowly. A jump is a worn track: do not use such a module.",
)
BLANKS = (
    "module, marks on it", "from which car", "measured by, on", "meter", "its tolerance in these ranges",
    "leads held together", "lever's swing", "temperature", "contacts that click at",
)  # fmt: skip
TYPING = (
    "treadle identify READINGS.yaml says which terminals are ends and wiper of which track, or which reading is still "
    "wanted.",
    "Each row of a table is one line: the red lead's terminal, then the black lead's with what was shown.",
    "Units are ohm, kohm or Mohm. Leave out what was not read.",
    "It cannot say which end is the supply: a powered check with little current, which it prints, tells.",
)
_EXAMPLE = """title: grey module
meter: {{tolerance: 1 %, leads: 0.3 ohm}}
terminals: [{names}]
at_rest:
  1: {{2: 1.62 kohm, 3: open}}
  2: {{1: 1.62 kohm, 3: open}}
at_full:
  1: {{2: 1.61 kohm, 3: open}}"""


def measuring_sheet(terminals: int) -> bytes:
    """The sheet as PDF, two pages of A4; the same bytes for the same number.

    Args:
        terminals: How many the module has, 3 to 10.
    """
    title = f"Measuring sheet: unknown module of {terminals} terminals"
    data = {
        "title": title,
        "running": f"{terminals * (terminals - 1) // 2} pairs",
        "foot": "treadle identify: says what fits, never that a module is safe to use",
        "terminals": terminals,
        "lead": "What each terminal is for shows in the resistances between them, with the lever at rest and at its "
        "far stop, if the module holds potentiometer tracks. This sheet is for finding out whether it does.",
        "cautions": list(CAUTIONS),
        "blanks": list(BLANKS),
        "steps": list(STEPS),
        "sketch": "Draw its places in their rows, and beside each number of the tables the name of its terminal.",
        "tables": ["Lever at rest", "Lever at full"],
        "key": "White: red lead on the row's terminal. Grey: leads changed over. Write the unit with each figure.",
        "example": _EXAMPLE.format(names=", ".join(str(number) for number in range(1, terminals + 1))),
        "typing": list(TYPING),
    }
    return compile_pdf(templates_dir() / "measuring-sheet.typ", data, {}, EDITION)
