"""The entries of the workbench, one file a subject; each holds `FIGURES`."""
