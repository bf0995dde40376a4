"""What this rig does with heat, in whole numbers; defaults are the reference rig's.

Comes from flash or from the host, which finds the numbers by experiment. Everything that control
knows of the rig beyond its readings is here.
"""

from .errors import OrderError

# field, lowest, highest, the reference rig's value
FIELDS = (
    ("heater_w", 30, 3_000, 250),
    ("bath_j_k", 1_000, 200_000, 15_500),  # water, crock and bowl together
    ("body_j_k", 0, 100_000, 2_700),  # the part of it which the heater warms first
    ("body_lag_ms", 1_000, 1_800_000, 67_000),  # how late the water follows that part
    ("wall_mw_k", 200, 100_000, 4_400),  # bath to 1 kg of chocolate, stirred half the time
    ("loss_mw_k", 0, 50_000, 2_000),  # bath to room, lid on
    ("chill_mw_k", 0, 500_000, 30_000),  # bath to ice water, pump on
    ("trust_permille", 100, 1_000, 400),  # how far to lean on these; low until they are measured
)

_CHOCOLATE_J_KG_K = 1_630.0  # liquid, between the 1590 below 40 °C and 1670 above it of Beckett
_STILL = 0.45  # the wall carries so much of its share at half stirring when nothing stirs ...
_STIRRED = 1.1  # ... and this much more at full; both fitted to the virtual rig


class Model:
    """The rig's numbers. values is a sequence in the order of FIELDS, or None for the defaults.

    Raises OrderError where a value is no integer or out of its range.
    """

    def __init__(self, values: object = None) -> None:
        if values is None:
            values = [field[3] for field in FIELDS]
        if not isinstance(values, (list, tuple)) or len(values) != len(FIELDS):
            raise OrderError("count", "v", len(FIELDS), len(FIELDS))
        for (name, low, high, _), value in zip(FIELDS, values):
            if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
                raise OrderError("range", name, low, high)
        self.values = tuple(values)
        self.heater_w: float = values[0] * 1.0
        self.bath_j_k: float = values[1] * 1.0
        self.body_j_k: float = min(values[2], values[1] // 2) * 1.0
        self.body_lag_s: float = values[3] / 1000
        self._wall_w_k: float = values[4] / 1000
        self.loss_w_k: float = values[5] / 1000
        self.chill_w_k: float = values[6] / 1000
        self.trust: float = values[7] / 1000

    def wall_w_k(self, batch_g: int, stir_permille: int) -> float:
        """Bath to chocolate in W/K. The bowl's wall grows as the batch to the power of 2/3."""
        size: float = (batch_g / 1000) ** (2.0 / 3.0)
        return self._wall_w_k * size * (_STILL + _STIRRED * stir_permille / 1000)

    def chocolate_lag_s(self, batch_g: int, stir_permille: int) -> float:
        """How late liquid chocolate follows the bath, s."""
        capacity = batch_g / 1000 * _CHOCOLATE_J_KG_K
        return capacity / self.wall_w_k(batch_g, stir_permille)
