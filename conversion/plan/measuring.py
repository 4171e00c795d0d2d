"""How a builder with hand tools finds a figure of the description: tape, protractor, spring balance, multimeter.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fnmatch import fnmatchcase

_POINT = (
    "Measure from the same origin along the car: forward, left, up; use a square or a plumb line, to 1 mm. "
    "Measure the distances to two other points as well: they show a slip."
)
_TAPE = (
    "Hook the tape on the mark, pull it tight in a straight line to the middle of the point, and read to 1 mm; read it "
    "again from the other end."
)
_CALIPER = "Measure it with a caliper where it is thickest, washers and nuts included."
_OUTSIDE = "Measure it along the car's axes with square and tape, over everything that sticks out."
_OBSTACLE = (
    "Measure its nearest edges from the origin along the car, with square, plumb line and tape, to 2 mm; press a "
    "mat or a carpet as a heel presses it."
)
_PROTRACTOR = "Hold a protractor or digital level at the mark, along a straight edge that points at the point."
_TORQUE = (
    "Pull square to the lever with a spring balance at a measured radius; the moment is the pull times the radius. "
    "Read it on the way out and on the way back: half the sum is the springs, half the difference is friction."
)
_FRICTION = (
    "Take the springs off. Pull square to the arm with a spring balance at a measured radius, slowly, both ways; "
    "half the difference of the two readings times the radius is the friction."
)
_VOLTS_OUT = (
    "Feed the track from a steady supply limited to 20 mA. Read the supply and the signal with the same meter, "
    "the lever on its stop; the output is signal divided by supply. Never feed a Hall module on a guess: have its "
    "papers."
)
_PAPERS = "Read it in the control unit's papers, or in the settings of a programmable one. Do not guess it."
_RATING = "Read it on the part or in its papers."
_CHOSEN = "Nothing is measured here: it is chosen; say why in a comment."
_CORD = "Hold a cord from the station to the housing, with a bow that lets it be unplugged; measure the cord."
_RADIUS = "Hold round things into the bend until one fits, and halve its diameter."
_DRAWN = (
    "Read it in the part's papers, or with a clamp meter round the feed, everything switched on; for the inrush with "
    "one that holds the peak."
)
_CRIMP = "Read it in the papers of the contact or of the tool; without any, crimp three samples and measure them."

# First pattern that fits the dotted path, list entries as their number; the more special ones stand first.
_WAYS: tuple[tuple[str, str], ...] = (
    ("vehicle.mass", "Read the gross vehicle mass on the plate or in the papers of the car."),
    (
        "vehicle.supply",
        "Read the battery while the starter turns, and again with the engine at a fast idle and the lamps off.",
    ),
    ("*.from.*", _TAPE),
    ("*.angles.*", _PROTRACTOR),
    ("marks.*", _POINT),
    ("linkage.pedal.centre_of_mass.*", "Balance the pedal on an edge, twice, and mark where the two lines cross."),
    ("linkage.pedal.mass", "Weigh the pedal on kitchen scales."),
    ("linkage.pedal.friction", _FRICTION),
    (
        "linkage.pedal.full_stop.at",
        "Lay a tape along the arc of the pad's centre, from the rest stop to the full stop.",
    ),
    (
        "linkage.pedal.full_stop.set_at",
        "Set the stop with a protractor or digital level on the module's lever, and write down what it reads.",
    ),
    ("linkage.pedal.*.load", "Press the pad through bathroom scales, or take what the stop's maker states."),
    ("linkage.rod.length", "Measure between the centres of the two ball joints, the lock nuts tight."),
    (
        "linkage.rod.set_at_rest",
        "Adjust the rod with the pedal on its rest stop; read the lever with a protractor or digital level.",
    ),
    (
        "linkage.*rod.*_end.limit",
        "Read it in the joint's papers, or lean the loose joint on its bolt and read the angle.",
    ),
    ("linkage.*rod.*_end.bolt_diameter", "Measure its thread's core, or a plain shank, where it leaves what holds it."),
    ("linkage.*rod.*_end.overhang", "Measure from the middle of the ball to the face that the bolt is held in."),
    (
        "linkage.module.bracket_stiffness",
        "Pull at the lever's pin along the link with a spring balance, the lever on its stop, and read a dial gauge or "
        "a caliper there: the pull divided by what it gives.",
    ),
    ("linkage.*rod.thread.engaged", "Screw the rod end off, count its turns, and multiply by the thread's pitch."),
    (
        "linkage.*rod.thread.adjust",
        "Measure the rod screwed together as far as it goes, and as far out as its thread allows; take the difference.",
    ),
    ("linkage.*rod.*diameter", "Measure it with a caliper."),
    ("linkage.rod.side_load_limit", "Ask the module's papers; nobody finds it by trying without breaking one."),
    ("linkage.cable.slack", "Pull the inner by hand at the pedal until the lever just moves, and measure how far."),
    (
        "linkage.cable.set_at_rest",
        "Turn the adjuster with the pedal on its rest stop; read the lever with a protractor or digital level.",
    ),
    ("linkage.cable.over_travel.from_lever", "Pull until the lever is stopped; read it with a digital level."),
    ("linkage.cable.over_travel.preload", "Hold the lever on its stop and pull with a spring balance until it gives."),
    ("linkage.cable.over_travel.rate", "Pull on, read the spring balance at two lengths; divide the differences."),
    (
        "linkage.quadrant.groove_radius",
        "Measure across the groove with the inner in it; halve, and take off half the inner.",
    ),
    (
        "linkage.contact.*radius",
        "Measure its diameter with a caliper and halve it; lay a radius gauge on an arched face.",
    ),
    ("linkage.contact.face_half_length", "Measure the face from its middle to where it ends."),
    ("linkage.*.set_at_rest", "Set it with the pedal on its rest stop; read the lever with a digital level."),
    ("springs.*.fixed_end.*", _POINT),
    ("springs.*.moving_end.*", _POINT),
    ("springs.*.free_length", "Take the spring off and measure from hook to hook, or end to end, without load."),
    (
        "springs.*.longest",
        "Ask its maker; or take the free length and as much again as its coils are long when they touch.",
    ),
    ("springs.*.coil.wire", "Measure the wire with a caliper, to a hundredth: 1 % of it is 4 % of the rate."),
    ("springs.*.coil.outside", "Measure across the coils with a caliper, at three places."),
    ("springs.*.shortest", "Press it in a vice, gently, until its coils touch, and measure from end to end."),
    (
        "springs.*.rate",
        "Hang two known loads on the spring one after the other; the rate is the difference of the loads divided by "
        "the difference of the lengths. For a torsion spring take moments and angles.",
    ),
    ("springs.*.initial_tension", "Hang a spring balance on it and pull until the coils just part."),
    ("springs.*.rest_moment", _TORQUE),
    ("linkage.*.[0-9]", _POINT),
    ("fit.bodies.*.centre.*", _POINT),
    ("fit.bodies.pad.*", "Measure the pad with a caliper or rule, its rubber on."),
    ("fit.bodies.shoe.*", "Stand the widest shoe that will drive on the pad, and measure it there."),
    ("fit.bodies.outer.through.*", _POINT),
    ("fit.bodies.*.size.*", _OUTSIDE),
    ("fit.bodies.*", _CALIPER),
    ("fit.brake_gap", "Try it with the widest shoe that will drive: it must reach one pedal without the other."),
    ("fit.obstacles.*.radius", "Lay a cord or a strip of paper round it; divide its length by 6.28."),
    ("fit.obstacles.*.thickness", "Measure the sheet with a caliper at a hole or an edge, sound-deadening left off."),
    ("fit.obstacles.*.size.*", _OUTSIDE),
    ("fit.obstacles.*.clearance", "Nothing is measured here: say how much is wanted, and why in a comment."),
    (
        "fit.obstacles.*.travel.at_pad",
        "Lay a tape along the arc of that pedal's pad, from its rest to as far as it can ever go. A brake pedal goes "
        "farthest when a circuit leaks: press it with a bleed screw open, and bleed the brakes anew afterwards.",
    ),
    ("fit.obstacles.*", _OBSTACLE),
    ("fit.recess.k_factor", "Bend a strip of the same sheet and compare its length before and after."),
    ("fit.recess.*", "It is chosen: by the sheet that is there and the tool that bends it."),
    ("fit.members.*.section.*", _CALIPER),
    ("fit.members.*", _POINT),
    ("fit.infills.*", "Measure the corner and the stock with square and caliper."),
    ("fit.face.*", "It is chosen: by the module's own holes, read with a caliper."),
    ("loom.runs.*.length", "Lay a cord where the loom will lie, with its bends, and measure the cord."),
    ("loom.runs.*.beside.*", "Measure with a rule from the loom's place to it, where the two come nearest."),
    ("loom.runs.*.corners.*", _RADIUS),
    ("loom.stations.*.hole", "Measure the hole in the sheet with a caliper, without its grommet."),
    ("loom.zones.*.ambient", "Tape a thermometer there, drive until all is warm, stop, and read its highest."),
    ("loom.insulation", "Read the class on the reel or in the papers of the wire, for its whole life."),
    ("loom.board.*", "Measure the board with a tape."),
    ("loom.labels.*", "Measure the sheet with a rule; its packet may state them."),
    ("loom.temperature", "Take the air's highest where most of the loom lies."),
    ("loom.contact_resistance", "Pass 1 A through a sample and read the millivolts across it: they are its milliohms."),
    ("loom.tail", _CORD),
    ("loom.twist_pitch", "Twist a sample with the same drill, and divide its length by its turns."),
    ("loom.retermination", "Cut a contact off behind its seal, crimp another, and measure by how much it is shorter."),
    ("*drip_loop", "Hang a cord from the housing in a bow lower than both its ends; measure what it adds."),
    ("devices.*.tail", _CORD),
    ("loom.wires.*.size", "Read it on the reel, or measure the bare strands: their number times the area of one."),
    ("lever.swing", "Hold a protractor or digital level on the lever and turn it from stop to stop, without force."),
    (
        "lever.full_at",
        "Turn the lever slowly toward full and read where the signal stops changing; read the angle there.",
    ),
    ("lever.friction", _TORQUE),
    ("lever.springs.*", _TORQUE),
    ("*_contact.at", "Turn the lever slowly with the meter on the contact; read the angle where it changes."),
    (
        "tracks.*.resistance",
        "Unplug the part. Read with the multimeter between the track's supply and ground terminals. Take off what "
        "the leads read held together.",
    ),
    (
        "tracks.*.source_resistance",
        "Unplug the part. Read from signal to ground and from signal to supply; the two together, less the "
        "end-to-end reading, are twice the figure.",
    ),
    ("tracks.*.supply_current", "Read it in the part's papers, or with the meter in the supply wire once it is fed."),
    ("tracks.*.series", "Read the resistor with the multimeter before it goes in; write 0 ohm where there is none."),
    (
        "tracks.*.pull*",
        "Read it in the part's papers. If there is one between signal and ground or supply, it shows as a reading "
        "that stays when the wiper is off the track.",
    ),
    ("tracks.*.output.at_supply", "Read the supply with the same meter at the same moment as the output."),
    ("tracks.*.output.points.*.at", "Read the lever with a protractor or digital level at each point."),
    ("tracks.*.output.*", _VOLTS_OUT),
    ("draws.*", _DRAWN),
    ("housings.*.contact.*", _CRIMP),
    ("search.*", "Nothing is measured here: say what may be tried and what is wanted of the result."),
    ("motor.resistance", "Unplug the part. Read between the motor's terminals in several positions; take the least."),
    ("motor.current", "Read it in the papers of the throttle body and of the control unit."),
    (
        "unpowered.opening",
        "Unplug the part and let the plate rest. Read its track there as a share of the way from closed to open.",
    ),
    (
        "accepts.*.pull*",
        "Unplug the control unit's housing and take its feeds away. Read from the input to ground and to the track's "
        "supply; compare with the papers.",
    ),
    ("accepts.*", _PAPERS),
    ("supplies.*.voltage", "With the ignition on, read between the supply and the sensor ground of the same track."),
    ("supplies.*.limit", _PAPERS),
    ("rating", _RATING),
    ("contact_rating", _RATING),
    ("coil_resistance", "Unplug the relay and read between the two coil terminals."),
    ("limits.*", _CHOSEN),
    ("loom.*", _CHOSEN),
)

_OTHERWISE = "Measure it, or read it in the part's papers, and write down with what and by whom."


def how_to_measure(path: Sequence[str | int]) -> str:
    """How to find the figure at a path of the conversion file or of a part file; every path has an answer.

    Args:
        path: Steps to the figure, as in StatedFigure.path.

    Example:
        >>> how_to_measure(("linkage", "pedal", "mass"))
        'Weigh the pedal on kitchen scales.'
    """
    dotted = ".".join(str(step) for step in path)
    return next((way for pattern, way in _WAYS if fits(dotted, pattern)), _OTHERWISE)


def fits(path: str, pattern: str) -> bool:
    """Whether a dotted path fits a pattern, in which ``*`` is any text and, after one, ``[0-9]`` a digit.

    The plain beginning is compared first: most patterns fail on it, and need not be made ready for more.

    Example:
        >>> fits("linkage.pedal.pad.2", "linkage.*.[0-9]"), fits("loom.drum", "linkage.*.[0-9]")
        (True, False)
    """
    return path.startswith(pattern.partition("*")[0]) and fnmatchcase(path, pattern)
