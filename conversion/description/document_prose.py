"""The running text of the page on the format.

Examples that begin with a comment naming a file are read by the tests as a change to a worked conversion.
"""

from __future__ import annotations

BEGIN = """\
# The description format

<!-- Generated from the types by `python -m conversion.description.document`; change them, not this page. -->

A description is one `conversion.yaml` and the part files that it names. The conversion says which car it is, which
parts sit where, how pedal and lever are linked and where the loom runs. A part file says what one part is: its
terminals, its tracks, what it accepts. Parts can be used again in another conversion.

Wires are not written down. They follow from the roles of the terminals: the control unit's `pedal.a.signal` goes to
the pedal module's `pedal.a.signal`. The description only says what differs.

`treadle schema` and `treadle schema part` print a JSON Schema of either file; an editor that knows JSON Schema then
completes the keys and marks mistakes while you write. `treadle check` reports every mistake at once, each with file,
line and column.

[A first conversion](first-conversion.md) tells the same by an example, and `harnesses/` holds whole ones.
"""

FIGURES = """\
## Figures

A figure is written as on paper: a magnitude, a unit, and what is known about it.

| written | read as |
|---|---|
| `182 mm` | exactly that |
| `182 mm ± 1 mm`, `182 ± 1 mm`, `182 mm +/- 1 mm` | 181 mm to 183 mm |
| `1.2 kohm ± 20 %` | 960 ohm to 1.44 kohm; a share of the figure itself |
| `15 % ± 1 %` | 14 % to 16 %; of a figure in %, the tolerance is in points |
| `0.30 V..0.95 V`, `0.30..0.95 V` | a range; its middle counts as the nominal value |
| `182 mm, measured` | with its evidence |
| `unknown` | not known yet: what rests on it is reported as undecided, never guessed |
| `AWG 18`, `18 AWG` | a conductor's cross-section by American Wire Gauge |

Every figure has a unit and a decimal point, not a comma. Evidence is one of `measured` (by you, on this part),
`documented` (in the part's papers) and `assumed`. A figure without evidence has that of its file: the key `evidence`
at the top, and `assumed` where that is missing too. Inside `[ ]` and `{ }` a comma ends the value, so a figure with
evidence stands in quotes there.

```yaml
# conversion.yaml, in place of springs
springs:
  main:
    acts_on: pedal
    type: extension
    fixed_end: [-70 mm ± 2 mm, 14 mm, "-20 mm ± 2 mm, measured"]
    moving_end: [-4 mm, 14 mm, -60 mm]
    free_length: 62 mm
    rate: 0.9 N/mm ± 10 %, documented
    initial_tension: unknown
  second:
    acts_on: pedal
    type: torsion
    rest_moment: 2.6 N·m, assumed
    rate: 0.05 N·m/deg
```
"""

POINTS = """\
## Points and directions

Axes are those of the vehicle, as in ISO 8855 (from memory): x forward, y to the left, z up. The origin is wherever it
is easiest to measure from. A point is a list of three lengths, `[forward, left, up]`, such as
`[120 mm ± 1 mm, 0 mm, -45 mm]`. A direction is a word ({directions}) or three plain numbers, such as `[0, 1, 0.08]`;
its length does not matter.

A rotation is `clockwise` when it looks so along the axis arrow, which is the right-hand rule.

A point may also be measured with a tape, from `marks` whose places are known: it is then a mapping with the distance
from each, as in [Measuring with a tape](measuring.md).

```yaml
# conversion.yaml, in place of marks
marks:
  A: [0 mm, 60 mm, 0 mm]
  B: [260 mm, 60 mm, 40 mm]
  C: [250 mm, -150 mm, -160 mm]
  D: {{from: {{A: 311.7 mm, B: 415.6 mm, C: 238.0 mm}}, side: down}}
```
"""

