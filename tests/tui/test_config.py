"""The user's own keys: what is wrong is told in a line and left out, the rest holds."""

import pytest

from shopbins.tui.keys.actions import BY_ID
from shopbins.tui.keys.config import clashes, config_path, read_config


def read(tmp_path, text):
    path = tmp_path / "keys.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_config(path)


def test_no_file_is_no_problem(tmp_path):
    config = read_config(tmp_path / "keys.toml")
    assert not config.found and not config.problems and not config.keys


def test_the_path_can_be_given():
    assert config_path({"SHOPBINS_CONFIG": "/somewhere/k.toml"}).name == "k.toml"
    assert config_path({}).name == "keys.toml"


def test_keys_are_taken(tmp_path):
    config = read(tmp_path, '[keys]\n"plan.next_thing" = "f6, N"\n"plan.previous_thing" = "P"\n')
    assert config.keys == {"plan.next_thing": "f6,N", "plan.previous_thing": "P"}
    assert not config.problems


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[keys]\n"plan.nextthing" = "n"\n', "2: unknown action 'plan.nextthing' (did you mean 'plan.next_"),
        ('[keys]\n"plan.closer" = 3\n', "'3' is no key"),
        ('[keys]\n"plan.closer" = "shift"\n"plan.wider" = "the minus key"\n', "'the minus key' is no key"),
        ('[keys]\n"plan.closer" = "z"\n', "the letter Z begins every label's code"),
        ('[keys]\n"everywhere.scan" = "s"\n', "scanning cannot have another key"),
        ('[keys]\n"plan.go_to" = "c"\n', "'c' would be both group.carry and plan.go_to"),
        ("[keyz]\n", "unknown table 'keyz' (did you mean 'keys'?)"),
        ("keys = 3\n", "'keys' must be a table"),
        ("[look]\ntheem = 'x'\n", "unknown look 'theem' (did you mean 'theme'?)"),
        ("[look]\ntheme = 3\n", "'theme' must be a text"),
        ("[keys\n", "1:6: "),
        (b"\xff\xfe\x00", "not UTF-8 text"),
        (b"x" * 200_000, "longer than"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_in_one_line(tmp_path, text, says):
    config = read(tmp_path, text)
    assert any(says in problem for problem in config.problems), config.problems
    assert all("\n" not in problem for problem in config.problems)


def test_one_wrong_line_leaves_the_others(tmp_path):
    config = read(tmp_path, '[keys]\n"plan.gone" = "n"\n"plan.go_to" = "G"\n')
    assert config.keys == {"plan.go_to": "G"}
    assert len(config.problems) == 1


def test_two_keys_may_be_swapped(tmp_path):
    config = read(tmp_path, '[keys]\n"group.carry" = "p"\n"group.put" = "c"\n')
    assert not config.problems
    assert list(clashes(config.keys)) == []


async def test_a_key_of_ones_own_works_and_is_shown(bench, settled, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('[keys]\n"everywhere.show_parts" = "f8"\n"group.carry" = "f6"\n"plan.next_thing" = "J"\n')
    bench.config = read_config(path)
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("f8")
        await settled(pilot)
        assert app.current_mode == "parts"
        assert "F6 carry" in app.screen.query_one("#keys").text
        await pilot.press("1", "2")
        await settled(pilot)
        assert app.current_mode == "plan", "the key it had before does nothing"


async def test_problems_of_the_file_are_told_when_opening(bench, settled, said, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('[keys]\n"plan.gone" = "n"\n')
    bench.config = read_config(path)
    app = bench.app()
    async with app.run_test(size=(160, 40)) as pilot:
        await settled(pilot)
        assert "unknown action 'plan.gone'" in said(app)


def test_every_default_key_could_be_written_in_the_file(tmp_path):
    lines = [f'"{a.id}" = "{a.keys}"' for a in BY_ID.values() if a.keys not in ("", "z,Z")]
    config = read(tmp_path, "[keys]\n" + "\n".join(lines))
    assert not config.problems


async def test_the_change_of_keys_is_told_once(bench, settled, tmp_path, monkeypatch):
    """Only to who knew the keys of before: somebody new is told nothing, and nobody is told twice."""
    monkeypatch.setenv("SHOPBINS_STATE", str(tmp_path))
    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.session import keep_session, session_path

    told = []
    for kept in (None, {"place": "plan"}, None):
        if kept is not None:
            keep_session(session_path(bench.path), kept)
        app = ShopbinsApp(bench.desk, config=bench.config)
        async with app.run_test(size=(100, 30)) as pilot:
            await settled(pilot)
            told.append(any("Some keys" in str(getattr(s, "_title", "")) for s in app.screen_stack))
            app.exit(0)
            await pilot.pause()
    assert told == [False, True, False]
