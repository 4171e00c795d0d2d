"""``treadle schema``: the description as JSON Schema."""

from __future__ import annotations

import argparse
import json
from typing import Any

from conversion.commands.common import OK, add_command


def add(commands: Any) -> None:
    """The words of the command."""
    schema = add_command(commands, "schema", run, "JSON Schema of the description, for editors")
    schema.add_argument("file", nargs="?", choices=("conversion", "part"), default="conversion", help="which file")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description.schema import json_schema

    print(json.dumps(json_schema(chosen.file), ensure_ascii=False, indent=2))
    return OK
