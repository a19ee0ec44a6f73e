"""The jig as one 3D model that opens in any viewer: binary glTF, made without the CAD kernel."""

from __future__ import annotations

from pathlib import Path

from generator.base.errors import OutputError
from generator.base.geometry3d import ORIGIN, Z_AXIS
from generator.base.store import NO_STORE, Store
from generator.documents.scene.part import part_facets
from generator.documents.scene.props import STEEL
from generator.documents.scene.stage import PLAIN
from generator.drawing.facets.base import Facets
from generator.drawing.facets.build import turned_piece
from generator.formats.glb.read import read_glb_bytes
from generator.formats.glb.write import METAL, ModelPart, glb_bytes
from generator.jig.part import Jig
from generator.job.model.job import PartsJob

#: File name of the jig's model for viewers.
MODEL = "jig.glb"
#: Arcs stray from their chords by no more than this in the model, mm.
_ERROR = 0.05
#: How far a volume read back may differ from the solid's, relative: numbers in the file have 24 bits.
_VOLUME_SLACK = 1e-5
#: Cubic millimetres in a cubic metre, the unit of volume in the file.
_MM3 = 1e9


def write_model_file(job: PartsJob, jig: Jig, folder: Path, store: Store = NO_STORE) -> None:
    """Write `folder`/jig.glb. Raises OutputError where it reads back as something else."""
    (folder / MODEL).write_bytes(store.kept(jig_glb, job, jig))


def jig_glb(job: PartsJob, jig: Jig) -> bytes:
    """The standing jig in the plate frame: every placed part and every bought piece, painted by its stock.

    Nodes are called as in the STEP assembly; a part's node carries its name, title and stock.
    """
    parts = [*_parts(job, jig), *_bought(jig)]
    data = glb_bytes(f"{job.name} jig", parts)
    found = read_glb_bytes(data, MODEL).parts
    wrong = [
        part.name
        for part, read in zip(parts, found, strict=True)
        if read.name != part.name or abs(read.volume * _MM3 - part.facets.volume) > _VOLUME_SLACK * part.facets.volume
    ]
    if wrong:
        raise OutputError(f"{MODEL}: found other solids than were written: {', '.join(wrong)}")
    return data


def _parts(job: PartsJob, jig: Jig) -> list[ModelPart]:
    shapes = {placed.part.name: part_facets(placed.part, max_error=_ERROR) for placed in jig.placed}
    colours = {name: stock.colour for name, stock in job.stocks.items()}
    return [
        ModelPart(
            placed.label,
            shapes[placed.part.name],
            placed.placement,
            colours.get(placed.part.stock, PLAIN),
            extras={"part": placed.part.name, "title": placed.part.title, "stock": placed.part.stock},
        )
        for placed in jig.placed
    ]


def _bought(jig: Jig) -> list[ModelPart]:
    metal, rough = METAL
    shapes: dict[tuple[tuple[float, float], ...], Facets] = {}
    out = []
    for hardware in jig.hardware:
        for number, piece in enumerate(hardware.pieces, 1):
            if piece.profile not in shapes:
                shapes[piece.profile] = turned_piece(ORIGIN, Z_AXIS, piece.profile[1:-1], _ERROR)
            extras = {"part": hardware.id, "title": hardware.title}
            name, shape = f"{hardware.id}_{number}", shapes[piece.profile]
            out.append(ModelPart(name, shape, piece.frame, STEEL, metal, rough, extras))
    return out
