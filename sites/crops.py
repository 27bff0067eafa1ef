"""What one crop is like: the table behind plausible ranges, degree days and limits of fruit set."""

from pathlib import Path

import pandas as pd

from sites.climate.degree_days import METHODS
from sites.errors import InputError

#: The table that ships with the package.
CROPS = Path(__file__).parent / "data" / "crops.csv"

#: Columns that are text; all others are numbers.
TEXT = frozenset(
    [
        *("name_en", "name_es", "also_called"),
        *("counted_one_en", "counted_many_en", "counted_one_es", "counted_many_es"),
        *("harvest_stage", "degree_day_method", "days_source", "fruit_mass_source", "fruits_source"),
        *("yield_source", "spacing_source", "degree_day_source", "fruit_set_source", "stage_source"),
        *("immature_en", "mature_en", "ripe_en", "immature_es", "mature_es", "ripe_es"),
    ]
)

#: Pairs of columns whose first must not exceed the second.
RANGES = (
    ("days_set_out_low", "days_set_out_high"),
    ("days_sown_low", "days_sown_high"),
    ("fruit_mass_low_g", "fruit_mass_high_g"),
    ("fruits_per_plant_low", "fruits_per_plant_high"),
    ("yield_per_plant_low_kg", "yield_per_plant_high_kg"),
    ("spacing_low_cm", "spacing_high_cm"),
    ("degree_day_base_c", "degree_day_upper_c"),
    ("night_warm_low_c", "night_warm_high_c"),
    ("day_hot_low_c", "day_hot_high_c"),
)

#: Columns that no crop can do without.
REQUIRED = ("name_en", "name_es", "counted_one_en", "counted_many_en", "degree_day_base_c")

#: Harvest stages, as the harvest sheet spells them.
STAGES = ("immature", "mature", "ripe")

#: A value over this many times the top of a soft band cannot be true (common practice, no source).
HARD_FACTOR = 3.0


def read_crops(overrides: pd.DataFrame | Path | str | None = None) -> pd.DataFrame:
    """Return the crop table, indexed by crop, with a network's own values in place of ours where it has any.

    `overrides` is a table (or a CSV file) with the column crop and any of the other columns: a blank leaves
    our value, a new crop adds a row. Bands are soft: outside them one asks. Hard limits, beyond which a value
    cannot be true, are added: fruit_mass_hard_high_g and fruit_mass_hard_low_g (3 times the top, a third of
    the bottom), fruits_per_plant_hard_high and yield_per_plant_hard_high_kg (3 times the top); `tender` is
    true or false.

    Raises InputError, naming crop and column, for an unknown column, a number that is none, a range upside
    down, or a crop without the names and numbers it needs.
    """
    crops = _read(CROPS)
    if overrides is not None:
        own = _read(overrides) if isinstance(overrides, str | Path) else _as_text(overrides)
        crops = _overridden(crops, own)
    crops = _typed(crops)
    _check(crops)
    return crops.assign(
        fruit_mass_hard_low_g=crops["fruit_mass_low_g"] / HARD_FACTOR,
        fruit_mass_hard_high_g=crops["fruit_mass_high_g"] * HARD_FACTOR,
        fruits_per_plant_hard_high=crops["fruits_per_plant_high"] * HARD_FACTOR,
        yield_per_plant_hard_high_kg=crops["yield_per_plant_high_kg"] * HARD_FACTOR,
    )


def match_crop(names: pd.Series, crops: pd.DataFrame) -> pd.Series:
    """Return the crop that each name means, missing where none or more than one does.

    Names may be the crop itself, its name in either language or one of the others it goes by; case, accents,
    dashes, underscores and blanks do not count.
    """
    plain = {}
    for crop, row in crops.iterrows():
        known = [crop, row["name_en"], row["name_es"], *row["also_called"].split(";")]
        for name in set(_plain(pd.Series(known, dtype="str"))):
            plain[name] = crop if name not in plain else None
    return _plain(names.astype("str")).map(plain).astype("str")


def _plain(names: pd.Series) -> pd.Series:
    ascii_only = names.str.normalize("NFKD").str.encode("ascii", "ignore").str.decode("ascii")
    return ascii_only.str.lower().str.replace(r"[^a-z]+", "", regex=True)


def _read(path: Path | str) -> pd.DataFrame:
    try:
        table = pd.read_csv(path, dtype=str, keep_default_na=False)
    except OSError as problem:
        raise InputError(
            f"{path} cannot be read ({problem.strerror}). Check the name and the folder."
        ) from problem
    return _as_text(table)


def _as_text(table: pd.DataFrame) -> pd.DataFrame:
    if "crop" not in table:
        raise InputError(
            "The crop table has no column crop. Its first column names the crop, as tomato-slicing."
        )
    text = table.astype("str").apply(lambda column: column.str.strip())
    text = text.fillna("").set_index("crop")
    if text.index.has_duplicates:
        raise InputError(
            f"Crop {text.index[text.index.duplicated()][0]} is there twice. Keep one row for each crop."
        )
    return text


def _overridden(crops: pd.DataFrame, own: pd.DataFrame) -> pd.DataFrame:
    unknown = [column for column in own.columns if column not in crops.columns]
    if unknown:
        raise InputError(
            f"The crop table knows no column {', '.join(unknown)}. Known are {', '.join(crops.columns)}."
        )
    merged = crops.reindex(crops.index.union(own.index, sort=False), fill_value="")
    given = own.reindex(index=merged.index, columns=merged.columns, fill_value="")
    return given.where(given != "", merged)


def _typed(crops: pd.DataFrame) -> pd.DataFrame:
    typed = crops.copy()
    for column in crops.columns:
        if column == "tender":
            said = crops[column].str.lower()
            wrong = ~said.isin(["yes", "no", "true", "false"])
            typed[column] = said.isin(["yes", "true"])
        elif column in TEXT:
            continue
        else:
            typed[column] = pd.to_numeric(crops[column].replace("", None), errors="coerce")
            wrong = typed[column].isna() & (crops[column] != "")
        if wrong.any():
            crop, was = crops.index[wrong][0], crops.loc[wrong, column].iloc[0]
            wanted = "yes or no" if column == "tender" else "a number, or blank where unknown"
            raise InputError(f"Crop {crop}, {column}: {was!r} cannot be used. Write {wanted}.")
    return typed


def _check(crops: pd.DataFrame) -> None:
    for low, high in RANGES:
        upside_down = crops[low] > crops[high]
        if upside_down.any():
            raise InputError(f"Crop {crops.index[upside_down][0]}: {low} is above {high}. Exchange them.")
    allowed = {"harvest_stage": STAGES, "degree_day_method": METHODS}
    for column, names in allowed.items():
        wrong = ~crops[column].isin(names)
        if wrong.any():
            crop, said = crops.index[wrong][0], crops.loc[wrong, column].iloc[0]
            raise InputError(f"Crop {crop}, {column}: {said!r} is none of {', '.join(names)}.")
    for column in REQUIRED:
        blank = crops[column].isna() | (crops[column] == "")
        if blank.any():
            raise InputError(f"Crop {crops.index[blank][0]} has no {column}. Fill it in.")
