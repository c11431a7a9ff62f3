"""Files of others: all that we do not know stays in them, byte by byte; and it travels with a waypoint."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.fix import Position
from core.formats.gpx_waypoints import OURS
from core.waypoints import GPX, Imported, Waypoint, Waypoints
from tests.core.gpx_facts import FOREIGN, PREFIXED, faults, gpx, shape, tag

PLACE = Position(10.5, -20.25)
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
HUT = Waypoint("Old hut", Position(1.5, -2.5), 7.0)
FORD = Waypoint("Ford & <bridge>", Position(4.0, 5.0), note="café", mode="autonomous")
PIECE = '<wpt lat="1.5" lon="-2.5"'


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "waypoints.gpx"
    path.write_bytes(FOREIGN.encode())
    return path


def text(path: Path) -> str:
    return path.read_bytes().decode()


def without(whole: str, part: str) -> str:
    assert whole.count(part) == 1
    return whole.replace(part, "")


# What others have put into the file


def test_they_are_read(file: Path) -> None:
    assert Waypoints(file).all() == (HUT, Waypoint("", Position(2.0, 3.0)), FORD)


def test_an_addition_touches_no_byte_of_what_was_there(file: Path) -> None:
    Waypoints(file).add(Waypoint("New", PLACE))
    added = '\n  <wpt lat="10.500000000" lon="-20.250000000"><name>New</name></wpt>'
    assert without(text(file), added) == FOREIGN
    assert [tag(one) for one in ET.fromstring(text(file))] == [
        "metadata", "wpt", "wpt", "wpt", "wpt", "rte", "trk", "extensions",
    ]  # fmt: skip


CHANGES = [
    (replace(HUT, name="New <hut>"), "<name lang='x'>Old hut</name>", "<name lang='x'>New &lt;hut&gt;</name>"),
    (replace(HUT, altitude_m=8.0), "<ele>7</ele>", "<ele>8.00</ele>"),
    (replace(HUT, altitude_m=None), "<ele>7</ele>", ""),
    (replace(HUT, note="warm"), "<sym>Hut", "<desc>warm</desc><sym>Hut"),
    (replace(HUT, kind="shelter"), "\n  <?q0abc keep?><!-- warm --><ext",
     "\n  <?q0abc keep?><!-- warm --><type>shelter</type><ext"),
    (replace(HUT, position=Position(1.5, 9.0)), 'lat="1.5" lon="-2.5"', 'lat="1.5" lon="9.000000000"'),
    (replace(HUT, mode="manual"), 'n="4" xsi:type="more:count"/>',
     f'n="4" xsi:type="more:count"/><fixboard:mode xmlns:fixboard="{OURS}">manual</fixboard:mode>'),
]  # fmt: skip


@pytest.mark.parametrize(("new", "before", "after"), CHANGES)
def test_a_change_touches_only_what_differs(file: Path, new: Waypoint, before: str, after: str) -> None:
    assert Waypoints(file).change(HUT, new) is True
    assert FOREIGN.count(before) == 1
    assert text(file) == FOREIGN.replace(before, after)
    assert Waypoints(file).all()[0] == new


def test_an_element_without_content_is_opened(file: Path) -> None:
    bare = Waypoint("", Position(2.0, 3.0))
    Waypoints(file).change(bare, replace(bare, name="Spring"))
    assert text(file) == FOREIGN.replace("lon='3'/>", "lon='3'><name>Spring</name></wpt>")


def test_a_foreign_fix_goes_when_another_mode_is_said(file: Path) -> None:
    assert Waypoints(file).change(FORD, replace(FORD, mode=""))
    assert without(FOREIGN, "<fix>3d</fix>") == text(file)


@pytest.mark.parametrize("index", [0, 1, 2])
def test_removed_and_restored_is_the_same_file(file: Path, index: int) -> None:
    places = Waypoints(file)
    removed = places.remove(places.all()[index])
    for comment in ("<!-- the huts -->", "<!-- after the huts -->", "<!-- after the root -->", "<?q0abc end?>"):
        assert comment in text(file)
    assert ("Old hut" in text(file)) == (index != 0)
    Waypoints(file).restore(removed)
    assert text(file) == FOREIGN


def test_restored_into_a_file_with_other_prefixes_it_means_the_same(file: Path) -> None:
    places = Waypoints(file)
    (before,) = [shape(one) for one in ET.fromstring(FOREIGN) if one.get("lat") == "1.5"]
    removed = places.remove(HUT)
    file.write_text(PREFIXED, "utf-8")
    places.restore(removed)
    assert shape(ET.fromstring(text(file))[0]) == before
    assert places.all() == (HUT, replace(HUT, altitude_m=None)) == Waypoints(file).all()


@pytest.mark.parametrize("prefix", ["fixboard", "more", "g"])
def test_prefixes_that_mean_something_else_are_no_trap(tmp_path: Path, prefix: str) -> None:
    file = tmp_path / "w.gpx"
    file.write_text(PREFIXED.replace("xmlns:more", f'xmlns:{prefix}x="urn:q" xmlns:more'), "utf-8")
    places = Waypoints(file)
    one = Waypoint("x", PLACE, 1.0, None, "n", "k", 2.0, "precise")
    places.add(one)
    assert places.change(places.all()[0], replace(one, name="changed"))
    assert Waypoints(file).all() == (replace(one, name="changed"), one)
    assert faults(file.read_bytes()) == []


@pytest.mark.parametrize(
    ("content", "order"),
    [
        ("", ["wpt"]),
        ("<metadata/>", ["metadata", "wpt"]),
        ("<trk/>", ["wpt", "trk"]),
        ("<wpt lat='1' lon='1'/><rte/><trk/><extensions/>", ["wpt", "wpt", "rte", "trk", "extensions"]),
        ("<metadata/><extensions/>", ["metadata", "wpt", "extensions"]),
    ],
)
def test_an_addition_keeps_the_order_of_the_schema(file: Path, content: str, order: list[str]) -> None:
    file.write_text(gpx(content), "utf-8")
    Waypoints(file).add(Waypoint("New", PLACE))
    assert [tag(one) for one in ET.fromstring(text(file))] == order


@pytest.mark.parametrize(
    "root", [f'<gpx xmlns="{GPX}"/>', f'<g:gpx xmlns:g="{GPX}" a="/>" />', f"<gpx xmlns='{GPX}'></gpx>"]
)
def test_a_root_without_content_is_opened(file: Path, root: str) -> None:
    file.write_text(root + "<!-- end -->", "utf-8")
    places = Waypoints(file)
    one = places.add(Waypoint("New", PLACE))
    assert Waypoints(file).all() == (one,)
    assert text(file).endswith("<!-- end -->")


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "iso-8859-1", "us-ascii", "windows-1252"])
def test_other_encodings_are_kept_in_utf_8(file: Path, encoding: str) -> None:
    named = {"utf-8-sig": "UTF-8", "utf-16-le": "utf-16"}.get(encoding, encoding)
    declared = FOREIGN.replace('version="1.0"', f'version="1.0" encoding="{named}"', 1)
    file.write_bytes(declared.encode(encoding))
    one = Waypoints(file).add(Waypoint("Höhe \U0001f3d5", PLACE))
    assert Waypoints(file).all() == (HUT, Waypoint("", Position(2.0, 3.0)), FORD, one)
    back = file.read_bytes().decode("utf-8-sig")
    assert without(back, '\n  <wpt lat="10.500000000" lon="-20.250000000"><name>Höhe \U0001f3d5</name></wpt>') == (
        declared.replace(f'encoding="{named}"', 'encoding="UTF-8"')
    )


def test_what_cannot_be_a_place_stays_in_the_file_unread(file: Path) -> None:
    file.write_text(
        gpx(
            "<wpt lat='91' lon='0'><name>too far</name></wpt><wpt lon='0'/><wpt lat='nan' lon='0'/>"
            "<wpt lat='1' lon='inf'/><wpt lat='x' lon='y'/><wpt lat='1' lon='180.5'/><wpt lat='1_0' lon='2'/>"
            "<wpt lat='١' lon='2'/><wpt lat='1' lon='2'/>"
        ),
        "utf-8",
    )
    Waypoints(file).add(Waypoint("New", PLACE))
    assert [one.position for one in Waypoints(file).all()] == [Position(1.0, 2.0), PLACE]
    assert len(ET.fromstring(text(file))) == 10


def ours(name: str, value: str) -> str:
    return f"<extensions><f:{name} xmlns:f='{OURS}'>{value}</f:{name}></extensions>"


@pytest.mark.parametrize(
    ("children", "expected"),
    [
        ("<ele>nan</ele><time>yesterday</time>", Waypoint("", PLACE)),
        ("<ele>1e300</ele><time>0001-01-01T00:00:00+14:00</time>", Waypoint("", PLACE)),
        ("<ele>-inf</ele><time>9999-12-31T23:59:59-14:00</time>", Waypoint("", PLACE)),
        ("<ele> 12 </ele><time> 2031-05-04T12:00:00 </time>", Waypoint("", PLACE, 12.0, NOON)),
        ("<ele/><time>2031-05-04T14:00:00+02:00</time>", Waypoint("", PLACE, None, NOON)),
        ("<time/><name>a</name><name>b</name>", Waypoint("a", PLACE)),
        ("<fix>dgps</fix>", Waypoint("", PLACE, mode="differential")),
        ("<fix>pps</fix>", Waypoint("", PLACE, mode="precise")),
        ("<fix>2d</fix>", Waypoint("", PLACE, mode="autonomous")),
        ("<fix>none</fix>", Waypoint("", PLACE)),
        ("<fix>dgps</fix>" + ours("mode", "rtk_fixed"), Waypoint("", PLACE, mode="rtk_fixed")),
        ("<fix>dgps</fix>" + ours("mode", "certain"), Waypoint("", PLACE, mode="differential")),
        (ours("error95", " 3.5 "), Waypoint("", PLACE, error_95_m=3.5)),
        (ours("error95", "-1"), Waypoint("", PLACE)),
        (ours("error95", "nan"), Waypoint("", PLACE)),
        (ours("error95", "1e99"), Waypoint("", PLACE)),
        (f"<f:error95 xmlns:f='{OURS}'>3</f:error95>", Waypoint("", PLACE)),
        ("<extensions><error95>3</error95><mode>precise</mode></extensions>", Waypoint("", PLACE)),
    ],
)  # fmt: skip
def test_oddities_of_others_are_unknown_and_can_be_mended(file: Path, children: str, expected: Waypoint) -> None:
    file.write_text(gpx(f"<wpt lat='10.5' lon='-20.25'>{children}</wpt>"), "utf-8")
    places = Waypoints(file)
    assert places.all() == (expected,)
    full = Waypoint("n", PLACE, 1.0, datetime(2031, 5, 4, tzinfo=UTC), "o", "k", 2.0, "manual")
    assert places.change(expected, full)
    assert Waypoints(file).all() == (full,)


# From file to file


def test_import_takes_whole_elements_once(tmp_path: Path, file: Path) -> None:
    places = Waypoints(tmp_path / "mine.gpx")
    places.add(FORD)
    assert places.import_from(file) == Imported(2, 1, 0)
    assert places.all() == (FORD, HUT, Waypoint("", Position(2.0, 3.0)))
    theirs = [shape(one) for one in ET.fromstring(FOREIGN) if tag(one) == "wpt"]
    assert [shape(one) for one in ET.fromstring(text(places.path))][1:] == theirs[:2]
    assert "<!-- warm -->" in text(places.path)
    before = text(places.path)
    assert places.import_from(file) == Imported(0, 3, 0)
    assert places.import_from(places.path) == Imported(0, 3, 0)
    assert text(places.path) == before
    assert text(file) == FOREIGN


@pytest.mark.parametrize("mine", ["", FOREIGN, PREFIXED], ids=["none", "default", "prefixed"])
@pytest.mark.parametrize("theirs", [FOREIGN, PREFIXED], ids=["default", "prefixed"])
def test_import_means_the_same_among_other_prefixes(tmp_path: Path, mine: str, theirs: str) -> None:
    (tmp_path / "theirs.gpx").write_text(theirs.replace("Old hut", "Their hut"), "utf-8")
    if mine:
        (tmp_path / "mine.gpx").write_text(mine, "utf-8")
    places = Waypoints(tmp_path / "mine.gpx")
    places.import_from(tmp_path / "theirs.gpx")
    found = [shape(one) for one in ET.fromstring(text(places.path)) if one.findtext(f"{{{GPX}}}name") == "Their hut"]
    root = ET.fromstring(text(tmp_path / "theirs.gpx"))
    assert found == [shape(one) for one in root if one.findtext(f"{{{GPX}}}name") == "Their hut"]
    assert faults(places.path.read_bytes()) == []


def test_import_counts_what_has_no_place_and_what_is_there_twice(tmp_path: Path) -> None:
    (tmp_path / "a.gpx").write_text(
        gpx("<wpt lat='91' lon='0'/><wpt lat='1' lon='2'/><wpt lat='1.0' lon='2'/>"), "utf-8"
    )
    assert Waypoints(tmp_path / "mine.gpx").import_from(tmp_path / "a.gpx") == Imported(1, 1, 1)


@pytest.mark.parametrize("content", [None, "", "<html/>", FOREIGN[:-40], "<!DOCTYPE gpx>" + gpx("")])
def test_what_cannot_be_imported_is_said_and_nothing_changes(tmp_path: Path, content: str | None) -> None:
    if content is not None:
        (tmp_path / "a.gpx").write_text(content, "utf-8")
    with pytest.raises(InputError, match=r"a\.gpx"):
        Waypoints(tmp_path / "mine.gpx").import_from(tmp_path / "a.gpx")
    assert not (tmp_path / "mine.gpx").exists()


def test_export_carries_all_that_is_here_and_refuses_to_write_over(tmp_path: Path, file: Path) -> None:
    places, out = Waypoints(file), tmp_path / "out.gpx"
    new = Waypoint("Not in the file", PLACE, 1.0)
    places.export_to(out, (FORD, new, HUT))
    assert Waypoints(out).all() == (FORD, new, HUT)
    hut = next(one for one in ET.fromstring(FOREIGN) if one.get("lat") == "1.5")
    assert shape(ET.fromstring(text(out))[2]) == shape(hut)
    assert faults(out.read_bytes()) == []
    before = text(out)
    with pytest.raises(InputError, match=r"out\.gpx exists already"):
        places.export_to(out, ())
    with pytest.raises(InputError, match="could not be written"):
        places.export_to(tmp_path / "none" / "out.gpx", ())
    assert (text(out), text(file)) == (before, FOREIGN)
    assert {one.name for one in tmp_path.iterdir()} == {file.name, out.name}


NAMES = st.sampled_from(["a", "g:a", "more:a", "gpx", "wpt", "g:wpt", "extensions"])
MARKUP = st.recursive(
    st.sampled_from(["", "x", " />", "&gt;", "&#233;é", "<!-- </wpt> -->", "<?p </wpt>?>", "<![CDATA[</wpt>]]>"]),
    lambda inner: st.tuples(NAMES, st.sampled_from(["", " b='>'", ' b="/>"', " "]), st.lists(inner, max_size=3)).map(
        lambda one: f"<{one[0]}{one[1]}>{''.join(one[2])}</{one[0]}>" if one[2] else f"<{one[0]}{one[1]}/>"
    ),
    max_leaves=8,
)


@given(st.lists(MARKUP, min_size=1, max_size=4), st.booleans())
def test_any_markup_around_and_inside_survives_byte_by_byte(
    tmp_path_factory: pytest.TempPathFactory, pieces: list[str], is_inside: bool
) -> None:
    whole = "".join(pieces).replace("<wpt", "<w").replace("</wpt", "</w") if not is_inside else "".join(pieces)
    inner = f"<wpt lat='1' lon='2'>{whole}</wpt>" if is_inside else f"{whole}<wpt lat='1' lon='2'/>{whole}"
    root = f'<gpx xmlns="{GPX}" xmlns:g="{GPX}" xmlns:more="urn:q0abc">'.replace(
        f' xmlns:g="{GPX}"', ' xmlns:g="urn:g"'
    )
    file = tmp_path_factory.mktemp("markup") / "w.gpx"
    file.write_bytes(f"{root}{inner}</gpx>".encode())
    places = Waypoints(file)
    old = places.all()[0]
    places.add(Waypoint("New", PLACE))
    added = '\n  <wpt lat="10.500000000" lon="-20.250000000"><name>New</name></wpt>'
    assert without(text(file), added) == f"{root}{inner}</gpx>"
    assert places.change(old, replace(old, position=Position(1.0, 3.0)))
    assert without(text(file), added) == f"{root}{inner}</gpx>".replace("lon='2'", 'lon="3.000000000"')
