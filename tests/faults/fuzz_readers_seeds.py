"""What the readers of files begin with: sound files of every kind, and the words of their grammars.

Invented places, on open ocean.
"""

from __future__ import annotations

from core.site_file import HEADER as SITE_HEADER
from core.trip_file import HEADER as TRIP_HEADER


def encoded(*texts: str) -> tuple[bytes, ...]:
    """As UTF-8."""
    return tuple(text.encode() for text in texts)


NUMBER_WORDS = (b"1e999", b"NaN", b"-Infinity", b"null", b"true", b"[]", b"{}", b'""', b"[[]]", b"0" * 30, b"9" * 320)
GPX = """<?xml version="1.0" encoding="UTF-8"?>
<gpx xmlns="http://www.topografix.com/GPX/1/1" xmlns:f="urn:fixboard:gpx:1" xmlns:o="urn:x" version="1.1" creator="x">
<metadata><name>n</name></metadata><!-- a -->
<wpt lat="10.5" lon="-20.25"><ele>12.5</ele><time>2031-05-04T14:32:10Z</time><name>Hut &amp; spring</name><desc>d</desc>
<sym>s</sym><type>camp</type><fix>dgps</fix><extensions><f:error95>3.5</f:error95><f:mode>rtk_fixed</f:mode><o:x/></extensions>
</wpt><wpt lat='-90' lon='180'/>
<rte><rtept lat="10" lon="20"/><rtept lat="10.1" lon="20"/></rte>
<trk><trkseg><trkpt lat="10.5" lon="-20.25"><ele>5</ele><time>2031-05-04T14:32:10Z</time></trkpt>
<trkpt lat="10.51" lon="-20.25"><time>2031-05-04T14:33:10.5+02:00</time></trkpt></trkseg>
<trkseg><trkpt lat="0" lon="180"/><trkpt lat="0" lon="-180"/></trkseg></trk></gpx>"""
GPX_PREFIXED = """<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1" version="1.1">
<g:wpt lat="1" lon="2"><g:name>a</g:name>
<g:desc><![CDATA[b]]></g:desc></g:wpt><g:wpt lat="x" lon="2"/><g:extensions/></g:gpx>"""
GPX_EMPTY = '<gpx xmlns="http://www.topografix.com/GPX/1/1"/>'
KML = """<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document>
<Placemark><gx:Track><altitudeMode>absolute</altitudeMode><when>2031-05-04T14:32:10Z</when><when>2031-05-04T14:32:11Z</when>
<gx:coord>-20.25 10.5 5</gx:coord><gx:coord>-20.25 10.51 6</gx:coord></gx:Track></Placemark>
<Placemark><LineString><coordinates>-20,10,5 -20.1,10 180,0</coordinates></LineString></Placemark>
<Placemark><TimeStamp><when>2031-05-04</when></TimeStamp><Point><coordinates>1,2,3</coordinates></Point></Placemark>
</Document></kml>"""
GEOJSON = """{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"coordTimes":
["2031-05-04T14:32:10Z",
"2031-05-04T14:32:11Z"]},"geometry":{"type":"LineString","coordinates":[[-20.25,10.5,5],[-20.26,10.5]]}},
{"type":"Feature","properties":{"time":"2031-05-04T14:32:10Z","call":"QX1ABC"},"geometry":
{"type":"Point","coordinates":[1,2]}},
{"type":"Feature","geometry":{"type":"GeometryCollection","geometries":[{"type":"MultiLineString","coordinates":[[[1,2],[3,4]]]}]}}]}"""
CSV = '''my list;2031
call;name;output MHz;shift;tone;mode;locator;lat;lon;height m;notes;other
QX1ABC;"Hill; east";145.600;-0.6;88.5;FM;HK90um;10.5;-20.25;1200;"says ""hi""";x
QX2ABC;;430,5;+;123;DMR;HK91;;;;;
QX3ABC;;10.368 GHz;dup-;;;;"10 30.5 N";"20 15 W";3,000 ft;;
'''
STATION_JSON = """{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"call":"QX1ABC",
"output":145.6,"shift":-0.6,"notes":null,"x":[1]},"geometry":{"type":"Point","coordinates":[-20.25,10.5,100]}},
{"type":"Feature","properties":{"call":"QX1ABC","output":"145.6"},"geometry":{"type":"Point","coordinates":[-20.25,10.5]}}]}"""
CHAPTERS = """# mine
# of the first
[[chapter]]
at = "0:04:10"   # begin
title = "The fix is lost"
words = '''Four
satellites'''
page = "signals"
mask_deg = 20
pace = 0.5

# loose

[[chapter]]
at = "14:32:10.5Z"
title = "Back"
"""
SETTINGS = """[ranging_error_m]
autonomous = 4.0
[recorder]
always = true
[track]
rule = "every 10 s or 25 m"
[before_dark]
margin_min = 30
factor = 1.25
[stations]
antenna_m = 6.0
[home]
place = "10.5 N 20.25 W"
radius_m = 500
[feed]
to = ["tcp:10110", "pty"]
form = "auto"
types = "RMC,GGA"
rate_hz = 1.0
[power]
saving_on_battery = false
[units]
system = "statute"
height = "m"
[board]
theme = "night"
panes = ["fix", "sky"]
[alerts]
bell = "on"
events = ["lost"]
[folders]
recordings = "~/recordings"
[keys]
mark_here = "m,+,ctrl+t"
"""
SCENARIO = """title = "Over the ridge"
call = "QX1ABC"
start = 2027-05-15T09:00:00Z
rate_hz = 1
[receiver]
systems = "GREC"
mask_deg = 5
[around.lane]
street_height_m = 14
street_width_m = 9
[around.wood]
walls = [[20, 75, 40]]
trees_db = 14
[[path]]
at = "41 02.100 N 179 52.000 E"
height_m = 212
pause_s = 90
speed_mps = 1.3
[[path]]
at = "41 02.200 N 179 52.000 E"
around = "wood"
[[event]]
what = "outage"
from_s = 30
to_s = 45
"""
TRIP = (
    f"{TRIP_HEADER}\n2031-05-04T14:32:10.000Z,10.5,-20.25,12.50,1\n2031-05-04T14:32:20.000Z,10.6,-20.25,,0\n,1,2,,0\n"
)
SITE = (
    f"{SITE_HEADER}\n2031-05-04T14:32:10.000Z,0.000,10.5,-20.25,12.5,30.0,autonomous,3.5,W84\n"
    "T14:32:11.000Z,1.000,10.5,-20.25,,,differential,,\n2031-05-04T23:59:60.999Z,2.5,10.50001,-20.25,13,30,manual,2,\n"
)
SITE_STATE = """{"version":1,"state":"PAUSED","why":"w","finished":"averaging.20310504-143210.csv","mark":{"name":"M",
"position":[10.5,-20.25],"coarse_m":1.0,"error_m":0.5,"height_m":12.0,"height_kind":"sea level"}}"""
ROUTE = (
    '[["Hut", 10.0, -20.0], ["Car", -10.0, 170.0], ["QX1ABC", 1.5, 2, "station", 300.5], ["Q", 0, 0, "station", null]]'
)
LATENCY = '{"usb at 9600 baud: GGA RMC": {"low_s": 0.11, "high_s": 0.31, "learned_on": "2031-05-04"}, "x": 1}'
SESSION_NOTES = '{"a.nmea": {"name": "Round the isle", "note": "fog", "x": [1]}, "b": 5}'
MEMORY = 'route = "[]"\nnotation = "DECIMAL"\ntheme = "night"\nsource = "tcp://h:1"\nalert = "on"\nrecording = ""\n'
NMEA = (
    b"$GPRMC,143210.00,A,1030.0000,N,02015.0000,W,1.2,90.0,040531,,,A*74\r\n$GPGGA,143210.00,1030.0000,N,02015.0000,W,1,08,"
    b"1.0,12.5,M,30.0,M,,*75\r\n\\c:1935671530*5D\\$GPRMC,143211.00,V,,,,,,,040531,,,N*7A\r\n$GPGLL,,,,,,V,N*64\r\n"
)


