"""Points that were measured with a tape."""
