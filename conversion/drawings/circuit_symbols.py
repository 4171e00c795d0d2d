"""The symbols of circuit drawings, each a function of where its ends lie; in the manner of IEC 60617."""

from __future__ import annotations

from conversion.drawings.circuit_sheet import LINK, SYMBOL, Sheet
from conversion.drawings.svg import BLACK, THIN, WHITE, Point


def resistor(sheet: Sheet, start: Point, end: Point) -> None:
    """A fixed resistor between two points."""
    sheet.two_ended("ResistorIEC", start, end, 5.0)


def fuse(sheet: Sheet, start: Point, end: Point) -> None:
    """A fuse between two points."""
    sheet.two_ended("FuseIEEE", start, end, 6.0)


def lamp(sheet: Sheet, start: Point, end: Point) -> None:
    """A lamp between two points."""
    sheet.two_ended("Lamp2", start, end, 5.0)


def contact(sheet: Sheet, start: Point, end: Point, *, closed: bool) -> None:
    """A contact between two points: open it does not touch, closed it rests on its other side."""
    sheet.two_ended("Switch", start, end, 6.0, contacts=False, nc=closed)


def motor(sheet: Sheet, start: Point, end: Point) -> None:
    """A direct-current motor between two points, one below the other."""
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    sheet.line(start, end)
    sheet.above.circle(middle, 3.6, SYMBOL, WHITE)
    sheet.text((middle[0], middle[1] + 1.2), "M", size_mm=3.4, anchor="middle")


def coil(sheet: Sheet, start: Point, end: Point) -> None:
    """A relay's coil between two points on one line."""
    middle = (start[0] + end[0]) / 2
    sheet.line(start, end)
    sheet.above.rect((middle - 1.6, start[1] - 2.5), 3.2, 5.0, SYMBOL, WHITE)


def battery(sheet: Sheet, start: Point, end: Point) -> None:
    """A battery between two points, its positive side at the end."""
    sheet.two_ended("BatteryCell", end, start, 5.0)


def chassis(sheet: Sheet, at: Point) -> None:
    """Joined to the body of the car, below a point."""
    sheet.hanging("Ground", at, 7.0)


def sensor_ground(sheet: Sheet, at: Point) -> None:
    """The control unit's own ground for sensors, below a point; not the body of the car."""
    x, y = at
    sheet.above.polygon([(x - 1.7, y), (x + 1.7, y), (x, y + 2.2)], SYMBOL, WHITE)


def supply_bar(sheet: Sheet, at: Point) -> None:
    """A supply, above a point."""
    sheet.line((at[0] - 1.7, at[1]), (at[0] + 1.7, at[1]), pen=SYMBOL)


def reads(sheet: Sheet, at: Point) -> None:
    """An input that reads volts, right of a point."""
    x, y = at
    sheet.above.polygon([(x, y - 1.6), (x, y + 1.6), (x + 3.2, y)], SYMBOL, WHITE)


def potentiometer(sheet: Sheet, top: Point, bottom: Point, wiper_to: Point, link_from: float) -> None:
    """A potentiometer from its supply end down to its ground end, moved by what is linked to it.

    Args:
        sheet: Where it is drawn.
        top: Its supply end.
        bottom: Its ground end, below.
        wiper_to: Where its wiper's lead ends, right of it.
        link_from: Where the mechanical link comes from, left of it; only x.
    """
    x, y = top[0], wiper_to[1]
    sheet.line((link_from, y), (x, y), pen=LINK)
    sheet.two_ended("ResistorIEC", top, bottom, 9.0)
    sheet.line((x + 2.4, y), wiper_to)
    sheet.above.polygon([(x + 2.3, y), (x + 4.3, y - 0.8), (x + 4.3, y + 0.8)], None, BLACK)


def sensing_element(sheet: Sheet, left: float, top: float, right: float, bottom: float, *, rises: bool) -> None:
    """A contactless sensing element with its electronics: a box with a line that rises or falls as its output does."""
    middle, slope = (top + bottom) / 2, -3.0 if rises else 3.0
    sheet.above.rect((left, top), right - left, bottom - top, SYMBOL, WHITE)
    sheet.above.polyline([(left + 1.2, middle - 4.0), (left + 1.2, middle + 4.0), (right - 1.0, middle + 4.0)], THIN)
    sheet.above.line((left + 1.2, middle - slope), (right - 1.0, middle + slope), SYMBOL)
