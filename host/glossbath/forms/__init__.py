"""One question: name, unit, limits, default, help; and a form of them."""
