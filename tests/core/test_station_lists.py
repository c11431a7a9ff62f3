"""Lists of stations as people keep them: messy, and understood or doubted row by row.

All lists are invented; the rules that they are held against are stated where they are used.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

import pytest

from core.errors import InputError
from core.station_lists.decoding import decoded
from core.station_lists.frequencies import frequency_hz, shift_hz
from core.station_lists.headers import Field, understood
from core.station_lists.reading import list_of, read_list
from core.stations import Doubt, Station, StationList

PLAIN = "call,output,shift,tone,mode,locator,height,notes\nQX1AA,145.600,-0.6,88.5,FM,AI92wl,310,on the ridge\n"


def listed(text: str, name: str = "mine.csv", encoding: str = "utf-8") -> StationList:
    return list_of(text.encode(encoding), Path(name))


def only(text: str, name: str = "mine.csv") -> Station:
    (station,) = listed(text, name).stations
    return station


def doubts(found: StationList) -> list[tuple[int, Doubt]]:
    return [(one.row, one.doubt) for one in found.findings]


def joined(rows: Iterable[str]) -> str:
    return "\n".join(rows) + "\n"


def test_a_plain_list_is_understood_in_every_column() -> None:
    found = listed(PLAIN)
    (one,) = found.stations
    assert (one.call, one.output_hz, one.input_hz, one.shift_hz) == ("QX1AA", 145_600_000, 145_000_000, -600_000)
    assert (one.tone, one.mode, one.height_m, one.notes) == ("88.5", "FM", 310.0, "on the ridge")
    assert one.band
    assert one.band.name == "2 m"
    assert one.position
    assert one.radius_m == pytest.approx(5140, abs=20)  # half of 5' by 2.5', corner to middle, at 7.5 degrees south
    assert found.findings == ()
    assert all(column.meaning for column in found.columns)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_encodings_separators_and_line_ends_make_no_difference(encoding: str, separator: str, ending: str) -> None:
    rows = [("Call", "Höhe (m)", "Locator", "Notes"), ("QX1ÄA", "310", "AI92wl", "über dem Tal")]
    text = ending.join(separator.join(row) for row in rows) + ending
    found = listed(text, encoding=encoding)
    (one,) = found.stations
    assert (one.call, one.height_m, one.notes) == ("QX1ÄA", 310.0, "über dem Tal")
    assert found.findings == ()


def test_utf16_without_its_mark_is_told_from_zeros() -> None:
    for encoding in ("utf-16-le", "utf-16-be"):
        assert decoded(PLAIN.encode(encoding)).text == PLAIN


def test_title_lines_above_the_headers_are_passed_over() -> None:
    assert only(joined(["Our repeaters", "as of spring", "", *PLAIN.splitlines()])).call == "QX1AA"


def test_decimal_commas_need_no_saying() -> None:
    one = only("Call;Output MHz;Shift;Lat;Lon;Height m\nQX1AA;145,600;-0,6;-7,5208;-160,125;310,5\n")
    assert (one.output_hz, one.input_hz, one.height_m) == (145_600_000, 145_000_000, 310.5)
    assert one.position == (-7.5208, -160.125)


def test_quotes_hold_separators_line_ends_and_quotes() -> None:
    one = only('call,locator,notes\nQX1AA,AI92wl,"near the hut, ask for ""Zed""\nsecond line"\n')
    assert one.notes == 'near the hut, ask for "Zed"\nsecond line'


def test_a_quote_that_is_never_closed_swallows_no_rows() -> None:
    rows = ["call,locator,notes", *(f'QX{n % 10}A{chr(65 + n % 26)},AI92wl,"tall' for n in range(40))]
    found = listed(joined(rows))
    assert len(found.stations) == 40
    assert "not closed rightly" in found.read_as


def test_unknown_columns_are_kept_and_named() -> None:
    found = listed("call,locator,keeper,club\nQX1AA,AI92wl,Zed,\n")
    assert found.stations[0].more == (("keeper", "Zed"),)
    assert [column.header for column in found.columns if not column.meaning] == ["keeper", "club"]


def test_of_two_columns_that_mean_the_same_the_second_is_kept_as_unknown() -> None:
    one = only("call,name,site,locator\nQX1AA,Ridge,Hilltop,AI92wl\n")
    assert (one.name, one.more) == ("Ridge", (("site", "Hilltop"),))


def test_cells_beyond_the_headers_are_kept_and_doubted() -> None:
    found = listed("call,locator\nQX1AA,AI92wl,what is this\nQX1AB,AI92wl,,,\n")
    assert found.stations[0].more == (("column 3", "what is this"),)
    assert doubts(found) == [(2, Doubt.CELLS)]


def test_rows_that_end_early_are_understood_as_far_as_they_go() -> None:
    found = listed("call,locator,mode,notes\nQX1AA,AI92wl\n")
    assert (found.stations[0].mode, found.findings) == ("", ())


# Places


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        (",,", "neither coordinates nor a locator"),
        ("0,0.0,", "0, 0 is what programs write"),
        ("-7.5,,", "without a longitude"),
        ("160.1,-7.5,", "swapped"),
        ("200,300,", "latitudes go from"),
        (",,ZZ99", "no locator"),
        ("north,east,", "cannot be read"),
    ],
)
def test_rows_that_cannot_be_placed_say_why_and_are_kept(cells: str, why: str) -> None:
    found = listed(f"call,lat,lon,locator\nQX1AA,{cells}\n")
    assert found.stations[0].position is None
    assert found.placed == ()
    (finding,) = found.findings
    assert finding.doubt is Doubt.UNPLACED
    assert why in finding.why


@pytest.mark.parametrize(
    "place",
    ["7 30.6 S 160 07.5 W", "7°30'36\"S 160°07'30\"W", "geo:-7.51,-160.125", "-07.51-160.125/"],
)
def test_any_notation_is_a_place(place: str) -> None:
    quoted = place.replace('"', '""')
    one = only(f'call,position\nQX1AA,"{quoted}"\n')
    assert one.position
    assert one.position == pytest.approx((-7.51, -160.125), abs=1e-9)


def test_coordinates_with_hemispheres_in_two_columns_are_read_together() -> None:
    assert only("call,lat,lon\nQX1AA,7.51 S,160.125 W\n").position == pytest.approx((-7.51, -160.125))


def test_coordinates_are_as_coarse_as_their_last_digit() -> None:
    coarse = only("call,lat,lon\nQX1AA,-7.5,-160.1\n").radius_m
    fine = only("call,lat,lon\nQX1AA,-7.50000,-160.10000\n").radius_m
    assert coarse == pytest.approx(0.05 * 111_195 * (1 + 0.9914**2) ** 0.5, rel=1e-3)  # cos 7.5 degrees
    assert fine is not None
    assert fine < 1.0


def test_locator_and_coordinates_that_disagree_make_the_place_as_coarse_as_they_are_apart() -> None:
    found = listed("call,lat,lon,locator\nQX1AA,-7.52,-161.00,AI92wl\n")
    assert doubts(found) == [(2, Doubt.PLACES_DISAGREE)]
    assert found.stations[0].radius_m == pytest.approx(96_600, abs=500)  # 0.875 degrees of longitude at 7.5 south


@pytest.mark.parametrize("lon", ["-160.125", "-160.0834", "-160.1666", "-160.08"])
def test_coordinates_in_the_box_or_rounded_just_out_of_it_are_no_doubt(lon: str) -> None:
    """AI92wl reaches from -160.16667 to -160.08333; -160.08 is 370 m out and 550 m coarse."""
    assert listed(f"call,lat,lon,locator\nQX1AA,-7.52,{lon},AI92wl\n").findings == ()


def test_a_box_at_the_antimeridian_has_both_sides() -> None:
    found = listed("call,lat,lon,locator\nQX1AA,-7.52,179.9999,RI92xl\nQX1AB,-7.52,-180.0,AI02al\n")
    assert found.findings == ()


def test_a_locator_that_is_none_beside_good_coordinates_is_said() -> None:
    found = listed("call,lat,lon,locator\nQX1AA,-7.52,-160.1,XX12\n")
    assert found.stations[0].position
    assert doubts(found) == [(2, Doubt.PLACE)]


# Radio


@pytest.mark.parametrize(
    ("text", "hz"),
    [
        ("145.600", 145_600_000),
        ("145,6125", 145_612_500),
        ("145600", 145_600_000),
        ("145600000", 145_600_000),
        ("145.600.000", 145_600_000),
        ("438.650 MHz", 438_650_000),
        ("10.368 GHz", 10_368_000_000),
        ("10368.9", 10_368_900_000),
        ("7100", 7_100_000),
        ("24048", 24_048_000_000),
        ("29.69", 29_690_000),
        ("162.4", 162_400_000),
        ("", None),
        ("FM", None),
        ("-145", None),
        ("0", None),
        ("1e9", None),
    ],
)
def test_frequencies_as_people_write_them(text: str, hz: int | None) -> None:
    assert frequency_hz(text) == hz


def test_the_header_says_what_a_bare_figure_is_worth() -> None:
    assert frequency_hz("10368", 1000.0) == 10_368_000
    assert only("call,output kHz,locator\nQX1AA,145600,AI92wl\n").output_hz == 145_600_000


@pytest.mark.parametrize(
    ("text", "hz", "sign"),
    [
        ("-0.6", -600_000, -1),
        ("-600", -600_000, -1),
        ("+7,6", 7_600_000, 1),
        ("600 kHz -", -600_000, -1),
        ("\N{MINUS SIGN}0.6 MHz", -600_000, -1),
        ("-", None, -1),
        ("+", None, 1),
        ("minus", None, -1),
        ("DUP+", None, 1),
        ("simplex", 0, 0),
        ("0", 0, 0),
    ],
)
def test_shifts_as_people_write_them(text: str, hz: int | None, sign: int) -> None:
    assert shift_hz(text) == (hz, sign)


@pytest.mark.parametrize("text", ["", "up", "1-2", "--0.6"])
def test_what_is_no_shift_is_none(text: str) -> None:
    assert shift_hz(text) is None


def test_a_sign_alone_says_nothing_of_how_far() -> None:
    assert only("call,output,shift,locator\nQX1AA,145.6,-,AI92wl\n").input_hz is None


def test_a_shift_under_the_header_of_an_input_is_one() -> None:
    found = listed("call,output,input,locator\nQX1AA,145.6,-0.6,AI92wl\nQX1AB,145.6,-,AI92wl\n")
    assert [one.input_hz for one in found.stations] == [145_000_000, None]
    assert doubts(found) == [(3, Doubt.FREQUENCY)]


@pytest.mark.parametrize(
    ("output", "listens", "shift", "why"),
    [
        ("438.65", "", "-76", "leads out of the 70 cm band"),
        ("145.6", "", "-1.7", "outside the 2 m band"),
        ("145.6", "145.0", "+0.6", "the shift says"),
        ("145.6", "438.0", "", "leads out of"),
    ],
)
def test_impossible_shifts_are_doubted(output: str, listens: str, shift: str, why: str) -> None:
    found = listed(f"call,output,input,shift,locator\nQX1AA,{output},{listens},{shift},AI92wl\n")
    assert Doubt.SHIFT in {finding.doubt for finding in found.findings}
    assert any(why in finding.why for finding in found.findings)


def test_usual_shifts_of_every_band_are_no_doubt() -> None:
    """Shifts in use on the bands (common practice, no source)."""
    rows = ["29.69,-0.1", "52.9,-0.6", "145.6,-0.6", "224.2,-1.6", "438.65,-7.6", "439.2,-9.4", "1298.1,-28", "145.6,0"]
    found = listed(
        joined(["output,shift,call,locator", *(f"{row},QX1A{chr(65 + n)},AI92wl" for n, row in enumerate(rows))])
    )
    assert found.findings == ()


@pytest.mark.parametrize(
    ("tone", "doubted"), [("88.6", True), ("88.5 Hz", False), ("CC 1", False), ("88", False), ("D023", False)]
)
def test_tones_next_to_a_standard_one_are_doubted(tone: str, doubted: bool) -> None:
    found = listed(f"call,tone,locator\nQX1AA,{tone},AI92wl\n")
    assert doubts(found) == ([(2, Doubt.TONE)] if doubted else [])


def test_a_height_that_may_be_thousands_or_decimals_is_not_guessed() -> None:
    found = listed("call,height,locator\nQX1AA,1.200,AI92wl\nQX1AB,1200 ft,AI92wm\n")
    assert found.stations[0].height_m is None
    assert found.stations[1].height_m == pytest.approx(365.76)  # the international foot, 0.3048 m
    assert doubts(found) == [(2, Doubt.HEIGHT)]


def test_duplicates_are_those_of_one_call_frequency_and_place() -> None:
    rows = ["QX1AA,145.6,AI92wl", "qx1aa,145.600,AI92wl", "QX1AA,438.65,AI92wl", "QX1AA,145.6,AI99wl"]
    found = listed(joined(["call,output,locator", *rows]))
    assert [(one.row, one.why) for one in found.findings if one.doubt is Doubt.DUPLICATE] == [(3, "as row 2")]


# Headers and files


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Call Sign", Field.CALL),
        ("CALLSIGN", Field.CALL),
        ("Output (MHz)", Field.OUTPUT),
        ("RX_freq", Field.INPUT),
        ("QTH-Locator", Field.LOCATOR),
        ("QTH-Loc", Field.LOCATOR),
        ("Nearest City", Field.NAME),
        ("Höhe ü. NN", Field.HEIGHT),
        ("State", None),
        ("Höhe", Field.HEIGHT),
        ("Fréquence", Field.OUTPUT),
        ("Last verified", Field.VERIFIED),
        ("height MHz", None),
        ("keeper", None),
    ],
)
def test_headers_in_any_dress(header: str, field: Field | None) -> None:
    found = understood([header])[0]
    assert (found.field is field) or (header == "height MHz" and found.unit is None)


@pytest.mark.parametrize("text", ["", "\n\n", "QX1AA,145.6,AI92wl\n", "a,b,c\n1,2,3\n", "<html><body>no</body></html>"])
def test_a_file_without_headers_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(InputError, match="name the columns in its first row"):
        listed(text)


def test_a_list_that_says_nowhere_where_is_refused() -> None:
    with pytest.raises(InputError, match="no column that says where"):
        listed("call,output\nQX1AA,145.6\n")


def test_geojson_properties_are_columns() -> None:
    feature = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-160.125, -7.52, 310]},
        "properties": {"call": "QX1AA", "output": 145.6, "keeper": "Zed", "nested": {"a": 1}, "status": None},
    }
    line = {"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[0, 1], [1, 2]]}, "properties": {}}
    found = listed(json.dumps({"type": "FeatureCollection", "features": [feature, line]}), "mine.geojson")
    (one,) = found.stations
    assert (one.call, one.output_hz, one.position, one.more) == (
        "QX1AA",
        145_600_000,
        (-7.52, -160.125),
        (("keeper", "Zed"),),
    )
    assert one.height_m is None  # RFC 7946 measures heights from the ellipsoid


def test_gpx_waypoints_are_stations() -> None:
    text = (
        '<?xml version="1.0"?><gpx version="1.1" creator="a hand" xmlns="http://www.topografix.com/GPX/1/1">'
        '<wpt lat="-7.52" lon="-160.125"><ele>310</ele><name>QX1AA</name><desc>145.6 -0.6</desc></wpt></gpx>'
    )
    one = only(text, "mine.gpx")
    assert (one.title, one.position, one.height_m, one.notes) == ("QX1AA", (-7.52, -160.125), 310.0, "145.6 -0.6")


@pytest.mark.parametrize("text", ["[]", "{}", "null", '{"features": [1, null, {"geometry": 3}]}', "{", "[" * 100_000])
def test_json_that_is_no_list_of_points_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        listed(text, "mine.json")


def test_hostile_text_stays_text() -> None:
    evil = "\x1b]0;owned\x07[bold]=cmd|' /C calc'!A0"
    one = only(f'call,locator,notes\n"{evil}",AI92wl,"{evil}"\n')
    assert one.notes == evil


def test_bytes_that_are_no_text_do_not_crash(tmp_path: Path) -> None:
    for number, data in enumerate(
        [bytes(range(256)) * 40, b"\0" * 5000, b"call,locator\n\xff\xfe\xfd,AI92wl\n", b'"' * 300_000]
    ):
        path = tmp_path / f"{number}.csv"
        path.write_bytes(data)
        try:
            read_list(path)
        except InputError as error:
            assert str(error)


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_list(tmp_path / "none.csv")
