"""A search of a description: its case, its outcome, its patch, its words."""
