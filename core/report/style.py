"""The page's look: two sets of inks, one for light and one for dark, and paper whatever the screen was.

Contrast is checked in the tests after WCAG 2.2: 4.5 to 1 for text, 3 to 1 for lines that carry meaning.
"""

from __future__ import annotations

LIGHT = {
    "paper": "#fbfaf6",
    "card": "#ffffff",
    "ink": "#1c242e",
    "quiet": "#566170",
    "rule": "#d4d8de",
    "first": "#0b5a86",
    "second": "#a33d00",
    "third": "#5b3a8c",
    "fill": "#e7eef4",
    "alarm": "#9c1c1c",
}
DARK = {
    "paper": "#11161c",
    "card": "#19212a",
    "ink": "#e7eaee",
    "quiet": "#a8b3c0",
    "rule": "#36414d",
    "first": "#74c3f2",
    "second": "#ffae73",
    "third": "#c9b1f5",
    "fill": "#22303c",
    "alarm": "#ff9b94",
}
"""By use: `first` to `third` are lines that carry meaning; `rule` only guides the eye."""
TEXT_INKS = ("ink", "quiet", "alarm", "first")
LINE_INKS = ("first", "second", "third", "ink", "quiet")
GROUNDS = ("paper", "card", "fill")

_RULES = """
*{box-sizing:border-box}
html{color-scheme:light dark;-webkit-text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif;
font-variant-numeric:tabular-nums;overflow-wrap:break-word}
bdi,h1{overflow-wrap:anywhere}
header,main,footer{max-width:1120px;margin:0 auto;padding:0 20px}
header{padding-top:28px}
h1{font-size:1.9rem;line-height:1.2;margin:0 0 4px;letter-spacing:-.01em}
h2{font-size:1.3rem;margin:40px 0 12px;padding-top:10px;border-top:2px solid var(--ink)}
h3{font-size:1.02rem;margin:0 0 6px}
figure h2{margin-top:0}
.sub{color:var(--quiet);margin:0}
.banner{border:3px solid var(--alarm);color:var(--alarm);padding:8px 14px;margin:16px 0;font-weight:700}
.banner strong{display:block;font-size:2rem;letter-spacing:.14em;line-height:1.2}
.note{border-left:4px solid var(--first);padding:2px 0 2px 12px;margin:14px 0}
nav ul{display:flex;flex-wrap:wrap;gap:4px 18px;padding:0;margin:18px 0 0;list-style:none}
a{color:var(--first)}
a:focus-visible,summary:focus-visible{outline:3px solid var(--first);outline-offset:2px}
.skip{position:absolute;left:-999px}.skip:focus{left:8px;top:8px;background:var(--card);padding:6px}
.tiles{display:grid;grid-template-columns:repeat(auto-fit,minmax(150px,1fr));gap:10px;margin:20px 0}
.tiles>div{background:var(--card);border:1px solid var(--rule);border-radius:6px;padding:10px 14px}
.tiles dt{color:var(--quiet);font-size:.85rem}.tiles dd{margin:0;font-size:1.35rem;line-height:1.3}
dl{margin:0}
.facts>dl>div{display:grid;grid-template-columns:minmax(130px,240px) 1fr;gap:14px;padding:5px 0;
border-bottom:1px solid var(--rule)}
.facts dt{color:var(--quiet)}.facts dd{margin:0}
.scroll{overflow-x:auto}.scroll:focus-visible{outline:3px solid var(--first)}
.scroll table{min-width:420px}
table{border-collapse:collapse;width:100%;margin:10px 0 18px;font-size:.92rem}
caption{text-align:left;color:var(--quiet);padding:2px 0 6px}
th,td{text-align:left;padding:4px 12px 4px 0;border-bottom:1px solid var(--rule);vertical-align:top}
thead th{color:var(--quiet);font-weight:600}
tbody th{font-weight:500;min-width:8.5em}
.bar{display:block;height:10px;background:var(--fill);min-width:60px}
.bar>span{display:block;height:10px;background:var(--first)}
figure{margin:0 0 22px;background:var(--card);border:1px solid var(--rule);border-radius:6px;padding:14px 16px;
min-width:0}
figure>svg{display:block;width:100%;height:auto}
figcaption{font-size:.92rem;margin-top:8px}
.pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,440px),1fr));gap:20px}
.key{display:flex;flex-wrap:wrap;gap:2px 18px;list-style:none;margin:8px 0 0;padding:0;font-size:.88rem}
.key svg{vertical-align:middle;margin-right:6px}
details{margin-top:8px}summary{cursor:pointer;color:var(--first);font-size:.92rem}
footer{border-top:1px solid var(--rule);margin-top:40px;padding-top:12px;padding-bottom:40px;color:var(--quiet);
font-size:.9rem}
svg text{fill:var(--ink);font-size:9.5px;font-family:inherit}
.half{max-width:560px}.half svg text{font-size:12.5px}
svg .end{text-anchor:end}svg .mid-x{text-anchor:middle}
svg .mid{dominant-baseline:central}svg .under{dominant-baseline:hanging}
svg .quiet{fill:var(--quiet)}svg .name{font-weight:600}
svg .name,svg .halo{paint-order:stroke;stroke:var(--card);stroke-width:3px}
svg path,svg line,svg circle,svg rect{fill:none;vector-effect:non-scaling-stroke}
svg path,svg line{stroke-linecap:round;stroke-linejoin:round}
svg .rule{stroke:var(--rule);stroke-width:1px;stroke-linecap:butt}
svg .map{fill:var(--paper);stroke:var(--rule)}
svg .curve{stroke-width:1.7px}
svg .a{stroke:var(--first)}svg .b{stroke:var(--second);stroke-dasharray:7 4}
svg .c{stroke:var(--third);stroke-dasharray:1.5 4}
svg .way.firm{stroke:var(--first);stroke-width:3.2px}
svg .way.usable{stroke:var(--second);stroke-width:2px;stroke-dasharray:8 4}
svg .way.doubtful{stroke:var(--quiet);stroke-width:2.2px;stroke-dasharray:1 5}
svg .scale{stroke:var(--ink);stroke-width:2px;stroke-linecap:butt}
svg .north{fill:var(--ink)}
svg .mark.start{stroke:var(--ink);stroke-width:2.4px;fill:var(--card)}svg .mark.end{fill:var(--ink)}
svg .mark.found{stroke:var(--first);stroke-width:2.4px;fill:var(--card)}svg .mark.lost{fill:var(--alarm)}
svg .mark.jump{stroke:var(--alarm);fill:var(--card);stroke-width:2px}
svg .ring{stroke:var(--quiet);stroke-width:1px}
svg .ring.half{stroke:var(--first);stroke-width:2px}
svg .ring.most{stroke:var(--second);stroke-width:2px;stroke-dasharray:7 4}
svg .spread{stroke:var(--first);stroke-width:5px;stroke-opacity:.55}
svg .fixes{stroke:var(--quiet);stroke-width:2.4px;stroke-opacity:.55}
svg .track{stroke:var(--first)}
svg .s4{stroke-width:4.4px}svg .s3{stroke-width:2.8px;stroke-opacity:.85}
svg .s2{stroke-width:1.6px;stroke-opacity:.8}svg .s1{stroke-width:1px;stroke-dasharray:5 2}
svg .s0{stroke:var(--quiet);stroke-width:1.2px;stroke-dasharray:1 4}
svg .disc{fill:var(--first);stroke:none}svg .disc.s0{fill:var(--card);stroke:var(--quiet);stroke-dasharray:none}
@media (max-width:900px){svg text{font-size:12px}}
@media (max-width:600px){
tbody th{min-width:0}body{font-size:15px}header,main,footer{padding-left:12px;padding-right:12px}
svg text{font-size:19px}.half svg text{font-size:16px}h1{font-size:1.5rem}.banner strong{font-size:1.5rem}
.facts>dl>div{grid-template-columns:1fr;gap:0}.scroll td{overflow-wrap:anywhere}figure{padding:10px}}
@page{size:A4;margin:14mm}
@media print{body{font-size:10.5pt;background:none}header,main,footer{max-width:none;padding-left:0;padding-right:0}
nav,.skip,details:not([open]){display:none}figure,.tiles>div,tr,.banner{break-inside:avoid}
h2,h3,caption{break-after:avoid}thead{display:table-header-group}svg text{font-size:10px}
.half svg text{font-size:13px}.pair{grid-template-columns:1fr 1fr}figure{padding:8px 10px;margin-bottom:12px}
.bar>span,.bar,svg .map{print-color-adjust:exact;-webkit-print-color-adjust:exact}
h2{margin-top:22px}footer{break-inside:avoid;margin-top:14px;padding-bottom:0}.scroll{overflow:visible}}
"""


def style() -> str:
    """All of it. What is printed is always dark on white, also from a dark screen."""
    dark = f"@media screen and (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}}}"
    return f":root{{{_variables(LIGHT)}}}{dark}{_RULES}@media print{{html{{color-scheme:light}}}}"


def _variables(inks: dict[str, str]) -> str:
    return ";".join(f"--{name}:{ink}" for name, ink in inks.items())
