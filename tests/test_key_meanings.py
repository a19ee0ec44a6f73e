"""What a key means is said once, on its field in the model; whoever shows a key shows that."""

from __future__ import annotations

import ast
import asyncio
import html
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from typer.testing import CliRunner

import generator.commands.keys
from generator.commands.cli import program
from generator.commands.new import new_job_text
from generator.job.keys import ELSEWHERE, Key, all_keys, job_keys, meaning_of
from generator.job.model.field_types import ListType, Model, RangedType
from generator.job.model.job import Job
from generator.job.model.joint import JOINTS, JointKind
from generator.job.tables import field_types_of
from generator.page.app import application
from generator.page.fields import all_fields
from generator.page.site import Site
from generator.page.start import first_form
from generator.page.words import catalogue, field_words

#: Tables whose numbers somebody reads off a thing; in the others they are chosen.
MEASURED = ("instrument", "instrument.top", "target", "router", "printer")
#: Numbers of those tables that are chosen all the same.
CHOSEN = ("router.max_step", "router.hold_back")


def models(of: type[Model] = Model) -> Iterator[type[Model]]:
    """Every model that stands for a table: what others only build on is none."""
    for model in of.__subclasses__():
        if model.__subclasses__():
            yield from models(model)
        else:
            yield model


def fields() -> Iterator[tuple[type[Model], str]]:
    """Every field of every model that a job, preset or shop file can say."""
    for model in models():
        for name, info in model.model_fields.items():
            tables = model is Job and name != "name"
            inner = isinstance(info.annotation, type) and issubclass(info.annotation, Model)
            if not tables and not inner and (model.__name__, name) != ("Instrument", "top"):
                yield model, name


FIELDS = list(fields())


@pytest.mark.parametrize(("model", "name"), FIELDS, ids=[f"{model.__name__}.{name}" for model, name in FIELDS])
def test_every_field_of_the_model_has_a_meaning(model: type[Model], name: str) -> None:
    """A label, one sentence and a group; a number its unit and a range besides."""
    meaning = meaning_of(model, name)
    assert meaning.label
    assert meaning.help[0].isupper()
    assert not meaning.help.endswith(".")
    assert meaning.sentence.endswith(".")
    assert ". " not in meaning.sentence
    assert (meaning.group or model.GROUP).value
    kind = field_types_of(model).get(name)
    number = kind.item if isinstance(kind, ListType) else kind
    if isinstance(number, RangedType):
        assert number.unit
        assert number.low < number.high
        assert f"{number.high:g}" in number.allowed
    if model.model_fields[name].annotation in (float, int, float | None, int | None):
        assert isinstance(number, RangedType)


def test_every_field_is_a_key() -> None:
    """No field of a model is left out of the keys; forms of the top and kinds of joint share some."""
    found = {(key.table, key.bare) for key in all_keys().values()}
    of_joints = [name for model, name in FIELDS if model in JOINTS.values()]
    assert len(found) == len(all_keys()) == len(FIELDS) - 2 - (len(of_joints) - len({*of_joints}))
    assert {name for _, name in FIELDS} == {bare for _, bare in found}


@pytest.mark.parametrize("key", [key for key in all_keys().values() if key.table in MEASURED], ids=lambda key: key.name)
def test_what_is_measured_says_where(key: Key) -> None:
    """A number of instrument, target, router or printer says where it is measured."""
    if isinstance(key.kind, RangedType) and key.name not in CHOSEN:
        assert key.meaning.where


def test_keys_prints_every_key() -> None:
    """`heelwright keys` has each key with what it allows and its sentence, under its table's heading."""
    done = CliRunner().invoke(program("keys"), ["keys"])
    assert done.exit_code == 0
    text = " ".join(done.output.split())
    for key in all_keys().values():
        assert f"[{key.table}]" in text
        assert " ".join(f"{key.bare}: {key.kind.allowed};".split()) in text, key.name
        assert f"{key.meaning.label}. {key.meaning.sentence}" in text, key.name
    for place in ELSEWHERE.values():
        assert f"] in {place}" in text


def test_a_new_job_explains_every_key() -> None:
    """The file that `new` writes has each key of a job with the sentence of the model behind it."""
    lines = new_job_text("bench", "orchestra-14", "metric-17", Path("bench.toml")).splitlines()
    for key in job_keys().values():
        if key.table in ("joint.bolts", "instrument.top") or key.only not in ("", JointKind.MORTISE_TENON.value):
            continue
        said = [line for line in lines if line.removeprefix("# ").removeprefix("example: ").startswith(f"{key.bare} =")]
        assert any(line.endswith(key.meaning.sentence) for line in said), key.name


async def _page() -> str:
    transport = httpx.ASGITransport(application(Site(*first_form("orchestra-14"))))
    async with httpx.AsyncClient(transport=transport, base_url="http://bench") as client:
        return (await client.get("/")).text


def test_the_form_shows_the_models_sentence() -> None:
    """The page has each key's own label and sentence, and its catalogue says none of them again."""
    shown = html.unescape(asyncio.run(_page()))
    for key in job_keys().values():
        if key.name != "job.name":
            assert f">{key.meaning.label}</label>" in shown, key.name
            assert f'about">{key.meaning.sentence}' in shown, key.name
    assert set(all_fields()) == set(job_keys())
    assert "field" not in catalogue()


def test_a_translation_says_a_key_anew() -> None:
    """A catalogue's own words for a key stand in place of the model's; a key that it leaves out keeps those."""
    words = {"field": {"router.reach": ["Tauchtiefe", "Wie weit die Spitze reicht."]}}
    keys = all_keys()
    assert field_words(keys["router.reach"], words) == ("Tauchtiefe", "Wie weit die Spitze reicht.")
    assert field_words(keys["router.kind"], words)[0] == "Kind of router"


def test_the_command_asks_the_model_and_no_page() -> None:
    """`heelwright keys` works without the bench page."""
    tree = ast.parse(Path(str(generator.commands.keys.__file__)).read_text(encoding="utf-8"))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in imported if name and name.startswith("generator.page")]
