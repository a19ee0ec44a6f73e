"""Everything the CAD kernel does: exact solids of parts, the assembled jig, sections, STEP.

This package and `formats.step` are the only importers of OCP, the kernel that CadQuery brings. CadQuery itself would
take as long again to load, and nothing here needs its workplanes. Whoever can do without the kernel imports this
package inside the function that needs it.
"""

from generator.solid.assembly import Assembly, Colour, Piece, Solids, assembly, jig_solids
from generator.solid.build import bought_solid, part_solid
from generator.solid.document import DocumentPart, assembly_document, part_document
from generator.solid.exchange import Header, read_entries, step_bytes
from generator.solid.measure import Bounds, bounds, is_valid, volume
from generator.solid.section import section

__all__ = [
    "Assembly",
    "Bounds",
    "Colour",
    "DocumentPart",
    "Header",
    "Piece",
    "Solids",
    "assembly",
    "assembly_document",
    "bought_solid",
    "bounds",
    "is_valid",
    "jig_solids",
    "part_document",
    "part_solid",
    "read_entries",
    "section",
    "step_bytes",
    "volume",
]
