from __future__ import annotations

import os
from pathlib import Path

import pytest

from planner.errors import FileTrouble
from planner.files import atomic_save
from planner.files.atomic_save import whole_file, write_text


def test_the_draft_stands_beside_the_target_with_its_ending(tmp_path: Path):
    target = tmp_path / "plan.json"
    with whole_file(target) as draft:
        assert (draft.parent, draft.suffix) == (tmp_path, ".json")
        assert draft != target
        draft.write_text("new", encoding="utf-8")
        assert not target.exists()
    assert target.read_text(encoding="utf-8") == "new"
    assert list(tmp_path.iterdir()) == [target]


def fail_half_way(target: Path, trouble: BaseException) -> None:
    with whole_file(target) as draft:
        draft.write_text("half", encoding="utf-8")
        raise trouble


@pytest.mark.parametrize("trouble", [RuntimeError("half-way"), KeyboardInterrupt()])
def test_a_block_that_fails_leaves_the_target_and_nothing_else(tmp_path: Path, trouble: BaseException):
    target = tmp_path / "plan.json"
    target.write_text("old", encoding="utf-8")
    with pytest.raises(type(trouble)):
        fail_half_way(target, trouble)
    assert target.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_full_disk_is_one_sentence_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "plan.json"
    target.write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileTrouble, match=r"plan\.json: it cannot be written \(No space left on device\); choose"):
        write_text(target, "new")
    assert target.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_draft_that_was_never_written_is_a_trouble_not_an_empty_file(tmp_path: Path):
    target = tmp_path / "plan.json"
    with pytest.raises(FileTrouble, match="cannot be written"), whole_file(target):
        pass
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("place", ["gone/plan.json", "taken/plan.json"])
def test_a_folder_that_cannot_be_written_to(tmp_path: Path, place: str):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    with pytest.raises(FileTrouble, match="cannot be written"):
        write_text(tmp_path / place, "x")


def test_text_is_utf_8_and_its_line_ends_are_kept(tmp_path: Path):
    write_text(tmp_path / "a.txt", "é\r\n羊\n")
    assert (tmp_path / "a.txt").read_bytes() == "é\r\n羊\n".encode()


def test_the_content_is_forced_to_disk_before_it_takes_the_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    done: list[str] = []
    monkeypatch.setattr(atomic_save, "_force_to_disk", lambda path: done.append("folder" if path.is_dir() else "file"))
    replace = os.replace
    monkeypatch.setattr(os, "replace", lambda a, b: (done.append("replace"), replace(a, b)))
    write_text(tmp_path / "a.txt", "x")
    assert done == ["file", "replace", "folder"]


def test_the_previous_version_is_kept_one_generation(tmp_path: Path):
    target = tmp_path / "farm.job.gpkg"
    for text in ("first", "second", "third"):
        with whole_file(target, keep_previous=True) as draft:
            draft.write_text(text, encoding="utf-8")
    assert target.read_text(encoding="utf-8") == "third"
    assert atomic_save.backup_of(target).read_text(encoding="utf-8") == "second"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["farm.job.gpkg", "farm.job.gpkg.bak"]


def test_the_previous_version_is_copied_where_a_second_name_cannot_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", refuse)
    target = tmp_path / "farm.job.gpkg"
    target.write_text("old", encoding="utf-8")
    with whole_file(target, keep_previous=True) as draft:
        draft.write_text("new", encoding="utf-8")
    assert atomic_save.backup_of(target).read_text(encoding="utf-8") == "old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["farm.job.gpkg", "farm.job.gpkg.bak"]


def test_drafts_of_a_killed_process_are_taken_away_and_those_of_a_living_one_left(tmp_path: Path):
    target = tmp_path / "plan.json"
    gone = tmp_path / f".{atomic_save._HOST}-999999999-0123abcd-plan.json"
    living = tmp_path / f".{atomic_save._HOST}-1-0123abcd-plan.json"
    another = tmp_path / f".{atomic_save._HOST}-999999999-0123abcd-other.json"
    elsewhere = tmp_path / ".00000000-999999999-0123abcd-plan.json"
    for left in (gone, living, another, elsewhere):
        left.write_text("half", encoding="utf-8")
    write_text(target, "new")
    assert set(tmp_path.iterdir()) == {target, living, another, elsewhere}


def test_a_folder_that_may_not_be_written_to_is_one_sentence(tmp_path: Path):
    target = tmp_path / "plan.json"
    write_text(target, "old")
    tmp_path.chmod(0o500)
    try:
        if os.access(tmp_path, os.W_OK):
            pytest.skip("this user may write everywhere")
        with pytest.raises(FileTrouble, match="cannot be written"):
            write_text(target, "new")
    finally:
        tmp_path.chmod(0o700)
    assert target.read_text(encoding="utf-8") == "old"
