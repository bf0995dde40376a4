"""A rig's heat: its model, how it is found, and what will happen."""
