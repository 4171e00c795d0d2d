"""The commands, each with the words it takes and what it does; they compute nothing."""

from conversion.commands import check, explain, pack, readings, schema, search, study, travel

COMMANDS = (check, travel, study, pack, search, readings, explain, schema)
"""In the order of the help."""

__all__ = ["COMMANDS"]
