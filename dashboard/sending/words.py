"""What the pages of volunteers say, in English and Spanish side by side."""

from types import MappingProxyType

#: By name: English, Spanish. Placeholders hold ready text.
WORDS = MappingProxyType(
    {
        # buttons
        "yes": ("Yes, {suggest}", "Sí, {suggest}"),
        "choose": ("{suggest}", "{suggest}"),
        "right": ("It is right", "Está bien así"),
        "type": ("I will type it", "Lo voy a escribir"),
        "save": ("Save", "Guardar"),
        "undo": ("Undo", "Deshacer"),
        "plot": ("Plot {plot}", "Parcela {plot}"),
        "unit_lb": ("Pounds (lb)", "Libras (lb)"),
        "unit_oz": ("Ounces (oz)", "Onzas (oz)"),
        "unit_kg": ("Kilos (kg)", "Kilos (kg)"),
        "unit_g": ("Grams (g)", "Gramos (g)"),
        "switch": ("Switch them", "Intercambiarlas"),
        "times": ("Times 100", "Por 100"),
        "not_weighed": ("Not weighed", "No se pesó"),
        "not_counted": ("Not counted", "No se contó"),
        "stage_immature": ("Immature", "Tierno"),
        "stage_mature": ("Mature", "Sazón"),
        "stage_ripe": ("Ripe", "Maduro"),
        "take_out": ("Take this row out", "Quitar esta fila"),
        "two_pickings": ("Two pickings", "Dos cortes"),
        "send_file": ("Send a file", "Enviar un archivo"),
        "choose_file": ("Choose a file", "Elegir un archivo"),
        "send_again": ("Send the corrected sheet", "Enviar la hoja corregida"),
        "by_hand": ("Write down one picking", "Anotar un corte"),
        "get_blank": ("Get the blank sheet", "Bajar la hoja en blanco"),
        "print": ("Print the sheet", "Imprimir la hoja"),
        # the page Send
        "send_title": ("Send your sheet", "Enviar su hoja"),
        "send_link": ("Send", "Enviar"),
        "drop": ("or drop it here", "o póngalo aquí"),
        "send_hint": (
            "A spreadsheet, a CSV file, or a photo of your paper sheet. You get an answer at once.",
            "Una hoja de cálculo, un archivo CSV o una foto de su hoja de papel. Recibe respuesta al "
            "momento.",
        ),
        "send_whole": (
            "Send the whole sheet each week: rows we already have are left alone.",
            "Envíe la hoja completa cada semana: las filas que ya tenemos se quedan como están.",
        ),
        "reading_file": ("Reading {file}…", "Leyendo {file}…"),
        "not_arrived": (
            "{file} did not reach us. It is still on your device. Try again in a minute.",
            "{file} no nos llegó. Sigue en su aparato. Intente otra vez en un minuto.",
        ),
        "too_big": (
            "{file} is larger than we can take at once. Send the sheet without pictures, or in two parts.",
            "{file} es más grande de lo que podemos recibir. Envíe la hoja sin fotos o en dos partes.",
        ),
        "read_at_night": (
            "We have your sheet. It takes longer to read than people wait for, so we read it tonight.",
            "Tenemos su hoja. Leerla toma más de lo que nadie espera, así que la leemos esta noche.",
        ),
        "unknown_file": (
            "We do not find this sheet any more. What you sent is kept. Your garden's page lists it.",
            "Ya no encontramos esta hoja. Lo que envió está guardado. La página de su huerto lo muestra.",
        ),
        "no_gate": (
            "Sheets are not taken here. Send them to the trial lead.",
            "Aquí no se reciben hojas. Envíelas a la persona encargada.",
        ),
        "other_ways": ("No file?", "¿No tiene archivo?"),
        "by_hand_hint": (
            "Type in one picking here. It takes two minutes, also in the garden.",
            "Anote aquí un corte. Toma dos minutos, también en el huerto.",
        ),
        "paper_hint": (
            "Print a sheet with your plots for the clipboard. Later you can send a photo of it.",
            "Imprima una hoja con sus parcelas para anotar a mano. Después puede enviar una foto.",
        ),
        "blank_title": ("Blank sheets for {garden}", "Hojas en blanco para {garden}"),
        "blank_hint": (
            "Your plots are filled in. Write what you see, leave the rest blank.",
            "Sus parcelas ya están escritas. Anote lo que vea y deje lo demás en blanco.",
        ),
        "as_csv": ("CSV", "CSV"),
        "as_xlsx": ("Spreadsheet", "Hoja de cálculo"),
        "blank_name": ("Blank {sheet} sheet as {form}", "Hoja en blanco de {sheet}: {form}"),
        # the verdict
        "taken": ("Thank you! We could use all {n} rows.", "¡Gracias! Pudimos usar las {n} filas."),
        "taken_one": ("Thank you! We could use your row.", "¡Gracias! Pudimos usar su fila."),
        "part": (
            "Thank you! {used} of {n} rows are in. {held} wait for a small fix.",
            "¡Gracias! Ya entraron {used} de {n} filas. {held} esperan una pequeña corrección.",
        ),
        "part_one_held": (
            "Thank you! {used} of {n} rows are in. 1 waits for a small fix.",
            "¡Gracias! Ya entraron {used} de {n} filas. 1 espera una pequeña corrección.",
        ),
        "none_in": (
            "Thank you. We kept your {n} rows. They wait for a small fix.",
            "Gracias. Guardamos sus {n} filas. Esperan una pequeña corrección.",
        ),
        "none_in_one": (
            "Thank you. We kept your row. It waits for a small fix.",
            "Gracias. Guardamos su fila. Espera una pequeña corrección.",
        ),
        "refused": (
            "Thank you. We kept your file, but could not read any row yet.",
            "Gracias. Guardamos su archivo, pero todavía no pudimos leer ninguna fila.",
        ),
        "picture": (
            "Thank you. We have your picture.",
            "Gracias. Tenemos su foto.",
        ),
        "picture_next": (
            "The trial team types in what it says. You need not do anything. If you have two minutes, "
            "you can type in a picking yourself.",
            "El equipo de la prueba anota lo que dice. Usted no tiene que hacer nada. Si tiene dos minutos, "
            "puede anotar un corte usted.",
        ),
        "mend_here": (
            "You can mend them here, now or later.",
            "Puede corregirlas aquí, ahora o después.",
        ),
        "night": (
            "Your rows show on your garden's page tomorrow morning.",
            "Sus filas aparecen mañana en la página de su huerto.",
        ),
        "tally": ("{used} rows in, {held} waiting", "{used} filas recibidas, {held} en espera"),
        "sent_as": ("{file}, {sheet} sheet", "{file}, hoja de {sheet}"),
        "tab": ("tab {tab}", "pestaña {tab}"),
        "kept": (
            "Everything you sent is kept, exactly as you sent it. Kept under {mark}",
            "Todo lo que envió está guardado tal como lo envió. Guardado con {mark}",
        ),
        # slips
        "wait_title": ("Waiting for you", "Esperan por usted"),
        "look_title": ("To look at", "Para revisar"),
        "more_title": ("{n} more to look at", "{n} más para revisar"),
        "more_one": ("1 more to look at", "1 más para revisar"),
        "notes_title": ("How we read the rest", "Cómo leímos lo demás"),
        "notes_more": ("{n} more", "{n} más"),
        "line": ("Line {line}", "Línea {line}"),
        "whole_sheet": ("The whole sheet", "Toda la hoja"),
        "read_as": ("we read", "leímos"),
        "blank": ("(blank)", "(en blanco)"),
        "typed_label": ("{column}, line {line}", "{column}, línea {line}"),
        "settled": ("{label}. Thank you.", "{label}. Gracias."),
        "settled_right": (
            "It stays as you sent it. Thank you.",
            "Se queda como lo envió. Gracias.",
        ),
        "all_of": ("In all {n} rows", "En las {n} filas"),
        "yes_all": ("Yes, in all {n} rows", "Sí, en las {n} filas"),
        "why": ("Why we ask", "Por qué preguntamos"),
        # the corrected sheet
        "corrected": ("Your corrected sheet", "Su hoja corregida"),
        "corrected_all": ("With this, all {n} rows are in.", "Así entran las {n} filas."),
        "corrected_all_one": ("With this, your row is in.", "Así entra su fila."),
        "corrected_part": (
            "With this, {used} of {n} rows are in.",
            "Así entran {used} de {n} filas.",
        ),
        "take_away": ("or keep a copy:", "o guarde una copia:"),
        "take_csv": ("Corrected sheet as CSV", "Hoja corregida en CSV"),
        "take_xlsx": ("Corrected sheet as spreadsheet", "Hoja corregida como hoja de cálculo"),
        # rows as read
        "rows_title": ("Your sheet as we read it", "Su hoja como la leímos"),
        "rows_all": ("See all {n} rows as we read them", "Ver las {n} filas como las leímos"),
        "rows_cut": (
            "The first {shown} of {n} rows.",
            "Las primeras {shown} de {n} filas.",
        ),
        "another": ("Send another sheet", "Enviar otra hoja"),
        "waits": ("waits", "en espera"),
        # one picking by hand
        "picking_title": ("Write down one picking", "Anotar un corte"),
        "picking_hint": (
            "One row for each plot. Leave a plot alone if nobody went to it.",
            "Una fila por parcela. Deje en paz la parcela a la que nadie fue.",
        ),
        "picking_day": ("Day of the picking", "Día del corte"),
        "picking_unit": ("Your scale shows", "Su báscula marca"),
        "unit_lb_oz": ("Pounds and ounces", "Libras y onzas"),
        "unit_note": (
            "You can also type 2 lb 3 oz or 1.5 kg.",
            "También puede escribir 2 lb 3 oz o 1.5 kg.",
        ),
        "count": ("Good fruits", "Frutos buenos"),
        "weight": ("Their weight", "Su peso"),
        "state_none": ("Not visited", "Nadie fue"),
        "state_picked": ("Picked", "Se cortó"),
        "state_zero": ("Nothing ripe", "Nada maduro"),
        "state_unweighed": ("Not weighed", "No se pesó"),
        "state_legend": ("What happened in plot {plot}", "Qué pasó en la parcela {plot}"),
        "who": ("Your initials (if you like)", "Sus iniciales (si quiere)"),
        "picking_note": ("Note (if you like)", "Nota (si quiere)"),
        "note_private": (
            "No names and no phone numbers, please.",
            "Sin nombres ni teléfonos, por favor.",
        ),
        "picking_send": ("Send this picking", "Enviar este corte"),
        "picking_saved": (
            "What you type stays on this device until it is sent.",
            "Lo que escribe se queda en este aparato hasta que se envía.",
        ),
        "picking_wants": ("Please look once more:", "Por favor revise otra vez:"),
        "wants_day": ("Choose the day of the picking.", "Elija el día del corte."),
        "wants_past": (
            "The day has not come yet. Choose today or a day before.",
            "Ese día todavía no llega. Elija hoy o un día anterior.",
        ),
        "wants_plot": (
            "No plot is filled in yet. Fill in one, or choose “Nothing ripe”.",
            "Todavía no hay ninguna parcela llena. Llene una o elija “Nada maduro”.",
        ),
        "wants_weight": (
            "Plot {plot}: write the weight, or choose “Not weighed”.",
            "Parcela {plot}: escriba el peso o elija “No se pesó”.",
        ),
        "wants_one": (
            "Plot {plot}: it says “{state}”, and a number is typed too. Keep one of them.",
            "Parcela {plot}: dice “{state}” y también hay un número. Deje solo uno.",
        ),
        "no_plots": (
            "Your garden has no plots for this season yet. The trial lead lays them out.",
            "Su huerto todavía no tiene parcelas para esta temporada. La persona encargada las asigna.",
        ),
        # paper
        "paper_title": ("Picking sheet for {garden}", "Hoja de cortes de {garden}"),
        "paper_how": (
            "Nothing ripe: write 0. Not visited: leave the row blank. Picked but not weighed: write the "
            "number of fruits and leave the weight blank.",
            "Nada maduro: escriba 0. Nadie fue: deje la fila en blanco. Se cortó pero no se pesó: escriba "
            "el número de frutos y deje el peso en blanco.",
        ),
        "paper_day": ("Day", "Día"),
        "paper_scale": ("Scale: lb, oz, kg or g", "Báscula: lb, oz, kg o g"),
        "paper_plot": ("Plot", "Parcela"),
        "paper_note": ("Note", "Nota"),
        "print_now": ("Print this page", "Imprimir esta página"),
        "back": ("Back to Send", "Volver a Enviar"),
        # My garden
        "mine_title": ("My garden", "Mi huerto"),
        "so_far": (
            "Your plants have given {weight} each so far.",
            "Hasta hoy cada planta suya ha dado {weight}.",
        ),
        "gave": ("Your plants gave {weight} each in {season}.", "Cada planta suya dio {weight} en {season}."),
        "none_yet": (
            "Your plots show here after your first sheet.",
            "Sus parcelas aparecen aquí después de su primera hoja.",
        ),
        "no_trial": (
            "Your garden has no plots in a trial yet. The trial lead lays them out.",
            "Su huerto todavía no tiene parcelas en una prueba. La persona encargada las asigna.",
        ),
        "lucky": (
            "One garden can be lucky or unlucky. The answer for everybody comes from all {gardens} gardens "
            "together, after {close}.",
            "Un huerto puede tener buena o mala suerte. La respuesta para todos sale de los {gardens} "
            "huertos juntos, después del {close}.",
        ),
        "lucky_closed": (
            "One garden can be lucky or unlucky. The answer for everybody comes from all {gardens} gardens "
            "together.",
            "Un huerto puede tener buena o mala suerte. La respuesta para todos sale de los {gardens} "
            "huertos juntos.",
        ),
        "next": ("Next", "Lo que sigue"),
        "next_pick": ("Pick and weigh this week", "Coseche y pese esta semana"),
        "next_pick_by": ("then send your sheet by {day}", "después envíe su hoja a más tardar el {day}"),
        "next_late": (
            "We have no picking from you for {n} days",
            "No tenemos ningún corte suyo desde hace {n} días",
        ),
        "next_late_how": (
            "If nothing was ripe, send a picking with 0. If you need a hand, tell the trial lead.",
            "Si nada estaba maduro, envíe un corte con 0. Si necesita ayuda, avise a la persona encargada.",
        ),
        "next_wait": ("{n} rows wait for you", "{n} filas esperan por usted"),
        "next_wait_one": ("1 row waits for you", "1 fila espera por usted"),
        "next_wait_how": ("they do not count yet", "todavía no cuentan"),
        "next_ask": ("{n} questions for you", "{n} preguntas para usted"),
        "next_ask_one": ("1 question for you", "1 pregunta para usted"),
        "next_ask_how": (
            "the rows count, we only want to be sure",
            "las filas cuentan, solo queremos confirmar",
        ),
        "next_away": ("Your garden rests until {day}", "Su huerto descansa hasta el {day}"),
        "next_away_how": ("nobody waits for a sheet", "nadie espera una hoja"),
        "next_closed": ("The season is closed", "La temporada terminó"),
        "next_closed_how": ("thank you for every picking", "gracias por cada corte"),
        "next_planned": ("Planting starts on {day}", "La plantación empieza el {day}"),
        "next_planned_how": (
            "print your sheet, and plant by the map",
            "imprima su hoja y plante según el mapa",
        ),
        "do_send": ("Send", "Enviar"),
        "do_answer": ("Answer", "Responder"),
        "do_mend": ("Mend", "Corregir"),
        "plots_title": ("Your plots", "Sus parcelas"),
        "plots_hint": (
            "What you picked so far, for each plant set out.",
            "Lo que ha cosechado hasta hoy, por cada planta plantada.",
        ),
        "tag": ("tag {code}", "etiqueta {code}"),
        "a_plant": ("{weight} a plant", "{weight} por planta"),
        "no_weight": ("no weight yet", "sin peso todavía"),
        "season_title": ("Your season", "Su temporada"),
        "season_unit": (
            "{unit} per plant, added up since the first picking",
            "{unit} por planta, sumadas desde el primer corte",
        ),
        "pounds": ("Pounds", "Libras"),
        "kilos": ("Kilos", "Kilos"),
        "band": (
            "White band: between these weights lay the middle half of the other gardens. They have no name "
            "here, and yours has none on their pages.",
            "Franja blanca: entre estos pesos estuvo la mitad central de los otros huertos. Aquí no tienen "
            "nombre, y el suyo tampoco en sus páginas.",
        ),
        "no_band": (
            "The middle half of the other gardens shows here once five of them have sent pickings.",
            "La mitad central de los otros huertos aparece aquí cuando cinco de ellos hayan enviado cortes.",
        ),
        "season_finding": (
            "Your {n} plots adding up through the season, from {low} to {high} per plant so far.",
            "Sus {n} parcelas sumadas durante la temporada, de {low} a {high} por planta hasta hoy.",
        ),
        "open_title": ("Waiting for your answer", "Esperan su respuesta"),
        "open_none": ("Nothing waits for you. Thank you.", "Nada espera por usted. Gracias."),
        "open_more": (
            "{n} more. They come up here once these are answered.",
            "{n} más. Aparecen aquí cuando estas tengan respuesta.",
        ),
        "not_sure": ("Not sure", "No sé"),
        "in_file": ("in {file}", "en {file}"),
        "answered_title": ("Your answers", "Sus respuestas"),
        "answered_hint": ("They count from tomorrow morning.", "Cuentan desde mañana por la mañana."),
        "answered_use it": ("It is right", "Está bien así"),
        "answered_set aside": ("This row is taken out", "Esta fila se quita"),
        "answered_not sure": (
            "Not sure: the trial lead looks at it",
            "No sé: lo revisa la persona encargada",
        ),
        "answered_change it": ("{column}: {value}", "{column}: {value}"),
        "answer_gone": (
            "This row has changed since the page was opened. Look at it once more.",
            "Esta fila cambió desde que se abrió la página. Revísela otra vez.",
        ),
        "answer_unclear": (
            "We cannot read “{value}” in one clear way. Write it another way.",
            "No podemos leer “{value}” de una sola manera. Escríbalo de otra forma.",
        ),
        "answer_lost": (
            "Your answer did not reach us. Try again in a minute.",
            "Su respuesta no nos llegó. Intente otra vez en un minuto.",
        ),
        "sent_title": ("What you have sent", "Lo que ha enviado"),
        "sent_none": ("Nothing yet.", "Todavía nada."),
        "sent_sheet": ("Sheet", "Hoja"),
        "sent_when": ("Sent", "Enviada"),
        "sent_rows": ("Rows in", "Filas"),
        "sent_used": ("{used} of {rows}", "{used} de {rows}"),
        "sent_tonight": ("is read tonight", "se lee esta noche"),
        "sent_picture": ("picture, waits to be typed", "foto, espera a que se anote"),
        "sent_refused": ("could not be read yet", "todavía no se pudo leer"),
        "all_kept": (
            "Everything you sent is kept, exactly as you sent it.",
            "Todo lo que envió está guardado tal como lo envió.",
        ),
        "away_title": ("Nobody in the garden?", "¿Nadie en el huerto?"),
        "away_hint": (
            "Tell us when nobody is there. Nobody waits for a sheet in those days.",
            "Díganos cuándo no hay nadie. En esos días nadie espera una hoja.",
        ),
        "away_from": ("From", "Desde"),
        "away_to": ("To, with that day", "Hasta, con ese día"),
        "away_who": ("Who stands in (if anybody)", "Quién queda en su lugar (si hay)"),
        "away_save": ("Save", "Guardar"),
        "away_is": ("{first} to {last}", "Del {first} al {last}"),
        "away_order": (
            "The last day is before the first. Check both days.",
            "El último día es anterior al primero. Revise los dos.",
        ),
        "away_long": (
            "That is more than {n} days. Please tell the trial lead.",
            "Son más de {n} días. Por favor avise a la persona encargada.",
        ),
        "away_days": ("Choose both days.", "Elija los dos días."),
        "season_choice": ("Season", "Temporada"),
        # shared
        "km": ("{km} km east", "{km} km al este"),
        "county": ("{county} County", "condado de {county}"),
        "languages": ("Language", "Idioma"),
        "choose_garden": ("Which garden is yours?", "¿Cuál es su huerto?"),
        "choose_garden_hint": (
            "The pages show one garden at a time.",
            "Las páginas muestran un huerto a la vez.",
        ),
        "other_garden": ("Another garden", "Otro huerto"),
        "trouble": ("We cannot show this right now.", "Por ahora no podemos mostrar esto."),
    }
)

#: Place of each language in a pair of words.
_PLACES = {"en": 0, "es": 1}


def say(name: str, language: str = "en", **values: object) -> str:
    """Return what stands under `name`, in a language, with its values filled in."""
    return WORDS[name][_PLACES[language]].format(**values)