SURPRISES = """\
## What YAML does not do here

Every value is read as the text that was written and gets its meaning from its key. So `on`, `no`, `012`, `1e3` and
`12:30` are what they look like, and quotes are needed only where YAML's own signs are in the way.

| written | what happens |
|---|---|
| a key twice in one mapping | an error; neither is silently dropped |
| a key with nothing behind it | an error; write `unknown` or remove the line |
| `<<` | an error; write the lines out |
| a comma inside `{{ }}` or `[ ]` | ends the value: quote a text or a figure that has one |
| a text with `: `, or one that begins with `*`, `&`, `!`, `%`, `@` or a quotation mark | put it in quotes |
| `yes`, `on`, `True` for a choice of two | an error; write `true` or `false` |
| a list or mapping as a key; a tag such as `!!int`; a second document | an error |
| tabs for indentation | an error; use spaces |

## Limits

One file holds at most {kib} KiB, {values} values, {depth} levels of nesting and {aliases} aliases; a text has at most
{text} characters, a name {name}. After {complaints} mistakes in a file the rest is not reported. Files are UTF-8. Part
files lie in the conversion's own folder or below it, or are shipped with treadle; links that lead out are refused.
"""

EXAMPLES = """\
## Examples of part files

A Hall module, its first track read on the bench in volts and its second taken from the maker's sheet:

```yaml
# parts/pedal-module.yaml
kind: pedal-module
title: Pedal position module, two Hall tracks
evidence: documented
housings:
  A:
    positions: 6
    rows: [["1", "2", "3"], ["4", "5", "6"]]
    seen_from: mating side
    cavities:
      1: pedal.a.supply
      2: pedal.a.earth
      3: pedal.a.signal
      4: pedal.b.supply
      5: pedal.b.earth
      6: pedal.b.signal
tracks:
  a:
    principle: hall
    source_resistance: 100 ohm
    supply_current: 8 mA
    output:
      at_supply: 5.00 V
      points:
        - {at: 0°, output: "0.75 V ± 0.03 V, measured"}
        - {at: 12°, output: "2.31 V ± 0.03 V, measured"}
        - {at: 24°, output: "3.88 V ± 0.03 V, measured"}
    pull: none
  b:
    principle: hall
    source_resistance: 100 ohm
    supply_current: 8 mA
    output: {rest: 7.5 % ± 0.5 %, full: 38.8 % ± 0.5 %}
    pull: unknown
lever:
  swing: 24° ± 0.5°
  friction: unknown
```

A brake switch with a place that is not wired:

```yaml
# parts/brake-switch.yaml
kind: brake-switch
title: Brake switch with a make and a break contact
evidence: measured
housings:
  A:
    positions: 5
    cavities:
      1: feed.30
      2: brake.make
      3: feed.15
      4: brake.break
      5: {unused: "cruise control contact, not wanted"}
```

What a search may move, and a progressive feel that is wanted:

```yaml
# conversion.yaml, in place of search
search:
  may_move:
    lever_hole: [40 mm, 45 mm, 50 mm]
    module:
      x: {over: 140 mm..150 mm, step: 1 mm}
    rod: {pitch: 1.0 mm, half_turns: true, length: 110 mm..175 mm}
    rest: [1.0°, 1.5°]
  wants:
    below_full: 1.0°..3.0°
    feel: {half: 48 %}
    weights: {force: 0 %, feel: 200 %}
```

What a run passes, and what lies beside it:

```yaml
# conversion.yaml, in place of loom.runs.bulkhead-battery
loom:
  runs:
    bulkhead-battery:
      between: [bulkhead, battery]
      length: 760 mm ± 10 mm
      zone: hot
      beside: [{what: starter, apart: 40 mm}, {what: exhaust, apart: 120 mm}]
      corners: [110 mm]
      closed_to: [sensors, motor]
```

```yaml
# conversion.yaml, in place of loom.zones
loom:
  zones:
    hot: {ambient: 120 °C, clip_every: 150 mm}
  insulation: 125 °C
  allowed_drop: {continuous: 0.4 V}
```

Wires that differ from what the roles give:

```yaml
# conversion.yaml, in place of loom.wires
loom:
  wires:
    - {role: throttle.motor.plus, size: 2.5 mm², reason: long way to the engine}
    - {role: feed.87, device: K1, size: AWG 16, colour: RDWH}
    - {role: clutch.signal, left_out: the gearbox is automatic}
```
"""
