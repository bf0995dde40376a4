"""Settings changed by order: one value at a time, checked, written whole or not at all."""

from stand_in_rig import ROMS, scratch

from glossbath_board.errors import OrderError, StoreError
from glossbath_board.limits import BATH_CEILING_MC
from glossbath_board.model import FIELDS
from glossbath_board.probes import Corrected
from glossbath_board.settings import COMMISSIONED, NOT_COMMISSIONED, WATER_ONLY, Settings
from glossbath_board.store import Record

REFERENCE = [field[3] for field in FIELDS]


def nowhere(content):
    """Takes a record and keeps it for nobody."""


def heater(watts):
    """The reference rig with another heater."""
    values = list(REFERENCE)
    values[0] = watts
    return values


def good(**content):
    return Settings(dict({"v": 1, "level": COMMISSIONED, "probes": dict(ROMS)}, **content))


def refused(settings, key, value):
    """The OrderError of a change that is refused; the settings must stay as they were."""
    before = (settings.level, settings.fault, dict(settings.lowered), settings.get("rig"))
    saved = []
    try:
        settings.put(key, value, saved.append)
    except OrderError as error:
        after = (settings.level, settings.fault, dict(settings.lowered), settings.get("rig"))
        assert before == after
        assert not saved
        return error
    raise AssertionError((key, value))


def test_a_board_without_settings_is_not_commissioned():
    for settings in (Settings(None), Settings(None, True), Settings({}), Settings({"level": 7})):
        assert settings.level == NOT_COMMISSIONED
        assert settings.fault
        assert settings.correction("bath") == (0, 0)
        assert settings.get("model") == REFERENCE


def test_the_first_value_makes_a_record():
    settings, saved = Settings(None), []
    assert settings.put("rig", "kitchen-1", saved.append) == "kitchen-1"
    assert saved == [{"v": 1, "rig": "kitchen-1"}]
    assert settings.fault == "no probe chocolate"


def test_values_are_answered_as_they_hold():
    settings = good()
    for key, value in (
        ("rig", "b_2"),
        ("cal.bath", [-310, 1_200]),
        ("cal.body", [2_000, -20_000]),
        ("limit.bath-hot", 55_000),
        ("limit.supply-low", 11_000),
        ("model", heater(260)),
        ("probe.body", "ntc"),
        ("probe.chocolate", "pt1000-3-50"),
        ("level", WATER_ONLY),
    ):
        assert settings.put(key, value, nowhere) == value
        assert settings.get(key) == value
    assert settings.fault == ""
    assert settings.lowered == {"bath-hot": 55_000, "supply-low": 11_000}
    assert settings.correction("bath") == (-310, 1_200)
    assert settings.body_is_ntc


def test_forgetting_a_value_brings_the_firmwares_own_back():
    settings = good(limits={"bath-hot": 50_000}, calibration={"bath": [5, 5]})
    assert settings.put("limit.bath-hot", None, nowhere) == BATH_CEILING_MC
    assert settings.put("cal.bath", None, nowhere) == [0, 0]
    assert settings.put("model", None, nowhere) == REFERENCE
    assert settings.put("level", None, nowhere) == NOT_COMMISSIONED
    assert settings.put("probe.bath", None, nowhere) is None
    assert settings.fault == "no probe bath"


def test_what_is_out_of_range_is_refused_and_changes_nothing():
    settings = good()
    for key, value in (
        ("rig", ""),
        ("rig", "x" * 33),
        ("rig", "a b"),
        ("rig", "caf\u00e9"),
        ("rig", 5),
        ("level", -1),
        ("level", 3),
        ("level", True),
        ("level", "2"),
        ("cal.bath", [2_001, 0]),
        ("cal.bath", [0, -20_001]),
        ("cal.bath", [0.5, 0]),
        ("cal.bath", [True, 0]),
        ("cal.bath", [0]),
        ("cal.bath", 0),
        ("limit.bath-hot", BATH_CEILING_MC + 1),
        ("limit.bath-hot", 0),
        ("limit.bath-hot", 55.0),
        ("limit.supply-low", 9_000),
        ("model", REFERENCE[1:]),
        ("model", heater(1)),
        ("probe.bath", "2801000000000035"),  # its last byte is not the CRC of the others
        ("probe.bath", "10abcdef00000000"),
        ("probe.bath", "ntc"),
        ("probe.bath", "pt1000-3-50"),
        ("probe.chocolate", "pt1000-5-50"),
        ("probe.bath", 7),
    ):
        refused(settings, key, value)


