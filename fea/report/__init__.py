"""What a person sees: pictures, tables, the report, files for other programs."""
