"""`heelwright calibrate`: a measurement in the shop becomes a correction, kept in shop.toml."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated

import typer

from generator.base.errors import COMMAND_LINE, Fault, InputError
from generator.base.plain_text import LINE_WIDTH
from generator.commands.examples import example
from generator.commands.refusal import echo_json, length_option, refusals
from generator.job.model.job import Printer
from generator.job.presets import PresetKind, find_preset
from generator.job.shop import SHOP_FILE, find_shop_file, read_shop
from generator.job.stocks import read_stock
from generator.joint.calibration import (
    Calibrated,
    RoutedSlot,
    ZeroCheck,
    checked_date,
    jig_finding,
    laser_finding,
    nominal_edge_offset,
    printer_finding,
    record,
    router_finding,
    stock_finding,
)

NAME = "calibrate"
ORDER = 80
EXAMPLE = "heelwright calibrate stock birch-ply-18 17.8 17.9 17.8 17.7 --date 2024-05-31"


group = typer.Typer(
    help="Turn a measurement into a correction kept in the shop file.", no_args_is_help=True, epilog=example(EXAMPLE)
)

DateOption = Annotated[str, typer.Option("--date", metavar="YYYY-MM-DD", help="The day it was measured.")]
ShopOption = Annotated[Path | None, typer.Option("--shop", metavar="FILE", help="The shop file; else shop.toml here.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]


@group.command("printer", epilog=example("heelwright calibrate printer --bar-x 99.7 --bar-y 100.2 --date 2024-05-31"))
def printer(
    bar_x: Annotated[str, typer.Option("--bar-x", help="The 100 mm bar across the page, as it measures.")],
    bar_y: Annotated[str, typer.Option("--bar-y", help="The 100 mm bar up the page, as it measures.")],
    date: DateOption,
    uncorrected: Annotated[
        bool, typer.Option("--uncorrected", help="The page was printed before the shop file corrected the printer.")
    ] = False,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Factors of the printer, from the two check bars of a printed page."""

    def find(path: Path) -> Calibrated:
        known = read_shop(path).printer.values if path.is_file() and not uncorrected else {}
        return printer_finding(length_option("--bar-x", bar_x), length_option("--bar-y", bar_y), Printer(**known))

    _calibrate(find, date, shop, as_json)


