"""Which terms does a new wall start with? Reads the project's own data file, once."""

import json
from functools import cache
from pathlib import Path

from survey.vocabulary.terms import Vocabulary

TERMS_FILE = Path(__file__).parent / "data" / "terms.json"


@cache
def built_in_vocabulary() -> Vocabulary:
    """Return the built-in terms with their symbols, as version 1."""
    return Vocabulary.from_json(json.loads(TERMS_FILE.read_text(encoding="utf-8")))
