"""A logged sweep of the pedal, held against the plan."""
