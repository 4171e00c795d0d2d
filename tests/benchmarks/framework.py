"""How a speed is stated and judged here, and how to add one.

A time alone says more about the machine than about the program, so each benchmark is a ratio: the thing
measured against a named reference, both timed in one run, turn about, the best of a few repeats of each.

Write a file ``bench_NAME.py`` beside this one; it is found by its name. In it, one function for a benchmark::

    DEMO = "harnesses/market-van/conversion.yaml"

    @benchmark("treadle check", at_most=4.0, reference="import numpy, yaml")
    def check() -> Times:
        return command_times(treadle("check", DEMO), python("import numpy, yaml"), repeats=5)

``at_most`` bounds measured / reference; ``at_least`` bounds reference / measured, that is how
many times faster it is. A promise in seconds is kept beside one of them with ``within_s``. Raise
:class:`NotMeasured` where something that it needs is missing: that counts as a missed target. Run all with
``python -m tests.benchmarks``, or some with words of their names after it.

Commands and their references find their modules compiled, as an installer leaves them: all are compiled on the
first run, which is not timed, into a folder of the run's own. Else a checkout, or a shell that forbids Python to
write compiled modules, would make treadle alone compile itself each time, while libraries come compiled.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache


class NotMeasured(Exception):
    """A benchmark could not be taken; the text says what is missing."""


@dataclass(frozen=True)
class Times:
    """Best time of the measured thing and of its reference, taken in one run. [s]"""

    measured_s: float
    reference_s: float


@dataclass(frozen=True)
class Benchmark:
    """A target, and the function that takes its times."""

    name: str
    reference: str
    take: Callable[[], Times]
    at_most: float | None
    at_least: float | None
    within_s: float | None = None

    def verdict(self, times: Times) -> tuple[float, bool]:
        """The ratio, and whether it meets the target.

        Example:
            >>> Benchmark("a", "b", lambda: Times(2, 1), at_most=3, at_least=None).verdict(Times(2.0, 1.0))
            (2.0, True)
            >>> Benchmark("a", "b", lambda: Times(2, 1), at_most=None, at_least=9).verdict(Times(1.0, 8.0))
            (8.0, False)
            >>> Benchmark("a", "b", lambda: Times(2, 1), 3, None, within_s=60).verdict(Times(90.0, 50.0))
            (1.8, False)
        """
        in_time = self.within_s is None or times.measured_s <= self.within_s
        if self.at_most is not None:
            ratio = times.measured_s / times.reference_s
            return ratio, in_time and ratio <= self.at_most
        assert self.at_least is not None
        ratio = times.reference_s / times.measured_s
        return ratio, in_time and ratio >= self.at_least

    @property
    def target(self) -> str:
        """The target in words."""
        bound = f"<= {self.at_most:g} x" if self.at_most is not None else f"{self.at_least:g} x faster"
        return bound if self.within_s is None else f"{bound} and within {self.within_s:g} s"


REGISTERED: list[Benchmark] = []


def benchmark(
    name: str,
    *,
    reference: str,
    at_most: float | None = None,
    at_least: float | None = None,
    within_s: float | None = None,
) -> Callable[[Callable[[], Times]], Callable[[], Times]]:
    """Register a function as a benchmark; exactly one of the two bounds is given, and a time where one is promised."""
    if (at_most is None) == (at_least is None):
        raise ValueError("give at_most or at_least, and not both")

    def register(take: Callable[[], Times]) -> Callable[[], Times]:
        REGISTERED.append(Benchmark(name, reference, take, at_most, at_least, within_s))
        return take

    return register


def best_of(call: Callable[[], object], repeats: int) -> float:
    """Shortest of several runs: the one that other work on the machine disturbed least. [s]"""
    return min(_one(call) for _ in range(repeats))


def command_time(argv: Sequence[str], repeats: int) -> float:
    """Shortest wall time of a whole command, its start included. [s]

    Raises:
        NotMeasured: the command cannot be run, or ends with a code other than 0.
    """
    return best_of(lambda: _run(argv), repeats)


def command_times(
    measured: Sequence[str], reference: Sequence[str], repeats: int, codes: Sequence[int] = (0,)
) -> Times:
    """Both commands turn about, so that a slow spell of the machine falls on both.

    Args:
        measured: Command line.
        reference: Command line that it is held against.
        repeats: How often each is timed.
        codes: Exit codes of the measured command that count as done.
    """
    return times_of(lambda: _run(measured, codes), lambda: _run(reference), repeats)


def times_of(measured: Callable[[], object], reference: Callable[[], object], repeats: int) -> Times:
    """Both calls turn about, once each unmeasured, so that caches are warm for both."""
    measured()
    reference()
    pairs = [(_one(measured), _one(reference)) for _ in range(repeats)]
    return Times(min(first for first, _ in pairs), min(second for _, second in pairs))


def python(program: str) -> list[str]:
    """Command line of a small program in this interpreter."""
    return [sys.executable, "-c", program]


def treadle(*words: str) -> list[str]:
    """Command line of treadle in this interpreter."""
    return [sys.executable, "-m", "conversion", *words]


def report(chosen: Sequence[Benchmark]) -> bool:
    """Take each benchmark, print a line for it, and say whether all met their targets."""
    width = max((len(each.name) for each in chosen), default=0)
    print(f"{'':6} {'what':{width}} {'measured':>10} {'reference':>10} {'ratio':>8}   target, against")
    met = 0
    for each in chosen:
        try:
            times = each.take()
        except NotMeasured as reason:
            print(f"{'MISSED':6} {each.name:{width}} not measured: {reason}", flush=True)
            continue
        ratio, good = each.verdict(times)
        met += good
        print(
            f"{'met' if good else 'MISSED':6} {each.name:{width}} {_shown(times.measured_s)} "
            f"{_shown(times.reference_s)} {ratio:8.2f}   {each.target}, {each.reference}",
            flush=True,
        )
    print(f"{met} of {len(chosen)} targets met.")
    return met == len(chosen)


def _one(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def _run(argv: Sequence[str], codes: Sequence[int] = (0,)) -> None:
    try:
        done = subprocess.run(argv, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False, env=_environment())
    except OSError as error:
        raise NotMeasured(f"{argv[0]}: {error.strerror}") from error
    if done.returncode not in codes:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise NotMeasured(f"'{' '.join(argv[1:4])}' ended with {done.returncode}: {said[-1] if said else ''}")


@cache
def _compiled() -> tempfile.TemporaryDirectory[str]:
    """Where compiled modules are kept while the benchmarks run."""
    return tempfile.TemporaryDirectory(prefix="treadle-")


def _environment() -> dict[str, str]:
    """This shell's, with compiled modules kept."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": _compiled().name}


def _shown(seconds: float) -> str:
    """With the unit in which it has one to four figures before the point.

    Example:
        >>> _shown(0.65189), _shown(0.0000237), _shown(2e-8)
        ('  651.9 ms', '   23.7 us', '   20.0 ns')
    """
    for unit, size in (("ms", 1e3), ("us", 1e6)):
        if seconds * size >= 1.0:
            return f"{seconds * size:7.1f} {unit}"
    return f"{seconds * 1e9:7.1f} ns"
