"""Names of figures in words: from the path in a file to what a builder calls it."""

from __future__ import annotations

from collections.abc import Sequence

_AXES = ("forward", "left", "up")
_POINTS = (
    "pivot", "pad", "rod_pin", "cable_pin", "lever_pin", "fixed_end", "moving_end", "centre_of_mass", "pedal_outer_end",
    "module_outer_end", "nipple", "groove_centre", "roller_centre", "face_point", "pin_in", "pin_out",
)  # fmt: skip
# Words that go together with the name after them.
_WITH_NAME = {
    "tracks": "track", "springs": "spring", "runs": "run", "supplies": "supply", "accepts": "accepted from the",
    "wires": "changed wire", "points": "point", "marks": "mark", "from": "distance from", "angles": "angle at",
    "stations": "station", "zones": "zone", "corners": "bend", "beside": "neighbour", "housings": "housing",
    "cavities": "place", "draws": "drawn through", "devices": "", "crimp_height": "crimp height on",
}  # fmt: skip
_WORDS = {
    "at": "pad travel", "set_at": "set at lever angle", "set_at_rest": "set at lever angle at rest",
    "valid": "range taken as valid", "at_most": "greatest difference that passes",
    "at_least": "least difference that passes", "within": "time until it is acted on", "rest": "at rest",
    "full": "at full", "swing": "swing between its own stops", "full_at": "angle of full output",
    "source_resistance": "resistance behind the signal", "resistance": "resistance", "limit": "greatest current",
    "rest_moment": "moment at rest", "full_moment": "moment at full", "rate": "rate", "load": "load it carries",
    "opening": "opening it rests at", "unpowered": "plate without power", "size": "conductor size",
    "series": "series resistor", "pull": "pull resistor", "mass": "mass",
    "range_within": "time until a value out of range is acted on", "above": "more than this is not acted on",
    "temperature": "temperature of the conductors",
}  # fmt: skip
_WORDS_OF = {
    ("rest_check", "at_most"): "greatest that passes for rest",
    ("supplies", "source_resistance"): "resistance in the supply",
    ("contact", "strip"): "insulation to strip",
    ("contact", "pull"): "pull that its crimp holds",
    ("contact", "thinnest"): "thinnest wire",
    ("contact", "thickest"): "thickest wire",
    ("beside", "apart"): "distance",
    ("draws", "lasts"): "time that the inrush lasts",
}
"""Where a key means something else, by a step before it."""
# Where a figure is a lever angle or a voltage although its key is 'at', 'rest' or 'full'.
_ANGLE_OF = ("idle_contact", "kickdown_contact", "points", "point")


def figure_name(device: str, path: Sequence[str | int]) -> str:
    """What a builder calls the figure at a path.

    Args:
        device: The device whose part file states it; empty for the conversion file.
        path: Steps to it in that file.

    Example:
        >>> figure_name("", ("linkage", "pedal", "rod_pin", 0))
        'pedal, rod pin, forward'
        >>> figure_name("", ("marks", "A", 2)), figure_name("", ("linkage", "module", "pivot", "from", "A"))
        ('mark A, up', 'module, pivot, distance from A')
        >>> figure_name("K1", ("accepts", "pedal", "tracks", "a", "valid"))
        'K1, accepted from the pedal, track a, range taken as valid'
        >>> figure_name("", ("fit", "obstacles", "tunnel", "outline", "corners", 1, 0))
        'obstacle tunnel, corner 2, forward'
        >>> figure_name("K1", ("supplies", "one", "source_resistance"))
        'K1, supply one, resistance in the supply'
        >>> figure_name("B1", ("housings", "A", "contact", "pull")), figure_name("", ("devices", "B1", "tail"))
        ('B1, housing A, contact, pull that its crimp holds', 'B1, tail')
        >>> figure_name("B1", ("housings", "A", "contact", "crimp_height", "0.5 mm²"))
        'B1, housing A, contact, crimp height on 0.5 mm²'
    """
    if path and path[0] == "fit":
        return _of_fit(path[1:])
    words: list[str] = [device] if device else []
    steps = [step for step in path if step not in ("linkage", "loom")]
    index = 0
    while index < len(steps):
        step = steps[index]
        following = steps[index + 1] if index + 1 < len(steps) else None
        if step in _WITH_NAME and following is not None and not (step == "springs" and device):
            shown = following + 1 if isinstance(following, int) else following
            words.append(f"{_WITH_NAME[str(step)]} {shown}".strip())
            index += 2
            continue
        words.append(_word(step, steps[index - 1] if index else None, steps[:index]))
        index += 1
    return ", ".join(words)


def _word(step: str | int, before: str | int | None, earlier: Sequence[str | int]) -> str:
    if isinstance(step, int):
        return _AXES[step] if before in _POINTS or (earlier and earlier[0] == "marks") else str(step + 1)
    if step == "at" and any(word in _ANGLE_OF for word in earlier):
        return "lever angle"
    special = next((words for (of, key), words in _WORDS_OF.items() if step == key and of in earlier), None)
    return special or _WORDS.get(step, step.replace("_", " "))


# Steps of the fit that say nothing to a builder, and those that go together with the name after them.
_FIT_PASSED = ("bodies", "plane", "sheet", "bar", "block", "outline", "section")
_FIT_WITH_NAME = {
    "obstacles": "obstacle",
    "members": "member",
    "infills": "infill",
    "corners": "corner",
    "through": "place",
}
_FIT_WORDS = {
    "at": "point",
    "module": "module's body",
    "link": "link's body",
    "lever": "lever's body",
    "outer": "cable's outer",
}
_SIZES = ("length", "width", "height")


def _of_fit(steps: Sequence[str | int]) -> str:
    """A figure under ``fit``, whose keys mean other things than those of the linkage."""
    words: list[str] = []
    index = 0
    while index < len(steps):
        step = steps[index]
        before = steps[index - 1] if index else None
        if step in _FIT_WITH_NAME and index + 1 < len(steps):
            following = steps[index + 1]
            shown = following + 1 if isinstance(following, int) else following
            words.append(f"{_FIT_WITH_NAME[str(step)]} {shown}")
            index += 2
            continue
        if before == "size" and isinstance(step, int):
            words[-1] = _SIZES[step]
        elif isinstance(step, int):
            in_side_plane = index > 1 and steps[index - 2] == "corners"
            words.append(("forward", "up")[step] if in_side_plane else _AXES[step])
        elif step not in _FIT_PASSED:
            words.append(_FIT_WORDS.get(step, step.replace("_", " ")))
        index += 1
    return ", ".join(words)
