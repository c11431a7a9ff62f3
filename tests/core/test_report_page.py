"""The page itself: well-formed, self-contained, readable, every plot where its figures say; text stays text."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from pathlib import Path

import pytest

from core.map_view import vector
from core.places.geodesic import distance_m
from core.report.page import POLICY, page
from core.report.sky import at, band
from core.report.strip import PLOT
from core.report.style import DARK, GROUNDS, LIGHT, LINE_INKS, TEXT_INKS, style
from core.report.trail import BOX, fitted
from tests.reports import (
    At,
    Read,
    drawing,
    labels,
    near,
    north,
    paths,
    read_as_xml,
    recorded,
    report_of,
    report_of_file,
)

ROOT = Path(__file__).parents[2]
PLOTS = ("trail", "verdict", "elevation", "speed", "satellites", "dilution", "sky", "signals")
HOSTILE = [
    "<script>alert(1)</script>",
    "</title></svg></style><img src=x onerror=alert(1)>",
    "\"' onload='alert(1)' x=\"",
    "]]><!--<b>",
    "&lt;b&gt;&#x3c;script&#x3e;",
    "\N{RIGHT-TO-LEFT OVERRIDE}gpj.exe\N{POP DIRECTIONAL FORMATTING}",
    "\x1b]0;owned\x07\x1b[2J",
    "{{7*7}}${7*7}`x`",
]


def walk(second: int) -> At:
    """North at 1.49 m/s, climbing."""
    return At(north(1.49 * second), 2.9, 100.0 + second / 10)


WALK = recorded(lambda s: None if 300 <= s < 360 else walk(s), range(600))


@pytest.fixture(scope="module")
def text() -> str:
    return page(report_of(WALK), "1.2.3")


def test_the_page_is_well_formed_and_says_its_language_and_its_policy(text: str) -> None:
    root = read_as_xml(text)
    assert root.get("lang") == "en"
    assert text.startswith("<!DOCTYPE html>\n<html ")
    metas = Read(text).all("meta")
    assert {"http-equiv": "Content-Security-Policy", "content": POLICY} in metas
    assert POLICY.startswith("default-src 'none'; style-src 'unsafe-inline'")


def test_nothing_is_fetched_and_nothing_runs(text: str) -> None:
    read = Read(text)
    names = {name for name, _ in read.tags}
    assert not names & {"script", "img", "link", "iframe", "object", "embed", "form", "base", "image", "foreignobject"}
    attributes = [(key, value or "") for _, found in read.tags for key, value in found.items()]
    assert not [key for key, _ in attributes if key.startswith("on")]
    assert {value[:1] for key, value in attributes if key in {"href", "src"}} == {"#"}
    assert "url(" not in style()
    assert "@import" not in style()


def test_every_link_leads_to_a_part_of_the_page_and_no_id_stands_twice(text: str) -> None:
    read = Read(text)
    ids = [found["id"] for _, found in read.tags if "id" in found]
    assert len(ids) == len(set(ids))
    for _, found in read.tags:
        for key in ("href", "aria-labelledby", "aria-describedby"):
            assert key not in found or (found[key] or "").lstrip("#") in ids


def test_headings_step_down_one_at_a_time(text: str) -> None:
    levels = [int(name[1]) for name, _ in Read(text).tags if re.fullmatch("h[1-6]", name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))


@pytest.mark.parametrize("name", PLOTS)
def test_every_plot_has_its_name_its_words_and_its_figures(text: str, name: str) -> None:
    plot = drawing(text, name)
    title, says = (plot[number].text or "" for number in (0, 1))
    assert plot.get("role") == "img"
    assert [plot[0].get("id"), plot[1].get("id")] == [plot.get("aria-labelledby"), plot.get("aria-describedby")]
    assert len(title) > 3
    assert len(says) > 20
    figure = text[text.index(f'id="{name}"') :].split("</figure>", 1)[0]
    assert "<table>" in figure
    assert f"<figcaption>{says}" in figure.replace("&#x27;", "'")


def test_the_same_recording_and_version_give_the_same_bytes(text: str) -> None:
    assert page(report_of(WALK), "1.2.3") == text
    assert page(report_of(WALK), "1.2.4") != text


def _luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(a: str, b: str) -> float:
    """WCAG 2.2, contrast ratio."""
    low, high = sorted((_luminance(a), _luminance(b)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_worked_out_as_published() -> None:
    """21 to 1 for black on white, 4.48 for #777777 on white (WCAG 2.2 and its often quoted example, from memory)."""
    assert _contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert _contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("inks", [LIGHT, DARK], ids=["light", "dark"])
