"""What lies inside the outline of a pedal module or throttle body: what moves, its tracks, contacts and motor."""

from __future__ import annotations

from conversion.description import Terminal
from conversion.description.parts import ContactForm, Output, PedalModule, PullForm, SensingPart, ThrottleBody, Track
from conversion.drawings.circuit_places import FIRST_ROW_MM, SENSOR_EDGE, Block, Places
from conversion.drawings.circuit_sheet import LEADING_MM, LINK, TEXT_MM, Sheet
from conversion.drawings.circuit_symbols import contact, motor, potentiometer, resistor, sensing_element
from conversion.drawings.circuit_words import as_written
from conversion.drawings.lever_icon import lever_icon, plate_icon
from conversion.plan import Plan
from conversion.quantities import Quantity, show

_ICON_AT = 4.5
_TRUNK = 42.0
_SYMBOL_AT = 58.5
_BOX_LEFT, _BOX_RIGHT = 54.5, 60.5
_CONTACT_AT = 53.5
_SOURCE_FROM, _SOURCE_TO = 65.5, 72.5
_PULL_AT = 77.0
_BUS_AT = 82.5
_PRINCIPLES = {"hall": "Hall", "inductive": "inductive"}
_CONTACT_NAMES = {"idle": "idle contact", "kickdown": "kick-down contact"}


def draw_inside(sheet: Sheet, plan: Plan, reference: str, part: SensingPart, places: Places) -> None:
    """Everything inside the sensor's outline, up to its terminals."""
    _Inside(sheet, plan, reference, part, places).draw()


