"""The terms in which conditions are recorded: versions, rules, symbols and synonyms."""
