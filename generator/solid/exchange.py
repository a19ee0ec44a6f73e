"""A product document to STEP text and back: millimetres and AP214, whatever the process was set to before."""

from __future__ import annotations

import io
from dataclasses import dataclass

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.STEPCAFControl import STEPCAFControl_Reader, STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence
from OCP.TCollection import TCollection_HAsciiString

from generator.base.errors import OutputError
from generator.solid.document import Document, DocumentPart, entries, new_handle
from generator.solid.paint import paint

#: Settings of the kernel that outlive a call and are shared by the whole process, so they are set before every one.
_STATICS = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.precision.mode": "Average",
    "write.surfacecurve.mode": "Off",  # curves in a surface's parameters: planes and cylinders do without
    "write.step.product.name": "part",
}


@dataclass(frozen=True)
class Header:
    """What the file says of itself: its own name, what it shows, the program, a fixed time in place of the clock."""

    file_name: str
    description: str
    program: str
    time_stamp: str


def step_bytes(document: Document, header: Header) -> bytes:
    """The document as STEP text. Raises OutputError where the kernel will not write it."""
    _set_statics()
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(False)
    writer.SetNameMode(True)
    if not writer.Transfer(document.handle, STEPControl_StepModelType.STEPControl_AsIs):
        raise OutputError(f"{header.file_name}: the CAD kernel could not turn the solids into STEP")
    for solid, colour in document.paint:
        paint(writer.Writer().WS(), solid, colour)
    _number_occurrences(writer)
    _set_header(writer, header)
    stream = io.BytesIO()
    status = writer.WriteStream(stream)
    if status != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise OutputError(f"{header.file_name}: the CAD kernel could not write STEP ({status.name})")
    return stream.getvalue()


def read_entries(data: bytes, name: str) -> tuple[DocumentPart, ...]:
    """Every solid of a STEP file's text, in mm. Raises OutputError where it cannot be read."""
    _set_statics()
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetNameMode(True)
    if reader.ReadStream(name, io.BytesIO(data)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise OutputError(f"{name}: not a STEP file that can be read")
    handle = new_handle()
    if not reader.Transfer(handle):
        raise OutputError(f"{name}: the CAD kernel found no model in this STEP file")
    return tuple(entries(handle))


def _set_statics() -> None:
    for printer in Message.DefaultMessenger_s().Printers():  # else the kernel reports every file on standard output
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    STEPControl_Controller.Init_s()  # without it the settings do not exist yet, and setting them is lost in silence
    for key, value in _STATICS.items():
        if not Interface_Static.SetCVal_s(key, value):
            raise OutputError(f"the CAD kernel does not take {value} for {key}")


def _number_occurrences(writer: STEPCAFControl_Writer) -> None:
    """Number the assembly's placements from 1: the kernel counts on from the file it wrote before."""
    model = writer.Writer().Model(False)
    number = 0
    for index in range(1, model.NbEntities() + 1):
        entity = model.Value(index)
        if isinstance(entity, StepRepr_NextAssemblyUsageOccurrence):
            number += 1
            entity.SetId(TCollection_HAsciiString(str(number)))


def _set_header(writer: STEPCAFControl_Writer, header: Header) -> None:
    head = APIHeaderSection_MakeHeader(writer.Writer().Model(False))
    head.SetName(_text(header.file_name))
    head.SetDescriptionValue(1, _text(header.description))
    head.SetTimeStamp(_text(header.time_stamp))
    head.SetAuthorValue(1, _text(""))
    head.SetOrganizationValue(1, _text(""))
    head.SetPreprocessorVersion(_text(header.program))
    head.SetOriginatingSystem(_text(header.program))
    head.SetAuthorisation(_text(""))


def _text(value: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(value)
