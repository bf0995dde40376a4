"""What a screen or a plain line shows of a rig, decided without a screen."""
