"""A chip that is dealt with in rounds of four passes of 250 ms, a second in all."""

from ..reading import BUS, OK


class Rounds:
    """A kind of chip gives _do(at, now_ms), its part of pass `at` (0 to 3) of a round, which
    returns OK or a fault word and may raise; and _fail(fault), which spoils its readings. After a
    fault the rest of the round is left out, and the next one starts afresh."""

    def __init__(self) -> None:
        self._pass = 0
        self._abandoned = False
        self._started_ms = 0

    def step(self, now_ms: int) -> None:
        """Do this pass's part of the round: at most two short transfers. Never raises."""
        at = self._pass
        self._pass = (at + 1) & 3
        if at == 0:
            self._abandoned = False
        if self._abandoned:
            return
        try:
            fault = self._do(at, now_ms)
        except Exception as error:
            fault = self._word_for(error)
        if fault != OK:
            self._abandoned = True
            self._fail(fault)

    def _do(self, at: int, now_ms: int) -> str:
        return OK

    def _fail(self, fault: str) -> None:
        pass

    @staticmethod
    def _word_for(error: Exception) -> str:
        return BUS
