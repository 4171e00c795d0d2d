"""What lies inside the control unit's outline: supplies, inputs with pull resistors, sensor grounds, the driver."""

from __future__ import annotations

from conversion.description import Terminal
from conversion.description.parts import ControlUnit, PullForm
from conversion.drawings.circuit_places import RIGHT_EDGE, UNIT_EDGE, Block, Places
from conversion.drawings.circuit_rows import terminal_of
from conversion.drawings.circuit_sheet import LEADING_MM, SYMBOL, Sheet
from conversion.drawings.circuit_symbols import reads, resistor, sensor_ground, supply_bar
from conversion.drawings.svg import WHITE
from conversion.plan import Plan
from conversion.quantities import Quantity, show
from conversion.sensing import Sensor, sensor_input

_PULL_AT = UNIT_EDGE + 10.8
_INPUT_AT = UNIT_EDGE + 14.5
_WORDS_AT = UNIT_EDGE + 12.3


def draw_inputs(sheet: Sheet, plan: Plan, sensor: Sensor, places: Places) -> None:
    """Everything inside the control unit's outline, from its terminals on."""
    found = plan.description.control_unit
    assert found is not None, "called only where there is a control unit"
    _Inputs(sheet, plan, sensor, places, *found).draw()


class _Inputs:
    def __init__(
        self, sheet: Sheet, plan: Plan, sensor: Sensor, places: Places, reference: str, unit: ControlUnit
    ) -> None:
        self.sheet, self.plan, self.sensor, self.places = sheet, plan, sensor, places
        self.reference, self.unit = reference, unit
        self.done: set[Terminal] = set()

    def draw(self) -> None:
        for block in self.places.blocks:
            if block.kind == "motor":
                self._driver(block)
            elif block.kind == "track":
                self._track(block)
            else:
                for role in block.roles:
                    self._plain(role)

    def _home(self, role: str) -> float | None:
        """Height of the role's terminal; None where it has none or it has been drawn for another role."""
        terminal = terminal_of(self.plan.description, self.reference, role)
        if terminal is None or terminal in self.done:
            return None
        self.done.add(terminal)
        return self.places.right[terminal]

    def _track(self, block: Block) -> None:
        supply, signal, ground = (self._home(role) for role in block.roles)
        if supply is not None:
            self._supply(block.roles[0], supply)
        if ground is not None:
            self.sheet.line((UNIT_EDGE, ground), (_PULL_AT, ground))
            sensor_ground(self.sheet, (_PULL_AT, ground))
            self.sheet.text((_WORDS_AT + 1.0, ground + 1.9), "sensor ground", room_mm=RIGHT_EDGE - _WORDS_AT - 1.5)
        if signal is not None:
            self._signal(block.name, signal, supply, ground)

    def _supply(self, role: str, height: float) -> None:
        name = next((name for name, supply in self.unit.supplies.items() if role in supply.roles), None)
        self.sheet.line((UNIT_EDGE, height), (_PULL_AT, height))
        self.sheet.above.circle((_PULL_AT, height), 0.65, SYMBOL, "#000000")
        words = f"supply {name}" if name else "no supply"
        self.sheet.text((_WORDS_AT, height + 0.8), words, room_mm=RIGHT_EDGE - _WORDS_AT - 1.0)

    def _signal(self, track: str, height: float, supply: float | None, ground: float | None) -> None:
        self.sheet.line((UNIT_EDGE, height), (_INPUT_AT, height))
        reads(self.sheet, (_INPUT_AT, height))
        accepted = sensor_input(self.plan.description, self.sensor)
        form = accepted.tracks.get(track) if accepted else None  # type: ignore[call-overload]
        words = f"input {track}" if form else "not read"
        self.sheet.text((_INPUT_AT + 4.2, height + 0.8), words, room_mm=RIGHT_EDGE - _INPUT_AT - 5.0)
        if form is None:
            return
        below = []
        if isinstance(form.pull, PullForm):
            self._pull(form.pull, height, supply, ground)
            below.append(f"pull {_ohms(form.pull.resistance)}")
        if form.valid is not None:
            below.append(f"valid {show(form.valid.low, 'voltage')}..{show(form.valid.high, 'voltage')}")
        self.sheet.texts((_WORDS_AT + 1.0, height + 4.6), below, room_mm=RIGHT_EDGE - _WORDS_AT - 1.5)

    def _pull(self, pull: PullForm, height: float, supply: float | None, ground: float | None) -> None:
        """To the line of the track's supply or ground where it is the next one, else to a sign of it."""
        down = pull.to == "ground"
        line = ground if down else supply
        end = line if line is not None and (line > height) == down else height + (9.0 if down else -9.0)
        resistor(self.sheet, (_PULL_AT, min(height, end)), (_PULL_AT, max(height, end)))
        self.sheet.dot((_PULL_AT, height))
        if end == line:
            self.sheet.dot((_PULL_AT, end))
        elif down:
            sensor_ground(self.sheet, (_PULL_AT, end))
        else:
            supply_bar(self.sheet, (_PULL_AT, end))

    def _driver(self, block: Block) -> None:
        heights = [height for role in block.roles if (height := self._home(role)) is not None]
        if not heights:
            return
        left, right = UNIT_EDGE + 9.0, RIGHT_EDGE - 4.0
        for height in heights:
            self.sheet.line((UNIT_EDGE, height), (left, height))
        top, bottom = min(heights) - 3.0, max(heights) + 3.0
        self.sheet.above.rect((left, top), right - left, bottom - top, SYMBOL, WHITE)
        middle = (top + bottom) / 2
        words = ["motor driver"]
        if self.unit.motor_ground is not None:
            words += ["ground:", self.unit.motor_ground]
        for number, line in enumerate(words):
            at = middle + 0.8 + (number - (len(words) - 1) / 2) * LEADING_MM
            self.sheet.text(((left + right) / 2, at), line, anchor="middle", room_mm=right - left - 1.0)

    def _plain(self, role: str) -> None:
        """A contact's input or its return, or the screen's drain."""
        height = self._home(role)
        if height is None:
            return
        self.sheet.line((UNIT_EDGE, height), (_PULL_AT, height))
        if role.endswith(".signal"):
            reads(self.sheet, (_PULL_AT, height))
            self.sheet.text((_PULL_AT + 4.2, height + 0.8), "input", room_mm=RIGHT_EDGE - _PULL_AT - 5.0)
        else:
            sensor_ground(self.sheet, (_PULL_AT, height))
            words = "screen drain" if role == "screen" else "return"
            self.sheet.text((_WORDS_AT + 1.0, height + 1.9), words, room_mm=RIGHT_EDGE - _WORDS_AT - 1.5)


def _ohms(figure: Quantity | None) -> str:
    return show(figure.nominal, "resistance") if figure is not None else "not known"
