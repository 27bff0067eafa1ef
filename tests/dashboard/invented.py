"""The invented network: its gardens, its trial, and the truth that its seasons are drawn from."""

from datetime import date

TRIAL = "tomato-graft"
CLOSED, RUNNING = "2024", "2025"
NIGHT = date(2025, 8, 12)
#: site, name, kind, county, km along, km across, metres above the sea, topsoil
GARDENS = (
    ("G01", "Windbreak Yard", "community", "Sherman", 33.7, 92.6, 1118, "silt loam"),
    ("G02", "Plum Thicket Beds", "school", "Thomas", 90.5, 95.8, 966, "silt loam"),
    ("G03", "Switchgrass Corner", "community", "Finney", 102.1, -61.3, 868, "loam"),
    ("G04", "Second Ditch Garden", "park", "Finney", 103.6, -62.9, 865, "loam"),
    ("G05", "Tin Cup Patch", "library", "Seward", 93.8, -164.5, 871, "sandy loam"),
    ("G06", "Long Shadow Beds", "community", "Ford", 175.4, -87.4, 760, "loam"),
    ("G07", "Post Rock Garden", "school", "Ellis", 238.9, 35.9, 603, "silt loam"),
    ("G08", "Kettle Bottom Yard", "shared_yard", "Barton", 286.2, -20.6, 560, "loam"),
    ("G09", "Mill Pond Patch", "community", "Saline", 386.7, 30.6, 377, "clay loam"),
    ("G10", "Lantern Street Beds", "library", "Saline", 387.8, 32.2, 374, "silty clay loam"),
    ("G11", "Quiet Depot Garden", "school", "Cloud", 382.6, 112.4, 413, "silt loam"),
    ("G12", "Heron Lane Plots", "community", "Reno", 360.4, -55.5, 462, "loam"),
    ("G13", "Copper Bell Garden", "community", "Sedgwick", 412.1, -94.3, 402, "clay loam"),
    ("G14", "Kite String Beds", "school", "Sedgwick", 417.2, -92.4, 397, "clay loam"),
    ("G15", "Leaning Gate Patch", "shared_yard", "Sedgwick", 409.9, -98.9, 398, "clay loam"),
    ("G16", "Ember Row", "park", "Sedgwick", 420.1, -100.1, 384, "silty clay loam"),
    ("G17", "Stone Step Garden", "community", "Riley", 475.8, 72.0, 329, "silty clay loam"),
    ("G18", "Button Creek Plots", "school", "Lyon", 512.2, -14.0, 344, "silty clay"),
    ("G19", "Two Chairs Beds", "community", "Shawnee", 553.4, 57.1, 289, "silty clay loam"),
    ("G20", "Thimble Yard", "shared_yard", "Shawnee", 549.8, 54.4, 298, "silty clay loam"),
    ("G21", "Night Owl Garden", "library", "Douglas", 592.9, 49.8, 270, "silty clay loam"),
    ("G22", "Fiddle Row", "community", "Johnson", 641.0, 50.4, 262, "silty clay loam"),
    ("G23", "Ferry Landing Patch", "community", "Wyandotte", 642.1, 68.2, 256, "silty clay loam"),
    ("G24", "Slate Hollow Beds", "park", "Crawford", 645.5, -120.7, 283, "silt loam"),
)
#: name, code, label, order
TREATMENTS = (
    ("own-root", "C", "own-root", 0),
    ("corvane", "A", "Corvane stock", 1),
    ("tressel", "B", "Tressel stock", 2),
)
#: Log ratio at the western end, change per 100 km: the truth that the closed season is drawn from.
TRUTH = {"corvane": (0.24, -0.026), "tressel": (0.075, 0.0)}
OUTCOMES = {
    "marketable_kg_per_plant": 1.0,
    "marketable_fruits_per_plant": 0.8,
    "mean_fruit_mass_g": 0.2,
    "marketable_share": 0.05,
    "early_kg_per_plant": -0.4,
    "days_to_first_harvest": 0.1,
}
BLOCKS = ("1", "2", "3")
#: Garden to state tonight, and the line that says why.
STATES = {
    "G24": ("late", "19 days without a picking", 19),
    "G05": ("late", "12 days without a picking", 12),
    "G20": ("late", "9 days without a picking", 9),
    "G13": ("question", "a weight that does not fit", 1),
    "G18": ("question", "tags may be swapped", 3),
    "G09": ("held", "2 rows wait for the garden", 1),
    "G10": ("held", "1 row waits for the garden", 2),
    "G02": ("not yet picked", "planted late", 0),
}
#: Stops of a ramp from ochre in the west to blue-green in the east, on light and on dark paper.
RAMPS = (
    ("#B97C28", "#717527", "#066254", "#003F51"),
    ("#FFCD76", "#B0C372", "#54AE9D", "#3887A0"),
)
