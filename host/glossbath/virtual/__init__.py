"""The virtual rig: plant, chips and wire around the real firmware. It is virtual and says so."""
