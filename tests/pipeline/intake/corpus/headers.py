"""Headers as gardens and laboratories write them, all seven kinds of sheets, columns in any order."""

from collections.abc import Iterator

from tests.pipeline.intake.corpus.case import ROWS, Case, text, used

KG = 3.2 * 0.45359237


def cases() -> Iterator[Case]:
    """Yield the cases."""
    yield from _synonyms()
    yield from _columns()
    yield from _kinds()
    yield from _laboratory()


def _synonyms() -> Iterator[Case]:
    for header in (
        "Site,Plot,Date,Good Fruits,Weight (lb)",
        "GARDEN,PLOT NO,DAY,NUMBER OF FRUITS,WEIGHT LBS",
        "garden_id,plot_id,harvest_date,marketable_count,marketable_weight_lb",
        "Huerto,Parcela,Fecha,Número de frutos,Peso (libras)",
        "huerto,parcela,fecha,frutos buenos,peso lb",
        "  site , plot , date , fruits , weight (lb) ",
    ):
        yield Case(
            "header",
            header,
            text(header, *ROWS).encode(),
            used(2, 3, 4),
            values={2: {"marketable_weight": KG}},
        )


def _columns() -> Iterator[Case]:
    turned = text("weight (lb),good fruits,date,plot,site", "3.2,4,2024-07-01,1,G01")
    yield Case(
        "columns",
        "another order",
        turned.encode(),
        used(2),
        values={2: {"marketable_weight": KG, "plot": "1"}},
    )
    unknown = text("site,plot,date,good fruits,weight (lb),moon", *(f"{row},full" for row in ROWS))
    yield Case(
        "columns",
        "a column that nobody knows",
        unknown.encode(),
        used(2, 3, 4),
        notes=[(0, "column-unknown")],
    )
    empty = text("site,plot,date,good fruits,weight (lb),moon", *(f"{row}," for row in ROWS))
    yield Case("columns", "an empty column that nobody knows", empty.encode(), used(2, 3, 4))
    twice = text(
        "site,plot,date,good fruits,weight (lb),weight (lb)",
        "G01,1,2024-07-01,4,3.2,3.2",
        "G01,2,2024-07-01,5,4.1,9",
    )
    yield Case("columns", "one column twice", twice.encode(), {2: "used", 3: "held: column-twice"})
    missing = text("site,plot,good fruits,weight (lb)", "G01,1,4,3.2")
    yield Case("columns", "no date", missing.encode(), refused="column-missing")
    unnamed = text("site,plot,date,good fruits,weight (lb),", *(f"{row},x" for row in ROWS))
    yield Case(
        "columns", "a column without a name", unnamed.encode(), used(2, 3, 4), notes=[(0, "column-unknown")]
    )


def _kinds() -> Iterator[Case]:
    sheets = {
        "planting": (
            "site,plot,date,event,treatment,plants,hardened_days,union_cm",
            "G01,1,2024-05-20,planted,A,2,6,",
        ),
        "condition": (
            "site,plot,date,alive,height_cm,severity_pct,problem",
            "G01,1,2024-07-01,2,60,5,mildew",
        ),
        "care": ("site,date,what,product,amount,unit", "G01,2024-07-01,fed,compost,2,buckets"),
        "delivery": ("site,date,treatment,received,usable", "G01,2024-05-15,A,8,8"),
        "outreach": ("site,date,activity,volunteers,hours,contacts", "G01,2024-07-01,weeding,5,10,30"),
        "soil": (
            "site,date,bed,ph,organic_matter_pct,sand_pct,silt_pct,clay_pct",
            "G01,2024-04-20,A,6.4,3.1,40,40,20",
        ),
    }
    for name, rows in sheets.items():
        yield Case("kinds", name, text(*rows).encode(), used(2))
    spanish = text(
        "huerto,fecha,actividad,voluntarios,horas,contactos", "G01,1 de julio de 2024,deshierbe,5,10,30"
    )
    yield Case(
        "kinds",
        "outreach in Spanish",
        spanish.encode(),
        used(2),
        values={2: {"date": "2024-07-01", "hours": 10.0}},
    )


def _laboratory() -> Iterator[Case]:
    report = text(
        "Client ID,Sample ID,Date Collected,Soil pH,OM (%),Mehlich 3 P (ppm),K (ppm),Sand %,Silt %,Clay %",
        "G01,A,2024-04-20,6.4,3.1,40,180,40,40,20",
    )
    read = {2: {"ph": 6.4, "organic_matter_pct": 3.1, "p_ppm": 40.0, "sand_pct": 40.0, "bed": "A"}}
    yield Case("laboratory", "report with its own names", report.encode(), used(2), values=read)
    depth = text("site,bed,sample date,pH,depth (in)", "G01,A,2024-04-20,6.4,6")
    yield Case("laboratory", "depth in inches", depth.encode(), used(2), values={2: {"depth_cm": 15.24}})
    below = text("site,bed,sample date,pH,lead (mg/kg)", "G01,A,2024-04-20,6.4,<5")
    yield Case("laboratory", "below what can be measured", below.encode(), {2: "held: number-unreadable"})
