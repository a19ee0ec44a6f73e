"""Sheet and strip stock the jig is made of. Lengths mm; keys of presets/stock."""

from __future__ import annotations

from enum import Enum
from typing import Annotated, ClassVar

from generator.job.model.field_types import PRESET_NAME, PRINTED_WORDS, RATIO, Model, choice, length, listed, number
from generator.job.model.meaning import KeyGroup, Meaning


class CutBy(Enum):
    """The tools a stock is cut with."""

    LASER = "laser"
    ROUTER = "router"
    MILL = "mill"
    SAW = "saw"


class Stock(Model):
    """One stock: moduli in GPa, `density` in kg/m³."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.SHEET

    name: Annotated[str, PRESET_NAME, Meaning("Name of the stock", "The name that jigs ask for it by: its file's name")]
    material: Annotated[str, PRINTED_WORDS, Meaning("Material", "What the sheet is, as drawings and lists print it")]
    thickness: Annotated[
        float, length(0.05, 60), Meaning("Thickness", "Nominal thickness of the sheet,", "as it is sold")
    ]
    measured_thickness: Annotated[
        float | None,
        length(0.05, 60, optional=True),
        Meaning(
            "Thickness, measured",
            "Thickness of the sheet at hand (left out: the nominal one),",
            "by caliper at the sheet's edge",
        ),
    ] = None
    kerf: Annotated[
        float, length(0, 10), Meaning("Kerf", "The whole width that the usual cut removes,", "in a test cut")
    ]
    sheet_width: Annotated[float, length(10, 3000), Meaning("Sheet, width", "Width of the sheet,", "as it is sold")]
    sheet_length: Annotated[float, length(10, 5000), Meaning("Sheet, length", "Length of the sheet,", "as it is sold")]
    youngs_modulus: Annotated[
        float,
        number(0.5, 250, "GPa"),
        Meaning("Young's modulus", "Young's modulus along the sheet,", "from a table of the material"),
    ]
    shear_modulus: Annotated[
        float,
        number(0.01, 100, "GPa"),
        Meaning(
            "Shear modulus",
            "Shear modulus in the sheet's plane, as in a strip bent edgewise,",
            "from a table of the material",
        ),
    ]
    rolling_shear_modulus: Annotated[
        float,
        number(0.01, 100, "GPa"),
        Meaning(
            "Shear modulus across the thickness",
            "Shear modulus across the sheet's thickness, small in plywood, whose veneers roll over each other,",
            "from a table of the material",
        ),
    ]
    density: Annotated[
        float,
        number(100, 12000, "kg/m³"),
        Meaning("Density", "Mass of a volume of the material,", "from a table of the material"),
    ]
    thickness_tolerance: Annotated[
        float,
        length(0, 3),
        Meaning("Thickness, tolerance", "How far a sheet's thickness may be off either way,", "as its maker says"),
    ]
    cut_by: Annotated[
        tuple[CutBy, ...],
        listed(choice(CutBy), 1, len(CutBy), distinct=True),
        Meaning("Cut by", "Tools that cut the stock"),
    ]
    colour: Annotated[
        tuple[float, float, float],
        listed(number(0, 1, RATIO), 3, 3),
        Meaning("Colour", "Red, green and blue of the material in pictures"),
    ]

    @property
    def actual_thickness(self) -> float:
        """The thickness to build for, mm: as measured, else nominal."""
        return self.thickness if self.measured_thickness is None else self.measured_thickness
