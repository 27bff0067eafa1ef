"""What is said of each note on a season, by its code; the Spanish stands in the catalogue."""

from types import MappingProxyType

from pipeline.words import marked

#: Sentences by code. Braces hold dates, numbers and temperatures in the reader's units.
NOTE_WORDS = MappingProxyType(
    {
        "freeze-even-odds": marked("After {date}, a freeze still came in 5 of 10 past years."),
        "freeze-one-in-ten": marked(
            "After {date}, a freeze still came in 1 of 10 past years. Many wait for that day with "
            "tender plants. A low spot freezes later."
        ),
        "soil-warm": marked(
            "Eleven days of air came to {temperature} on {date}. By then the upper soil is about as warm."
        ),
        "harden-off": marked(
            "Start on {date} to get the plants used to the outdoors: {number} days, a little more each day."
        ),
        "chill-after-planting": marked(
            "In the {chill_days} nights after planting we count {number} below {chill}. That slows "
            "tender plants."
        ),
        "flowers-warm-nights": marked(
            "From {date} to {to}, when the first fruits set, we count {nights} above {night_low}. "
            "Fewer flowers set fruit then."
        ),
        "flowers-warm-nights-severe": marked("From {date} to {to} we count {nights} above {night_high}."),
        "flowers-hot-days": marked(
            "From {date} to {to}, when the first fruits set, we count {days} above {day_low}. Some "
            "flowers drop in such heat."
        ),
        "flowers-hot-days-severe": marked("From {date} to {to} we count {days} above {day_high}."),
        "flowers-cold-nights": marked(
            "From {date} to {to}, when the first fruits set, we count {nights} below {night_cold}. "
            "Fewer flowers set fruit then."
        ),
        "heat-caution": marked(
            "On {date} it felt like about {heat} in the shade, more in the sun. Drink water and rest in the "
            "shade."
        ),
        "heat-extreme-caution": marked(
            "On {date} it felt like about {heat} in the shade, more in the sun. Drink water, rest in the "
            "shade and work in pairs."
        ),
        "heat-danger": marked(
            "On {date} it felt like about {heat} in the shade, more in the sun. In such heat, stop early. "
            "If someone is confused or faints, call 911. No record is worth your health."
        ),
        "heat-extreme-danger": marked(
            "On {date} it felt like about {heat} in the shade, more in the sun. In such heat, do not work "
            "outside. If someone is confused or faints, call 911."
        ),
        "flood-discard": marked(
            "Flood water was noted on {date}. Do not eat, weigh as good, or give away food that it "
            "touched. Washing does not help."
        ),
        "flood-wait": marked(
            "Fruits that form after the flood and do not touch the soil: wait {number} days, until "
            "{date}. Ask the health department before you pick."
        ),
        "lead-good-practice": marked(
            "The soil test of {date} found {number} ppm of lead. Good habits help: raised beds, "
            "mulch, washing hands and food. Your health department can tell you what the number "
            "means."
        ),
        "lead-above-screening": marked(
            "The soil test of {date} found {number} ppm of lead. Please call your health department "
            "before more planting here, and keep children from digging."
        ),
        "lead-above-removal": marked(
            "The soil test of {date} found {number} ppm of lead, a high amount. Please stop digging "
            "and call your health department. Keep children away from this soil."
        ),
        "local-rules-first": marked("Your county and garden rules come first."),
    }
)
