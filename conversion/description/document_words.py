"""Words of the page on the format that stand beside its tables: keys that speak for themselves, and what ties keys."""

from __future__ import annotations

SELF_EVIDENT = {
    "Conversion.title": "What the conversion is called; printed on every page.",
    "Conversion.builder": "Who does the work; printed.",
    "Conversion.revision": "Of the description, so that a printed pack can be told from an older one.",
    "Conversion.date": (
        "Of the revision; printed instead of today's date, so that the same description gives the same pack."
    ),
    "Conversion.vehicle": "The car.",
    "Conversion.linkage": "How the pedal moves the module's lever.",
    "Conversion.springs": "Return springs outside the module, each under a name of its own.",
    "Conversion.loom": "Where the wires run, and what differs from the wires that follow from the roles.",
    "Conversion.study": "How the tolerance study draws its samples; leave it out to take the defaults.",
    "RodLinkageForm.kind": "A rod with a ball joint at either end.",
    "RodLinkageForm.pedal": "The pedal that stays.",
    "RodLinkageForm.rod": "What joins them.",
    "RodLinkageForm.module": "The module's place.",
    "CableLinkageForm.kind": "A control cable.",
    "CableLinkageForm.pedal": "The pedal that stays.",
    "CableLinkageForm.cable": "The cable and the ends of its outer.",
    "CableLinkageForm.quadrant": "What the inner lies in on the lever.",
    "CableLinkageForm.module": "The module's place.",
    "OverTravelSpring.rate": "Force gained for each millimetre that it is drawn out.",
    "ContactLinkageForm.kind": "A roller or a round pad that pushes.",
    "ContactLinkageForm.pedal": "The pedal that stays.",
    "ContactLinkageForm.contact": "Roller and face.",
    "ContactLinkageForm.module": "The module's place.",
    "BellCrankLinkageForm.kind": "Two rods about a bell-crank.",
    "BellCrankLinkageForm.pedal": "The pedal that stays, with the first rod's ball joint.",
    "BellCrankLinkageForm.crank": "The bell-crank between the rods.",
    "BellCrankLinkageForm.module": "The module's place.",
    "DirectLinkageForm.kind": "No link: the module's own pedal is kept.",
    "DirectLinkageForm.pedal": "That pedal.",
    "DirectLinkageForm.module": "The module.",
    "Pedal.mount": "Whether it hangs from above or stands on the floor.",
    "Pedal.rest_stop": "Where the pedal comes to rest.",
    "Pedal.full_stop": "What ends its travel.",
    "Stop.origin": "Whether the stop is on the car already or is to be made.",
    "ExtensionSpring.type": "It pulls.",
    "ExtensionSpring.fixed_end": "Where it hangs on the car.",
    "CompressionSpring.type": "It pushes.",
    "CompressionSpring.fixed_end": "Where it stands on the car.",
    "CompressionSpring.free_length": "End to end without load.",
    "CoilSpring.rate": "Force gained for each millimetre.",
    "TorsionSpring.type": "It is wound about the axis.",
    "TorsionSpring.rate": "Moment gained for each degree.",
    "Loom.runs": "Lengths of loom between stations.",
    "Loom.splices": "Places where wires are permanently joined.",
    "Loom.wires": "Changes to the wires that follow from the roles.",
    "Run.length": "Along the loom, not through the air.",
    "Run.zone": "What it runs through.",
    "Loom.allowed_drop": "Greatest loss on the way to a load and back.",
    "Loom.board": "The board that the loom is laid on; without one the drawing takes the room that it needs.",
    "Loom.labels": "The sheet of labels that was bought; without one, strips to be cut from plain paper.",
    "WireChange.colour": "Instead of the default of its role.",
    "Part.title": "What it is, in words; printed.",
    "Part.note": "Anything worth knowing, such as how it was measured; printed.",
    "Part.housings": "The shells that hold its terminals.",
    "SensingPart.tracks": "Its independent outputs.",
    "PedalModule.lever": "What the rod moves.",
    "PedalModule.idle_contact": "A contact that shows the released pedal.",
    "PedalModule.kickdown_contact": "A contact that shows the fully pressed pedal.",
    "Track.principle": "How it senses.",
    "Track.output": "What it gives over the lever's swing, unloaded.",
    "Lever.springs": "Springs that came with the module.",
    "ThrottleBody.motor": "What turns the plate.",
    "ThrottleBody.unpowered": "What the plate does without power.",
    "ControlUnit.accepts": "What it reads, and what it takes as sound.",
    "ControlUnit.supplies": "Its regulated supplies for sensors.",
    "Accepts.pedal": "The pedal's tracks.",
    "Accepts.throttle": "The throttle body's tracks.",
    "SensorInput.tracks": "Its input for each track.",
    "SensorInput.agreement": "How it compares the tracks; leave it out if it does not.",
    "SensorSupply.voltage": "Of the supply, with its tolerance.",
    "Fuse.rating": "Printed on it.",
    "Relay.coil_resistance": "Between the coil's terminals.",
    "Relay.contact_rating": "What its contact may carry.",
}
"""Meaning of keys whose model says nothing about them, by the class that first has them."""

