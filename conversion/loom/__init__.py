"""Where the wires run in the car."""

from conversion.loom.routes import Route, find_routes

__all__ = ["Route", "find_routes"]