def test_limits_travel_with_a_refusal():
    error = refused(good(), "limit.bath-hot", 70_000)
    assert (error.why, error.field) == ("range", "limit.bath-hot")
    assert (error.low, error.high) == (1, BATH_CEILING_MC)


def test_unknown_keys_are_refused():
    for key in (
        "",
        "colour",
        "cal",
        "cal.room",
        "probe.room",
        "limit.no-such",
        "limit.stop-button",
    ):
        assert refused(good(), key, 1).why == "unknown key"
        try:
            good().get(key)
        except OrderError as error:
            assert error.why == "unknown key"


def test_one_chip_is_one_probe():
    error = refused(good(), "probe.bath", ROMS["body"])
    assert (error.why, error.field) == ("taken", "probe.body")


def test_another_probe_takes_the_rig_back_to_water():
    settings = good()
    settings.put("probe.bath", None, nowhere)
    assert settings.level == WATER_ONLY
    settings.put("probe.bath", ROMS["bath"], nowhere)
    assert settings.fault == ""
    assert settings.level == WATER_ONLY
    never = good(level=NOT_COMMISSIONED)
    never.put("probe.bath", ROMS["bath"], nowhere)
    assert never.level == NOT_COMMISSIONED


def test_only_good_settings_may_be_commissioned():
    settings = Settings({"probes": {"bath": ROMS["bath"]}})
    error = refused(settings, "level", WATER_ONLY)
    assert (error.why, error.detail) == ("objection", "no probe chocolate")


def test_what_another_firmware_wrote_is_kept():
    saved = []
    settings = good(glaze={"mm": 2}, probes=dict(ROMS, room="sht"))
    settings.put("cal.bath", [1, 2], saved.append)
    settings.put("probe.body", "ntc", saved.append)
    assert saved[-1]["glaze"] == {"mm": 2}
    assert saved[-1]["probes"]["room"] == "sht"


def test_a_newer_record_is_neither_obeyed_nor_touched():
    settings = good(v=2)
    assert settings.fault == "version 2"
    assert refused(settings, "rig", "x").why == "version"


def test_a_correction_that_cannot_be_is_a_fault():
    for pair in ([0, 50_000], [9_000, 0], "0", [None, 0]):
        settings = good(calibration={"bath": pair})
        assert settings.fault == "calibration bath"
        assert settings.correction("bath") == (0, 0)


def test_a_flash_that_refuses_leaves_the_old_value_in_force():
    settings = good()

    def broken(content):
        raise StoreError("flash refused the record")

    try:
        settings.put("cal.bath", [100, 0], broken)
        raise AssertionError
    except StoreError:
        pass
    assert settings.correction("bath") == (0, 0)


def test_settings_come_back_from_flash():
    record = Record(scratch("settings"), "settings")
    settings = Settings(None)
    for name, rom in ROMS.items():
        settings.put("probe." + name, rom, record.save)
    settings.put("cal.chocolate", [-250, 900], record.save)
    settings.put("level", WATER_ONLY, record.save)
    again = Settings(record.load())
    assert again.fault == ""
    assert again.level == WATER_ONLY
    assert again.correction("chocolate") == (-250, 900)
    assert again.probe("bath") == bytes(
        int(ROMS["bath"][at : at + 2], 16) for at in range(0, 16, 2)
    )


def test_corrections_are_whole_numbers_and_right_to_a_thousandth():
    reading = Corrected("bath")
    for offset in (-2_000, -1, 0, 310, 2_000):
        for gain in (-20_000, -7, 0, 1_234, 20_000):
            reading.correct(offset, gain)
            for milli in range(-55_000, 175_001, 4_999):
                reading.good(milli, 250)
                # The same sum in exact arithmetic, in millionths of a m°C.
                exact = 1_000_000 * (milli + offset) + milli * gain
                assert isinstance(reading.milli, int)
                assert abs(1_000_000 * reading.milli - exact) <= 1_000_000
                # What the board's interpreter holds without making big numbers.
                assert abs(milli // 4 * gain + 125_000) < 1 << 30


def test_a_fault_is_not_corrected():
    reading = Corrected("bath")
    reading.correct(500, 0)
    reading.good(20_000, 250)
    assert (reading.milli, reading.taken_ms) == (20_500, 250)
    reading.bad("crc")
    assert (reading.milli, reading.fault) == (None, "crc")
