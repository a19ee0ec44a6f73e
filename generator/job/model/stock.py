"""Sheet and strip stock the jig is made of. Lengths mm; keys of presets/stock."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from generator.job.model.field_types import PRESET_NAME, PRINTED_TEXT, Model, choice, length, listed, number


class CutBy(Enum):
    """The tools a stock is cut with."""

    LASER = "laser"
    ROUTER = "router"
    MILL = "mill"
    SAW = "saw"


class Stock(Model):
    """One stock: `kerf` is the whole width the usual cut removes; moduli in GPa, `density` in kg/m³.

    `shear_modulus` is the one in the sheet's plane (a strip bent edgewise), `rolling_shear_modulus` the one across its
    thickness: plywood's veneers roll over each other, so that it is a small part of the other.
    """

    name: Annotated[str, PRESET_NAME]
    material: Annotated[str, PRINTED_TEXT]
    thickness: Annotated[float, length(0.05, 60)]
    measured_thickness: Annotated[float | None, length(0.05, 60, optional=True)] = None
    kerf: Annotated[float, length(0, 10)]
    sheet_width: Annotated[float, length(10, 3000)]
    sheet_length: Annotated[float, length(10, 5000)]
    youngs_modulus: Annotated[float, number(0.5, 250, "GPa")]
    shear_modulus: Annotated[float, number(0.01, 100, "GPa")]
    rolling_shear_modulus: Annotated[float, number(0.01, 100, "GPa")]
    density: Annotated[float, number(100, 12000, "kg/m³")]
    thickness_tolerance: Annotated[float, length(0, 3)]
    cut_by: Annotated[tuple[CutBy, ...], listed(choice(CutBy), 1, len(CutBy), distinct=True)]
    colour: Annotated[tuple[float, float, float], listed(number(0, 1), 3, 3)]

    @property
    def actual_thickness(self) -> float:
        """The thickness to build for, mm: as measured, else nominal."""
        return self.thickness if self.measured_thickness is None else self.measured_thickness
