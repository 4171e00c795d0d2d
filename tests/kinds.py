"""The worked conversion with every other kind of linkage in place of its rod: lines for ``tests.rules.patching``."""

from __future__ import annotations

_STOPS = (
    "rest_stop: {origin: made, lockable: true, load: 300 N}, "
    "full_stop: {set_at: 22.5° ± 0.5°, origin: made, lockable: true, load: 900 N}"
)
_PEDAL = (
    "mount: pendant, pivot: [0 mm, 0 mm, 0 mm], axis: left, pad: [-30 mm ± 2 mm, 0 mm, -285 mm ± 2 mm], "
    f"{_STOPS}, mass: 0.55 kg, centre_of_mass: [-12 mm, 0 mm, -140 mm], friction: 0.08 N·m"
)

CABLE = [
    f"conversion: linkage = {{kind: cable, pedal: {{{_PEDAL}, cable_pin: [0 mm, 0 mm, 60 mm]}}, "
    "cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm], module_outer_end: [300 mm, -40 mm, 40 mm], "
    "set_at_rest: 1.0° ± 0.5°}, "
    "quadrant: {groove_radius: 40 mm, nipple: [428 mm, -40 mm, 28.5 mm]}, "
    "module: {device: B1, pivot: [400 mm, -40 mm, 0 mm], opens: anticlockwise}}",
]
CONTACT = [
    f"conversion: linkage = {{kind: contact, pedal: {{{_PEDAL}}}, "
    "contact: {roller_on: lever, roller_centre: [30 mm, 0 mm, -100 mm], roller_radius: 8 mm, "
    "face_point: [20 mm, 0 mm, -100 mm], face_normal: forward, face_half_length: 20 mm, set_at_rest: 1.0° ± 0.5°}, "
    "module: {device: B1, pivot: [30 mm, 0 mm, -20 mm], opens: anticlockwise}}",
]
BELL_CRANK = [
    f"conversion: linkage = {{kind: bell-crank, pedal: {{{_PEDAL}, rod_pin: [8 mm, -12 mm, -78 mm]}}, "
    "crank: {pivot: [90 mm, -30 mm, -40 mm], pin_in: [92 mm, -26 mm, -85 mm], pin_out: [88 mm, -34 mm, -85 mm]}, "
    "rod: {set_at_rest: 1.0° ± 0.5°}, "
    "module: {device: B1, pivot: [176 mm, -48 mm, -40 mm], lever_pin: [174 mm, -40 mm, -85 mm], "
    "opens: anticlockwise}}",
]
DIRECT = [
    f"conversion: linkage = {{kind: direct, pedal: {{{_PEDAL}}}, module: {{device: B1, set_at_rest: 1.0° ± 0.5°}}}}",
]
KINDS = {"cable": CABLE, "contact": CONTACT, "bell-crank": BELL_CRANK, "direct": DIRECT}
