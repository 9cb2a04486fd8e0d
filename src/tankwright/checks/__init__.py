"""Judgement: small pure checks, one file per system, each with a permanent code."""
