"""The diagnosis measured against cases whose causes the trade's books give."""

from __future__ import annotations

from glossbath.chocolate.bloom import diagnose, table

from .bloom_cases import CASES


def test_nine_of_ten_causes_are_ranked_first() -> None:
    wrong = []
    for words, cause, source in CASES:
        ranked = diagnose(words.split()).causes
        if not ranked or ranked[0].name != cause:
            best = [(one.name, one.score) for one in ranked[:3]]
            wrong.append(f"{words}: {cause} expected ({source}), found {best}")
    assert len(wrong) <= len(CASES) // 10, "\n".join(wrong)


def test_every_cause_has_a_case_and_every_case_a_cause() -> None:
    assert {cause for _, cause, _ in CASES} == {cause.name for cause in table().cause}


def test_the_cases_are_many_and_all_different() -> None:
    assert len(CASES) >= 60
    assert len({frozenset(words.split()) for words, _, _ in CASES}) == len(CASES)