def test_every_ink_stands_out_from_every_ground(inks: dict[str, str]) -> None:
    for ground in GROUNDS:
        assert min(_contrast(inks[ink], inks[ground]) for ink in TEXT_INKS) >= 4.5, ground
        assert min(_contrast(inks[ink], inks[ground]) for ink in LINE_INKS) >= 3.0, ground


def test_every_ink_of_the_style_has_a_colour_in_light_and_dark() -> None:
    assert set(LIGHT) == set(DARK) == set(re.findall(r"var\(--([a-z]+)\)", style()))
    assert "prefers-color-scheme:dark" in style()
    assert "@media screen and (prefers-color-scheme:dark)" in style()  # so that print is always on white


def test_the_trail_lies_where_the_places_are(text: str) -> None:
    """Its first and last points by the scale bar: 1.49 m a second for ten minutes, less the doubtful beginning."""
    plot = drawing(text, "trail")
    pieces = [piece for kind in ("way firm", "way usable") for found in paths(plot, kind) for piece in found]
    points = [point for piece in pieces for point in piece]
    report = report_of(WALK)
    usable = [one.position for one in report.trail.usable]
    view = fitted(usable)
    assert view is not None
    scale = next(words for words, *_ in labels(plot) if re.fullmatch(r"\d+ m", words))
    bar = next(one for one in plot.iter() if one.get("class") == "scale")
    wide = float(bar.get("x2", "nan")) - float(bar.get("x1", "nan"))
    metres_a_unit = float(scale.split()[0]) / wide
    drawn_m = (max(y for _, y in points) - min(y for _, y in points)) * metres_a_unit
    assert drawn_m == pytest.approx(distance_m(usable[0], usable[-1]), rel=0.01)
    assert max(x for x, _ in points) - min(x for x, _ in points) < 0.5
    assert near(points[-1], min(points, key=lambda point: point[1]))  # north is up, and it ends in the north
    middle_y = (max(y for _, y in points) + min(y for _, y in points)) / 2
    assert near((points[0][0], middle_y), ((BOX.left + BOX.right) / 2, (BOX.top + BOX.bottom) / 2), 1.0)


def test_the_trail_is_drawn_in_as_many_pieces_as_the_way_has(text: str) -> None:
    assert "It breaks 1 time:" in text
    (found,) = paths(drawing(text, "trail"), "way firm")
    assert len(found) == 2
    gap = found[1][0][1] - found[0][-1][1]
    whole = found[-1][-1][1] - found[0][0][1]
    assert gap / whole == pytest.approx(61 / 591, abs=0.01)


def test_each_verdict_has_a_line_of_its_own() -> None:
    found = page(report_of_file(ROOT / "replays" / "ridge_walk.nmea.gz"), "0")
    plot = drawing(found, "trail")
    assert all(paths(plot, kind) for kind in ("way firm", "way usable", "way doubtful"))
    ends = [piece[-1] for piece in paths(plot, "way firm")[0]]
    starts = [piece[0] for piece in paths(plot, "way usable")[0]]
    assert any(near(a, b) for a in ends for b in starts)


def test_the_key_names_what_has_happened_and_nothing_else() -> None:
    lost = page(report_of(recorded(lambda s: At(None) if 60 <= s < 90 else walk(s), range(180))), "0")
    for found, expected in ((page(report_of(WALK), "0"), {"first fix"}), (lost, {"first fix", "fix lost", "fix back"})):
        figure = found[found.index('id="verdict"') :].split("</figure>", 1)[0]
        key = figure[figure.index('class="key"') :].split("</ul>", 1)[0]
        assert set(re.findall("</svg>([^<]+)</li>", key)) == expected
        assert figure.count('class="mark ') == 2 * len(expected)  # in the drawing and in the key


