"""What was measured, held against the plan: an unknown module, a logged sweep, the loom as it was wired."""
