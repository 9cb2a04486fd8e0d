"""Thin plates by finite elements: panes with braces, holes and beds. Knows panes, not tanks."""
