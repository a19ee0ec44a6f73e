"""A kit's files against what its own results draw when this program draws them again.

The joint, the parts and the solids are measured by the proof itself, from the files alone. Everything else that
somebody reads or builds by, each line and each word of it, is drawn anew into a folder that is thrown away, and
compared.
"""

from __future__ import annotations

import contextlib
import re
import shlex
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from generator import __version__
from generator.base.bounded_file import read_bounded
from generator.base.errors import HeelwrightError, OutputError
from generator.jig.build import build_jig
from generator.jig.buildability import with_standing
from generator.job.command_line import command_line, path_argument
from generator.job.effective import MADE_WITH, PUT_AT
from generator.job.model.job import Job, Paper
from generator.joint.checks.base import Check
from generator.joint.solution import solve
from generator.kit.bundle import NOTE, HelperBundle, bundle_path, helper_paths, note_text
from generator.kit.front_page import FRONT_PAGE, PICTURES, write_front_page, write_pictures
from generator.kit.groups import WRITERS, Group, KitPlan
from generator.kit.manifest import libraries_now, write_json
from generator.kit.proof import PICTURES_OF_PROOF, write_proof_pictures
from generator.kit.same_text import difference
from generator.proof.files.misshapen import refuse_misshapen
from generator.proof.findings import Finding, Topic, finding_checks
from generator.proof.kit_files import Kit, open_kit
from generator.proof.listing import JOB_COPY, RESULTS, Listing
from generator.proof.prove import JointProof, prove_draft

#: Matches the path of a booklet in a kit; group 1 is its paper size.
_BOOKLET = re.compile(r"paper/booklet\.(\w+)\.pdf")
#: Written where the joint was proved before the setup sheet was.
_PROVED = f"{PICTURES_OF_PROOF}/gap.svg"
#: A bundle's files together are no larger than this, bytes.
_LARGEST = 64_000_000


def anew_checks(folder: Path, room: Path) -> tuple[Check, ...]:
    """A check that every file of the kit in `folder` is what its results draw; `room` is an empty folder to draw in.

    Empty for a kit of another version and for one without a list. InputError as `prove_folder`.
    """
    kit = open_kit(folder.resolve())
    refuse_misshapen(kit)
    listing = kit.listing
    if isinstance(listing, str) or str(kit.results["version"]) != __version__:
        return ()
    with contextlib.chdir(room):  # so that a folder named in a printed command is never named from here
        try:
            found = tuple(_Anew(kit, listing, room.resolve()).findings())
        except (HeelwrightError, ValueError) as error:
            found = (Finding(Topic.ANEW, RESULTS, f"its kit cannot be drawn again: {error}"),)
    return tuple(finding_checks(found, {Topic.ANEW}))


