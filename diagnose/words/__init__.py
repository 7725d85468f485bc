"""Everything that people read of a case, its bike and its causes, each sentence once.

Pure text: strings and lists of strings, without a terminal, widths or colour.
"""