NOTES = {
    "Conversion": (
        "Each entry of `as_wired` is one wire: two terminals, or a terminal and a splice. A place is written with its "
        "housing where a device has several, such as `K1.S.12`; one that is described as empty may be named as well. "
        "Order and direction do not matter, and what meets at a splice may be told by any pairs that join the same "
        "terminals. The list counts as complete: what is not in it is not wired. It is compared with what should be "
        "there by what it joins.\n\n"
        "```yaml\n"
        "# conversion.yaml, in place of as_wired\n"
        "as_wired:\n"
        "  - [K1.18, B1.1]\n"
        "  - [F2.2, Z1]\n"
        "  - [Z1, K1.7]\n"
        "```\n\n"
        "A file of its own, named as `as_wired: as-wired.yaml`, holds the entries and nothing else."
    ),
    "Loom": (
        "[The page on the loom](loom.md) tells how to measure it. Way, length and size of every wire follow from it; "
        "what closes a run is never broken. A station that no run reaches is a fault; runs that do not meet, and wires "
        "that may not pass, are findings."
    ),
    "FitForm": (
        "A bulkhead, floor, floor mat, carpet, shoe, column and brake pedal are asked for: describe each as an "
        "obstacle, or say under `absent` why there is none. Sizes count at the upper end of their tolerance, and an "
        "obstacle as near as the tolerance of its points allows."
    ),
    "Obstacle": (
        "It has exactly one of the five shapes. A bulkhead that is to get a recess is a `plane` or a `sheet`. What is "
        "wanted by default: 5 mm between parts, 10 mm to another pedal, mat or carpet, 15 mm to a shoe, tank, line or "
        "loom, 50 mm from lever, link and module to a heat source; two things that stand still may touch."
    ),
    "MayMove": (
        "Of a rod may move `lever_hole`, `pedal_hole`, `module`, `rod`, `rest` and `full`; of a bell-crank `crank_in` "
        "and `crank_out` as well; of a cable `pedal_hole`, `groove_radius`, `module`, `rest` and `full`; of a contact "
        "`module`, `rest` and `full`; of the module's own pedal nothing. `rest` needs a `set_at_rest` of the link, or "
        "a rod; `full` needs a full stop with `set_at`. Each may be a list, or a range with its step."
    ),
    "Wants": "A want that is left out or `unknown` has its default.",
    "Device": (
        "Reference letters are those of IEC 81346-2; which letter a part takes stands in the table of [part "
        "files](#part-files)."
    ),
    "FullStop": "It has the keys of every [stop](#stop), and either `at` or `set_at`.",
    "Rod": (
        "It needs `length` or `set_at_rest`. Where the rod is adjusted at fitting, tolerances of the geometry no "
        "longer shift the rest position; that is what `set_at_rest` says."
    ),
    "TapePoint": (
        "Three readings that are independent of each other place a point, where `side` tells its mirror image apart; a "
        "fourth shows that one is wrong, a fifth which. A mark is measured from marks above it. Without a tolerance a "
        "tape counts as ± 1 mm and a protractor as ± 1°."
    ),
    "RodThread": (
        "The least thread that stays in is what is engaged less half of `adjust`, as if one end took all of it."
    ),
    "RodEnd": "Of two rods, these are the ends of the second.",
    "Cable": "It needs `slack` or `set_at_rest`, not both.",
    "WireChange": (
        "It names the `role` of the wire that differs, or an additional wire by `from` and `to`. A wire that is "
        "left out takes no terminals, colour or size."
    ),
    "Housing": (
        "The rows must name as many places as there are positions, each once. A place that is not listed under "
        "`cavities` is reported as not described; say `empty` where nothing sits."
    ),
    "CavityForm": (
        "It says one of three things: its roles, that it is empty, or why it is unused. The short form is a role,"
        " several roles joined by `+`, or `empty`."
    ),
    "Output": (
        "Either `rest` and `full`, a straight line between them, or `points`, a table in rising order of angle. "
        "Outputs in volts need `at_supply`. A table is for a lever; give a throttle body `rest` and `full`."
    ),
    "TrackInput": "Each of the three is a window and is written as a range.",
    "Agreement": "Shares in % belong to `of: percent`, volts to `of: volts`.",
    "Study": (
        "A name under `shapes` is that of a figure with a tolerance, or of what it belongs to: `linkage.module.pivot` "
        "is all three coordinates, `linkage.module.pivot.3` the third one. The longest name that fits counts. Names "
        "of a part's figures begin with the device and stand in quotes, since they hold a colon.\n\n"
        "```yaml\n"
        "# conversion.yaml, in place of study\n"
        "study:\n"
        "  samples: 20000\n"
        "  shapes:\n"
        "    linkage.module.pivot: triangular\n"
        '    "B1: lever.swing": normal\n'
        "```"
    ),
    "Splice": "All wires of one splice must come from the same feeding device or ground point.",
}
"""What the tables cannot say, by model."""