@dataclass(frozen=True)
class _Anew:
    """One kit drawn again: `kit` as it stands, what it lists, and where it is drawn."""

    kit: Kit
    listing: Listing
    room: Path

    def findings(self) -> Iterator[Finding]:
        """Everything that is not as it would be drawn now, group by group; stale groups are told elsewhere."""
        plan = self._plan
        write_json(self.room / RESULTS, dict(self.kit.expected))
        groups = [group for group in WRITERS if self._has(group)]
        for group in groups:
            if group not in (Group.SHEET, Group.STEP):
                WRITERS[group](plan, self.room)
        proof = prove_draft(self.kit.folder, plan) if Group.LASER in groups else None
        if Group.SHEET in groups:
            yield from self._sheet(plan, proof)
        if Group.STEP in groups:
            WRITERS[Group.STEP](plan, self.room)
        checks = None if proof is None else proof.checks
        write_front_page(
            plan.solution, plan.jig, self._filled_up(), checks, self.listing.stale, plan.sheets, self._place
        )
        drawn = {group.value for group in groups} | {PICTURES, FRONT_PAGE}
        for name in sorted(self.listing.files):
            entry = self.listing.files[name]
            if entry.group == Group.SHEET.value or not drawn & {entry.group, name.partition("/")[0]}:
                continue
            yield from self._compared(name)
        yield from self._bundles()
        yield from self._making()

    def _has(self, group: Group) -> bool:
        own = {entry.group for entry in self.listing.files.values()} - {*self.listing.stale}
        return group.value in own

    @cached_property
    def _job(self) -> Job:
        """The job of the results, called as it was when the kit was made."""
        job = self.kit.solution.job
        words = self._words(0, MADE_WITH)[2:]
        shop = Path(words[2]) if words[1:2] == ["--shop"] and len(words) > 2 else None
        return job.model_copy(update={"source_path": Path(words[0]) if words else None, "shop_path": shop})

    @cached_property
    def _lines(self) -> Sequence[str]:
        """The lines of the kit's copy of its job that say how it was made and where it was put; empty without."""
        try:
            lines = read_bounded(self.kit.folder / JOB_COPY).decode("utf-8").splitlines()
        except (OutputError, UnicodeDecodeError):
            return ("", "")
        return (*lines[1:3], "", "")[:2]

    def _words(self, number: int, lead: str) -> list[str]:
        try:
            return shlex.split(self._lines[number].removeprefix(lead))
        except ValueError:
            return []

    def _making(self) -> Iterator[Finding]:
        """Those lines are a plain command of this program, and a folder of the kit's name."""
        if JOB_COPY in self.listing.files:
            wanted = f"{MADE_WITH}{command_line('make', self._job)}", f"{PUT_AT}{path_argument(self._place)}"
            for has, want in zip(self._lines, wanted, strict=True):
                if has != want:
                    yield Finding(Topic.ANEW, JOB_COPY, f'"{has[:120]}" where "{want[:120]}" belongs')

    @cached_property
    def _plan(self) -> KitPlan:
        solution = with_standing(solve(self._job))
        jig = build_jig(solution)
        sizes = {found[1] for name in self.listing.files if (found := _BOOKLET.fullmatch(name))}
        own = [*solution.job.output.paper, *(paper for paper in Paper if paper not in solution.job.output.paper)]
        papers = tuple(paper for paper in own if paper.value in sizes) or solution.job.output.paper
        kerf = any(name.startswith("laser/sheet-") and ".kerf-" in name for name in self.listing.files)
        plan = KitPlan(solution, jig, papers, self._place, kerf=kerf)
        pictures = write_pictures(solution, jig, self.room)
        return replace(plan, stages=pictures.stages, sheets=pictures.sheets)

    @property
    def _place(self) -> Path:
        """The kit's folder as it was named when it was made."""
        named = Path(*self._words(1, PUT_AT)[:1])
        return named if named.name == self.kit.name else Path(self.kit.name)

    def _sheet(self, plan: KitPlan, proof: JointProof | None) -> Iterator[Finding]:
        """The setup sheet; it is as it was when it was written, before other groups of the same job may have come."""
        names = sorted(name for name, entry in self.listing.files.items() if entry.group == Group.SHEET.value)
        least: list[Finding] | None = None
        for paper, proved in self._when_written(plan, proof):
            shutil.rmtree(self.room / PICTURES_OF_PROOF, ignore_errors=True)
            WRITERS[Group.SHEET](replace(plan, papers=(paper,), proof=proved.checks if proved else None), self.room)
            if proved is not None:
                write_proof_pictures(self.room, plan.solution, proved.template)
            found = [finding for name in names for finding in self._compared(name)]
            if not found:
                return
            least = found if least is None or len(found) < len(least) else least
        yield from least or ()

    def _when_written(self, plan: KitPlan, proof: JointProof | None) -> Iterator[tuple[Paper, JointProof | None]]:
        """First paper and proof that the setup sheet may have been written with, the likeliest first."""
        own = plan.solution.job.output.paper[0]
        first = proof if _PROVED in self.listing.files else None
        yield own, first
        proofs = [first]
        if first is not None and self._has(Group.STEP):
            proofs.append(prove_draft(self.room, plan))
        yield from ((paper, one) for paper in Paper for one in proofs if (paper, one) != (own, first))

    def _filled_up(self) -> Path:
        """The room, with an empty file for each of the kit's that is not drawn: the first page says which there are."""
        for name in self.listing.files:
            place = self.room / name
            if not place.exists():
                place.parent.mkdir(parents=True, exist_ok=True)
                place.touch()
        return self.room

    def _compared(self, name: str) -> Iterator[Finding]:
        try:
            found = read_bounded(self.kit.folder / name)
            wanted = self.room / name
            words = difference(name, found, wanted.read_bytes()) if wanted.is_file() else "a file that no kit has"
        except (OutputError, KeyError) as error:
            words = f"cannot be compared: {error}"
        if words is not None:
            yield self._finding(name, words)

    def _finding(self, name: str, words: str) -> Finding:
        """Only told where the file was written with other libraries than these, which may set a line otherwise."""
        was, now = self.listing.libraries.get(self.listing.files[name].group, ""), libraries_now()
        if was in ("", now):
            return Finding(Topic.ANEW, name, words)
        return Finding(Topic.ANEW, name, f"{words}; it was written with {was}, here is {now}", warns=True)

    def _bundles(self) -> Iterator[Finding]:
        """Each zip holds the files of this very kit that go to its helper, and the note that goes with them."""
        plan = self._plan
        for bundle in HelperBundle:
            name = bundle_path(plan.solution.job.name, bundle)
            if name in self.listing.files:
                paths = helper_paths(plan.solution, plan.jig, self.room, bundle)
                words = self._zip_fault(name, paths, note_text(plan.solution, plan.jig, bundle, paths))
                if words:
                    yield self._finding(name, words)

    def _zip_fault(self, name: str, paths: Sequence[str], note: str) -> str:
        try:
            with zipfile.ZipFile(self.kit.folder / name) as archive:
                members = archive.infolist()
                if [member.filename for member in members] != [NOTE, *paths]:
                    return "holds other files than go to this helper"
                if sum(member.file_size for member in members) > _LARGEST:
                    return f"unpacks to more than {_LARGEST} bytes"
                wanted = [note.encode("utf-8"), *(read_bounded(self.kit.folder / path) for path in paths)]
                odd = [m.filename for m, own in zip(members, wanted, strict=True) if archive.read(m) != own]
                return f"another {', '.join(odd)} than the kit's own" if odd else ""
        except (OSError, zipfile.BadZipFile, OutputError, NotImplementedError, RuntimeError, EOFError) as error:
            return f"cannot be read: {error}"