def test_meridians_and_parallels_are_where_their_figures_say(text: str) -> None:
    usable = [one.position for one in report_of(WALK).trail.usable]
    view = fitted(usable)
    assert view is not None
    checked = 0
    for words, _, y in labels(drawing(text, "trail")):
        if words.endswith("° N"):
            latitude = float(words.split("°")[0])
            place = view.dot(vector(usable[0]._replace(latitude_deg=latitude)))
            assert y == pytest.approx(place[1], abs=1.0)
            checked += 1
    assert checked >= 2


def test_a_trail_over_the_antimeridian_stays_in_one_piece() -> None:
    def script(second: int) -> At:
        east = (second - 300) / 3500
        return At((-17.0, 180.0 + east if east < 0 else -180.0 + east), 59.0)

    plot = drawing(page(report_of(recorded(script, range(600))), "0"), "trail")
    (pieces,) = paths(plot, "way firm")
    assert len(pieces) == 1
    xs = [x for x, _ in pieces[0]]
    assert xs == sorted(xs)
    assert xs[-1] - xs[0] > 400
    degrees = [words for words, *_ in sorted(labels(plot), key=lambda one: one[1]) if words.endswith(("°", "E", "W"))]
    assert degrees == ["179.95° E", "180.00°", "179.95° W"]


def test_a_trail_at_the_pole_has_no_graticule_and_still_a_scale() -> None:
    script = lambda s: At((89.9999, 40.0) if s < 5 else (89.9999 - (s - 5) * 1e-5, 40.0), 2.2)  # noqa: E731 -- short
    plot = drawing(page(report_of(recorded(script, range(120))), "0"), "trail")
    assert not [words for words, *_ in labels(plot) if "°" in words]
    assert [words for words, *_ in labels(plot) if words.endswith(" m")]


def test_curves_break_at_the_gap_and_reach_from_edge_to_edge(text: str) -> None:
    for name in ("elevation", "speed", "satellites"):
        (pieces,) = paths(drawing(text, name), "curve a")
        assert len(pieces) == 2, name
        assert pieces[-1][-1][0] == pytest.approx(PLOT.right, abs=0.2)
        per_s = (PLOT.right - PLOT.left) / 599
        assert pieces[0][-1][0] == pytest.approx(PLOT.left + 299 * per_s, abs=0.2)
        assert pieces[1][0][0] == pytest.approx(PLOT.left + 360 * per_s, abs=0.2)


def test_heights_are_drawn_where_the_axis_says(text: str) -> None:
    plot = drawing(text, "elevation")
    marks = sorted((float(words), y) for words, x, y in labels(plot) if x < PLOT.left)
    (low, low_y), (high, high_y) = marks[0], marks[-1]
    assert high_y < low_y
    (pieces,) = paths(plot, "curve a")
    _, y = pieces[-1][-1]
    assert low + (low_y - y) / (low_y - high_y) * (high - low) == pytest.approx(159.9, abs=0.5)


def test_satellites_stand_in_their_directions(text: str) -> None:
    plot = drawing(text, "sky")
    discs = [
        (float(one.get("cx", "nan")), float(one.get("cy", "nan")))
        for one in plot.iter()
        if "disc" in one.get("class", "")
    ]
    assert len(discs) == 12
    for number in range(1, 13):
        assert any(near(disc, at(30 * number, 5 * number), 0.1) for disc in discs)
    assert near(at(90, 0), (445.0, 240.0))
    assert near(at(180, 45), (240.0, 342.5))
    assert near(at(0, 90), (240.0, 240.0))


@pytest.mark.parametrize(
    ("dbhz", "kind"), [(None, "s0"), (0, "s0"), (1, "s1"), (24, "s1"), (25, "s2"), (35, "s3"), (45, "s4")]
)
def test_a_signal_has_the_line_of_its_band(dbhz: int | None, kind: str) -> None:
    assert band(dbhz) == kind


