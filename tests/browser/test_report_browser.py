"""The report in a browser: no complaint on its console, every plot drawn, nothing foreign come alive, print in pages.

Runs headless Chromium where there is one (FIXBOARD_CHROMIUM names it, else it is looked for); skips where not.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from core.report.page import page
from tests.reports import At, Read, north, recorded, report_of

NAMES = ("chromium", "chromium-browser", "google-chrome")
FOUND = os.environ.get("FIXBOARD_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
LIMIT_S = 120.0
"""A browser that takes longer hangs."""
PLOTS = ("trail", "verdict", "elevation", "speed", "satellites", "dilution", "sky", "signals", "stop-1")
OWNED = "owned-by-a-sentence"
ATTACK = f"<script>document.title='{OWNED}'</script><img src=x onerror=document.title='{OWNED}'>"
SIGNATURE = b"\x89PNG\r\n\x1a\n"

pytestmark = pytest.mark.skipif(FOUND is None, reason="no Chromium here: install one, or name it by FIXBOARD_CHROMIUM")


def script(second: int) -> At | None:
    """A walk, a stop of five minutes, a gap, a walk."""
    if 600 <= second < 660:
        return None
    walked = second if second < 200 else 200 + (second % 3) / 5 if second < 600 else second - 400
    return At(north(1.49 * walked), 2.9 if second < 200 or second >= 600 else 0.0, 100 + second / 20)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A report of a recording that is hostile wherever it can be."""
    extra = {n: f"GNTXT,01,01,02,{ATTACK.replace(',', ';')}" for n in range(20, 25)} | {
        30: "GNDTM,<b>x</b>,,0.0,N,0.0,E,0.0,W84"
    }
    folder = tmp_path_factory.mktemp("report")
    path = folder / "report.html"
    report = report_of(recorded(script, range(900), extra), f"{ATTACK}.nmea".replace("/", "|"), rehearsal=True)
    path.write_text(page(report, "0"), encoding="utf-8")
    return path


def browse(made: Path, *options: str) -> tuple[bytes, str]:
    """What one run printed, and what it complained of on the console."""
    profile = made.parent / "profile"
    quiet = ("--disable-background-networking", "--no-first-run", "--disable-component-update", "--disable-sync")
    done = subprocess.run(
        [
            str(FOUND),
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            "--enable-logging=stderr",
            f"--user-data-dir={profile}",
            *quiet,
            *options,
            made.as_uri(),
        ],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=LIMIT_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    complaints = re.findall(r"^.*CONSOLE.*$", done.stderr.decode("utf-8", "replace"), re.MULTILINE)
    return done.stdout, "\n".join(complaints)


@pytest.fixture(scope="module")
def seen(made: Path) -> tuple[Read, str]:
    """The page as the browser understood it."""
    out, complaints = browse(made, "--dump-dom")
    return Read(out.decode("utf-8")), complaints


def test_the_console_of_the_browser_stays_empty(seen: tuple[Read, str]) -> None:
    assert seen[1] == ""


def test_a_page_with_a_fault_would_be_complained_of(made: Path) -> None:
    """So that the silence above means something: the policy forbids the picture, and the console says so."""
    faulty = made.with_name("faulty.html")
    faulty.write_text(made.read_text("utf-8").replace("</main>", '<img src="x.png"></main>'), encoding="utf-8")
    assert "Content Security Policy" in browse(faulty, "--dump-dom")[1]


def test_every_plot_is_there(seen: tuple[Read, str]) -> None:
    ids = [found.get("id") for found in seen[0].all("svg")]
    assert {*PLOTS} <= {*ids}


def test_nothing_of_the_recording_has_come_alive(seen: tuple[Read, str], made: Path) -> None:
    read = seen[0]
    assert not {name for name, _ in read.tags} & {"script", "img", "b", "iframe"}
    assert read.text.count("<script>document.title=") >= 3  # the title, the heading, the receiver's messages
    assert f"Session report: {ATTACK.replace('/', '|')}.nmea" in read.text
    browser = [name for name, _ in read.tags if name not in {"head", "body", "html"}]
    ours = [name for name, _ in Read(made.read_text("utf-8")).tags if name not in {"head", "body", "html"}]
    assert browser == ours


@pytest.mark.parametrize("width", [500, 1280])
def test_it_is_drawn_at_both_widths(made: Path, width: int) -> None:
    """A picture that is not of one colour: a PNG of an empty page of this size packs to a hundredth of it."""
    picture = made.parent / f"{width}.png"
    _, complaints = browse(made, f"--window-size={width},3000", f"--screenshot={picture}")
    data = picture.read_bytes()
    assert data.startswith(SIGNATURE)
    assert int.from_bytes(data[16:20], "big") == width
    assert len(data) > 60_000
    assert complaints == ""


def test_it_prints_on_pages_of_a4(made: Path) -> None:
    out = made.parent / "report.pdf"
    browse(made, "--no-pdf-header-footer", f"--print-to-pdf={out}")
    data = out.read_bytes()
    boxes = set(re.findall(rb"/MediaBox\s*\[\s*([^\]]+)\]", data))
    sizes = [[float(one) for one in box.split()] for box in boxes]
    assert sizes
    # A4 is 210 by 297 mm (ISO 216), 595.3 by 841.9 points of a 72nd inch.
    assert all(abs(size[2] - 595.3) < 1.5 and abs(size[3] - 841.9) < 1.5 for size in sizes)
    pages = len(re.findall(rb"/Type\s*/Page\b(?!s)", data))
    assert 4 <= pages <= 14
