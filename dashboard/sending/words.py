"""What the pages of volunteers say; in other languages through the catalogues of `pipeline.words`."""

from types import MappingProxyType

from pipeline.words import marked, translate

#: By name. Placeholders hold ready text.
WORDS = MappingProxyType(
    {
        # buttons
        "yes": marked("Yes, {suggest}"),
        "choose": marked("{suggest}"),
        "right": marked("It is right"),
        "type": marked("I will type it"),
        "save": marked("Save"),
        "undo": marked("Undo"),
        "plot": marked("Plot {plot}"),
        "unit_lb": marked("Pounds (lb)"),
        "unit_oz": marked("Ounces (oz)"),
        "unit_kg": marked("Kilos (kg)"),
        "unit_g": marked("Grams (g)"),
        "switch": marked("Switch them"),
        "times": marked("Times 100"),
        "not_weighed": marked("Not weighed"),
        "not_counted": marked("Not counted"),
        "stage_immature": marked("Immature"),
        "stage_mature": marked("Mature"),
        "stage_ripe": marked("Ripe"),
        "gave_nothing": marked("It gave nothing"),
        "one_picking_each": marked("Each is one picking"),
        "nothing_was_ripe": marked("Nothing was ripe"),
        "some_replaced": marked("Some plants were replaced"),
        "not_picked": marked("Not picked"),
        "hours_of_all": marked("Hours of all"),
        "not_known": marked("Not known"),
        "whole_garden": marked("From the whole garden"),
        "compost_bed": marked("Raised bed or compost"),
        "ppm": marked("ppm"),
        "take_out": marked("Take this row out"),
        "two_pickings": marked("Two pickings"),
        "send_file": marked("Send a file"),
        "choose_file": marked("Choose a file"),
        "send_again": marked("Send the corrected sheet"),
        "by_hand": marked("Write down one picking"),
        "get_blank": marked("Get the blank sheet"),
        "print": marked("Print the sheet"),
        # the page Send
        "send_title": marked("Send your sheet"),
        "send_link": marked("Send"),
        "drop": marked("or drop it here"),
        "send_hint": marked(
            "A spreadsheet, a CSV file, or a photo of your paper sheet. You get an answer at once."
        ),
        "send_whole": marked("Send the whole sheet each week: rows we already have are left alone."),
        "reading_file": marked("Reading {file}…"),
        "not_arrived": marked("{file} did not reach us. It is still on your device. Try again in a minute."),
        "too_big": marked(
            "{file} is larger than we can take at once. Send the sheet without pictures, or in two parts."
        ),
        "read_at_night": marked(
            "We have your sheet. It takes longer to read than people wait for, so we read it tonight."
        ),
        "unknown_file": marked(
            "We do not find this sheet any more. What you sent is kept. Your garden's page lists it."
        ),
        "no_gate": marked("Sheets are not taken here. Send them to the trial lead."),
        "other_ways": marked("No file?"),
        "by_hand_hint": marked("Type in one picking here. It takes two minutes, also in the garden."),
        "paper_hint": marked(
            "Print a sheet with your plots for the clipboard. Later you can send a photo of it."
        ),
        "blank_title": marked("Blank sheets for {garden}"),
        "blank_hint": marked("Your plots are filled in. Write what you see, leave the rest blank."),
        "as_csv": marked("CSV"),
        "as_xlsx": marked("Spreadsheet"),
        "blank_name": marked("Blank {sheet} sheet as {form}"),
        # the verdict
        "taken": marked("Thank you! We could use all {n} rows."),
        "taken_one": marked("Thank you! We could use your row."),
        "part": marked("Thank you! {used} of {n} rows are in. {held} wait for a small fix."),
        "part_one_held": marked("Thank you! {used} of {n} rows are in. 1 waits for a small fix."),
        "none_in": marked("Thank you. We kept your {n} rows. They wait for a small fix."),
        "none_in_one": marked("Thank you. We kept your row. It waits for a small fix."),
        "refused": marked("Thank you. We kept your file, but could not read any row yet."),
        "picture": marked("Thank you. We have your picture."),
        "picture_next": marked(
            "The trial team types in what it says. You need not do anything. If you have two minutes, "
            "you can type in a picking yourself."
        ),
        "mend_here": marked("You can mend them here, now or later."),
        "night": marked("Your rows show on your garden's page tomorrow morning."),
        "tally": marked("{used} rows in, {held} waiting"),
        "sent_as": marked("{file}, {sheet} sheet"),
        "tab": marked("tab {tab}"),
        "kept": marked("Everything you sent is kept, exactly as you sent it. Kept under {mark}"),
        # slips
        "wait_title": marked("Waiting for you"),
        "look_title": marked("To look at"),
        "more_title": marked("{n} more to look at"),
        "more_one": marked("1 more to look at"),
        "notes_title": marked("How we read the rest"),
        "notes_more": marked("{n} more"),
        "line": marked("Row {line}"),
        "whole_sheet": marked("The whole sheet"),
        "read_as": marked("we read"),
        "blank": marked("(blank)"),
        "typed_label": marked("{column}, row {line}"),
        "settled": marked("{label}. Thank you."),
        "settled_right": marked("It stays as you sent it. Thank you."),
        "all_of": marked("In all {n} rows"),
        "yes_all": marked("Yes, in all {n} rows"),
        "why": marked("Why we ask"),
        # the corrected sheet
        "corrected": marked("Your corrected sheet"),
        "corrected_all": marked("With this, all {n} rows are in."),
        "corrected_all_one": marked("With this, your row is in."),
        "corrected_part": marked("With this, {used} of {n} rows are in."),
        "take_away": marked("or keep a copy:"),
        "take_csv": marked("Corrected sheet as CSV"),
        "take_xlsx": marked("Corrected sheet as spreadsheet"),
        # rows as read
        "rows_title": marked("Your sheet as we read it"),
        "rows_all": marked("See all {n} rows as we read them"),
        "rows_cut": marked("The first {shown} of {n} rows."),
        "another": marked("Send another sheet"),
        "waits": marked("waits"),
        # one picking by hand
        "picking_title": marked("Write down one picking"),
        "picking_hint": marked("One row for each plot. Leave a plot alone if nobody went to it."),
        "picking_day": marked("Day of the picking"),
        "picking_unit": marked("Your scale shows"),
        "unit_lb_oz": marked("Pounds and ounces"),
        "unit_note": marked("You can also type 2 lb 3 oz or 1.5 kg."),
        "count": marked("Good fruits"),
        "weight": marked("Their weight"),
        "state_none": marked("Not visited"),
        "state_picked": marked("Picked"),
        "state_zero": marked("Nothing ripe"),
        "state_unweighed": marked("Not weighed"),
        "state_legend": marked("What happened in plot {plot}"),
        "who": marked("Your initials (if you like)"),
        "picking_note": marked("Note (if you like)"),
        "note_private": marked("No names and no phone numbers, please."),
        "picking_send": marked("Send this picking"),
        "picking_saved": marked("What you type stays on this device until it is sent."),
        "picking_wants": marked("Please look once more:"),
        "wants_day": marked("Choose the day of the picking."),
        "wants_past": marked("The day has not come yet. Choose today or a day before."),
        "wants_plot": marked("No plot is filled in yet. Fill in one, or choose “Nothing ripe”."),
        "wants_weight": marked("Plot {plot}: write the weight, or choose “Not weighed”."),
        "wants_one": marked("Plot {plot}: it says “{state}”, and a number is typed too. Keep one of them."),
        "no_plots": marked("Your garden has no plots for this season yet. The trial lead lays them out."),
        # paper
        "paper_title": marked("Picking sheet for {garden}"),
        "paper_how": marked(
            "Nothing ripe: write 0. Not visited: leave the row blank. Picked but not weighed: write the "
            "number of fruits and leave the weight blank."
        ),
        "paper_day": marked("Day"),
        "paper_scale": marked("Scale: lb, oz, kg or g"),
        "paper_plot": marked("Plot"),
        "paper_note": marked("Note"),
        "print_now": marked("Print this page"),
        "back": marked("Back to Send"),
        # My garden
        "mine_title": marked("My garden"),
        "so_far": marked("Your plants have given {weight} each so far."),
        "gave": marked("Your plants gave {weight} each in {season}."),
        "none_yet": marked("Your plots show here after your first sheet."),
        "no_trial": marked("Your garden has no plots in a trial yet. The trial lead lays them out."),
        "lucky": marked(
            "One garden can be lucky or unlucky. The answer for everybody comes from all {gardens} gardens "
            "together, after {close}."
        ),
        "lucky_closed": marked(
            "One garden can be lucky or unlucky. The answer for everybody comes from all {gardens} gardens "
            "together."
        ),
        "next": marked("Next"),
        "next_pick": marked("Pick and weigh this week"),
        "next_pick_by": marked("then send your sheet by {day}"),
        "next_late": marked("We have no picking from you for {n} days"),
        "next_late_how": marked(
            "If nothing was ripe, send a picking with 0. If you need a hand, tell the trial lead."
        ),
        "next_wait": marked("{n} rows wait for you"),
        "next_wait_one": marked("1 row waits for you"),
        "next_wait_how": marked("they do not count yet"),
        "next_wait_how_one": marked("it does not count yet"),
        "next_ask": marked("{n} questions for you"),
        "next_ask_one": marked("1 question for you"),
        "next_ask_how": marked("the rows count, we only want to be sure"),
        "next_ask_how_one": marked("the row counts, we only want to be sure"),
        "next_away": marked("Your garden rests until {day}"),
        "next_away_how": marked("nobody waits for a sheet"),
        "next_closed": marked("The season is closed"),
        "next_closed_how": marked("thank you for every picking"),
        "next_planned": marked("Planting starts on {day}"),
        "next_planned_how": marked("print your sheet, and plant by the map"),
        "do_send": marked("Send"),
        "do_answer": marked("Answer"),
        "do_mend": marked("Mend"),
        "plots_title": marked("Your plots"),
        "plots_hint": marked("What you picked so far, for each plant set out."),
        "tag": marked("tag {code}"),
        "a_plant": marked("{weight} a plant"),
        "no_weight": marked("no weight yet"),
        "season_title": marked("Your season"),
        "season_unit": marked("{unit} per plant, added up since the first picking"),
        "pounds": marked("Pounds"),
        "kilos": marked("Kilos"),
        "band": marked(
            "Hatched band: between these weights lay the middle half of the other gardens. They have no name "
            "here, and yours has none on their pages."
        ),
        "no_band": marked(
            "The middle half of the other gardens shows here once five of them have sent pickings."
        ),
        "notes_of_season": marked("Your garden this season"),
        "season_finding_closed": marked(
            "Your {n} plots adding up through the season, from {low} to {high} per plant."
        ),
        "season_finding": marked(
            "Your {n} plots adding up through the season, from {low} to {high} per plant so far."
        ),
        "open_title": marked("Waiting for your answer"),
        "open_none": marked("Nothing waits for you. Thank you."),
        "open_none_of": marked("Nothing of {season} waits for you. Thank you."),
        "open_others": marked("Of other seasons: {n}"),
        "open_more": marked("{n} more. They come up here once these are answered."),
        "not_sure": marked("Not sure"),
        "in_file": marked("in {file}"),
        "answered_title": marked("Your answers"),
        "answered_hint": marked("They count from tomorrow morning."),
        "answered_use it": marked("It is right"),
        "answered_set aside": marked("This row is taken out"),
        "answered_not sure": marked("Not sure: the trial lead looks at it"),
        "answered_change it": marked("{column}: {value}"),
        "answer_gone": marked("This row has changed since the page was opened. Look at it once more."),
        "answer_unclear": marked("We cannot read “{value}” in one clear way. Write it another way."),
        "answer_lost": marked("Your answer did not reach us. Try again in a minute."),
        "sent_title": marked("What you have sent"),
        "sent_none": marked("Nothing yet."),
        "sent_sheet": marked("Sheet"),
        "sent_when": marked("Sent"),
        "sent_rows": marked("Rows in"),
        "sent_used": marked("{used} of {rows}"),
        "sent_tonight": marked("is read tonight"),
        "sent_picture": marked("picture, waits to be typed"),
        "sent_refused": marked("could not be read yet"),
        "all_kept": marked("Everything you sent is kept, exactly as you sent it."),
        "away_title": marked("Nobody in the garden?"),
        "away_hint": marked("Tell us when nobody is there. Nobody waits for a sheet in those days."),
        "away_from": marked("From"),
        "away_to": marked("To, with that day"),
        "away_who": marked("Who stands in (if anybody)"),
        "away_save": marked("Save"),
        "away_is": marked("{first} to {last}"),
        "away_order": marked("The last day is before the first. Check both days."),
        "away_long": marked("That is more than {n} days. Please tell the trial lead."),
        "away_days": marked("Choose both days."),
        "season_choice": marked("Season"),
        # shared
        "km": marked("{km} km east"),
        "county": marked("{county} County"),
        "languages": marked("Language"),
        "choose_garden": marked("Which garden is yours?"),
        "choose_county": marked("In which county is your garden?"),
        "no_garden": marked("No garden is here yet."),
        "no_garden_hint": marked("The trial lead adds gardens; yours shows here the next morning."),
        "choose_garden_hint": marked("The pages show one garden at a time."),
        "other_garden": marked("Another garden"),
        "trouble": marked("We cannot show this right now."),
    }
)


def say(name: str, language: str = "en", **values: object) -> str:
    """Return what stands under `name`, in a language, with its values filled in."""
    return translate(language).gettext(WORDS[name]).format(**values)
