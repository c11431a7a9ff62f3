"""What stands still is not always the disk: the recorder of a program that was stopped, or whose computer slept."""

from __future__ import annotations

import threading

from core.logbook import LONGEST_GAP_S, LONGEST_STALL_S, RecorderState
from tests.live.disks import BURSTS, Disk, offer, recorder
from tests.live.rig import until
from tests.live.test_tagging import untagged

ASLEEP_S = 3600.0


def test_a_program_that_was_stopped_while_the_disk_was_busy_goes_on_recording() -> None:
    """It was given up: 'the disk does not keep up'. The stop came while a sync was under way, as a part of them do."""
    disk = Disk(hung=threading.Event())
    made = recorder(disk, longest_stall_s=LONGEST_STALL_S)
    offer(made, *BURSTS[:3], step_s=1.0)
    until(lambda: disk.calls.get("sync"))
    offer(made, BURSTS[3], start_s=3.0)
    offer(made, BURSTS[4], start_s=3.0 + ASLEEP_S)
    offer(made, BURSTS[5], start_s=4.0 + ASLEEP_S)
    assert made.status.state is RecorderState.RECORDING, made.status.reason
    assert disk.hung
    disk.hung.set()
    assert made.stop(30.0).state is RecorderState.OFF
    assert untagged(disk.content()) == b"".join(BURSTS[:6])


def test_a_disk_that_hangs_is_given_up_after_the_sleep_as_before_it() -> None:
    disk = Disk(hung=threading.Event())
    made = recorder(disk, longest_stall_s=LONGEST_STALL_S)
    offer(made, *BURSTS[:3], step_s=1.0)
    until(lambda: disk.calls.get("sync"))
    offer(made, *BURSTS[3:23], start_s=3.0 + ASLEEP_S, step_s=1.0)
    assert made.status.reason == "the disk does not keep up: record to another one"
    assert disk.hung
    disk.hung.set()
    made.stop()


def test_waking_up_alone_is_no_stall() -> None:
    assert LONGEST_GAP_S < LONGEST_STALL_S
