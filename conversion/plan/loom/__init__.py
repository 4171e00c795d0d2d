"""The loom as planned: where its splices lie, and what rests on the description beside its runs."""
