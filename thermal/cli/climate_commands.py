"""The commands under `overwinter climate`: list and show weather files, add your own, download others."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thermal.cli.file_options import Column, Dates, Unit, read_options
from thermal.cli.output import Json, Units, show, unit_system
from thermal.errors import ClimateError, OverwinterError

if TYPE_CHECKING:
    from rich.console import Console

Force = Annotated[bool, typer.Option("--force", help="Replace a weather file of the same name.")]

climate_app = typer.Typer(no_args_is_help=True, help="Weather files: list, show, add your own, download your town's.")


@climate_app.command("list")
def climate_list(json: Json = None) -> None:
    """List the available weather files."""
    from dataclasses import asdict

    from thermal.climate.library import available, load_climate
    from thermal.report.terminal import print_climates

    climates = [load_climate(name) for name in available()]
    show(
        json,
        lambda: [asdict(climate.header) for climate in climates],
        lambda console: print_climates(climates, console),
    )


@climate_app.command("show")
def climate_show(
    name: Annotated[str, typer.Argument(help="Name of the weather file, as in `climate list`.")],
    json: Json = None,
    units: Units = None,
    floor: Annotated[str, typer.Option("--floor", help="Count degree-hours below this temperature.")] = "10 degC",
    chart: Annotated[
        Path | None,
        typer.Option(
            "--plot", "--chart", metavar="FILE", help="Draw winters, coldest spells and degree-hours as a PNG file."
        ),
    ] = None,
) -> None:
    """Show one weather file: place, source, cold spells, gaps."""
    from thermal.climate.library import load_climate
    from thermal.core.atomic_write import write_atomically
    from thermal.report.climate_summary import climate_json, print_climate

    shown_in, floor_c = unit_system(units or "metric"), _stated_temperature("--floor", floor)
    weather = load_climate(name)
    if chart is not None:
        from thermal.report.climate_chart import climate_chart

        write_atomically(chart, climate_chart(weather, floor_c, shown_in))
    show(
        json, lambda: climate_json(weather, floor_c), lambda console: print_climate(weather, floor_c, console, shown_in)
    )


@climate_app.command("add")
def climate_add(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Hourly CSV; columns and units are detected.")],
    name: Annotated[str, typer.Option("--name", help="Name for the weather file.")],
    zone: Annotated[
        str | None, typer.Option("--zone", help="Time zone of local times, for example America/Chicago.")
    ] = None,
    dates: Dates = None,
    column: Column = None,
    unit: Unit = None,
    lat: Annotated[float | None, typer.Option("--lat", min=-90, max=90, help="Latitude, degrees north.")] = None,
    lon: Annotated[float | None, typer.Option("--lon", min=-180, max=180, help="Longitude, degrees east.")] = None,
    elevation: Annotated[float, typer.Option("--elevation", min=-430, max=6000, help="Metres above sea level.")] = 0.0,
    place: Annotated[str, typer.Option("--place", help="Where the weather was measured.")] = "",
    licence: Annotated[str, typer.Option("--licence", help="Licence of the data.")] = "",
    annual_mean: Annotated[
        str | None,
        typer.Option(
            "--annual-mean", help="Yearly mean outdoors, for a file of less than a year, for example 9.5 degC."
        ),
    ] = None,
    force: Force = False,
    json: Json = None,
) -> None:
    """Add your own hourly CSV to the climates folder."""
    from dataclasses import asdict

    from thermal.climate.csv_import import import_csv
    from thermal.climate.dataset import NOWHERE, Header
    from thermal.climate.download import FOLDER
    from thermal.climate.free_name import check_free
    from thermal.climate.sun_and_sky import sun_notes
    from thermal.climate.writer import write_dataset

    check_free(name, force)
    annual_mean_c = None if annual_mean is None else _stated_temperature("--annual-mean", annual_mean)
    table = import_csv(file, zone, read_options(dates, column, unit), lat, elevation)
    header = Header(
        name=name, place=place or name, latitude=NOWHERE[0] if lat is None else lat,
        longitude=NOWHERE[1] if lon is None else lon, elevation_m=elevation, timezone=zone or "UTC",
        kind="typical year" if table.typical else "given", source=file.name, licence=licence,
        processing="; ".join(table.notes), position_known=lat is not None and lon is not None,
        annual_mean_c=annual_mean_c,
    )  # fmt: skip
    sentences = [*table.notes, *sun_notes(table.hours, header)]
    path = write_dataset(FOLDER, header, table.hours)

    def print_notes(console: Console) -> None:
        for sentence in (*table.listing(), *sentences):
            typer.echo(f"  {sentence}")
        typer.echo(f'Added: {path}. To use it, write series = "{name}" under [climate] in the plan.')

    show(
        json,
        lambda: {
            "series": name,
            "file": str(path),
            "columns": table.listing(),
            "said": sentences,
            "header": asdict(header),
        },
        print_notes,
    )


@climate_app.command("adapt")
def climate_adapt(
    series: Annotated[str, typer.Argument(metavar="SERIES", help="Weather file to start from, of a similar place.")],
    name: Annotated[str, typer.Option("--name", help="Name for the new weather file.")],
    monthly_mean: Annotated[
        str,
        typer.Option(
            "--monthly-mean", help='Your town\'s 12 monthly means, January to December: "-3, -1, 4, ..." (°C).'
        ),
    ],
    record_low: Annotated[
        str | None, typer.Option("--record-low", help='Lowest temperature on record there, "-27 degC" or "-17 degF".')
    ] = None,
    elevation: Annotated[
        float | None, typer.Option("--elevation", min=-430, max=6000, help="Metres above sea level.")
    ] = None,
    force: Force = False,
    json: Json = None,
) -> None:
    """Shift a weather file to your town's published monthly means. Needs no network."""
    from dataclasses import asdict, replace

    from thermal.climate.dataset import NOWHERE
    from thermal.climate.download import FOLDER
    from thermal.climate.free_name import check_free
    from thermal.climate.library import load_climate
    from thermal.climate.monthly_adaptation import adapt_to_town, town_of
    from thermal.climate.writer import write_dataset

    check_free(name, force)
    low_c = None if record_low is None else _temperature(record_low, "--record-low")
    town = town_of(_temperatures(monthly_mean), low_c, elevation)
    climate = adapt_to_town(load_climate(series), town)
    header = replace(
        climate.header, name=name, place=name, latitude=NOWHERE[0], longitude=NOWHERE[1], position_known=False
    )
    kept = climate.hours[climate.hours["air_c"].notna()].drop(columns=["filled", *climate.assumed])
    path = write_dataset(FOLDER, header, kept)
    change = header.processing.rsplit("; ", 1)[-1]
    show(
        json,
        lambda: {"series": name, "file": str(path), "header": asdict(header)},
        lambda console: typer.echo(
            f"  {series}: {change}\nAdapted: {path}. It is no record of your town: its winters are those of {series},"
            f' moved to your means. To use it, write series = "{name}" under [climate] in the plan.'
        ),
    )