XML_WORDS = encoded(
    '<?xml version="1.0" encoding="utf-16"?>',
    '<?xml version="1.0" encoding="unicode_escape"?>',
    "<!DOCTYPE a>",
    '<!DOCTYPE a [<!ENTITY b "c">]>',
    "&b;",
    "&#0;",
    "&#xD800;",
    "&lt;",
    "<![CDATA[",
    "]]>",
    "<!--",
    "-->",
    "<?x?>",
    "/>",
    ' xmlns=""',
    ' xmlns:g="urn:y"',
    ' xmlns:g="http://www.topografix.com/GPX/1/1"',
    "g:",
    "xml:",
    ' encoding="cp037"',
    ' encoding="utf-7"',
    ' encoding="cp1252"',
    "\\u003c",
    "\\ud800",
    "<wpt",
    "</wpt>",
    "<name/>",
    "<extensions/>",
    " lat=",
    "9999-12-31T23:59:59.999Z",
    "0001-01-01T00:00:00+23:59",
    "2031-W01-1",
    "20310504T143210Z",
)
TOML_WORDS = encoded(
    "[[chapter]]",
    "[chapter]",
    "[",
    "[[",
    "'''",
    '"""',
    "\\u001b",
    '"\\ud800"',
    "0xFFFFFFFFFFFFFFFFFFFF",
    "1979-05-27T07:32:00Z",
    "1979-05-27",
    "07:32:00",
    "inf",
    "nan",
    "{a=1}",
    "[[[]]]",
    "a.b.c",
    '"\\u001b[31m" = 1',
    "# c",
    "true",
    "\r\n",
    "\u2028",
)
JSON_WORDS = (
    *NUMBER_WORDS,
    b'"\\ud800"',
    b'"\\u0000"',
    b"[[[[[[",
    b'{"a":',
    b"1" + b"0" * 4299,
    b'"a\\u0000b"',
    b'"\\u001b"',
)

