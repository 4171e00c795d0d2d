"""Drawings made from a plan; they decide nothing."""
