"""The kernel's product document: what a STEP file says of names, colours and places, put in and read out again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Solid
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorTool, XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from generator.solid.assembly import Assembly, Colour, location
from generator.solid.shapes import moved, solids_of


@dataclass(frozen=True)
class DocumentPart:
    """One solid of a document, in its place: the product's name, this copy's name, and its colour if it has one."""

    product: str
    label: str
    solid: TopoDS_Solid
    colour: Colour | None


@dataclass(frozen=True)
class Document:
    """The kernel's document, and what each product's solid is painted with.

    The kernel could keep the colours too, but writes them in the order of memory addresses: another file on every run.
    """

    handle: TDocStd_Document
    paint: tuple[tuple[TopoDS_Solid, Colour], ...]


def new_handle() -> TDocStd_Document:
    handle = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFApp_Application.GetApplication_s().InitDocument(handle)
    return handle


def part_document(name: str, solid: TopoDS_Solid, colour: Colour) -> Document:
    """One product called `name`."""
    handle = new_handle()
    _add_product(XCAFDoc_DocumentTool.ShapeTool_s(handle.Main()), name, solid)
    return Document(handle, ((solid, colour),))


def assembly_document(model: Assembly) -> Document:
    """One product for the assembly and one for each kind of piece, placed as often as the piece stands in it."""
    handle = new_handle()
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(handle.Main())
    root = shapes.NewShape()
    _set_name(root, model.name)
    products: dict[str, TDF_Label] = {}
    paint: list[tuple[TopoDS_Solid, Colour]] = []
    for piece in model.pieces:
        if piece.product not in products:
            products[piece.product] = _add_product(shapes, piece.product, piece.shape)
            paint.append((piece.shape, piece.colour))
        component = shapes.AddComponent(root, products[piece.product], location(piece.placement))
        _set_name(component, piece.label)
    shapes.UpdateAssemblies()
    return Document(handle, tuple(paint))


def _add_product(shapes: XCAFDoc_ShapeTool, name: str, solid: TopoDS_Solid) -> TDF_Label:
    label = shapes.AddShape(solid, False)
    _set_name(label, name)
    return label


def _set_name(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def entries(handle: TDocStd_Document) -> Iterator[DocumentPart]:
    """Every solid of a document in the frame of the whole, in the order of the file."""
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(handle.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(handle.Main())
    free = TDF_LabelSequence()
    shapes.GetFreeShapes(free)
    for label in _each(free):
        yield from _below(label, _name(label), TopLoc_Location(), lambda shape: _colour(colours, shape))


def _below(
    label: TDF_Label, own_name: str, place: TopLoc_Location, colour_of: Callable[[TDF_Label], Colour | None]
) -> Iterator[DocumentPart]:
    if XCAFDoc_ShapeTool.IsAssembly_s(label):
        components = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(label, components, False)
        for component in _each(components):
            referred = TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(component, referred)
            inner = place.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(component))
            yield from _below(referred, _name(component), inner, colour_of)
        return
    for solid in solids_of(XCAFDoc_ShapeTool.GetShape_s(label)):
        yield DocumentPart(_name(label), own_name, moved(solid, place), colour_of(label))


def _each(labels: TDF_LabelSequence) -> Iterable[TDF_Label]:
    return (labels.Value(i) for i in range(1, labels.Length() + 1))


def _name(label: TDF_Label) -> str:
    found = TDataStd_Name()
    return str(found.Get().ToExtString()) if label.FindAttribute(TDataStd_Name.GetID_s(), found) else ""


def _colour(colours: XCAFDoc_ColorTool, label: TDF_Label) -> Colour | None:
    shape = XCAFDoc_ShapeTool.GetShape_s(label)
    paint = Quantity_Color()
    for kind in (XCAFDoc_ColorType.XCAFDoc_ColorGen, XCAFDoc_ColorType.XCAFDoc_ColorSurf):
        if colours.GetColor(shape, kind, paint):
            red, green, blue = paint.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
            return red, green, blue
    return None
