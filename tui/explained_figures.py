"""Pane by pane, where each explained figure stands in what is drawn, and which paragraph explains it.

A pattern is a regular expression for the text of the pane, its rows stripped; what its groups hold, or what follows it
on the line, is the value as shown; the names of groups go before them. Pictures have no text to look in: theirs stand
ALWAYS.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from core.trust_rules import AGE, RULES

ALWAYS = ""
"""The pattern of a figure that is drawn and not written."""
_NUMBER = r"\d+(?:\.\d+)?"
_SIZE = r"[\d.,]+ (?:cm|km|mi|m|in|ft|yd|NM)"


class Figure(NamedTuple):
    """Where one stands, and its paragraph in `core.explanations`."""

    pattern: str
    key: str


def _drawn(*keys: str) -> tuple[Figure, ...]:
    return tuple(Figure(ALWAYS, key) for key in keys)


def _said(**patterns: str) -> tuple[Figure, ...]:
    """By key. One that ends in an underscore is a further place of the same figure."""
    return tuple(Figure(pattern, key.rstrip("_")) for key, pattern in patterns.items())


def _degrees(form: str) -> str:
    """Latitude and longitude, in rows of their own."""
    return rf"^({form} [NS])\b.*\n({form} [EW])"


def _dilution(name: str) -> str:
    """Of the geometry's table, each figure with the heading of its column."""
    return rf"^{name}(?: (?P<clock>[A-Z?]))? +(?P<own>\S+) +(?P<worked>\S+)(?: +(?P<what_if>\S+(?: of [A-Z?])?))?$"


