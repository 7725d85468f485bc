"""The diagnosis: from facts to findings, from those to ranked causes and a next step."""