@group.command("laser", epilog=example("heelwright calibrate laser birch-ply-3 --slot 0.2 --date 2024-05-31"))
def laser(
    stock: Annotated[str, typer.Argument(metavar="STOCK", help="The stock preset the coupon was cut of.")],
    date: DateOption,
    slot: Annotated[
        str | None, typer.Option("--slot", help="Highest number on the coupon whose slot the tab enters by hand.")
    ] = None,
    tab_width: Annotated[
        str | None, typer.Option("--tab-width", help="In place of --slot: the coupon's tab, by caliper.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Kerf of the laser in one stock, from a coupon."""

    def find(path: Path) -> Calibrated:
        preset = find_preset(PresetKind.STOCK, stock, key="STOCK")
        return laser_finding(read_stock(preset), _maybe("--slot", slot), _maybe("--tab-width", tab_width))

    _calibrate(find, date, shop, as_json)


@group.command(
    "router",
    epilog=example(
        'heelwright calibrate router inch-half --template-width "1 in" --slot-width "3/4 in" '
        '--gap-left "1/8 in" --gap-right "1/8 in" --date 2024-05-31'
    ),
)
def router(
    preset: Annotated[str, typer.Argument(metavar="ROUTER", help="The router preset the cut was made with.")],
    template_width: Annotated[str, typer.Option("--template-width", help="Width of the template's opening.")],
    slot_width: Annotated[str, typer.Option("--slot-width", help="Width of the slot that was cut.")],
    gap_left: Annotated[str, typer.Option("--gap-left", help="Template's edge to the slot's edge, on the left.")],
    gap_right: Annotated[str, typer.Option("--gap-right", help="The same on the right.")],
    date: DateOption,
    quarter: Annotated[
        tuple[str, str, str] | None,
        typer.Option("--quarter", help="A second cut, router a quarter turn round: slot width, left gap, right gap."),
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Edge offset and eccentricity of a router kit, from a test cut: keep the same side of the base to you."""

    def find(path: Path) -> Calibrated:
        found = find_preset(PresetKind.ROUTERS, preset, key="ROUTER")
        template = length_option("--template-width", template_width)
        cut = RoutedSlot(
            template,
            length_option("--slot-width", slot_width),
            length_option("--gap-left", gap_left),
            length_option("--gap-right", gap_right),
        )
        second = None if quarter is None else RoutedSlot(template, *(length_option("--quarter", q) for q in quarter))
        return router_finding(found.name, nominal_edge_offset(found), cut, second)

    _calibrate(find, date, shop, as_json)


@group.command("stock", epilog=example("heelwright calibrate stock birch-ply-18 17.8 17.9 17.8 17.7 --date 2024-05-31"))
def stock(
    name: Annotated[str, typer.Argument(metavar="STOCK", help="The stock preset the sheet was bought as.")],
    thickness: Annotated[list[str], typer.Argument(metavar="THICKNESS...", help="Readings round the sheet's edges.")],
    date: DateOption,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Measured thickness of a sheet."""

    def find(path: Path) -> Calibrated:
        preset = find_preset(PresetKind.STOCK, name, key="STOCK")
        return stock_finding(read_stock(preset), [length_option("THICKNESS", text) for text in thickness])

    _calibrate(find, date, shop, as_json)


@group.command(
    "jig", epilog=example("heelwright calibrate jig plywood --stand-off 16.1 --upper-rest 16 --date 2024-05-31")
)
def jig(
    preset: Annotated[str, typer.Argument(metavar="JIG", help="The jig preset it was built from.")],
    stand_off: Annotated[
        str, typer.Option("--stand-off", help="Square against the upper rest: blade to board at the angle rest.")
    ],
    upper_rest: Annotated[str, typer.Option("--upper-rest", help="The upper rest's width as drawn: engraved on it.")],
    date: DateOption,
    stand_off_turned: Annotated[
        str | None, typer.Option("--stand-off-turned", help="The same with the square turned round.")
    ] = None,
    sideways: Annotated[
        str | None,
        typer.Option("--sideways", help="Angle rest's tooth to the right of the upper one, seen from the neck's side."),
    ] = None,
    sideways_turned: Annotated[
        str | None, typer.Option("--sideways-turned", help="The same with the square turned round.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The stand-off of a built jig, plate's top down on a flat table: its angle rests are cut to it from then on."""

    def find(path: Path) -> Calibrated:
        found = find_preset(PresetKind.JIGS, preset, key="JIG")
        if sideways is None and sideways_turned is not None:
            raise InputError([Fault(COMMAND_LINE, "--sideways", "nothing", "the first reading beside the turned one")])
        stand_offs = _readings({"--stand-off": stand_off, "--stand-off-turned": stand_off_turned})
        teeth = _readings({"--sideways": sideways, "--sideways-turned": sideways_turned})
        return jig_finding(found, ZeroCheck(length_option("--upper-rest", upper_rest), stand_offs, teeth))

    _calibrate(find, date, shop, as_json)


def _readings(options: Mapping[str, str | None]) -> tuple[float, ...]:
    return tuple(length_option(option, text) for option, text in options.items() if text is not None)


def _calibrate(find: Callable[[Path], Calibrated], date: str, shop: Path | None, as_json: bool) -> None:
    """Find, write, and say what was written; nothing is written when anything is refused."""
    with refusals(as_json):
        path = shop or find_shop_file(None) or Path(SHOP_FILE)
        if shop is not None and path.is_dir():
            raise InputError([Fault(COMMAND_LINE, "--shop", f'"{path}"', "a file")])
        day = checked_date(date)
        finding = find(path)
        record(path, finding, day)
        table = ".".join(finding.table)
        if as_json:
            values = {key: round(value, 5) for key, value in finding.values.items()}
            readings = dict(finding.measured)
            echo_json(
                {"file": str(path), "table": table, "date": day, "values": values, "measured_mm": readings,
                 "advice": list(finding.advice)}
            )  # fmt: skip
            return
        found = ", ".join(f"{key} {value:.5g}" for key, value in finding.values.items())
        lines = [f"{path}: [{table}] {found} ({day})"]
        for advice in finding.advice:
            lines += textwrap.wrap(advice, LINE_WIDTH, initial_indent="  ", subsequent_indent="    ")
        typer.echo("\n".join(lines))


def _maybe(option: str, text: str | None) -> float | None:
    return None if text is None else length_option(option, text)
