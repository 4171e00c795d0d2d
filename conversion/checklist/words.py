"""Cautions in words, each once; the stages say where they stand.

Trade knowledge without a published source, unless the sentence names one.
"""

from __future__ import annotations

HEAT = "Work on a cold engine. The exhaust and the manifold burn skin and melt insulation."
AIRBAG = (
    "Airbag and steering column: with the battery off, wait as long as the car's handbook asks before you work "
    "there. Keep meters and test lamps off airbag wiring. Nothing may touch, or catch on, the column."
)
LINES = (
    "Fuel and brake lines: look and feel on both sides of the metal before you drill, cut or weld. Move a line only "
    "with its proper tools, and bleed the brakes if one was opened."
)
WELDING = (
    "Before welding: disconnect the battery, both sides, and unplug every control unit, the new one too. Clamp the "
    "welder's return beside the weld, never across a bearing or a hinge."
)
WELDING_FIRE = (
    "Welding near fuel, carpet or sealant starts fires. Take them away, keep an extinguisher at hand, and watch the "
    "place for half an hour afterwards."
)
FULL_FOOT = (
    "A frightened driver stands on the pedal with full weight. The full stop has to carry that, without the link, "
    "the lever or the module taking any of it."
)
PLASTIC_LEVER = (
    "Do not drill, heat, bend or glue a plastic lever. Heat and holes start cracks that show up later. Clamp to it "
    "as its maker does, or make a metal lever on the same shaft with a proven fixing."
)
THREADS = (
    "Every thread of the linkage is locked: lock nuts on both ends of the rod, locking nuts or wired bolts at the "
    "pins. Screw each rod end in by at least one and a half diameters of its thread."
)
WASHER = (
    "Put a captive washer, larger than the ball's housing, outside each rod end. A rod end that pulls off its ball "
    "then still cannot fall off its bolt."
)
BRACKET = (
    "A bolt held on one side only bends: hold the pins on both sides, or keep them short and thick. A bracket that "
    "gives way eats sweep, so the pedal ends before the lever does."
)
BUCKLING = "A thin or bent rod bows when it is pushed. Push the lever against its stop by hand and watch the rod."
CABLE = (
    "A cable that kinks, frays at its nipple or rubs at the end of its outer sticks, and a stuck cable holds the "
    "throttle open. Nothing may catch on the inner, and no bend may be tighter than its maker allows."
)
CONTACT = (
    "A roller that jumps off its face may hang behind the edge and hold the throttle open. Give the face raised ends, "
    "or a guard, and keep mud and mats away from it."
)
SEAL = (
    "Seal the recess and every hole in the bulkhead against fire and fumes, with metal and fire-resisting sealant. "
    "An open hole lets exhaust gas and flames into the cabin."
)
CRIMP = (
    "A crimp that looks good can still pull off. Make three samples of every terminal and wire size, pull them, and "
    "set the tool by them before you make the loom."
)
STRIP = (
    "Strip without nicking: of 19 strands two may be nicked and none cut (FAA AC 43.13-1B, table 11-13). Else cut off "
    "and strip again; the wire for that is laid in. Wear eye protection: cut strands fly."
)
HEAT_GUN = (
    "A heat gun blows at 300 °C and more: away from fuel, from finished insulation and from hands, and never inside "
    "the car. Let a lined tube cool before it is bent."
)
HALL = (
    "A Hall or inductive track dies from wrong power and may then still look alive. Never power it on a guess: have "
    "its papers, know supply, ground and signal, and limit the current."
)
PLATE = (
    "Fingers, tools and rags out of the throttle plate while the motor is plugged in. It can snap shut at any "
    "moment, and it does not feel a finger."
)
FIRST_START = (
    "First start: wheels chocked, hand brake on, gearbox in neutral or park, and a second person with a hand on the "
    "stop switch who has tried it before. Nobody stands in front of or behind the car."
)
FUMES = "Run the engine outdoors or with the exhaust led outside. Keep an extinguisher at hand."
HOT = (
    "A running engine heats the exhaust within a minute. Keep loom, link and hands away from it, and let it cool "
    "before you reach past it."
)
EXHAUST = (
    "Hot exhaust: keep loom, link, module and hoses away from manifold, pipe and turbocharger, also when the engine "
    "rocks. Put a shield or a heat sleeve where there is no room."
)
REDUNDANCY = (
    "Never drive on a redundancy fault. When the warning lamp is lit, one track may be all that is left, and the "
    "next fault may not be noticed. Stop, switch off, find it."
)
SOLDER = (
    "Do not tin a wire that goes into a crimp, and do not lean on solder alone where things shake: the wire breaks "
    "where the solder ends."
)
METER = "Read resistance only with the part unplugged and the battery off. A live circuit falsifies it."
BATTERY = "Keep metal tools off the battery's plus until its negative clamp is off. Charge where gas can escape."
STALLED = (
    "Stopping the engine takes the servo from brakes and steering after a few strokes. Try the stop switch at a "
    "standstill first, and on a clear, level place only."
)
