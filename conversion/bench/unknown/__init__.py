"""What an unknown module is, from resistances between its terminals."""
