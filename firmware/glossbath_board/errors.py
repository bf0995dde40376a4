"""Every error the firmware raises on purpose.

BoardError
├── FrameError      a message that cannot be put into one frame
├── OrderError      an order that is refused; carries what the answer needs
└── StoreError      flash does not take or give a record
"""


class BoardError(Exception):
    """Something the firmware refuses."""


class FrameError(BoardError):
    """A message that cannot be put into one frame."""


class StoreError(BoardError):
    """Flash does not take or give a record."""


class OrderError(BoardError):
    """An order that is refused.

    why is a short word, field names what was wrong, low and high are the limits that hold (None
    where there is none), detail says more; they travel back in the answer.
    """

    def __init__(
        self,
        why: str,
        field: str = "",
        low: int | None = None,
        high: int | None = None,
        detail: str = "",
    ) -> None:
        super().__init__(why, field)
        self.why = why
        self.field = field
        self.low = low
        self.high = high
        self.detail = detail


class Maintenance(BoardError):
    """A person wants other tools let in: the pass ends and the board restarts without firmware."""