class _Inside:
    def __init__(self, sheet: Sheet, plan: Plan, reference: str, part: SensingPart, places: Places) -> None:
        self.sheet, self.plan, self.part, self.places = sheet, plan, part, places
        self.terminals: dict[str, Terminal] = {
            role: terminal for terminal, form in plan.description.terminals(reference) for role in form.roles
        }
        self.buses: dict[Terminal, float] = {}
        self.linked: list[float] = []

    def draw(self) -> None:
        for block in self.places.blocks:
            if block.kind == "track":
                self._track(block)
            elif block.kind == "contact":
                self._contact(block)
            elif block.kind == "motor":
                self._motor(block)
            else:
                self._lead(SENSOR_EDGE - 8.0, block.roles[0])
        self._mover()

    def _mover(self) -> None:
        """The lever or the plate, and the link from it to everything that it moves."""
        icon = lever_icon(self.plan) if isinstance(self.part, PedalModule) else plate_icon(self.plan)
        # Heights of the axis inside the two pictures, and where the link may leave them.
        axis, leaves = (25.0, 21.0) if isinstance(self.part, PedalModule) else (13.0, 33.0)
        middle = sum(self.linked) / len(self.linked) if self.linked else 0.0
        lowest = self.places.bottom - icon.height_mm - 1.0
        top = max(FIRST_ROW_MM - 2.0, min(middle - axis, lowest))
        self.sheet.icon(icon, (_ICON_AT, top))
        if self.linked:
            height = top + axis
            self.sheet.line((_ICON_AT + leaves, height), (_TRUNK, height), pen=LINK)
            self.sheet.line((_TRUNK, min(height, *self.linked)), (_TRUNK, max(height, *self.linked)), pen=LINK)

    def _track(self, block: Block) -> None:
        supply, signal, ground = block.roles
        top, middle, bottom = (self.places.lead[role] for role in block.roles)
        track = self.part.tracks.get(block.name)  # type: ignore[call-overload]
        if track is None:
            self.sheet.text((_TRUNK + 1.5, middle + 0.8), f"no track {block.name}", size_mm=TEXT_MM)
            for role in block.roles:
                if role in self.terminals:
                    self._lead(SENSOR_EDGE - 8.0, role)
            return
        self.linked.append(middle)
        self.sheet.text((_TRUNK + 1.0, middle - 1.2), f"track {block.name}", size_mm=TEXT_MM, bold=True, room_mm=11.5)
        if track.principle == "potentiometer":
            potentiometer(self.sheet, (_SYMBOL_AT, top), (_SYMBOL_AT, bottom), (_SOURCE_FROM, middle), _TRUNK)
            self.sheet.text((_TRUNK + 1.0, middle + 3.1), _ohms(track.resistance), room_mm=12.0)
            self._lead(_SYMBOL_AT, supply)
            self._lead(_SYMBOL_AT, ground)
        else:
            self.sheet.line((_TRUNK, middle), (_BOX_LEFT, middle), pen=LINK)
            self.sheet.line((_BOX_RIGHT, middle), (_SOURCE_FROM, middle))
            sensing_element(self.sheet, _BOX_LEFT, top - 3.0, _BOX_RIGHT, bottom + 3.0, rises=_rises(track.output))
            self.sheet.text((_TRUNK + 1.0, middle + 3.1), _PRINCIPLES[track.principle], room_mm=11.0)
            self._lead(_BOX_RIGHT, supply)
            self._lead(_BOX_RIGHT, ground)
        self._signal(track, signal, top, middle, bottom)

    def _signal(self, track: Track, role: str, top: float, middle: float, bottom: float) -> None:
        if track.source_resistance is not None and track.source_resistance.nominal > 0.0:
            resistor(self.sheet, (_SOURCE_FROM, middle), (_SOURCE_TO, middle))
            self.sheet.text(
                ((_SOURCE_FROM + _SOURCE_TO) / 2, middle - 2.2), _ohms(track.source_resistance), anchor="middle"
            )
        else:
            self.sheet.line((_SOURCE_FROM, middle), (_SOURCE_TO, middle))
        self._lead(_SOURCE_TO, role)
        if isinstance(track.pull, PullForm):
            far = top if track.pull.to == "supply" else bottom
            resistor(self.sheet, (_PULL_AT, min(middle, far)), (_PULL_AT, max(middle, far)))
            self.sheet.dot((_PULL_AT, middle))
            self.sheet.dot((_PULL_AT, far))
            self.sheet.text((_PULL_AT - 1.8, (middle + far) / 2 + 0.8), _ohms(track.pull.resistance), anchor="end")

    def _contact(self, block: Block) -> None:
        assert isinstance(self.part, PedalModule), "only a pedal module has contacts"
        form: ContactForm | None = getattr(self.part, f"{block.name}_contact")
        top, bottom = (self.places.lead[role] for role in block.roles)
        middle = (top + bottom) / 2
        self.linked.append(middle)
        self.sheet.line((_TRUNK, middle), (_CONTACT_AT, middle), pen=LINK)
        closed_at_rest = form is not None and form.closes == "below"
        contact(self.sheet, (_CONTACT_AT, top), (_CONTACT_AT, bottom), closed=closed_at_rest)
        words = [_CONTACT_NAMES[block.name]]
        if form is not None and form.at is not None:
            words.append(f"closed {form.closes} {show(form.at.nominal, 'angle')}")
        self.sheet.texts((_CONTACT_AT + 4.0, middle - 0.6), words, room_mm=24.0)
        for role in block.roles:
            self._lead(_CONTACT_AT, role)

    def _motor(self, block: Block) -> None:
        assert isinstance(self.part, ThrottleBody), "only a throttle body has a motor"
        top, bottom = (self.places.lead[role] for role in block.roles)
        middle = (top + bottom) / 2
        self.linked.append(middle)
        self.sheet.line((_TRUNK, middle), (_SYMBOL_AT, middle), pen=LINK)
        motor(self.sheet, (_SYMBOL_AT, top), (_SYMBOL_AT, bottom))
        words = []
        if self.part.motor.resistance is not None:
            words.append(_ohms(self.part.motor.resistance))
        if self.part.motor.current is not None:
            words.append(f"at most {as_written(self.part.motor.current)}")
        self.sheet.texts((_SYMBOL_AT + 5.0, middle + 0.8 - (len(words) - 1) * LEADING_MM / 2), words, room_mm=18.0)
        for role in block.roles:
            self._lead(_SYMBOL_AT, role)

    def _lead(self, start: float, role: str) -> None:
        """The line from a symbol to its terminal, which may sit on the line of another role."""
        height = self.places.lead[role]
        terminal = self.terminals.get(role)
        if terminal is None:
            self.sheet.line((start, height), (SENSOR_EDGE - 4.0, height))
            self.sheet.text((SENSOR_EDGE - 1.0, height + 3.1), "no terminal", anchor="end")
            return
        home = self.places.left[terminal]
        if home == height:
            self.sheet.line((start, height), (SENSOR_EDGE, height))
            return
        bus = self.buses.setdefault(terminal, _BUS_AT - 2.0 * len(self.buses))
        self.sheet.line((start, height), (bus, height), (bus, home))
        self.sheet.dot((bus, home))


def _rises(output: Output) -> bool:
    """Whether the output is higher at full than at rest; an output that is not known counts as rising."""
    first, last = (output.points[0].output, output.points[-1].output) if output.points else (output.rest, output.full)
    return first is None or last is None or last.nominal >= first.nominal


def _ohms(figure: Quantity | None) -> str:
    return show(figure.nominal, "resistance") if figure is not None else "not known"
