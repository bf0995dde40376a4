"""The screens: a client of the keeper, without logic of their own."""
