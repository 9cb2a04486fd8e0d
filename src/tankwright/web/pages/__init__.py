"""The pages, one file each; `all.py` lists them."""
