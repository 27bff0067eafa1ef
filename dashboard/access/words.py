"""What the doors say, in English and Spanish."""

from collections.abc import Mapping

from flask import request

from dashboard.access.account import Account

LANGUAGES = ("en", "es")

#: Key, English, Spanish. Older readers are meant: short sentences, one thing to do.
_WORDS: Mapping[str, tuple[str, str]] = {
    "sign_in": ("Sign in", "Entrar"),
    "sign_in_lead": (
        "Use the name and the passphrase that you chose.",
        "Escriba el nombre y la frase secreta que eligió.",
    ),
    "name": ("Your name", "Su nombre"),
    "passphrase": ("Your passphrase", "Su frase secreta"),
    "no_match": (
        "That name and passphrase do not go together. Please try again, or ask your lead for a new link.",
        "Ese nombre y esa frase no van juntos. Intente otra vez, o pida un enlace nuevo a su responsable.",
    ),
    "wait": (
        "Please wait {seconds} seconds, then try again. A new link from your lead works at once.",
        "Espere {seconds} segundos e intente otra vez. Un enlace nuevo de su responsable sirve de inmediato.",
    ),
    "no_passphrase": (
        "No passphrase, or lost it? Your lead gives you a new link.",
        "¿No tiene frase o la perdió? Su responsable le da un enlace nuevo.",
    ),
    "send_link": ("Send me a link", "Enviarme un enlace"),
    "send_link_lead": (
        "Or get a link by mail: write your name above and press this.",
        "O reciba un enlace por correo: escriba arriba su nombre y oprima aquí.",
    ),
    "link_sent": (
        "If we know a mail address for that name, a link is on its way. It works for {minutes} minutes.",
        "Si tenemos un correo para ese nombre, el enlace va en camino. Sirve por {minutes} minutos.",
    ),
    "results": ("Read the results without an account", "Leer los resultados sin cuenta"),
    "welcome": ("Welcome, {name}", "Le damos la bienvenida, {name}"),
    "one_button": (
        "This link is for you alone. Press the button, and this device will know you.",
        "Este enlace es solo para usted. Oprima el botón y este aparato le reconocerá.",
    ),
    "enter": ("Come in", "Entrar"),
    "link_over": ("This link does not work any more", "Este enlace ya no sirve"),
    "link_over_lead": (
        "A link works once, within {days} days. Nothing you sent is lost. Ask your lead for a new one.",
        "Un enlace sirve una vez, dentro de {days} días. No se pierde nada de lo que envió. "
        "Pida uno nuevo a su responsable.",
    ),
    "account": ("Your account", "Su cuenta"),
    "you_are": ("You are {name}.", "Usted es {name}."),
    "role_lead": ("You see the whole network.", "Usted ve toda la red."),
    "role_volunteer": ("You send and see: {gardens}.", "Usted envía y ve: {gardens}."),
    "role_administrator": ("You see the totals of the network.", "Usted ve los totales de la red."),
    "choose": ("Choose a passphrase", "Elija una frase secreta"),
    "choose_lead": (
        "With it you can sign in on another device. Three or four words do well, at least {shortest} "
        "characters. You can also do this later.",
        "Con ella puede entrar en otro aparato. Bastan tres o cuatro palabras, al menos {shortest} "
        "caracteres. También puede hacerlo después.",
    ),
    "change": ("Change your passphrase", "Cambiar su frase secreta"),
    "change_lead": (
        "Other devices are signed out when you change it.",
        "Al cambiarla, los otros aparatos salen de la cuenta.",
    ),
    "old": ("The passphrase you have now", "La frase que tiene ahora"),
    "new": ("The new one", "La nueva"),
    "save": ("Save", "Guardar"),
    "saved": (
        "Saved. Other devices are signed out; this one stays.",
        "Guardado. Los otros aparatos salieron; este sigue adentro.",
    ),
    "old_wrong": ("The old passphrase is another one.", "La frase anterior es otra."),
    "later": ("Go on to my pages", "Seguir a mis páginas"),
    "sign_out": ("Sign out", "Salir"),
    "signed_out": ("You are signed out. See you soon.", "Ha salido. Hasta pronto."),
    "own_record": ("Get what we keep about you", "Bajar lo que guardamos de usted"),
    "refused": ("This page is not open to you", "Esta página no está abierta para usted"),
    "refused_lead": (
        "{reason}",
        "Cada persona ve las páginas de su función y de su propio huerto; esta no es una de ellas. "
        "Si la necesita, pregunte a su responsable.",
    ),
    "sent_enough": (
        "This garden has sent {count} files today. Send the rest tomorrow.",
        "Este huerto ya envió {count} archivos hoy. Envíe el resto mañana.",
    ),
    "back": ("Go to your own pages", "Ir a sus páginas"),
    "privacy": ("What we keep about you", "Lo que guardamos de usted"),
    "people": ("People", "Personas"),
    "people_none": (
        "There are no accounts yet: whoever uses this machine sees everything. Add the first one with: "
        "longrow account add NAME --role lead",
        "Todavía no hay cuentas: quien usa esta máquina lo ve todo. Agregue la primera con: "
        "longrow account add NAME --role lead",
    ),
    "people_name": ("Name", "Nombre"),
    "people_link": ("Link", "Enlace"),
    "people_role": ("Role", "Función"),
    "people_gardens": ("Gardens", "Huertos"),
    "people_mail": ("Mail", "Correo"),
    "people_seen": ("Last seen", "Última vez"),
    "people_never": ("never", "nunca"),
    "is_lead": ("lead", "responsable"),
    "is_volunteer": ("volunteer", "voluntariado"),
    "is_administrator": ("administrator", "administración"),
    "audit": ("What was done", "Lo que se hizo"),
    "audit_none": ("Nothing yet.", "Nada todavía."),
    "audit_when": ("When, UTC", "Cuándo, UTC"),
    "audit_who": ("Who", "Quién"),
    "audit_did": ("Did", "Hizo"),
    "audit_garden": ("Garden", "Huerto"),
    "audit_what": ("What", "Qué"),
    "trouble": ("We cannot show this right now", "No podemos mostrar esto ahora"),
    "trouble_lead": (
        "Nothing that was sent is lost. Try again in a minute.",
        "No se pierde nada de lo que se envió. Intente otra vez en un minuto.",
    ),
    "again": ("Try again", "Intentar otra vez"),
    "new_link": ("New link", "Enlace nuevo"),
    "new_link_for": ("A link for {name}", "Un enlace para {name}"),
    "new_link_lead": (
        "It works once, within {days} days. Send it, read it out, or print this page. We show it only now.",
        "Sirve una vez, dentro de {days} días. Envíelo, díctelo o imprima esta página. Solo se ve ahora.",
    ),
    "qr": ("The link as a square to scan", "El enlace como cuadro para escanear"),
    "too_weak": (
        "Please choose another one: at least {shortest} characters, three or four words that do not go "
        "together.",
        "Elija otra: al menos {shortest} caracteres, tres o cuatro palabras que no vayan juntas.",
    ),
    "other_language": ("Español", "English"),
}

