"""The diagnosis: from facts to findings, from findings to ranked causes, from those to a next step."""
