"""A flat linkage whose clearances can be had in the head, and the lines that describe what stands around it."""

from __future__ import annotations

# Pedal pin and lever pin 60 mm below their axles and a rod as long as the axles are apart: both turn alike, by
# 0.25 rad at the full stop. Over-travel goes on to 0.2625 rad, 5 % more.
LINKAGE = (
    "conversion: linkage = {kind: rod, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm], pad: [0 mm, 0 mm, -240 mm],"
    " rod_pin: [0 mm, 0 mm, -60 mm], rest_stop: {origin: made, lockable: true, load: 300 N},"
    " full_stop: {at: 60 mm, origin: made, lockable: true, load: 900 N}, friction: 0.08 N·m},"
    " rod: {length: 200 mm}, module: {device: B1, pivot: [200 mm, 0 mm, 0 mm], lever_pin: [200 mm, 0 mm, -60 mm],"
    " opens: anticlockwise}}"
)
END_RAD = 0.25 * 1.05
BODIES = (
    "bodies: {pedal_arm: 10 mm, pad: {width: 60 mm, height: 80 mm, thickness: 10 mm}, lever: {thickness: 12 mm}, "
    "link: {diameter: 8 mm}, module: {centre: [200 mm, -50 mm, 0 mm], size: [40 mm, 30 mm, 60 mm]}}"
)


def with_fit(obstacles: str = "{}", more: str = "", bodies: str = BODIES) -> list[str]:
    """Lines of a patch: the flat linkage with a fit; ``more`` begins with a comma."""
    return ["conversion: search removed", LINKAGE, f"conversion: fit = {{{bodies}, obstacles: {obstacles}{more}}}"]
