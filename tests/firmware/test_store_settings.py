"""Settings: good ones bind probes and lower limits, all others keep the rig from heating."""

from glossbath_board.settings import COMMISSIONED, NOT_COMMISSIONED, Settings

ROMS = {"chocolate": "2801000000000035", "bath": "2802000000000066", "body": "2803000000000057"}


def settings(**content):
    return Settings(dict({"probes": ROMS}, **content))


def test_good_settings():
    good = settings(limits={"bath-hot": 55_000, "supply-low": 11_000, "body-hot": 80_000})
    assert good.fault == ""
    assert good.lowered == {"bath-hot": 55_000, "supply-low": 11_000, "body-hot": 80_000}
    assert good.probe("bath") == bytes.fromhex("2802000000000066")
    assert not good.body_is_ntc


def test_the_thermistor_may_stand_at_the_body_only():
    probes = dict(ROMS, body="ntc")
    assert Settings({"probes": probes}).fault == ""
    assert Settings({"probes": probes}).body_is_ntc
    assert Settings({"probes": dict(ROMS, bath="ntc")}).fault == "no probe bath"


def test_platinum_may_stand_at_the_chocolate_only():
    for word, kind in (
        ("pt100-2-60", (100, 2, 60)),
        ("pt1000-3-50", (1000, 3, 50)),
        ("pt1000-4-50", (1000, 4, 50)),
    ):
        made = Settings({"probes": dict(ROMS, chocolate=word)})
        assert (made.fault, made.platinum) == ("", kind)
        assert Settings({"probes": dict(ROMS, bath=word)}).fault == "no probe bath"
    for word in ("pt100", "pt100-5-50", "pt500-3-50", "pt100-3-55", "pt100-3-50-1", "ntc", 100):
        made = Settings({"probes": dict(ROMS, chocolate=word)})
        assert (made.fault, made.platinum) == ("no probe chocolate", None)


def test_no_settings_and_damaged_ones_are_told_apart():
    assert Settings(None).fault == "missing"
    assert Settings(None, True).fault == "damaged"


def test_what_is_left_of_damaged_settings_is_no_commissioned_rig():
    # A lowered limit or another probe may have been in the copy that is lost.
    left = Settings({"probes": ROMS, "level": COMMISSIONED}, True)
    assert (left.fault, left.level) == ("damaged", NOT_COMMISSIONED)
    assert left.probe("bath") is not None
    left.put("rig", "kitchen", lambda content: None)
    assert (left.fault, left.level) == ("", NOT_COMMISSIONED)


def test_what_cannot_be_is_a_fault():
    for content in (
        {},
        {"probes": None},
        {"probes": []},
        {"probes": {}},
        {"probes": dict(ROMS, bath=None)},
        {"probes": dict(ROMS, bath="28")},
        {"probes": dict(ROMS, bath="xx02000000000066")},
        {"probes": ROMS, "limits": 7},
        {"probes": ROMS, "limits": {"bath-hot": 60_001}},
        {"probes": ROMS, "limits": {"bath-hot": 0}},
        {"probes": ROMS, "limits": {"bath-hot": -5}},
        {"probes": ROMS, "limits": {"bath-hot": 55.5}},
        {"probes": ROMS, "limits": {"bath-hot": True}},
        {"probes": ROMS, "limits": {"bath-hot": "55000"}},
        {"probes": ROMS, "limits": {"bath-hot": None}},
        {"probes": ROMS, "limits": {"bath-hot": float("nan")}},
        {"probes": ROMS, "limits": {"supply-low": 10_499}},
        {"probes": ROMS, "limits": {"no-such-row": 1}},
        {"probes": ROMS, "limits": {"stop-button": 1}},
        {"probes": ROMS, "limits": {"proof-relay": 1}},
    ):
        assert Settings(content).fault != "", content
    assert settings(limits={"bath-hot": 60_001}).fault == "limit bath-hot"
