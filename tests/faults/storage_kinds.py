"""Every kind of write that the program makes, each as a row of numbered changes whose count can be read back.

So that whoever kills a program, cuts its power or fills its disk knows what must be there: all changes that were
acknowledged, and at most the one that was under way. All places and names are invented.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from tests.faults import storage_grown as grown
from tests.faults import storage_moved as moved
from tests.faults import storage_replaced as replaced
from tests.faults.storage_rows import Step


class Kind(NamedTuple):
    """One kind of write."""

    name: str
    begin: Callable[[Path, int], Step]
    """What a program does at its start in this folder, `first`: the change that it begins with; what makes a change."""
    kept: Callable[[Path, int], int]
    """How many changes are there, where so many were acknowledged. Raises AssertionError for what is torn."""
    sites: tuple[str, ...]
    """Functions that touch the disk for it, as `file:function`."""
    acknowledged_is_synced: bool = True
    """Whether a change that was acknowledged outlives the power; else only the program's own death."""
    rests: int = 3
    """Files that dead writers may leave at most, however many were killed."""


KINDS = (
    Kind(
        "page replaced",
        replaced.replaced,
        replaced.replaced_kept,
        (
            "core/folders.py:replace_over",
            "core/storage.py:_keep_backup",
            "core/storage.py:_beside",
            "core/storage.py:sweep",
            "core/part_files.py:part_beside",
            "core/part_files.py:_made",
            "core/part_files.py:_remove_nobodys",
            "core/folders.py:make_folder",
            "tui/cli_chapters.py:_write",
            "tui/cli_report.py:_write",
            "tui/cli_sheet.py:_save",
        ),
    ),
    Kind(
        "page created",
        replaced.created,
        replaced.created_kept,
        ("core/storage.py:create_file", "core/storage.py:give_name", "tui/actions/beam.py:named"),
    ),
    Kind("board", replaced.board, replaced.board_kept, ("core/memory.py:remember",)),
    Kind("settings", replaced.settings, replaced.settings_kept, ("core/settings/writing.py:write_value",)),
    Kind("latencies", replaced.latencies, replaced.latencies_kept, ("core/latency_file.py:keep",)),
    Kind("waypoints", replaced.waypoints, replaced.waypoints_kept, ("core/waypoints.py:_write",)),
    Kind(
        "waypoints exported", replaced.places_exported, replaced.places_exported_kept, ("core/waypoints.py:export_to",)
    ),
    Kind(
        "damaged set aside",
        moved.mended,
        moved.mended_kept,
        (
            "core/folders.py:move_aside",
            "core/appended.py:move_away",
            "core/mending.py:mended_memory",
            "core/mending.py:_mended",
            "core/mending.py:set_aside",
            "core/session_notes.py:_set_aside",
            "core/site_file.py:set_state_aside",
            "core/trip_file.py:set_totals_aside",
        ),
    ),
    Kind("notes", replaced.notes, replaced.notes_kept, ("core/session_notes.py:write",)),
    Kind("summaries", replaced.summaries, replaced.summaries_kept, ("core/session_cache.py:save",)),
    Kind("chapters", replaced.chapters, replaced.chapters_kept, ("core/chapter_book.py:_edit",)),
    Kind(
        "stations",
        replaced.stations,
        replaced.stations_kept,
        ("core/station_folder.py:take_list", "core/station_folder.py:_beside"),
    ),
    Kind(
        "track",
        grown.track,
        grown.track_kept,
        ("core/trip_file.py:append", "core/appended.py:append_lines", "core/appended.py:_append"),
    ),
    Kind("track rewritten", grown.rewritten, grown.track_kept, ("core/trip_file.py:rewrite",)),
    Kind(
        "tracks set aside",
        grown.tracks_aside,
        grown.tracks_aside_kept,
        ("core/trip_file.py:set_aside", "core/trip_keeper.py:_set_aside"),
    ),
    Kind("totals", replaced.totals, replaced.totals_kept, ("core/trip_file.py:save_totals",)),
    Kind("averaging", grown.site, grown.site_kept, ("core/site_file.py:append",)),
    Kind("averagings ended", grown.sites_ended, grown.sites_ended_kept, ("core/site_file.py:end",)),
    Kind("averaging's state", replaced.site_state, replaced.site_state_kept, ("core/site_file.py:save_state",)),
    Kind(
        "recording",
        grown.recording,
        grown.recording_kept,
        ("core/logbook_files.py:create", "core/logbook_files.py:__init__"),
    ),
    Kind(
        "recording packed",
        grown.packed,
        grown.packed_kept,
        ("core/logbook_files.py:compress", "core/logbook_files.py:_pack"),
    ),
    Kind(
        "bin",
        moved.binned,
        moved.binned_kept,
        (
            "core/folders.py:move_file",
            "core/session_bin.py:_new_folder",
            "core/session_bin.py:delete",
            "core/session_bin.py:restore",
        ),
    ),
    Kind(
        "bin emptied",
        moved.emptied,
        moved.nothing,
        ("core/session_bin.py:empty", "core/session_bin.py:_removed"),
        acknowledged_is_synced=False,
    ),
    Kind(
        "rehearsal replaced",
        replaced.rehearsal,
        replaced.rehearsal_kept,
        ("core/rehearsal/writer.py:_fill", "tui/cli_rehearse.py:rehearse"),
    ),
    Kind(
        "export",
        replaced.exported,
        replaced.exported_kept,
        (
            "core/rehearsal/writer.py:save",
            "tui/actions/files.py:_write_export",
            "tui/cli_export.py:_write",
        ),
    ),
    Kind("texts", moved.texts, moved.texts_kept, ("tui/text_sender.py:write",), acknowledged_is_synced=False),
    Kind("debug log", moved.debug_log, moved.nothing, ("tui/cli.py:_written",), acknowledged_is_synced=False),
    Kind(
        "link",
        moved.link,
        moved.nothing,
        ("core/feeding/pty_outlet.py:_point", "core/feeding/pty_outlet.py:close"),
        acknowledged_is_synced=False,
    ),
    Kind("lock", moved.lock, moved.lock_kept, ("core/file_lock.py:_open",)),
)
KEEPS_NOTHING = {
    "core/formats/spool.py:__init__": "a file without a name, gone with its program",
    "core/doctor/files.py:_folder": "a file without a name, to try whether the folder may be written",
    "tui/speaking.py:_lost": "the null device, in the place of a stream that is full",
    "replays/make_first_walk.py:main": "run by whoever makes a release",
}
"""What else opens files for writing, and why no row here is for it."""
BY_NAME = {kind.name: kind for kind in KINDS}


def rests(folder: Path) -> list[str]:
    """What dead writers have left."""
    return [path.name for path in folder.rglob("*") if path.name.endswith((".part", ".new", ".tmp"))]


def tree(folder: Path) -> list[str]:
    """All names, for a message."""
    return sorted(str(path.relative_to(folder)) + os.sep * path.is_dir() for path in folder.rglob("*"))
