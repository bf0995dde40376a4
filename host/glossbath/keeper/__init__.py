"""The process that owns one board."""