def _offer(latitude: float, longitude: float, name: str) -> str:
    """What to do without a download."""
    from thermal.climate.library import nearest_series

    nearest = nearest_series(latitude, longitude)
    series, far = ("springfield-il", "") if nearest is None else (nearest[0], f", {nearest[1]:,.0f} km away")
    return (
        f"Without a download: the nearest weather file here is {series!r}{far}. Shift it to your town's published"
        f' monthly means: overwinter climate adapt {series} --name {name} --monthly-mean "12 temperatures, January to'
        ' December" --record-low "-20 degC"'
    )


def _temperatures(text: str) -> list[float]:
    """Temperatures written one after the other, in °C unless each has its unit. [degC]"""
    return [_temperature(part, "--monthly-mean") for part in text.replace(";", ",").split(",") if part.strip()]


def _temperature(text: str, option: str) -> float:
    """A temperature of an option with its unit, or a number of °C. [degC]"""
    from thermal.core import quantities

    try:
        return float(text)
    except ValueError:
        pass
    try:
        return quantities.parse(text.strip(), quantities.TEMPERATURE)
    except ValueError as fault:
        raise OverwinterError(f"{option}: {fault}") from fault


@climate_app.command("fetch")
def climate_fetch(
    lat: Annotated[float, typer.Option("--lat", min=-90, max=90, help="Latitude, degrees north.")],
    lon: Annotated[float, typer.Option("--lon", min=-180, max=180, help="Longitude, degrees east.")],
    winters: Annotated[str, typer.Option("--winters", help="Years the winters begin in, for example 2015-2024.")],
    name: Annotated[str, typer.Option("--name", help="Name for the weather file.")],
    elevation: Annotated[
        float | None, typer.Option("--elevation", help="Elevation of your place, metres above sea level.")
    ] = None,
    observed_only: Annotated[
        bool, typer.Option("--observed-only", help="Leave out hours filled in from weather models.")
    ] = False,
    force: Force = False,
    json: Json = None,
) -> None:
    """Download winters from the best station near a place.

    If interrupted, run it again to resume.
    """
    from dataclasses import asdict

    from rich.progress import track

    from thermal.climate.download import Request, download_series
    from thermal.climate.free_name import check_free
    from thermal.climate.library import read_header

    check_free(name, force)
    request = Request(lat, lon, elevation, _years(winters), name, observed_only)
    try:
        path = download_series(
            request,
            on_message=lambda sentence: typer.echo(f"  {sentence}", err=True),
            progress=lambda years: track(years, description="winters", transient=True),
        )
    except ClimateError as fault:
        raise ClimateError(f"{fault}\n{_offer(lat, lon, name)}") from fault
    show(
        json,
        lambda: {"series": name, "file": str(path), "header": asdict(read_header(path))},
        lambda console: typer.echo(
            f'Downloaded: {path}. To use it, write series = "{name}" under [climate] in the plan.'
        ),
    )


def _stated_temperature(option: str, text: str) -> float:
    """A temperature written with its unit. [degC]"""
    from thermal.core import quantities

    try:
        return quantities.parse(text, quantities.TEMPERATURE)
    except ValueError as fault:
        raise OverwinterError(f"{option}: {fault}") from fault


def _years(text: str) -> tuple[int, ...]:
    """Years written as "2015-2024" or "2016"."""
    import re

    match = re.fullmatch(r"\s*(\d{4})\s*(?:-\s*(\d{4})\s*)?", text)
    if not match or int(match[2] or match[1]) < int(match[1]) or int(match[2] or match[1]) - int(match[1]) >= 100:
        raise OverwinterError(f"--winters {text!r} is not a range of years; write for example 2015-2024")
    return tuple(range(int(match[1]), int(match[2] or match[1]) + 1))
