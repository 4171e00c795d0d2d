"""What was measured, held against the plan: unknown modules, logged readings, the bench test, the loom as wired."""