_POSITION = (
    *_said(
        position=r"^(\d[^\n]*? [NS])(?: .*)?\n(\d[^\n]*? [EW])$",
        position_=r"^(no position)$",
        age=r"^last fix (.*) ago$",
        decimal_degrees=_degrees(rf"{_NUMBER}°"),
        decimal_degrees_=r"^degrees  ",
        degrees_minutes=_degrees(rf"\d+° {_NUMBER}'"),
        degrees_minutes_=r"^and min  ",
        degrees_minutes_seconds=_degrees(rf"\d+° \d+' {_NUMBER}\""),
        degrees_minutes_seconds_=r"^and sec  ",
        locator=r"^locator  ",
        utc=r"^UTC  ",
        local_time=r"^local  ",
        date_corrected=r"^date corrected from ",
        speed=r"^speed  ",
        course=r"^course  ",
        bearings_north=r"^course .*° (true|magnetic|grid)",
        altitude=r"^altitude ",
        ellipsoid=r"^(-?[\d.]+ (?:m|ft))  ellipsoid",
        utm=r"^UTM  ",
        mgrs=r"^MGRS  ",
        iso6709=r"^ISO 6709 ",
        geo_uri=r"^geo URI ",
        square=r"^square  ",
        declination=r"^magnetic ",
        sunrise=r"^sun  ",
        twilight=r"^twilight ",
        sun_now=r"^now (\d{3}° true.*)",
    ),
)
_FIX = _said(
    mode=r"^mode  ",
    dimensions=r"^mode .*(\dD)",
    in_fix=r"^in fix +(\S+(?: of \d+)?)",
    in_view=r"^in fix .*?(\d+) in view",
    age=r"^age  ",
    hdop=r"^HDOP  ",
    pdop=r"PDOP (\S+)",
    vdop=r"VDOP (\S+)",
    one_sigma=r"^1 sigma +(?P<north>\S+), (?P<east>\S+), (?P<up>.*)",
    correction_age=r"^corr age +(\d+ s)",
    station_id=r"^corr age .*station (.+)",
    contradiction=r"^(positions of one epoch differ)",
    receiver_caution=r"^receiver says: ",
    datum=r"^datum (\S+):",
    receiver_text=r"^receiver: ",
)
_GOTO = _said(
    by_trail=r"^by trail ",
    by_trail_=r"^to bend  ",
    distance=r"^distance ",
    bearing=r"^bearing  ",
    bearings_north=r"^bearing .*° (true|magnetic|grid)",
    turn=r"^turn  ",
    eta=r"^ETA  ",
    closing=r"^closing  ",
    cross_track=r"^beside  ",
    arrival=r"^arrival  ",
    arrival_=r"^ARRIVED",
    arrival_errors=r"^mark (.*, now .*)",
    then=r"^then  ",
)
_WHAT_IF = _said(
    worked_out=r"^own +worked",
    hdop=_dilution("HDOP"),
    vdop=_dilution("VDOP"),
    pdop=_dilution("PDOP"),
    tdop=_dilution("TDOP"),
    gdop=_dilution("GDOP"),
    mask=r"Mask below ",
    cliff=r"Cliff towards ",
    cliff_=r"Cliff height ",
    street=r"Street along ",
    street_=r"Street walls ",
    by_system=r"^(?:> )?([A-Z?] \w+.* in, \d+ of \d+|[A-Z?] \w+.* OUT, .*)",
    worked_out_=r"^(?:HDOP \S+ -> |No figures: |NO POSITION: )",
    dimensions=r"^(2D): the receiver holds",
    not_tracked=r"^not worked in, no direction: ",
    satellite_worth=r"^if lost, or back()",
    satellite=r"^(?:> )?([A-Z?]\d+)  ",
)
_TRIP = _said(
    trip_distance=r"^trip  +(.*?)(?:  |$)",
    gaps=r"(\d+ gaps?, .*) not counted",
    moving_time=r"^time  ",
    average_speed=r"^average  ",
    average_speed_=r"^fastest  ",
    ascent=r"^up +(?P<up>\S.*?) +down +(?P<down>\S.*)",
    leg=r"^leg \d+ +",
    turn_back=r"^turn back at the latest +",
    turn_back_=r"^(?:Margin|Factor|Light|Way back): ",
    gaps_=r"^Gaps: ",
    walking_time=r"^Pace: ",
    walking_time_=r"^(?:Climb|Descent|For comparison)\b",
)
_AVERAGING = _said(
    averaging_time=r"^(?:averaging|waiting|paused|ended)  (.*?fixes)",
    mean=r"^mean  ",
    mean_95=r"^95 %  ",
    naive_error=r"^not so  ",
    mean_height=r"^height  ",
    benchmark=r"^mark  ",
    mark_difference=r"^dE dN  ",
    mark_difference_=r"^dH  ",
    chance=r"^chance  ",
    cep=rf"CEP ({_SIZE})",
    drms=rf"\bDRMS ({_SIZE})",
    r95=rf"R95 ({_SIZE})",
    two_drms=rf"2DRMS ({_SIZE})",
    height_scatter=r"^of height ",
    memory=r"^memory  ",
    effective_count=r"worth ([\d,]+) independent",
    outliers=r"^outliers ",
    no_fix_epochs=r"^no fix  ",
    waiting=r"^waiting  +(?=\+)",
    mixed_modes=r"^modes  ",
    cep_=r"^CEP  ",
    drms_=r"^DRMS  ",
    r95_=r"^R95  ",
    two_drms_=r"^2DRMS  ",
)
_CLOCK = _said(
    clock_second=r"UTC  (\d{4}-\S+|no date)",
    clock_computer=r"^computer  ",
    clock_offset=r"^offset  ",
    slot_modes=r"^slot modes ",
    clock_certain=r"^certain  ",
    latency=r"^latency  ",
    made_from=r"^made from ",
    gps_time=r"^GPS time +(?=GPS week)",
    leap_seconds=r"^GPS time is ",
    rollover=r"^the week count begins anew at ",
    arrival_worth=r"^bytes  ",
    clock_assumes=r"^assumes  ",
    clock_offset_=r"^(behind .* ahead)$",
    clock_assumes_=r"^to set it ",
    clock_assumes__=r"^take care ",
)
_CHARTS = _said(
    chart_time=r"^(?:altitude: .*?  +)?(\S.* up to .*)$",
    in_fix=r"^in the fix\b.*\n(\S+)",
    hdop=r"^HDOP\b.*\n(\S+)",
    best_four=r"^best four\b.*\n(\S+ dB-Hz)",
    altitude=r"^altitude\b.*\n(\S+ (?:m|ft))",
    speed=r"^speed\b.*\n(\S+ (?:m/s|km/h|mph|kn))",
)
_SIGNALS = _said(
    by_system=r"(\S+  \d+ of \d+ in the fix)",
    cn0=r"^[A-Z?]\d+ +(\d+)\b",
    not_tracked=r"^([A-Z?]\d+) +- not tracked",
)
_RULE_KEYS = {
    "fix": "position",
    "mode": "mode",
    "dimensions": "dimensions",
    "told": "quality_told",
    "count": "in_fix",
    "hdop": "hdop",
    "pdop": "pdop",
    "error": "error_95",
    "signal": "best_four",
    "correction": "correction_age",
    "agreement": "contradiction",
    "caution": "receiver_caution",
    "jump": "jump",
    "back": "time_back",
    "date": "date",
    "frozen": "frozen",
    "null": "null_island",
    "equal": "signals_equal",
    "fall": "signals_fall",
    "age": "age",
}
"""By id of a rule."""
_WHY = (
    *_said(
        error_95=rf"^95 % error +({_SIZE} on the ground.*)",
        error_95_=r"^95 % error +(cannot be estimated)",
        error_95__=r"^estimated from ",
    ),
    *(
        Figure(rf"^{re.escape(rule.name)} +(\S.*?) +(?:no fix|doubtful|usable|firm)\b", _RULE_KEYS[rule.id])
        for rule in (AGE, *RULES)
        if rule.id in _RULE_KEYS
    ),
)

