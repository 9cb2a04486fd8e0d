"""The open plan and its life: the only door the views go through."""
