"""The tolerance study of a description."""
