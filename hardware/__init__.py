"""The rig's wiring as data, the rules it must keep, and the drawings made from it."""
