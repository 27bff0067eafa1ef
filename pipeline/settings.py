"""The settings of one network: `network.toml` as one typed object.

Each setting is declared once, with its default and one sentence. `longrow init` writes the file from
the same declarations, so that the file and the meaning of its settings cannot part.
"""

import tomllib
from datetime import date
from pathlib import Path
from typing import Annotated, Literal, get_args
from zoneinfo import available_timezones

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from pipeline.allowed_address import is_allowed
from pipeline.response import defaults
from pipeline.response.between_gardens import Method
from pipeline.response.error_variance import VarianceKind
from pipeline.response.intervals import Interval
from pipeline.response.prediction import Prediction
from sites.errors import SettingsError

FILE = "network.toml"


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


def _known_time_zone(name: str) -> str:
    if name not in available_timezones():
        raise ValueError("is not a time zone such as America/Chicago")
    return name


def _fetchable(address: str) -> str:
    if not address:
        return address
    try:
        example = address.format(station="X", start="2026-01-01", end="2026-01-02")
    except (KeyError, IndexError, ValueError):
        example = ""
    if "{station}" not in address or not is_allowed(example):
        raise ValueError("is no address that starts with https:// and has {station} in it")
    return address


Longitude = Annotated[float, Field(ge=-180, le=180)]
Latitude = Annotated[float, Field(ge=-90, le=90)]
Share = Annotated[float, Field(ge=0, le=1)]


class Axis(_Section):
    """The line along which gardens are laid out, fixed for the life of the network."""

    origin: tuple[Longitude, Latitude] = Field(
        (-102.0517, 38.5),
        description="Longitude and latitude of kilometre 0; never move it once gardens are placed.",
    )
    centre: tuple[Longitude, Latitude] = Field(
        (-98.35, 38.5),
        description="Longitude and latitude of the middle of the region, where the projection is true.",
    )
    azimuth_deg: float = Field(
        90.0, ge=0, lt=360, description="Direction of the axis, degrees clockwise from north."
    )
    length_km: float = Field(650.0, gt=0, description="Length of the axis that figures show.")


class Weather(_Section):
    """How daily weather is estimated at a garden."""

    neighbours: int = Field(4, ge=1, le=12, description="How many of the nearest stations are averaged.")
    power: float = Field(2.0, gt=0, le=6, description="Power of the inverse distance that weighs them.")
    limit_km: float = Field(250.0, gt=0, description="A station farther away is never used.")
    lapse_tmax: float = Field(
        -6.0, ge=-12, le=0, description="Change of the daily maximum, °C for each km of height."
    )
    lapse_tmin: float = Field(
        -4.5, ge=-12, le=3, description="Change of the daily minimum, °C for each km of height."
    )
    address: Annotated[str, AfterValidator(_fetchable)] = Field(
        "",
        description="Where longrow weather --fetch asks, over HTTPS, with {station} and, where the service "
        "takes days, {start} and {end}; blank asks nobody.",
    )
    largest_mb: float = Field(20.0, gt=0, description="Largest station record that is fetched, in megabytes.")
    silent_seconds: float = Field(30.0, gt=0, description="Seconds that a server may be silent.")
    tries: int = Field(3, ge=1, le=10, description="How often a server is asked before we give up.")


class Answer(_Section):
    """How the response is estimated; fix these before a season starts."""

    method: Method = Field(defaults.METHOD, description="Estimator of the variance between gardens.")
    interval: Interval = Field(defaults.INTERVAL, description="Kind of interval for the mean over gardens.")
    variance: VarianceKind = Field(
        defaults.VARIANCE, description="Where the variance within gardens comes from."
    )
    prediction: Prediction = Field(defaults.PREDICTION, description="Kind of interval for a new garden.")
    completeness: Share = Field(
        0.8, description="Share of a garden's picking days that a plot needs to enter the answer."
    )
    margin_pct: float | None = Field(
        None,
        gt=0,
        description="Differences in yield below this percentage count as about the same; left out, none do.",
        examples=[5.0],
    )
    early_days: int = Field(
        21, ge=1, description="Days after a garden's first picking that count as early yield."
    )


class Intake(_Section):
    """What is taken at once; anything larger is refused with a reason and kept."""

    largest_file_mb: float = Field(20.0, gt=0, description="Largest file, in megabytes.")
    largest_unpacked_mb: float = Field(
        200.0, gt=0, description="Largest spreadsheet once unpacked, in megabytes."
    )
    most_rows: int = Field(50_000, ge=1, description="Most rows of one sheet.")
    most_columns: int = Field(200, ge=1, description="Most columns of one sheet.")


class Watch(_Section):
    """When a garden counts as late, and when two count as neighbours."""

    late_days: int = Field(
        14, ge=1, description="Days without a picking, in picking season, after which we ask."
    )
    out_of_season_days: int = Field(
        14, ge=0, description="Days before the start and after the close that still count."
    )
    # Measured in the demo network: two gardens within 20 km differ in a season's mean maximum, rain and pH by
    # a sixth of the spread over all gardens at most, two that are 40 to 80 km apart by a fifth to a half.
    close_km: float = Field(
        20.0,
        ge=0,
        description="Gardens nearer to each other than this share weather and soil: they are named as close.",
    )


class Messages(_Section):
    """What messages to gardens tell of the people behind them."""

    lead: str = Field("", description="Who answers questions, as gardens know them.")
    phone: str = Field("", description="Telephone number for questions; blank leaves it out.")
    pages: str = Field("", description="Web address of this network's pages; blank leaves links out.")
    lead_mail: str = Field("", description="Mail address that the lead's weekly message is for.")
    silent_days: int = Field(
        21, ge=1, description="Days without a picking, in picking season, after which a garden is written to."
    )
    freeze_steps: tuple[str, ...] = Field(
        (), description="What gardens are to do before a freeze, step by step; blank takes our own steps."
    )