FIGURES: dict[str, tuple[Figure, ...]] = {
    "position": _POSITION,
    "fix": _FIX,
    "goto": _GOTO,
    "sky": _drawn("sky_plot", "in_fix", "elevation", "azimuth", "cn0", "satellite", "not_tracked", "up"),
    "compass": _drawn("course", "heading", "bearing", "distance", "turn", "cross_track", "sun_now", "up"),
    "wire": (*_said(taken=r"(\d+) taken", refused=r"(\d+) refused"), *_drawn("wire")),
    "why": _WHY,
    "signals": (*_SIGNALS, *_drawn("satellite")),
    "charts": _CHARTS,
    "events": _drawn("event"),
    "large": _drawn("distance", "turn", "kite", "by_trail", "then"),
    "trail": _drawn("trail_map"),
    "profile": _drawn("profile"),
    "trip": _TRIP,
    "averaging": _AVERAGING,
    "scatter": _drawn("scatter_plot"),
    "clock": _CLOCK,
    "sky-plot": _drawn(
        *("sky_plot", "in_fix", "elevation", "azimuth", "cn0", "satellite", "not_tracked", "up"),
        *("tracks", "signal_by_elevation", "obstruction"),
    ),
    "what-if": _WHAT_IF,
    "ab": _said(
        pair_difference=r"^B from A +",
        distance=r"^distance +([\d.,]+ (?:m|ft|yd))",
        pair_worth=r"^(sure to .*|what that is worth is not known.*)",
        pair_satellites=r"^in A and B +",
        pair_satellites_=r"^(?:A|B) only ",
        utc=r"^UTC  ",
        verdict=r"^verdict  ",
        error_95=r"^95 % error  ",
        in_fix=r"^in the fix  ",
        ellipsoid=r"^height  ",
        source_kind=r"^source  ",
    ),
    "ab-sky-a": _drawn("sky_plot", "elevation", "azimuth", "cn0", "satellite"),
    "ab-sky-b": _drawn("sky_plot", "elevation", "azimuth", "cn0", "satellite"),
    "ab-strip": _drawn("pair_strip"),
    "time-bar": _drawn("time_bar"),
    "source": _said(
        source_kind=r"^(LIVE|REPLAY, POSITIONS ONLY|REPLAY|REHEARSAL|HELD PLACE|NO SOURCE)\b",
        source_state=r"  ((?:starting|playing|paused|ended|failed|searching|waiting|receiving|lost)\b[^\n]*?)(?:   |$)",
        averaging_under_way=r"(?:averaging|AVERAGING WAITS) (\d.*?)  ",
        recording=r"recording ([\d.]+ MB)",
        recording_=r"(RECORDING STOPPED)",
        progress=r"(\d+:\d\d:\d\d)(  +\d+ %)?$",
    ),
    "verdict": _said(
        verdict=r"^\[.*?\] (no fix|doubtful|usable|firm|HELD PLACE)\b",
        error_95=r"about ([\d.,]+ \S+) \(95 %",
    ),
    "banner": _said(arrival=r"^(ARRIVED.*)", turn_back=r"^((?:TURN BACK|LATE).*)"),
}
"""By the pane's id. The order is that of the list."""
