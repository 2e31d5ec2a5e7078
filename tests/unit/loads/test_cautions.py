"""Cautions for the sheets."""

from unit.loads.fence_of import fence_of, strand_of

from planner.loads.cautions import ADVISORY, BARBED_NEVER_ELECTRIFIED, CAUTIONS, cautions_for


def test_every_caution_is_a_sentence_with_a_source_and_a_key_of_its_own() -> None:
    cautions = cautions_for(fence_of(strand_of(1.0, 1000.0, item="barb", kind="barbed")))
    assert len({c.key for c in cautions}) == len(cautions)
    assert all(c.text.endswith(".") and str(c.source) for c in cautions)
    assert cautions[-1] is ADVISORY
    assert {"stand-clear", "cutting", "overhead-lines", "buried-services", "cool-weather"} <= {c.key for c in CAUTIONS}


def test_only_fences_with_barbed_wire_are_told_not_to_electrify_it() -> None:
    assert BARBED_NEVER_ELECTRIFIED in cautions_for(fence_of(strand_of(1.0, 1000.0, item="barb", kind="barbed")))
    assert BARBED_NEVER_ELECTRIFIED not in cautions_for(fence_of(strand_of(1.0, 1000.0)))
