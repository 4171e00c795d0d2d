"""Types of the description's figures: each reads a text such as ``182 mm ± 1 mm, measured`` into a Quantity.

A figure that the builder does not know yet is written ``unknown`` and becomes None; what rests on it is then
reported as undecided instead of being guessed.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from conversion.quantities import EVIDENCES, UNITS, Quantity, QuantityError, awg_area_mm2, example_of, parse, show

UNKNOWN = "unknown"


class AlsoWritten:
    """Pydantic annotation: the JSON Schema admits a second way of writing, which a validator turns into the first."""

    def __init__(self, *schemas: dict[str, Any]) -> None:
        self.schemas = schemas

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [*self.schemas, handler(schema)]}


class FigureOf:
    """Pydantic annotation for a figure of one or more dimensions, with optional bounds in the base unit.

    Args:
        dimensions: Keys of :data:`conversion.quantities.UNITS`; the first is the one named in messages.
        above: The whole tolerance band must lie above this.
        at_least: The whole tolerance band must not fall below this.
        at_most: The whole tolerance band must not rise above this.
    """

    is_figure = True

    def __init__(
        self,
        *dimensions: str,
        above: float | None = None,
        at_least: float | None = None,
        at_most: float | None = None,
    ) -> None:
        self.dimensions = dimensions
        self.above = above
        self.at_least = at_least
        self.at_most = at_most

    def read(self, value: object) -> Quantity | None:
        """Read one figure; None for ``unknown``."""
        if isinstance(value, Quantity):
            return value
        if not isinstance(value, str):
            raise ValueError(f"a single figure is needed, such as '{example_of(self.dimensions[0])}'")
        if value.strip().lower() == UNKNOWN:
            return None
        quantity = self._parse(value)
        self._check_bounds(value, quantity)
        return quantity

    def _parse(self, text: str) -> Quantity:
        problem: QuantityError | None = None
        for dimension in self.dimensions:
            try:
                return parse(text, dimension)
            except QuantityError as error:
                problem = problem or error
        assert problem is not None
        raise ValueError(str(problem))

    def _check_bounds(self, text: str, quantity: Quantity) -> None:
        if self.above is not None and quantity.low <= self.above:
            if quantity.nominal > self.above:
                raise ValueError(f"the tolerance of '{text}' is as large as the figure itself")
            raise ValueError(f"'{text}' must be above {show(self.above, quantity.dimension)}")
        if self.at_least is not None and quantity.low < self.at_least:
            raise ValueError(f"'{text}' falls below {show(self.at_least, quantity.dimension)}")
        if self.at_most is not None and quantity.high > self.at_most:
            raise ValueError(f"'{text}' rises above {show(self.at_most, quantity.dimension)}")

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        units = list(dict.fromkeys(unit for name in self.dimensions for unit in UNITS[name]))
        return {
            "type": "string",
            "description": f"A figure of {' or '.join(self.dimensions)}, or 'unknown'. Units: {', '.join(units)}. "
            f"May carry a tolerance or be a range, and end with its evidence: {', '.join(EVIDENCES)}.",
        }


Figure = Quantity | None

Position = Annotated[Figure, FigureOf("length")]
Length = Annotated[Figure, FigureOf("length", above=0.0)]
LengthOrZero = Annotated[Figure, FigureOf("length", at_least=0.0)]
Angle = Annotated[Figure, FigureOf("angle", at_least=0.0)]
AngleOrShare = Annotated[Figure, FigureOf("angle", "ratio", at_least=0.0)]
PositiveAngle = Annotated[Figure, FigureOf("angle", above=0.0)]
Voltage = Annotated[Figure, FigureOf("voltage", at_least=0.0)]
PositiveVoltage = Annotated[Figure, FigureOf("voltage", above=0.0)]
Resistance = Annotated[Figure, FigureOf("resistance", above=0.0)]
SmallResistance = Annotated[Figure, FigureOf("resistance", at_least=0.0)]
Current = Annotated[Figure, FigureOf("current", above=0.0)]
Duration = Annotated[Figure, FigureOf("time", above=0.0)]
Mass = Annotated[Figure, FigureOf("mass", above=0.0)]
Force = Annotated[Figure, FigureOf("force", at_least=0.0)]
PositiveForce = Annotated[Figure, FigureOf("force", above=0.0)]
Stiffness = Annotated[Figure, FigureOf("stiffness", above=0.0)]
Moment = Annotated[Figure, FigureOf("moment", at_least=0.0)]
AngularStiffness = Annotated[Figure, FigureOf("angular stiffness", at_least=0.0)]
Temperature = Annotated[Figure, FigureOf("temperature", at_least=-60.0, at_most=250.0)]
Share = Annotated[Figure, FigureOf("ratio", at_least=0.0, at_most=1.0)]
OutputLevel = Annotated[Figure, FigureOf("ratio", "voltage", at_least=0.0)]
Difference = Annotated[Figure, FigureOf("ratio", "voltage", at_least=0.0)]


class AreaOf(FigureOf):
    """Conductor cross-section in mm² or by American Wire Gauge, 0.05 mm² to 120 mm²."""

    def __init__(self) -> None:
        super().__init__("area", at_least=awg_area_mm2(30), at_most=120.0)


Area = Annotated[Figure, AreaOf()]
