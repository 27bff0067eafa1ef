"""Daily weather as stations report it: one row for each value, from any of the open layouts."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.errors import InputError
from sites.units import MM_PER_INCH, celsius_from_fahrenheit

#: The elements that a daily table is made of, with the name of their column. Others are not read.
ELEMENTS = {"TMAX": "tmax_c", "TMIN": "tmin_c", "PRCP": "prcp_mm"}

#: Totals of several days and the number of those days: read so that they can be counted, never used as a day.
MULTIDAY_ELEMENTS = ("MDPR", "DAPR")

#: GHCN-Daily stores tenths of a degree and tenths of a millimetre.
STORED_PER_UNIT = 10.0

#: What GHCN-Daily writes for a missing value (GHCN-Daily readme, section III).
MISSING_VALUE = -9999

#: Columns of the by-station layout where the file has no header line (GHCN-Daily readme for by_station).
BY_STATION_COLUMNS = ("ID", "DATE", "ELEMENT", "VALUE", "M_FLAG", "Q_FLAG", "S_FLAG", "OBS_TIME")

#: Characters of a .dly record: 21 of key, then 31 days of 8 (value 5, three flags; GHCN-Daily readme, section
#: III).
DLY_RECORD = 269

#: Columns of a plain daily table, their element and the step to Celsius or millimetres.
PLAIN_COLUMNS = {
    "tmax_c": ("TMAX", lambda value: value),
    "tmin_c": ("TMIN", lambda value: value),
    "prcp_mm": ("PRCP", lambda value: value),
    "tmax_f": ("TMAX", celsius_from_fahrenheit),
    "tmin_f": ("TMIN", celsius_from_fahrenheit),
    "prcp_in": ("PRCP", lambda value: value * MM_PER_INCH),
}

#: Endings of the files of a folder that are read; others, such as a note, are left alone.
ENDINGS = (".csv", ".csv.gz", ".dly", ".dly.gz")

Paths = Path | str | Iterable[Path | str]


def read_values(paths: Paths) -> pd.DataFrame:
    """Return every value of some weather files as it was reported, one row for each.

    `paths` is a file, a folder (its files that end as ENDINGS say) or several of them. Layouts, known by
    their content: GHCN-Daily by station (CSV with a header that says VALUE or DATA_VALUE, or with none; .gz
    too), GHCN-Daily .dly (fixed width), and a plain daily table (date and any of tmax_c, tmin_c, prcp_mm,
    tmax_f, tmin_f, prcp_in; station, else the file's name; obs_time).

    Columns: station, date, element, value (°C, mm, or days for DAPR; missing where -9999), trace,
    quality_flag and observed_at (HHMM as text, blank where unknown). Raises InputError for a file that is
    none of these.
    """
    frames = [_read_file(path) for path in _files(paths)]
    if not frames:
        raise InputError(f"There is no weather file in {paths}. Put station records there.")
    for column in ("station", "element", "quality_flag", "observed_at"):
        categories = sorted(set().union(*(frame[column].cat.categories for frame in frames)))
        for frame in frames:
            frame[column] = frame[column].cat.set_categories(categories)
    return pd.concat(frames, ignore_index=True)


def set_aside(values: pd.DataFrame) -> pd.DataFrame:
    """Return how many reported values are not used as a day's value, by station and element, and why.

    Columns: station, element, why ("quality flag X", "several days", "missing") and values.
    """
    flag = values["quality_flag"].astype("str")
    why = np.select(
        [values["element"].isin(MULTIDAY_ELEMENTS), (flag != ""), values["value"].isna()],
        ["several days", "quality flag " + flag, "missing"],
        "",
    )
    counted = values.assign(why=why)[why != ""]
    return counted.groupby(["station", "element", "why"], observed=True).size().reset_index(name="values")


def _files(paths: Paths) -> list[Path]:
    given = [paths] if isinstance(paths, str | Path) else list(paths)
    found: list[Path] = []
    for path in map(Path, given):
        found.extend(sorted(each for each in path.iterdir() if is_record(each)) if path.is_dir() else [path])
    return found


def is_record(path: Path) -> bool:
    """Return whether a file of a folder is read as a weather record, by its name."""
    return path.name.lower().endswith(ENDINGS) and not path.name.startswith(".")


def _read_file(path: Path) -> pd.DataFrame:
    first = _first_line(path)
    fields = [field.strip().strip('"').lower() for field in first.split(",")]
    if len(first) >= DLY_RECORD and first[17:21].isalnum() and first[11:17].isdigit():
        return _read_dly(path)
    if {"element", "date"} <= set(fields):
        return _read_by_station(path, [name.upper() for name in fields], skip=1)
    if len(fields) == len(BY_STATION_COLUMNS) and len(fields[1]) == 8 and fields[1].isdigit():
        return _read_by_station(path, list(BY_STATION_COLUMNS), skip=0)
    if "date" in fields and set(fields) & set(PLAIN_COLUMNS):
        return _read_plain(path)
    raise InputError(
        f"{path} is no daily weather record that can be read. Known are GHCN-Daily by station (CSV) and "
        f".dly, and a plain table with date and {', '.join(PLAIN_COLUMNS)}."
    )


def _first_line(path: Path) -> str:
    import gzip

    try:
        with gzip.open(path) if path.suffix == ".gz" else path.open("rb") as file:
            return file.readline().decode("utf-8-sig").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as problem:
        raise InputError(
            f"{path} cannot be read as text ({problem}). Check the name and the file."
        ) from problem


def _read_by_station(path: Path, names: list[str], skip: int) -> pd.DataFrame:
    import pyarrow as pa
    from pyarrow import csv

    value = next((name for name in ("VALUE", "DATA_VALUE") if name in names), None)
    absent = {"ID", "DATE", "ELEMENT", "Q_FLAG"} - set(names)
    if absent or value is None:
        raise InputError(
            f"{path} has no column {', '.join(sorted(absent)) or 'VALUE'}. Take it from its source again."
        )
    text = pa.dictionary(pa.int32(), pa.string())
    kinds = {"ID": text, "DATE": pa.string(), "ELEMENT": text, value: pa.int32()}
    kinds |= {name: text for name in ("M_FLAG", "Q_FLAG", "OBS_TIME") if name in names}
    try:
        table = csv.read_csv(
            path,
            read_options=csv.ReadOptions(column_names=names, skip_rows=skip),
            convert_options=csv.ConvertOptions(column_types=kinds, include_columns=list(kinds)),
        )
    except pa.ArrowInvalid as problem:
        raise InputError(
            f"{path} breaks off or is damaged: {problem}. Take it from its source again."
        ) from problem
    frame = table.unify_dictionaries().to_pandas()
    frame = frame[frame["ELEMENT"].isin([*ELEMENTS, *MULTIDAY_ELEMENTS])]
    blank = pd.Series("", index=frame.index, dtype="category")
    return _values(
        station=frame["ID"],
        date=_dates(path, frame["DATE"]),
        element=frame["ELEMENT"],
        stored=frame[value].to_numpy(),
        measurement_flag=frame.get("M_FLAG", blank),
        quality_flag=frame["Q_FLAG"],
        observed_at=frame.get("OBS_TIME", blank),
    )


def _read_dly(path: Path) -> pd.DataFrame:
    """Return the values of a .dly file: a record is a station, month and element, with 31 fields of 8."""
    import gzip

    raw = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    records = [line.rstrip(b"\r")[:DLY_RECORD].ljust(DLY_RECORD) for line in raw.split(b"\n") if line.strip()]
    elements = {name.encode() for name in (*ELEMENTS, *MULTIDAY_ELEMENTS)}
    records = [record for record in records if record[17:21] in elements]
    letters = np.frombuffer(b"".join(records), dtype="S1").reshape(len(records), DLY_RECORD)
    days = np.ascontiguousarray(letters[:, 21:]).reshape(len(records), 31, 8)
    month = _joined(letters[:, 11:15]).astype(int) * 12 + _joined(letters[:, 15:17]).astype(int) - 1
    first = (month - 1970 * 12).astype("datetime64[M]")
    date = first.astype("datetime64[D]")[:, None] + np.arange(31)
    exists = (date.astype("datetime64[M]") == first[:, None]).ravel()

    def per_day(record_letters: npt.NDArray[Any]) -> pd.Series:
        return pd.Series(np.repeat(_joined(record_letters).astype("U"), 31)[exists], dtype="category")

    def flag(position: int) -> pd.Series:
        return pd.Series(np.char.strip(days[:, :, position].astype("U1")).ravel()[exists], dtype="category")

    return _values(
        station=per_day(letters[:, :11]),
        date=pd.Series(date.ravel()[exists]),
        element=per_day(letters[:, 17:21]),
        stored=_joined(days[:, :, :5].reshape(-1, 5)).astype(int)[exists],
        measurement_flag=flag(5),
        quality_flag=flag(6),
        observed_at=pd.Series("", index=range(int(exists.sum())), dtype="category"),
    )


def _read_plain(path: Path) -> pd.DataFrame:
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    table.columns = table.columns.str.strip().str.lower()
    blank = pd.Series("", index=table.index)
    shared = {
        "station": table["station"] if "station" in table else blank + path.name.split(".")[0],
        "date": _dates(path, table["date"]),
        "quality_flag": "",
        "observed_at": table.get("obs_time", blank),
    }
    parts = []
    for column, (element, convert) in PLAIN_COLUMNS.items():
        if column in table:
            text = table[column].str.strip()
            trace = text.str.upper() == "T"
            value = pd.to_numeric(text.mask(trace, "0"), errors="coerce")
            unreadable = value.isna() & (text != "")
            if unreadable.any():
                line = int(np.flatnonzero(unreadable)[0]) + 2
                raise InputError(
                    f"{path}, line {line}, {column}: {text[unreadable].iloc[0]!r} is no number. Mend it."
                )
            value = convert(value.mask(value == MISSING_VALUE).to_numpy())
            parts.append(pd.DataFrame({**shared, "element": element, "value": value, "trace": trace}))
    values = pd.concat(parts, ignore_index=True)
    return values.astype(dict.fromkeys(("station", "element", "quality_flag", "observed_at"), "category"))


def _values(
    station: pd.Series,
    date: pd.Series,
    element: pd.Series,
    stored: npt.NDArray[Any],
    measurement_flag: pd.Series,
    quality_flag: pd.Series,
    observed_at: pd.Series,
) -> pd.DataFrame:
    value = np.where(stored == MISSING_VALUE, np.nan, stored / STORED_PER_UNIT)
    days = (element == "DAPR").to_numpy()
    return pd.DataFrame(
        {
            "station": station.array,
            "date": date.to_numpy(),
            "element": element.array,
            "value": np.where(days, value * STORED_PER_UNIT, value),
            "trace": (measurement_flag == "T").to_numpy(),
            "quality_flag": _filled(quality_flag),
            "observed_at": _filled(observed_at),
        }
    )


def _filled(flags: pd.Series) -> pd.Categorical:
    categorical = flags.cat.remove_unused_categories().array
    if "" not in categorical.categories:
        categorical = categorical.add_categories([""])
    return pd.Categorical(pd.Series(categorical).fillna(""))


def _dates(path: Path, text: pd.Series) -> pd.Series:
    dates = pd.to_datetime(text, format="%Y%m%d", errors="coerce")
    if dates.isna().any():
        dates = pd.to_datetime(text, format="%Y-%m-%d", errors="coerce")
    if dates.isna().any():
        wrong = text[dates.isna()].iloc[0]
        raise InputError(f"{path}: {wrong!r} is no date. Dates are written 20260715 or 2026-07-15.")
    return dates


def _joined(letters: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return each row of single bytes as one byte string."""
    return np.ascontiguousarray(letters).view(f"S{letters.shape[-1]}")[..., 0]
