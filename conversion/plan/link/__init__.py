"""The linkage of a description: geometry, travel, return, loads."""
