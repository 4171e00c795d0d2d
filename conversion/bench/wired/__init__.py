"""What was really wired, held against what should be."""
