"""Letters and digits of sentences in words. Sources: nmea-facts.toml, the section named; "memory" where it says so."""

from __future__ import annotations

QUALITIES = {
    "0": ("none", "no fix"),
    "1": ("autonomous", "satellites, uncorrected"),
    "2": ("differential", "with corrections, augmentation satellites included"),
    "3": ("precise", "precise positioning service"),
    "4": ("rtk_fixed", "carrier phase, whole numbers found"),
    "5": ("rtk_float", "carrier phase, whole numbers not found yet"),
    "6": ("estimated", "dead reckoning: not from satellites"),
    "7": ("manual", "typed in by hand: not measured"),
    "8": ("simulated", "a simulator: not measured"),
}
"""nmea-facts.toml [gga_quality]."""

MODES = {
    "A": ("autonomous", "satellites, uncorrected"),
    "D": ("differential", "with corrections"),
    "P": ("precise", "precise positioning service"),
    "R": ("rtk_fixed", "carrier phase, whole numbers found"),
    "F": ("rtk_float", "carrier phase, whole numbers not found yet"),
    "E": ("estimated", "dead reckoning: not from satellites"),
    "M": ("manual", "typed in by hand: not measured"),
    "S": ("simulated", "a simulator: not measured"),
    "N": ("none", "data not valid"),
}
"""nmea-facts.toml [mode_indicator]."""

STATUSES = {"A": ("valid", "the data may be used"), "V": ("void", "a warning: not to be used")}
"""nmea-facts.toml [mode_indicator], rule: V for whatever is no fix."""

NAV_STATUSES = {
    "S": ("safe", "within what the integrity check allows"),
    "C": ("caution", "integrity not available"),
    "U": ("unsafe", "beyond what the integrity check allows"),
    "V": ("none given", "this receiver has no integrity check"),
}
"""nmea-facts.toml [nav_status]; what stands behind the letters is memory."""

GSA_CHOICE = {"M": ("manual", "made to work in 2D or 3D"), "A": ("automatic", "2D or 3D as it can")}
GSA_FIX = {
    "1": ("none", "no fix by this sentence"),
    "2": ("2D", "height assumed, not measured"),
    "3": ("3D", "with a measured height"),
}
"""nmea-facts.toml [gsa]."""

THS_MODES = {
    "A": ("autonomous", "measured"),
    "E": ("estimated", "dead reckoning"),
    "M": ("manual", "typed in: not where the bow points"),
    "S": ("simulated", "not where the bow points"),
    "V": ("not valid", "not where the bow points"),
}
"""nmea-facts.toml [fields] THS has the letters; their words are memory."""

DATUMS = {
    "W84": ("WGS 84", ""),
    "W72": ("WGS 72", ""),
    "S85": ("SGS 85", ""),
    "P90": ("PE-90", ""),
    "999": ("user defined", "the receiver's user has set it"),
}
"""IEC 61162-1, DTM: memory. Other codes are the hydrographers' (IHO S-60)."""

TEXT_KINDS = {
    "00": ("error", ""),
    "01": ("warning", ""),
    "02": ("notice", ""),
    "07": ("user", ""),
}
"""How common receivers use the text identifier: memory."""

NORTH_SOUTH = {"N": ("north", ""), "S": ("south", "minus")}
EAST_WEST = {"E": ("east", ""), "W": ("west", "minus")}
VARIATION = {"E": ("east", "true = magnetic + variation"), "W": ("west", "true = magnetic - variation")}
"""Easterly variation is added to magnetic to give true (common practice)."""
STEER = {"L": ("left", "steer to the left"), "R": ("right", "steer to the right")}
"""nmea-facts.toml [steer]: the way to steer, not the side one is on."""
TRUE_MAGNETIC = {"T": ("true", "from true north"), "M": ("magnetic", "from magnetic north")}
ARRIVED = {"A": ("yes", ""), "V": ("no", "")}
RELATIVE_TRUE = {"R": ("relative", "to the bow"), "T": ("true", "or theoretical, see the device's manual")}
ROUTE_KIND = {"c": ("complete", "all waypoints of the route"), "w": ("working", "the leg's start, its end, the rest")}
"""nmea-facts.toml [fields]; the words of RTE and MWV are memory."""
SPEED_UNIT = {"K": ("km/h", ""), "M": ("m/s", ""), "N": ("knots", ""), "S": ("miles an hour", "")}

SYSTEMS = {
    "G": "GPS", "R": "GLONASS", "E": "Galileo", "C": "BeiDou", "J": "QZSS", "I": "NavIC", "S": "augmentation",
}  # fmt: skip
"""Letters as in RINEX 3.05, table 1."""

SYSTEM_IDS = {
    "1": ("GPS", "with augmentation satellites"),
    "2": ("GLONASS", ""),
    "3": ("Galileo", ""),
    "4": ("BeiDou", ""),
    "5": ("QZSS", ""),
    "6": ("NavIC", ""),
}
"""nmea-facts.toml [system_id]."""

SIGNALS = {
    "G": {
        "1": "L1 C/A", "2": "L1 P(Y)", "3": "L1 M", "4": "L2 P(Y)", "5": "L2C-M", "6": "L2C-L", "7": "L5-I",
        "8": "L5-Q",
    },
    "R": {"1": "G1 C/A", "2": "G1 P", "3": "G2 C/A", "4": "G2 P"},
    "E": {"1": "E5a", "2": "E5b", "3": "E5a+b", "4": "E6-A", "5": "E6-BC", "6": "L1-A", "7": "E1 (L1-BC)"},
    "C": {
        "1": "B1I", "2": "B1Q", "3": "B1C", "4": "B1A", "5": "B2a", "6": "B2b", "7": "B2a+b", "8": "B3I", "9": "B3Q",
        "A": "B3A", "B": "B2I", "C": "B2Q",
    },
    "J": {
        "1": "L1 C/A", "2": "L1C(D)", "3": "L1C(P)", "4": "LIS", "5": "L2C-M", "6": "L2C-L", "7": "L5-I", "8": "L5-Q",
        "9": "L6D", "A": "L6E",
    },
    "I": {"1": "L5 SPS", "2": "S SPS", "3": "L5 RS", "4": "S RS", "5": "L1 SPS"},
}  # fmt: skip
"""nmea-facts.toml [signal_id], as of NMEA 4.11, by system letter. Older receivers differ for BeiDou."""
