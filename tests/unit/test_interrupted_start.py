"""An interrupt before a command is known ends quietly."""

from __future__ import annotations

import builtins

import pytest

from planner.__main__ import main


def test_an_interrupt_in_a_command_that_no_hook_sees_is_one_sentence(monkeypatch, capsys):
    def interrupted(*_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("planner.cli.run", interrupted)
    assert main() == 130
    assert capsys.readouterr().err == "strainwright: stopped; nothing half-written was left.\n"


def test_an_interrupt_while_the_program_is_loaded_is_one_sentence(monkeypatch, capsys):
    load = builtins.__import__

    def interrupted(name: str, *others: object, **more: object):
        if name == "planner.cli":
            raise KeyboardInterrupt
        return load(name, *others, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(builtins, "__import__", interrupted)
    assert main() == 130
    monkeypatch.undo()
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize("status", [0, 1, 2])
def test_the_exit_status_of_a_command_is_handed_on(monkeypatch, status: int):
    monkeypatch.setattr("planner.cli.run", lambda: status)
    assert main() == status
