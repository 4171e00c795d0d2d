"""Clearances, recess and bracket of a description."""
