"""What changed between two descriptions, for a builder whose loom is half built by the old one."""

from conversion.bench.compare.comparison import Comparison, compare_plans

__all__ = ["Comparison", "compare_plans"]
