"""The JSON API: the same reads and edits as the pages, under one prefix, checked by revision and done once."""
