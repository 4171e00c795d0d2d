"""What to do and what to expect: checklist, calibration, failure modes, questions for the authorities, sign-off.

Plain words and figures that follow from a plan and its findings; nothing is laid out here.
"""

from conversion.checklist.bench_record import BenchRecord, BenchValue, judge_bench, with_record
from conversion.checklist.build import build_checklist
from conversion.checklist.calibration import CalibrationGroup, CalibrationRow, CalibrationSheet, calibration_sheet
from conversion.checklist.cover import DEFERENCE, HoldSign, SignOff, cover_cautions, not_checked, sign_off
from conversion.checklist.evidence import FigureLine, evidence_table
from conversion.checklist.failure import ABOUT_FAILURE_MODES, FailureMode, failure_modes
from conversion.checklist.model import CONTINUITY_SHEET, STAGES, Caution, HoldPoint, Row, Sheet, Stage, Step
from conversion.checklist.roadworthiness import CountryPrompts, PublishedText, roadworthiness

__all__ = [
    "ABOUT_FAILURE_MODES", "CONTINUITY_SHEET", "DEFERENCE", "STAGES", "BenchRecord", "BenchValue",
    "CalibrationGroup", "CalibrationRow", "CalibrationSheet", "Caution", "CountryPrompts", "FailureMode",
    "FigureLine", "HoldPoint", "HoldSign", "PublishedText", "Row", "Sheet", "SignOff", "Stage", "Step",
    "build_checklist", "calibration_sheet", "cover_cautions", "evidence_table", "failure_modes", "judge_bench",
    "not_checked", "roadworthiness", "sign_off", "with_record",
]  # fmt: skip
