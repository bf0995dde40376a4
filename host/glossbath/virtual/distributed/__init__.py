"""A second physics of the rig, of another structure than the lumped plant beside it.

The crock is a slab that conducts, the bath has two layers, the chocolate a core and a layer at
the wall, the fat two melting peaks, the ice a rate at which it melts. It shares no code with the
lumped plant nor with what the host computes, so that what was fitted to either shows here how far
it holds.
"""
