"""Old fences that are to be reused."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, thing


def old(**facts: str):
    return job_of([fence((0, 50), (100, 50))], [thing(
        "existing fence", "LINESTRING (0 0, 100 0)", "East", **({"fate": "is reused", "seen": "2026-04-01"} | facts))])


def test_one_that_was_seen_to_be_sound_is_silent():
    job = old(posts_sound="80", wires="sound", ends_failed="0", built="2010")
    assert not [f for n in range(1, 5) for f in found(job, f"oldfence-0{n}")]


@pytest.mark.parametrize("fate", ["stays", "is pulled out"])
def test_only_what_is_reused_is_asked_about(fate: str):
    job = old(fate=fate, seen="", posts_sound="10", wires="failed", built="1900")
    assert not [f for n in range(1, 5) for f in found(job, f"oldfence-0{n}")]


def test_nobody_has_looked():
    assert found(old(seen=""), "oldfence-01")
    assert not found(old(), "oldfence-01")


@pytest.mark.parametrize(("sound", "told"), [("49.9", 1), ("50", 0), ("62", 0)])
def test_half_of_the_posts(sound: str, told: int):
    assert len(found(old(posts_sound=sound), "oldfence-02")) == told


@pytest.mark.parametrize(("facts", "told"), [({"ends_failed": "0"}, 0), ({"ends_failed": "1"}, 1),
                                             ({"wires": "worn"}, 0), ({"wires": "failed"}, 1)])
def test_ends_and_wires(facts: dict[str, str], told: int):
    assert len(found(old(**facts), "oldfence-03")) == told


@pytest.mark.parametrize(("built", "kind", "told"), [
    ("2001", "", 0), ("2000", "", 1), ("2006", "cattle-barbed-4", 0), ("2005", "cattle-barbed-4", 1)])
def test_years_left(built: str, kind: str, told: int):
    assert len(found(old(built=built, type=kind), "oldfence-04")) == told
