"""The settings screen at its sizes: values whole in the list, of each setting what is wanted and where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.settings.changing import SettingsFile
from tests.tui.support import board_app
from tests.tui.test_settings_screen import opened
from tui.panes.setting_details import SettingDetailsPane, SettingView
from tui.panes.setting_list import SettingListPane
from tui.screens.help import EVERY_COMMAND
from tui.setting_rows import settings_in, with_unit


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (160, 50)])
async def test_of_every_setting_it_is_said_what_is_wanted_and_where_it_stands(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """Whatever there is no room for."""
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await opened(pilot)
        details, file = (
            app.screen.query_one(SettingDetailsPane),
            SettingsFile(Path("/home/quinn/.local/share/fixboard/settings.toml")),
        )
        room = (details.content_size.width, details.content_size.height - 1)
        for one in settings_in(file, EVERY_COMMAND):
            details.show(SettingView(one, file))
            rows = ["".join(span.text for span in row) for row in details.rows(*room)]
            assert len(rows) <= room[1], one.id
            assert any(row.startswith("wanted ") for row in rows), one.id
            assert any(row.startswith("stands ") for row in rows), one.id


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (160, 50), (200, 60)])
async def test_usual_values_stand_whole_in_the_list(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await opened(pilot)
        listed = app.screen.query_one(SettingListPane)
        for one in settings_in(SettingsFile(tmp_path / "settings.toml"), EVERY_COMMAND):
            row = "".join(span.text for span in listed.row(one, listed.content_size.width, chosen=False))
            assert f"{one.id} " in row
            assert with_unit(one.value, one.key) in row
