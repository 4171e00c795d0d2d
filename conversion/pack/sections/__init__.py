"""What the build pack says, section by section."""

from conversion.pack.sections.contents import data_tables, loom_sections, loom_tables, write_document

__all__ = ["data_tables", "loom_sections", "loom_tables", "write_document"]