# What is typed

PLACES = (
    "47.5 N 11.25 E",
    "47 30.0 N 11 15.0 E",
    "47°30'15.5\"N 011°15'00\"E",
    "-33.9,18.4",
    "N47.5 E11.25",
    "4730N01115E",
    "latitude 47.5 longitude -11.25",
    "47° 30′ 15″ S; 11° 15′ 20.25″ W",
    "47,5 11,25",
    "47:30:00 11:15:00",
    "179 59.999 W 89 59.999 S",
    "90 0",
    "0 N 180 E",
)
GRIDS = (
    "32U 691608 5334764",
    "32U PU 91608 34764",
    "32UPU9160834764",
    "Z GH 12345 67890",
    "utm 32 north 691608m E 5334764m N",
    "ups A 2000000 2000000",
    "ZAH0000000000",
    "31NAA 0 0",
    "60X WP 1 1",
    "BAN 00 00",
)
MACHINE = ("geo:47.5,11.25,100;u=35", "geo:90,0;crs=wgs84", "+40.20361-075.00417+12.5CRSWGS_84/", "+4012.22-07500.25/")
LOCATORS = ("JN58td", "jn58", "JN58TD25", "AA00aa00aa", "RR99xx99xx")
SPOKEN = (
    "10 30.074 N 20 15.260 W",
    "one zero decimal five north two zero fifteen west",
    "27P WM 8159 6092",
    "HK90um",
    "latitude one zero degrees three zero decimal zero seven four minutes north, longitude zero two zero degrees",
    "x-ray november five eight tango delta",
    "niner fife ait decimal tree",
    "twenty five, fifty, minus 12",
    "-10.5, 20",
)
PLACE_WORDS = (
    b"N",
    b"S",
    b"E",
    b"W",
    b"north",
    b"lat",
    b"lon",
    b"latitude",
    b"longitude",
    b"deg",
    b"min",
    b"sec",
    b"D",
    b"M",
    "°".encode(),
    "′".encode(),
    "″".encode(),
    "º".encode(),
    b"''",
    b",",
    b";",
    b":",
    b"geo:",
    b";u=",
    b";crs=wgs84",
    b"CRS",
    b"WGS_84",
    b"utm",
    b"ups",
    b"zone",
    b"JN",
    b"58",
    b"td",
    b"PU",
    b"32U",
    b"Z",
    b"O",
)
SPOKEN_WORDS = tuple(
    word.encode()
    for word in [
        "zero",
        "one",
        "two",
        "tree",
        "fower",
        "fife",
        "six",
        "seven",
        "ait",
        "niner",
        "ten",
        "fifteen",
        "fifty",
        "twenty",
        "decimal",
        "point",
        "dot",
        "north",
        "south",
        "east",
        "west",
        "degrees",
        "minutes",
        "seconds",
        "minus",
        "datum",
        "alfa",
        "bravo",
        "zulu",
        "x-ray",
        "latitude",
        "longitude",
        "grid",
        "locator",
    ]
)
