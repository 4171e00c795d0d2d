"""The loom as plain data, units in the names: every wire, run, splice and fuse, and what it all comes to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from conversion.loom.standard_sizes import awg_not_thinner
from conversion.plan.loom.tables.splices import splice_rows
from conversion.plan.plan import Plan


def loom_json(plan: Plan) -> dict[str, Any]:
    """Everything that the loom comes to; what is not known is None.

    A wire's ``route`` names its runs in order, and ``drop_v`` is what is lost over it alone at its greatest current.
    """
    return {
        "wires": list(_wires(plan)),
        "runs": list(_runs(plan)),
        "splices": list(_splices(plan)),
        "fuses": list(_fuses(plan)),
        "totals": _totals(plan),
    }


def _wires(plan: Plan) -> Iterator[dict[str, Any]]:
    for wire in plan.wiring.wires:
        choice, length = plan.sizes.choices[wire.tag], plan.lengths.get(wire.tag)
        yield {
            "wire": wire.tag,
            "from": wire.start.name,
            "to": wire.end.name,
            "role": ", ".join(wire.roles),
            "size_mm2": _rounded(wire.size_mm2),
            "colour": wire.colour,
            "route": list(plan.routes[wire.tag].runs),
            "cut_length_mm": length.cut_mm if length else None,
            "decided_by": choice.decided_by,
            "drop_v": _rounded(choice.drop_v),
        }


def _runs(plan: Plan) -> Iterator[dict[str, Any]]:
    """As described, those that no wire takes included."""
    loom = plan.description.conversion.loom
    for name, run in (loom.runs if loom else {}).items():
        bundle = plan.bundles.get(name)
        yield {
            "run": name,
            "wires": list(bundle.tags) if bundle else [],
            "diameter_mm": _rounded(bundle.diameter_mm) if bundle else 0.0,
            "length_mm": run.length.nominal if run.length else None,
        }


def _splices(plan: Plan) -> Iterator[dict[str, Any]]:
    for row in splice_rows(plan):
        yield {
            "splice": row.name,
            "station": row.station or None,
            "wires": [wire.tag for wire in row.wires],
            "size_mm2": _rounded(row.size_mm2),
            "copper_mm3": _rounded(row.place.copper_mm3),
            "elsewhere": [
                {"station": other.station, "copper_mm3": _rounded(other.copper_mm3), "why_not": other.why_not}
                for other in row.place.others
            ],
        }


def _fuses(plan: Plan) -> Iterator[dict[str, Any]]:
    for device, fuse in plan.sizes.fuses.items():
        yield {
            "fuse": device,
            "chosen_a": fuse.chosen_a,
            "decided_by": fuse.decided_by,
            "load_a": _rounded(fuse.need.load_a),
            "inrush_a": _rounded(fuse.need.inrush_a),
            "least_a": _rounded(fuse.need.least_a),
            "most_a": fuse.most_a,
            "short_circuit_a": _rounded(fuse.short_a),
            "protects": list(fuse.protects),
            "because": fuse.words,
        }


def _totals(plan: Plan) -> dict[str, Any]:
    masses = [bundle.mass_g for bundle in plan.bundles.values()]
    return {
        "wires": len(plan.wiring.wires),
        "cut_length_mm": _rounded(sum(total.cut_mm for total in plan.wire_totals)),
        "of_unknown_length": [tag for total in plan.wire_totals for tag in total.unknown],
        "mass_g": None if None in masses else _rounded(sum(mass or 0.0 for mass in masses)),
        "wire": [
            {
                "size_mm2": _rounded(total.size_mm2),
                "awg": awg_not_thinner(total.size_mm2),
                "colour": total.colour,
                "wires": total.wires,
                "cut_length_mm": _rounded(total.cut_mm),
                "to_buy_m": total.drum_m,
            }
            for total in plan.wire_totals
        ],
    }


def _rounded(value: float | None) -> float | None:
    """Far below anything that could be measured."""
    return None if value is None else round(float(value), 6)
