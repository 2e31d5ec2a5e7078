"""Old fences that are to be reused."""

import pytest
from unit.surroundings.ground_jobs import fence, found, job_of, thing


def old(**facts: str):
    return job_of([fence((0, 50), (100, 50))], [thing(
        "existing fence", "LINESTRING (0 0, 100 0)", "East", **({"fate": "is reused", "seen": "2026-04-01"} | facts))])


@pytest.mark.rules(silent="oldfence-01 oldfence-02 oldfence-03 oldfence-04")
def test_one_that_was_seen_to_be_sound_is_silent():
    job = old(posts_sound="80", wires="sound", ends_failed="0", built="2010")
    assert not [f for n in range(1, 5) for f in found(job, f"oldfence-0{n}")]


@pytest.mark.parametrize("fate", ["stays", "is pulled out"])
def test_only_what_is_reused_is_asked_about(fate: str):
    job = old(fate=fate, seen="", posts_sound="10", wires="failed", built="1900")
    assert not [f for n in range(1, 5) for f in found(job, f"oldfence-0{n}")]


@pytest.mark.rules(fires="oldfence-01")
def test_nobody_has_looked():
    assert found(old(seen=""), "oldfence-01")
    assert not found(old(), "oldfence-01")


@pytest.mark.rules(fires="oldfence-02", limit="oldfence-02")
def test_half_of_the_posts():
    assert [len(found(old(posts_sound=sound), "oldfence-02")) for sound in ("62", "50", "49.9")] == [0, 0, 1]


@pytest.mark.rules(fires="oldfence-03", limit="oldfence-03")
def test_ends_and_wires():
    """One end that has failed is enough."""
    told = [[len(found(old(ends_failed=ends, wires=wires), "oldfence-03")) for ends in ("0", "1")]
            for wires in ("sound", "worn", "failed")]
    assert told == [[0, 1], [0, 1], [1, 1]]


@pytest.mark.rules(fires="oldfence-04", limit="oldfence-04")
def test_years_left():
    told = [len(found(old(built=built, type=kind), "oldfence-04")) for built, kind in (
        ("2001", ""), ("2000", ""), ("2006", "cattle-barbed-4"), ("2005", "cattle-barbed-4"))]
    assert told == [0, 1, 0, 1]
