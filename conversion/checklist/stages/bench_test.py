"""Parts and loom on the bench: readings with the meter, before anything can be damaged."""

from __future__ import annotations

from conversion.checklist import words
from conversion.checklist.device_readings import device_rows
from conversion.checklist.job import SENSORS, Job
from conversion.checklist.loom_readings import continuity_rows, isolation_rows
from conversion.checklist.model import CONTINUITY_SHEET, Stage
from conversion.checklist.readings import motor_rows, plate_rows, powered_track_rows, resistance_rows, swing_rows
from conversion.checklist.writer import StageWriter


def bench_test(job: Job) -> Stage:
    """Measure each part by itself, then the finished loom with nothing plugged in."""
    work = StageWriter("bench-test")
    work.caution(words.METER)
    _tracks(job, work)
    work.step(
        f"{job.module_name}: turn the lever from stop to stop by hand, without force.",
        rows=swing_rows(job),
        tools=("protractor or digital level", "multimeter"),
    )
    work.step(
        f"{job.body_name}, unplugged: look at where the plate rests. Push it closed with a piece of wood, and let go; "
        "push it open, and let go. It must come back from both sides, smoothly.",
        rows=plate_rows(job),
        tools=("piece of wood", "multimeter"),
    )
    work.step(
        f"{job.body_name}: touch the motor with a current-limited supply of a few volts, for less than a second, and "
        "watch which way the plate moves.",
        rows=motor_rows(job),
        tools=("limited supply", "multimeter"),
        cautions=(words.PLATE,),
    )
    work.step(
        "Switches, relay, fuses, lamp and supply: off the car, or unplugged.",
        rows=device_rows(job),
        tools=("multimeter", "limited supply"),
        cautions=(words.BATTERY,),
    )
    work.step(
        "Loom on the bench, nothing plugged in, no fuse fitted. Read every wire from end to end; wriggle both ends.",
        rows=continuity_rows(job),
        tools=("multimeter",),
        sheet=CONTINUITY_SHEET,
    )
    work.step(
        "Read each end of every wire against its neighbours in the housing. A pair that was read stands once; what the "
        "loom joins on purpose is left out.",
        rows=isolation_rows(job),
        tools=("multimeter",),
        sheet=CONTINUITY_SHEET,
    )
    work.step("Pull gently at every wire in its housing. It must not move. Look at each secondary lock.", unit="")
    return work.finished()


def _tracks(job: Job, work: StageWriter) -> None:
    names = {"pedal": job.module_name, "throttle": job.body_name}
    for sensor in SENSORS:
        name = names[sensor]
        work.step(
            f"{name}, unplugged, at rest: read between its terminals. Take off what the leads read held together.",
            rows=resistance_rows(job, sensor),
            tools=("multimeter",),
        )
        powered = powered_track_rows(job, sensor)
        if powered:
            work.step(
                f"{name}: compare each terminal with the papers of the part before it gets any power. Without papers, "
                "stop and get them. Then feed it from a supply limited to little more than the papers state, and read.",
                rows=powered,
                tools=("limited supply", "multimeter"),
                cautions=(words.HALL,),
            )
