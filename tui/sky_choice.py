"""What is chosen on the sky's page: the layer of the plot, the row that the keys act on, and what is imagined."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.what_if import WhatIf

SYSTEM, SATELLITE = "system:", "satellite:"
"""What the keys of rows begin with that stand for a system or a satellite; all others are fields of a `SkyChoice`."""


class Layer(Enum):
    """What the plot shows."""

    NOW = "now"
    TRACKS = "tracks of this session"
    SIGNAL = "signal against elevation"
    OBSTRUCTION = "obstruction seen so far"


class Figure(NamedTuple):
    """A row whose value is an angle."""

    label: str
    step_deg: int
    most_deg: int
    """Last value, or for a direction the turn after which it is 0 again."""
    turns: bool = False
    """Whether it is a direction."""
    switch: str = ""
    """The field that takes it away; its own where empty."""
    usual_deg: int = 0
    """What it is where it is switched on: common in a lesson, no source."""


FIGURES = {
    "mask_deg": Figure("Mask below", 5, 60, usual_deg=15),
    "cliff_deg": Figure("Cliff towards", 15, 360, turns=True, switch="cliff_height_deg"),
    "cliff_height_deg": Figure("Cliff height", 5, 85, usual_deg=30),
    "street_deg": Figure("Street along", 15, 180, turns=True, switch="street_wall_deg"),
    "street_wall_deg": Figure("Street walls", 5, 85, usual_deg=55),
}
"""By field of `SkyChoice`, in the order of the panel. Walls end short of 90 degrees, where a skyline has no meaning."""


class SkyChoice(NamedTuple):
    """All choices of the page."""

    layer: Layer = Layer.NOW
    panel_first: bool = False
    """Whether the panel is shown and not the plot, where there is no room for both."""
    row: str = "mask_deg"
    """Key of the row that the arrows act on; it may have gone from the list since."""
    mask_deg: int = 0
    cliff_deg: int = 0
    cliff_height_deg: int = 0
    """0: there is no cliff."""
    street_deg: int = 0
    street_wall_deg: int = 0
    """0: there is no street."""
    dropped: frozenset[str] = frozenset()
    """Satellites by their names in RINEX."""
    dropped_systems: frozenset[str] = frozenset()
    """System letters."""

    @property
    def what_if(self) -> WhatIf:
        """What is imagined."""
        from core.what_if import Cliff, Street, WhatIf

        cliff = Cliff(self.cliff_deg, self.cliff_height_deg) if self.cliff_height_deg else None
        street = Street(self.street_deg, self.street_wall_deg) if self.street_wall_deg else None
        return WhatIf(self.mask_deg, cliff, street, self.dropped, self.dropped_systems)

    @property
    def as_received(self) -> SkyChoice:
        """The same layer and row, nothing imagined."""
        return SkyChoice(self.layer, self.panel_first, self.row)

    def next_layer(self, by: int) -> SkyChoice:
        """The layer so many further on, round and round."""
        layers = list(Layer)
        return self._replace(layer=layers[(layers.index(self.layer) + by) % len(layers)])

    def moved(self, rows: Sequence[str], by: int) -> SkyChoice:
        """So many rows down, no further than the ends; from a row that is not listed any more, to the first."""
        at = rows.index(self.row) + by if self.row in rows else 0
        return self._replace(row=rows[max(0, min(len(rows) - 1, at))]) if rows else self

    def stepped(self, by: int) -> SkyChoice:
        """The chosen row, one step more or less; less is out and more is in for what can be dropped."""
        figure = FIGURES.get(self.row)
        if figure is None:
            return self if self._is_out == (by < 0) else self.toggled()
        value = getattr(self, self.row) + by * figure.step_deg
        return self._with(self.row, value % figure.most_deg if figure.turns else max(0, min(figure.most_deg, value)))

    def toggled(self) -> SkyChoice:
        """The chosen row out, or in again; a mask or wall away, or as it usually is."""
        figure = FIGURES.get(self.row)
        if figure is None:
            return self._dropping()
        field = figure.switch or self.row
        return self._with(field, 0 if getattr(self, field) else FIGURES[field].usual_deg)

    @property
    def _is_out(self) -> bool:
        return self.row.removeprefix(SATELLITE) in self.dropped or self.row.removeprefix(SYSTEM) in self.dropped_systems

    def _dropping(self) -> SkyChoice:
        if self.row.startswith(SYSTEM):
            return self._replace(dropped_systems=self.dropped_systems ^ {self.row.removeprefix(SYSTEM)})
        return self._replace(dropped=self.dropped ^ {self.row.removeprefix(SATELLITE)})

    def _with(self, field: str, value: int) -> SkyChoice:
        return self._replace(**{field: value})  # type: ignore[arg-type]  # only fields that are whole degrees


NO_CHOICE = SkyChoice()
"""The sky as received, now."""
