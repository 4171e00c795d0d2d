"""The JSON Schema accepts what treadle reads and refuses what it refuses."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from conversion import resources
from conversion.description.schema import json_schema

HARNESSES = resources.harnesses_dir()


class _EditorLoader(yaml.SafeLoader):
    """YAML as an editor reads it: numbers and truth values are such, dates stay text."""


_EditorLoader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:timestamp"]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def as_editor_reads(file: Path) -> Any:
    return _text_keys(yaml.load(file.read_text("utf-8"), _EditorLoader))


def _text_keys(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _text_keys(item) for key, item in value.items()}
    return [_text_keys(item) for item in value] if isinstance(value, list) else value


def validator(file: Any) -> jsonschema.Draft202012Validator:
    schema = json_schema(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("file", sorted(HARNESSES.rglob("conversion.yaml")), ids=lambda path: path.parent.name)
def test_shipped_conversions_fit_the_schema(file: Path) -> None:
    assert [error.message for error in validator("conversion").iter_errors(as_editor_reads(file))] == []


@pytest.mark.parametrize(
    "file", sorted(HARNESSES.rglob("parts/*.yaml")), ids=lambda path: f"{path.parts[-3]}-{path.stem}"
)
def test_shipped_parts_fit_the_schema(file: Path) -> None:
    assert [error.message for error in validator("part").iter_errors(as_editor_reads(file))] == []


@pytest.mark.parametrize(
    ("key", "value"),
    [("treadle", 2), ("vehicle", {}), ("devices", {}), ("title", ""), ("linkage", {"kind": "chain"}), ("extra", 1)],
)
def test_the_schema_refuses_what_treadle_refuses(key: str, value: Any) -> None:
    data = as_editor_reads(HARNESSES / "market-van" / "conversion.yaml")
    assert list(validator("conversion").iter_errors(data | {key: value}))


def test_both_words_for_ground_are_in_the_schema() -> None:
    device = json_schema("conversion")["$defs"]["Device"]["properties"]
    assert device["earthed_at"] == device["grounded_at"]
