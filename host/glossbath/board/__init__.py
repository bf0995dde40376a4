"""The line to a board: port, session, orders, what the board has said, clocks."""
