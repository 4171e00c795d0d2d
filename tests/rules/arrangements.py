"""Arrangements that the worked conversion does not have and several tests begin with, as patch lines by name."""

from __future__ import annotations

from tests.kinds import BELL_CRANK

ARRANGEMENTS: dict[str, list[str]] = {
    # The throttle's second track falls while the first rises, and both share a supply and a ground.
    "opposite slopes on shared lines": [
        "M1: housings.A = {positions: 8, cavities: {1: throttle.motor.plus, 2: throttle.motor.minus, 3: empty,"
        " 4: throttle.a.supply + throttle.b.supply, 5: throttle.a.ground + throttle.b.ground,"
        " 6: throttle.a.signal, 7: throttle.b.signal, 8: empty}}",
        "M1: tracks.b.output = {rest: 89.0 % ± 1 %, full: 10.0 % ± 1 %}",
        "K1: housings.A.cavities.24 = throttle.a.supply + throttle.b.supply",
        "K1: housings.A.cavities.25 = throttle.a.ground + throttle.b.ground",
        "K1: housings.A.cavities.27 = throttle.b.signal",
        "K1: housings.A.cavities.28 = empty",
        "K1: housings.A.cavities.29 = empty",
        "K1: supplies.three = {voltage: 5.00 V ± 0.05 V, limit: 50 mA, roles: [throttle.a.supply, throttle.b.supply]}",
        "K1: supplies.four removed",
        "K1: accepts.throttle.tracks.b = {valid: 0.25 V..4.75 V, rest: 4.20 V..4.65 V, full: 0.35 V..0.75 V,"
        " pull: {to: ground, resistance: 220 kohm ± 5 %}}",
    ],
    "bell-crank": [*BELL_CRANK, "conversion: fit removed"],
}
OPPOSITE_SHARED = ARRANGEMENTS["opposite slopes on shared lines"]
