"""Where the wires run in the car, and where their splices lie."""

from conversion.loom.routes import Detour, Route, find_routes, station_of
from conversion.loom.splicing import OtherPlace, SplicePlace, place_splices

__all__ = ["Detour", "OtherPlace", "Route", "SplicePlace", "find_routes", "place_splices", "station_of"]