#: What is kept of people: what, why, how long. English and Spanish.
PRIVACY: tuple[tuple[tuple[str, str, str], tuple[str, str, str]], ...] = (
    (
        (
            "Your name, your role and your gardens",
            "so that your sheets count for your garden",
            "until you leave",
        ),
        (
            "Su nombre, su función y sus huertos",
            "para que sus hojas cuenten para su huerto",
            "hasta que se va",
        ),
    ),
    (
        ("Your mail address, if you gave one", "to send you links and questions", "until you leave"),
        ("Su correo, si lo dio", "para enviarle enlaces y preguntas", "hasta que se va"),
    ),
    (
        ("A scrambled form of your passphrase", "to know you again; nobody can read it", "until you leave"),
        ("Una forma cifrada de su frase", "para reconocerle; nadie puede leerla", "hasta que se va"),
    ),
    (
        (
            "The sheets and photos of sheets you send, with notes and who recorded them",
            "they are the trial; notes are read by your garden and the lead only",
            "names, notes and photos until erased, numbers as long as the trial is kept",
        ),
        (
            "Las hojas y fotos de hojas que envía, con notas y quién anotó",
            "son la prueba; las notas las leen solo su huerto y la persona responsable",
            "nombres, notas y fotos hasta que se borran, números mientras se guarda la prueba",
        ),
    ),
    (
        ("When you signed in, sent or decided something", "so that mistakes can be traced", "400 days"),
        ("Cuándo entró, envió o decidió algo", "para poder seguir los errores", "400 días"),
    ),
    (
        ("Failed sign-ins, without name or address in plain", "to slow down guessing", "1 day"),
        ("Intentos fallidos, sin nombre ni dirección legibles", "para frenar a quien adivina", "1 día"),
    ),
)
PRIVACY_NOTES = (
    (
        "Names, contact details and exact places are seen by the lead and your own garden alone. "
        "No picture, birthday or name of a child is wanted: adults hold the accounts.",
        "Ask your lead to erase you: names, contact details, notes and photos are erased, numbers stay. "
        "Two small cookies keep you signed in; nothing is sent to anybody else.",
    ),
    (
        "Los nombres, contactos y lugares exactos los ven solo la persona responsable y su propio huerto. "
        "No queremos fotos, cumpleaños ni nombres de menores: las cuentas son de personas adultas.",
        "Pida a su responsable que le borre: se borran nombres, contactos, notas y fotos; quedan los "
        "números. Dos cookies pequeñas mantienen su entrada; nada se envía a nadie más.",
    ),
)
PRIVACY_HEADINGS = (("What", "Why", "How long"), ("Qué", "Para qué", "Cuánto tiempo"))


class Words:
    """The words of one language."""

    def __init__(self, language: str) -> None:
        self.language = language if language in LANGUAGES else LANGUAGES[0]
        self._at = LANGUAGES.index(self.language)

    def __call__(self, key: str, **values: object) -> str:
        """Return what is said under a key, with its values filled in."""
        return _WORDS[key][self._at].format(**values)

    @property
    def privacy(self) -> list[tuple[str, str, str]]:
        """What is kept, why and how long, one row each."""
        return [row[self._at] for row in PRIVACY]

    @property
    def privacy_headings(self) -> tuple[str, str, str]:
        """The headings of that table."""
        return PRIVACY_HEADINGS[self._at]

    @property
    def privacy_notes(self) -> tuple[str, ...]:
        """What stands below it."""
        return PRIVACY_NOTES[self._at]


def words_for(account: Account, usual: str) -> Words:
    """Return the words for a reader: as the address asks, else the account, the browser, the network."""
    asked = request.args.get("lang")
    if asked in LANGUAGES:
        return Words(asked)
    if account.id:
        return Words(account.language)
    return Words(request.accept_languages.best_match(LANGUAGES) or usual)
