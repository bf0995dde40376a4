"""A cycle's folder becomes a page that a person can read, print and hand on."""
