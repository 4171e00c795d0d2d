"""What the builder works from, as rows of plain values: each table once, whoever prints it."""
