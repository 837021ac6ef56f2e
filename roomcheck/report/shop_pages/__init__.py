"""Sheets for the shop and the installer."""
