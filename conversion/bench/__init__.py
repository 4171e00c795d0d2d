"""What is held against a plan: an unknown module, a logged sweep, the loom as it was wired, another description."""
