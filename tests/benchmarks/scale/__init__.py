"""How the pages stand a register a hundred times as large, beside the same pages on the small one, in the same run."""
