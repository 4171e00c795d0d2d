"""Plan a conversion from a throttle cable to an electronic throttle.

The rooms of this package stand in the order in which data flows: quantities, description, linkage, wiring,
loom, sensing, plan, rules, checklist, drawings, pack, and the command that calls them.
"""
