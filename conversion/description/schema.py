"""JSON Schema of the description, so that an editor can complete and check it while it is written."""

from __future__ import annotations

from typing import Any, Literal

from conversion.description.conversion import Conversion
from conversion.description.parts import PartFile

File = Literal["conversion", "part"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(file: File) -> dict[str, Any]:
    """JSON Schema, draft 2020-12, of the conversion file or of a part file.

    An editor reads ``1`` as a number and ``true`` as a truth value where treadle reads text; the schema accepts
    both spellings.
    """
    model = Conversion if file == "conversion" else PartFile
    schema = model.model_json_schema(mode="validation")
    return {"$schema": _DIALECT} | _as_editors_read(schema)


def _as_editors_read(value: Any) -> Any:
    if isinstance(value, list):
        return [_as_editors_read(item) for item in value]
    if not isinstance(value, dict):
        return value
    changed = {key: _as_editors_read(item) for key, item in value.items()}
    if "grounded_at" in changed:
        changed["earthed_at"] = changed["grounded_at"]
    if changed.get("const") == "1":
        changed.pop("type", None)
        changed["enum"] = [changed.pop("const"), 1]
    return changed
