"""One file per schema change; a file that has shipped is never edited."""
