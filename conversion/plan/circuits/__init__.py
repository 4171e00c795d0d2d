"""The circuits that the sensors are read through, gathered from the description and its loom."""
