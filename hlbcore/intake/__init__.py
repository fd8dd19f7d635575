"""Rows read from CSV and XLSX, and the user's own ingredients from them."""