class Serving(_Section):
    """Where the dashboard is reached, once it is reached from other machines."""

    address: str = Field(
        "",
        pattern=r"^(https?://[A-Za-z0-9.-]+(:\d+)?/?)?$",
        description="Public address, as in https://trial.example.org; blank is this machine alone.",
    )
    proxy: str = Field(
        "127.0.0.1", description="Address of the reverse proxy whose word on who asks is believed."
    )
    mail_links: bool = Field(
        False, description="Offer a link by mail at sign-in; only once something sends what lies in outbox/."
    )
    processes: int = Field(
        2, ge=1, le=32, description="Processes that answer browsers; about one for each core."
    )
    uploads_per_day: int = Field(40, ge=1, description="Files that a garden can send in a day.")
    judge_seconds: float = Field(30.0, gt=0, description="Longest time to check one file at once.")
    judge_memory_mb: int = Field(1500, ge=300, description="Most memory to check one file, in megabytes.")


class Settings(_Section):
    """Everything that one network decides for itself."""

    name: str = Field(
        "My garden network", min_length=1, description="How pages and messages name the network."
    )
    units: Literal["us", "si"] = Field(
        "us", description="Units that people see: us (lb, °F, in) or si (kg, °C, cm)."
    )
    date_order: Literal["mdy", "dmy", "ymd"] = Field(
        "mdy", description="How a date such as 3/4/2025 is read."
    )
    language: Literal["en", "es"] = Field("en", description="Language of messages where a garden names none.")
    time_zone: Annotated[str, AfterValidator(_known_time_zone)] = Field(
        "America/Chicago", description="Time zone of gardens that name none."
    )
    today: date | None = Field(
        None,
        description="Replays a day: nothing dated after it is seen. Leave it out to use the clock.",
        examples=[date(2025, 8, 20)],
    )
    database: str = Field("", description="Database address; blank is longrow.db in this folder.")
    axis: Axis = Field(Axis(), description=Axis.__doc__)
    weather: Weather = Field(Weather(), description=Weather.__doc__)
    answer: Answer = Field(Answer(), description=Answer.__doc__)
    intake: Intake = Field(Intake(), description=Intake.__doc__)
    watch: Watch = Field(Watch(), description=Watch.__doc__)
    messages: Messages = Field(Messages(), description=Messages.__doc__)
    serving: Serving = Field(Serving(), description=Serving.__doc__)


def read_settings(path: Path) -> Settings:
    """Return the settings in the file.

    Raises SettingsError that names every unknown, wrong or unreadable setting.
    """
    if not path.exists():
        raise SettingsError(
            f"There is no {path.name} in {path.parent}. Make a workspace with: longrow init {path.parent}"
        )
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        mend = 'Text needs quotes, as in name = "Our gardens", and the file must be UTF-8.'
        raise SettingsError(f"{path} cannot be read: {error}. {mend}") from error
    try:
        return Settings.model_validate(content)
    except ValidationError as error:
        lines = [f"  {_in_words(found)}" for found in error.errors()]
        raise SettingsError("\n".join([f"{path} needs mending:", *lines])) from error


def _in_words(found: ErrorDetails) -> str:
    """Return one complaint of the validator as a sentence with what to do."""
    place = [str(part) for part in found["loc"]]
    name = ".".join(part for part in place if not part.isdigit())
    if found["type"] == "extra_forbidden":
        known = ", ".join(_section(place[:-1]))
        return f"{name}: there is no such setting. Known here: {known}. Correct the name or take it out."
    meant = _field(place)
    sentence = f" {meant.description}" if meant is not None and meant.description else ""
    message = str(found["msg"]).removeprefix("Value error, ")
    return f"{name} = {found['input']!r}: {message[0].lower()}{message[1:]}.{sentence}"


def _section(place: list[str]) -> dict[str, FieldInfo]:
    fields = Settings.model_fields
    for part in place:
        inner = fields[part].annotation
        if not (isinstance(inner, type) and issubclass(inner, BaseModel)):
            break
        fields = inner.model_fields
    return fields


def _field(place: list[str]) -> FieldInfo | None:
    named = [part for part in place if not part.isdigit()]
    return _section(named[:-1]).get(named[-1]) if named else None


def commented_file(settings: Settings) -> str:
    """Return the text of a `network.toml` with these settings, each under its sentence."""
    lines = ["# The settings of this network. A setting that is left out keeps its default.", ""]
    sections = []
    for name, setting in Settings.model_fields.items():
        value = getattr(settings, name)
        if isinstance(value, _Section):
            sections.append((name, setting, value))
        else:
            lines += _lines(name, setting, value)
    for name, setting, section in sections:
        lines += ["", f"# {setting.description}", f"[{name}]"]
        for inner, inner_setting in type(section).model_fields.items():
            lines += _lines(inner, inner_setting, getattr(section, inner))
    return "\n".join(lines) + "\n"


def _lines(name: str, setting: FieldInfo, value: object) -> list[str]:
    choices = (
        get_args(setting.annotation) if all(isinstance(c, str) for c in get_args(setting.annotation)) else ()
    )
    hint = (
        f" One of: {', '.join(choices)}." if choices and "One of" not in (setting.description or "") else ""
    )
    example = (setting.examples or [""])[0]
    line = f"{name} = {_toml(value)}" if value is not None else f"# {name} = {_toml(example)}"
    return [f"# {setting.description}{hint}", line]


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(part) for part in value)}]"
    return str(value)
