"""Reads what people have: TOML jobs and rigs, CSV lists, words on the command line, plan files."""
