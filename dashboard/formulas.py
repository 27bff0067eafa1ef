"""Text that a spreadsheet would run, made harmless."""

#: A spreadsheet takes text that starts so for a formula; an apostrophe in front keeps it text.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def disarmed(text: str) -> str:
    """Return the text with an apostrophe in front where a spreadsheet would take it for a formula.

    A carriage return within becomes a line feed: it is not put into quotes, and a spreadsheet would begin a
    row there.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text
