"""What people read, in their language: one way of translating for pages, messages and mails."""

from pipeline.words.translation import LANGUAGES, marked, translate

__all__ = ["LANGUAGES", "marked", "translate"]
