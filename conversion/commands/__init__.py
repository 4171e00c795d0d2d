"""The commands, each with the words it takes and what it does; they compute nothing."""

from conversion.commands import (
    bench,
    check,
    compare,
    explain,
    faults,
    identify,
    loom,
    pack,
    readings,
    schema,
    search,
    study,
    travel,
)

COMMANDS = (check, travel, loom, faults, study, pack, search, identify, readings, bench, compare, explain, schema)
"""In the order of the help."""

__all__ = ["COMMANDS"]
