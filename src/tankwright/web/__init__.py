"""The live drawing: the app in the browser."""
