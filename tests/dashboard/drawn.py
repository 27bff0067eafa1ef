"""Pages by what they are made from."""

from dashboard.router import PAGES

#: Pages that draw the snapshot alone. The others lead back to rows, which a snapshot held in memory lacks.
DRAWN = [page for page in PAGES if page.path in ("/watch", "/compare", "/gradient")]
