"""What the builder wrote: typed, checked, and each value with its place in the files."""

from conversion.description.complaints import Complaint, DescriptionError, Place
from conversion.description.described import Description, Missing, Terminal
from conversion.description.reader import read_description

__all__ = ["Complaint", "Description", "DescriptionError", "Missing", "Place", "Terminal", "read_description"]
