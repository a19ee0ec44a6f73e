"""Paints a solid in a STEP model, in the order in which it is asked to."""

from __future__ import annotations

from OCP.STEPConstruct import STEPConstruct, STEPConstruct_Styles
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepVisual import StepVisual_ColourRgb, StepVisual_MechanicalDesignGeometricPresentationRepresentation
from OCP.TCollection import TCollection_HAsciiString
from OCP.TopoDS import TopoDS_Solid
from OCP.XSControl import XSControl_WorkSession

from generator.solid.assembly import Colour


def paint(session: XSControl_WorkSession, solid: TopoDS_Solid, colour: Colour) -> None:
    """Give a solid that the session has turned into STEP one colour for faces and edges.

    The file carries the sRGB numbers of `colour` (0 to 1) as they are: that is what CAD programs show them as.
    """
    styles = STEPConstruct_Styles(session)
    body = STEPConstruct.FindEntity_s(styles.FinderProcess(), solid)
    rgb = StepVisual_ColourRgb()
    rgb.Init(_text(""), *colour)
    style = styles.AddStyle(body, styles.MakeColorPSA(body, rgb, rgb, None, 0.0, False), None)
    items = StepRepr_HArray1OfRepresentationItem(1, 1)
    items.SetValue(1, style)
    shown = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
    shown.Init(_text(""), items, styles.FindContext(solid))
    session.Model().AddWithRefs(shown)


def _text(value: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(value)