def test_a_rehearsal_says_so_in_large_letters_and_in_its_title() -> None:
    read = Read(page(report_of(WALK, rehearsal=True), "0"))
    assert "REHEARSAL: Session report" in read.text
    assert any("banner" in (found.get("class") or "") for found in read.all("p"))
    assert "REHEARSAL" not in Read(page(report_of(WALK), "0")).text


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_names_and_messages_stay_text(words: str) -> None:
    """In the file's name, in the receiver's messages, in a datum: the elements are those of a harmless recording."""
    body = "".join(one for one in words if 32 <= ord(one) < 127 and one not in ",*$!\\")
    name = words.replace("/", "|")  # no file has it in its name
    extra = dict.fromkeys(range(50, 55), f"GNTXT,01,01,02,{body}") | {70: f"GNDTM,{body[:20]},,0.0,N,0.0,E,0.0,W84"}
    harmless = dict.fromkeys(range(50, 55), "GNTXT,01,01,02,x") | {70: "GNDTM,x,,0.0,N,0.0,E,0.0,W84"}
    bad = Read(page(report_of(recorded(walk, range(120), extra), f"{name}.nmea"), "0"))
    good = Read(page(report_of(recorded(walk, range(120), harmless), "x.nmea"), "0"))
    assert [name for name, _ in bad.tags] == [name for name, _ in good.tags]
    assert [sorted(found) for _, found in bad.tags] == [sorted(found) for _, found in good.tags]
    shown = bad.text
    assert body in shown
    assert all(one.isprintable() or one in "\n\N{NARROW NO-BREAK SPACE}" for one in shown)
    visible = "".join(one if one.isprintable() else "\N{REPLACEMENT CHARACTER}" for one in name)
    assert f"{visible}.nmea" in shown


def test_a_recording_without_a_fix_still_has_its_page() -> None:
    found = page(report_of(recorded(lambda _: At(None), range(60))), "0")
    read_as_xml(found)
    shown = Read(found).text
    assert "where it was is not known" in shown
    assert "how far it went is not known" in shown
    assert "No satellite fix in this recording." in shown


@pytest.mark.parametrize("data", [b"", b"\x00\xff" * 5000, b"$GPGGA,,,,,,0,,,,,,,,*66\r\n"])
def test_a_page_comes_of_anything(data: bytes) -> None:
    read_as_xml(page(report_of(data), "0"))


@pytest.mark.parametrize("name", ["tall_houses", "under_trees", "interference", "rolled_over"])
def test_bundled_sessions_give_pages_with_figures_of_the_digest(name: str) -> None:
    report = report_of_file(ROOT / "replays" / f"{name}.nmea.gz")
    found = page(report, "0")
    read_as_xml(found)
    shown = Read(found).text
    assert len(found) < 400_000
    for verdict, count in report.digest["verdicts"].items():
        percent = re.search(rf"{verdict}[^0-9]*?(under 0.1|over 99.9|[0-9.]+) %{count}", shown)
        assert percent, verdict
        told = float(percent[1].split()[-1])
        assert told == pytest.approx(100 * count / report.counts.epochs, abs=0.5), verdict
    assert f"{report.counts.epochs:,}".replace(",", "\N{NARROW NO-BREAK SPACE}") in shown
    assert "nan" not in "".join(re.findall(r' d="([^"]*)"', found))


def test_what_a_mean_is_worth_is_stated_where_it_can_be_and_declined_where_not() -> None:
    declined = report_of_file(ROOT / "replays" / "interference.nmea.gz")
    words = Read(page(declined, "0")).text
    assert "What the mean is worth cannot be stated: too short" in words
    stop = declined.standing.longest[0]
    known = replace(stop.average, horizontal_95_m=1.34, effective_count=7.4, declined="")
    stated = replace(declined, standing=declined.standing._replace(longest=(stop._replace(average=known),)))
    words = Read(page(stated, "0")).text
    assert "The mean is within 1.3 m of the truth with 95 %, worth about 7 independent fixes" in words
    assert "cannot be stated" not in words


def test_a_date_that_cannot_be_right_is_said_at_the_top() -> None:
    shown = Read(page(report_of_file(ROOT / "replays" / "rolled_over.nmea.gz"), "0")).text
    assert shown.index("date cannot be right") < shown.index("Map of the trail")
